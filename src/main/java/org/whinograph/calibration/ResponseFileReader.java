package org.whinograph.calibration;

import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.whinograph.signal.RefusedException;

/**
 * Reads microphone response files. There is no standard for them; this is what they have in common
 * (common practice, no source):
 *
 * <ul>
 *   <li>rows of frequency [Hz], response [dB] and perhaps a phase, which isn't used, parted by
 *       tabs, blanks, commas or semicolons;
 *   <li>comments from {@code * # ; "} or {@code //} at the start of a line, and words before the
 *       first row; one of them may state a sensitivity;
 *   <li>numbers such as {@code .58440}, and decimal commas where no point and no comma between
 *       columns contradicts;
 *   <li>any line ends; UTF-8 with or without its mark, UTF-16 with its mark, else Latin-1.
 * </ul>
 *
 * <p>What doesn't fit is refused with the number of its line: a response read wrong would move
 * every number measured with it.
 */
final class ResponseFileReader {
  private static final int LARGEST_BYTES = 4 << 20;
  private static final int MOST_ROWS = 200_000;

  /** Frequencies above this aren't of a microphone. */
  private static final double HIGHEST_HZ = 500_000;

  /** Responses beyond this aren't of a microphone. */
  private static final double MOST_DB = 100;

  private static final Pattern NUMBER =
      Pattern.compile("[+-]?(?:[0-9]+\\.?[0-9]*|\\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?");

  private static final Pattern QUOTED =
      Pattern.compile("\"[^\"]{1,40}\"(?:[,;\\t ]{1,9}\"[^\"]{0,40}\"){1,2}");

  private static final Pattern STATED = Pattern.compile("(?i)sens[^0-9]*?([+-]?[0-9]*[.,]?[0-9]+)");

  private static final Pattern STATED_AT =
      Pattern.compile("(?i)^[*\"]\\s*[0-9.]+\\s*k?hz[\\s:=]+([+-]?[0-9]*[.,]?[0-9]+)");

  private final String name;
  private final List<String> lines;
  private final boolean semicolons;
  private final boolean decimalComma;
  private final boolean ambiguous;
  private double[] frequencies = new double[256];
  private double[] responses = new double[256];
  private int rows;
  private int columns;
  private SensitivityStatement sensitivity;

  private ResponseFileReader(String name, List<String> lines) {
    this.name = name;
    this.lines = lines.stream().map(ResponseFileReader::withoutQuotes).toList();
    boolean semicolon = false;
    boolean point = false;
    boolean commaInside = false;
    boolean commaOutside = false;
    boolean threeByComma = false;
    for (String line : this.lines) {
      if (!startsLikeNumber(line)) {
        continue;
      }
      semicolon |= line.indexOf(';') >= 0;
      point |= line.indexOf('.') >= 0;
      String[] tokens = line.split("[;\\s]+", -1);
      boolean inside = false;
      for (String token : tokens) {
        int comma = token.indexOf(',');
        boolean within =
            comma >= 0 && comma == token.lastIndexOf(',') && comma < token.length() - 1;
        inside |= within;
        commaOutside |= comma >= 0 && !within;
      }
      threeByComma |= line.indexOf(',') != line.lastIndexOf(',') && tokens.length == 1;
      // "20,5" alone is two columns; "20,5 1" are two with a decimal comma.
      commaInside |= inside && tokens.length > 1;
      commaOutside |= inside && tokens.length == 1;
    }
    this.semicolons = semicolon;
    this.decimalComma = commaInside && !commaOutside && !point;
    this.ambiguous = threeByComma && !semicolon && !point;
  }

  static MicrophoneResponse read(Path file) throws RefusedException {
    String name = String.valueOf(file.getFileName());
    try (InputStream in = Files.newInputStream(file)) {
      return parse(name, in.readNBytes(LARGEST_BYTES + 1));
    } catch (NoSuchFileException e) {
      throw new RefusedException(file + " isn't there; check the name of the response file.", e);
    } catch (IOException e) {
      throw new RefusedException(file + " can't be read; check its name and permissions.", e);
    }
  }

