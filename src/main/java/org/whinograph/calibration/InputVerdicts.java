package org.whinograph.calibration;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.SerializationFeature;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Stream;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.audiofile.InputVerdictJson;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.Warning;
import org.whinograph.storage.AtomicFile;

/**
 * The verdicts on inputs that a folder keeps, so that calibrations and recordings through an input
 * know how its last check came out. Immutable; {@link #add} gives a new one.
 */
public final class InputVerdicts {
  /** What the field {@code format} of a check's file holds. */
  public static final String FORMAT = "whinograph-input-check";

  /** The version that is written; later ones add fields. */
  public static final int FORMAT_VERSION = 1;

  private static final DateTimeFormatter STAMP =
      DateTimeFormatter.ofPattern("yyyyMMdd'T'HHmmss'Z'").withZone(ZoneOffset.UTC);

  private static final long LARGEST_BYTES = 1 << 20;

  private static final ObjectMapper JSON =
      JsonMapper.builder().enable(SerializationFeature.INDENT_OUTPUT).build();

  private final Path folder;
  private final List<InputVerdict> verdicts;
  private final List<Warning> warnings;

  private InputVerdicts(Path folder, List<InputVerdict> verdicts, List<Warning> warnings) {
    this.folder = folder;
    this.verdicts = verdicts.stream().sorted(Comparator.comparing(InputVerdict::checked)).toList();
    this.warnings = List.copyOf(warnings);
  }

  /**
   * Reads a folder. Damaged files are passed over and told of.
   *
   * @param folder the folder; it needn't be there yet
   * @return its verdicts
   * @throws RefusedException if the folder can't be read
   */
  public static InputVerdicts read(Path folder) throws RefusedException {
    List<InputVerdict> verdicts = new ArrayList<>();
    List<Warning> warnings = new ArrayList<>();
    List<Path> files = List.of();
    if (Files.exists(folder)) {
      try (Stream<Path> entries = Files.list(folder)) {
        files = entries.filter(file -> file.toString().endsWith(".json")).sorted().toList();
      } catch (IOException e) {
        throw new RefusedException(
            folder + " can't be read; check that it's a folder and its permissions.", e);
      }
    }
    for (Path file : files) {
      try {
        verdicts.add(readFile(file));
      } catch (RefusedException e) {
        warnings.add(new Warning("damaged-input-check", e.getMessage()));
      }
    }
    return new InputVerdicts(folder, verdicts, warnings);
  }

  /**
   * Reads one check.
   *
   * @param file the JSON file that {@code verify-input} wrote
   * @return its verdict
   * @throws RefusedException if it isn't there, is damaged, isn't a check or has decided nothing
   */
  public static InputVerdict readFile(Path file) throws RefusedException {
    try {
      if (Files.size(file) > LARGEST_BYTES) {
        throw foreign(file, "it is larger than one can be", null);
      }
      JsonNode json = JSON.readTree(Files.readAllBytes(file));
      if (!FORMAT.equals(json.path("format").asText())
          || json.path("format_version").asInt() != FORMAT_VERSION) {
        throw foreign(file, "its format isn't " + FORMAT + ", version " + FORMAT_VERSION, null);
      }
      return InputVerdictJson.parse(json);
    } catch (NoSuchFileException e) {
      throw new RefusedException(file + " isn't there; check the name of the input's check.", e);
    } catch (com.fasterxml.jackson.core.JsonProcessingException e) {
      throw foreign(file, "it isn't JSON", e);
    } catch (IllegalArgumentException e) {
      throw foreign(file, e.getMessage(), e);
    } catch (IOException e) {
      throw new RefusedException(file + " can't be read; check its permissions.", e);
    }
  }

  /**
   * A verdict as the JSON text of a check's file.
   *
   * @param verdict the verdict
   * @return the text, with a line break at its end
   */
  static String toJson(InputVerdict verdict) {
    ObjectNode json = JSON.createObjectNode();
    json.put("format", FORMAT);
    json.put("format_version", FORMAT_VERSION);
    InputVerdictJson.put(verdict, json);
    return json.toPrettyString() + "\n";
  }

  /**
   * Damaged files that were passed over.
   *
   * @return warnings
   */
  public List<Warning> warnings() {
    return warnings;
  }

  /**
   * What counts for an input at a rate: its newest verdict. A check that was passed at another rate
   * says nothing, since converting rates is what it looks for; one that failed there counts.
   *
   * @param input name of the input
   * @param sampleRateHz rate that it is used at [Hz]
   * @return the verdict, or empty if there is none that counts
   */
  public Optional<InputVerdict> newest(String input, double sampleRateHz) {
    List<InputVerdict> own =
        verdicts.stream().filter(verdict -> input.equals(verdict.input())).toList();
    Optional<InputVerdict> last = last(own);
    return last.filter(verdict -> !verdict.trusted())
        .or(
            () ->
                last(
                    own.stream()
                        .filter(verdict -> verdict.format().sampleRateHz() == sampleRateHz)
                        .toList()));
  }

  private static Optional<InputVerdict> last(List<InputVerdict> verdicts) {
    return verdicts.isEmpty() ? Optional.empty() : Optional.of(verdicts.get(verdicts.size() - 1));
  }

  /**
   * Writes a verdict into the folder, under its date and input, and makes the folder if need be.
   *
   * @param verdict the verdict, of a named input
   * @return the verdicts with it
   * @throws RefusedException if it can't be written
   * @throws IllegalArgumentException if it names no input
   */
  public InputVerdicts add(InputVerdict verdict) throws RefusedException {
    if (verdict.input() == null) {
      throw new IllegalArgumentException("verdict: of a named input, got none");
    }
    String plain =
        verdict
            .input()
            .toLowerCase(Locale.ROOT)
            .replaceAll("[^a-z0-9]+", "-")
            .replaceAll("^-|-$", "");
    String name =
        STAMP.format(verdict.checked())
            + "-"
            + (plain.isEmpty() ? "input" : plain.substring(0, Math.min(40, plain.length())))
            + ".json";
    byte[] text = toJson(verdict).getBytes(StandardCharsets.UTF_8);
    AtomicFile.write(folder.resolve(name), true, out -> out.write(text));
    List<InputVerdict> more = new ArrayList<>(verdicts);
    more.add(verdict);
    return new InputVerdicts(folder, more, warnings);
  }

  private static RefusedException foreign(Path file, String why, Throwable cause) {
    return new RefusedException(
        file + " isn't a whole check of an input, " + why + "; make it again with verify-input.",
        cause);
  }
}