  static MicrophoneResponse parse(String name, byte[] bytes) throws RefusedException {
    if (bytes.length > LARGEST_BYTES) {
      throw new RefusedException(
          name
              + " is larger than 4 MiB, more than any response file; give the microphone's response"
              + " as text.");
    }
    return new ResponseFileReader(name, lines(decode(name, bytes))).parse();
  }

  private MicrophoneResponse parse() throws RefusedException {
    for (int i = 0; i < lines.size(); i++) {
      String line = lines.get(i);
      if (line.isEmpty()) {
        continue;
      }
      if (isComment(line)) {
        noteSensitivity(line);
      } else if (startsLikeNumber(line)) {
        row(line, i + 1);
      } else if (rows == 0) {
        noteSensitivity(line);
      } else {
        throw refused(i + 1, "isn't a row of numbers: " + brief(line));
      }
    }
    if (rows < 2) {
      throw new RefusedException(
          name
              + " holds "
              + (rows == 0 ? "no rows" : "1 row")
              + " of frequency and response, at least 2 are needed; check that it's the"
              + " microphone's response file.");
    }
    return new MicrophoneResponse(
        name, Arrays.copyOf(frequencies, rows), Arrays.copyOf(responses, rows), sensitivity);
  }

  private void row(String line, int number) throws RefusedException {
    if (ambiguous) {
      throw refused(
          number,
          "uses commas so that columns and decimals can't be told apart (" + brief(line) + ")");
    }
    String text = decimalComma ? line.replace(',', '.') : line;
    String[] cells = split(text);
    if (cells.length < 2 || cells.length > 3) {
      throw refused(
          number,
          "has "
              + cells.length
              + (cells.length == 1 ? " column" : " columns")
              + ", not frequency, response and perhaps phase: "
              + brief(line));
    }
    if (columns != 0 && columns != cells.length) {
      throw refused(
          number,
          "has "
              + cells.length
              + " columns where the rows above have "
              + columns
              + ": "
              + brief(line));
    }
    columns = cells.length;
    double[] values = new double[cells.length];
    for (int i = 0; i < cells.length; i++) {
      if (!NUMBER.matcher(cells[i]).matches()) {
        throw refused(number, "holds \"" + brief(cells[i]) + "\", which isn't a number");
      }
      values[i] = Double.parseDouble(cells[i]);
    }
    if (!(values[0] > 0 && values[0] <= HIGHEST_HZ)) {
      throw refused(
          number, say("gives a frequency of %s Hz, outside 0 to %.0f Hz", cells[0], HIGHEST_HZ));
    }
    if (Math.abs(values[1]) > MOST_DB) {
      throw refused(
          number,
          say(
              "gives a response of %s dB, beyond ±%.0f dB; absolute levels aren't a response",
              cells[1], MOST_DB));
    }
    if (rows > 0 && values[0] <= frequencies[rows - 1]) {
      throw refused(
          number,
          say(
              "gives %s Hz after %s Hz, frequencies must rise from row to row",
              cells[0], Double.toString(frequencies[rows - 1])));
    }
    if (rows == MOST_ROWS) {
      throw refused(number, "is beyond " + MOST_ROWS + " rows, more than any response file has");
    }
    if (rows == frequencies.length) {
      frequencies = Arrays.copyOf(frequencies, 2 * rows);
      responses = Arrays.copyOf(responses, 2 * rows);
    }
    frequencies[rows] = values[0];
    responses[rows] = values[1];
    rows++;
  }

  private String[] split(String text) {
    String[] cells =
        semicolons
            ? text.split(";", -1)
            : (decimalComma ? text : text.replace(',', ' ')).trim().split("\\s+");
    int used = cells.length;
    // A separator at the end of a row opens no column.
    while (used > 1 && cells[used - 1].isBlank()) {
      used--;
    }
    String[] trimmed = new String[used];
    for (int i = 0; i < used; i++) {
      trimmed[i] = cells[i].trim();
    }
    return trimmed;
  }

  private void noteSensitivity(String line) {
    if (sensitivity != null) {
      return;
    }
    String head = line.substring(0, Math.min(line.length(), 500));
    Matcher stated = STATED.matcher(head);
    Matcher statedAt = STATED_AT.matcher(head);
    Matcher found = stated.find() ? stated : statedAt.find() ? statedAt : null;
    if (found != null) {
      sensitivity =
          new SensitivityStatement(
              head.replaceAll("^[*#;/\"\\s]+|[\"\\s]+$", ""),
              Double.parseDouble(found.group(1).replace(',', '.')));
    }
  }

  private static boolean isComment(String line) {
    return "*#;\"".indexOf(line.charAt(0)) >= 0 || line.startsWith("//");
  }

  private static boolean startsLikeNumber(String line) {
    if (line.isEmpty()) {
      return false;
    }
    int at = "+-".indexOf(line.charAt(0)) >= 0 ? 1 : 0;
    at += line.startsWith(".", at) || line.startsWith(",", at) ? 1 : 0;
    return at < line.length() && line.charAt(at) >= '0' && line.charAt(at) <= '9';
  }

  /** A row whose cells stand in quotes of their own, as some spreadsheets write numbers. */
  private static String withoutQuotes(String line) {
    return line.startsWith("\"")
            && startsLikeNumber(line.substring(1))
            && QUOTED.matcher(line).matches()
        ? line.replace("\"", "")
        : line;
  }

  private static List<String> lines(String text) {
    List<String> lines = new ArrayList<>();
    for (String line : text.split("\\r\\n|\\r|\\n", -1)) {
      // No-break blanks part columns too, and some programs write a real minus sign.
      lines.add(line.replace('\u00a0', ' ').replace('\u2212', '-').replace("\u001a", "").strip());
    }
    return lines;
  }

  private static String decode(String name, byte[] bytes) throws RefusedException {
    if (starts(bytes, 0xEF, 0xBB, 0xBF)) {
      return new String(bytes, 3, bytes.length - 3, StandardCharsets.UTF_8);
    }
    if (starts(bytes, 0xFF, 0xFE)) {
      return text(bytes, StandardCharsets.UTF_16LE);
    }
    if (starts(bytes, 0xFE, 0xFF)) {
      return text(bytes, StandardCharsets.UTF_16BE);
    }
    for (byte b : bytes) {
      if (b >= 0 && b < 0x20 && b != '\t' && b != '\n' && b != '\r' && b != '\f' && b != 0x1A) {
        throw new RefusedException(
            name
                + " isn't a text file; give the microphone's response as text, rows of frequency and"
                + " dB.");
      }
    }
    try {
      return StandardCharsets.UTF_8.newDecoder().decode(ByteBuffer.wrap(bytes)).toString();
    } catch (CharacterCodingException e) {
      return new String(bytes, StandardCharsets.ISO_8859_1);
    }
  }

  private static String text(byte[] bytes, Charset charset) {
    return new String(bytes, 2, bytes.length - 2, charset);
  }

  private static boolean starts(byte[] bytes, int... mark) {
    for (int i = 0; i < mark.length; i++) {
      if (i >= bytes.length || (bytes[i] & 0xFF) != mark[i]) {
        return false;
      }
    }
    return true;
  }

  private RefusedException refused(int line, String what) {
    return new RefusedException(
        name + ", line " + line + " " + what + "; correct the response file or give another.");
  }

  private static String brief(String text) {
    String plain = text.replaceAll("\\p{Cntrl}", "?");
    return plain.length() > 40 ? plain.substring(0, 40) + "…" : plain;
  }

  private static String say(String pattern, Object... values) {
    return String.format(Locale.ROOT, pattern, values);
  }
}
