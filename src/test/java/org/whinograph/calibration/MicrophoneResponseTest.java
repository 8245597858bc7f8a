package org.whinograph.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import org.whinograph.fuzz.Mutator;
import org.whinograph.signal.RefusedException;

/** Layouts of response files: common practice, no source. */
class MicrophoneResponseTest {
  private static MicrophoneResponse parse(String text) throws RefusedException {
    return parse(text, StandardCharsets.UTF_8);
  }

  private static MicrophoneResponse parse(String text, Charset charset) throws RefusedException {
    return ResponseFileReader.parse("mic.txt", text.getBytes(charset));
  }

  private static String refusal(String text) {
    String message = assertThrows(RefusedException.class, () -> parse(text)).getMessage();
    assertTrue(message.startsWith("mic.txt") && !message.contains("\n"), message);
    return message;
  }

  static Stream<Arguments> layouts() {
    return Stream.of(
        Arguments.of("tabs", "20\t-1.5\n1000\t0\n20000\t.58440\n"),
        Arguments.of("blanks", "  20   -1.5\n 1000    0\n20000   0.58440"),
        Arguments.of("commas", "20,-1.5\n1000,0\n20000,.58440\n"),
        Arguments.of("commas and blanks", "20, -1.5\n1000, 0\n20000, +.58440\n"),
        Arguments.of("semicolons", "20;-1.5\n1000;0\n20000;0.58440\n"),
        Arguments.of("decimal commas, semicolons", "20,0;-1,5\n1000,0;0\n20000,0;,58440\n"),
        Arguments.of("decimal commas, tabs", "20,0\t-1,5\n1000\t0,0\n20000\t0,58440\n"),
        Arguments.of("decimal commas, phase", "20;-1,5;3,5\n1000;0;0\n20000;0,58440;-12,25\n"),
        Arguments.of("phase", "20 -1.5 12.0\n1000 0 0\n20000 .5844 -100\n"),
        Arguments.of("exponents", "2.0E+01 -1.5e0\n1.0e3 0\n2e4 5.844E-01\n"),
        Arguments.of(
            "comments of every kind",
            "* a\n# b\n; c\n\"d\"\n// e\n20 -1.5\n#\n1000 0\n20000 .5844"),
        Arguments.of("words before", "Frequency (Hz)\tResponse (dB)\n20 -1.5\n1000 0\n20000 .5844"),
        Arguments.of("quoted cells", "\"20\",\"-1.5\"\n\"1000\",\"0\"\n\"20000\",\".5844\"\n"),
        Arguments.of(
            "quoted decimal commas", "\"20\";\"-1,5\"\n\"1000\";\"0\"\n\"20000\";\"0,5844\"\n"),
        Arguments.of("CRLF", "20 -1.5\r\n1000 0\r\n\r\n20000 .5844\r\n"),
        Arguments.of("CR", "20 -1.5\r1000 0\r20000 .5844\r"),
        Arguments.of("mark of UTF-8", "\ufeff20 -1.5\n1000 0\n20000 .5844"),
        Arguments.of("separators at ends of rows", "20,-1.5,\n1000,0,\n20000,.5844,\n"),
        Arguments.of("minus sign", "20 \u22121.5\n1000 0\n20000 .5844"),
        Arguments.of("old end mark", "20 -1.5\n1000 0\n20000 .5844\n\u001a"));
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("layouts")
  void readsLayouts(String name, String text) throws RefusedException {
    MicrophoneResponse response = parse(text);
    assertEquals(3, response.rows(), name);
    assertEquals(-1.5, response.responseDb(20).getAsDouble(), 0);
    assertEquals(0, response.responseDb(1000).getAsDouble(), 0);
    assertEquals(0.5844, response.responseDb(20_000).getAsDouble(), 0);
  }

  @Test
  void readsLatin1AndUtf16() throws RefusedException {
    String text = "* gemessen für Gerät µ, 0°\n20 -1.5\n1000 0\n";
    assertEquals(2, parse(text, StandardCharsets.ISO_8859_1).rows());
    assertEquals(2, parse("\ufeff" + text, StandardCharsets.UTF_16LE).rows());
    assertEquals(2, parse("\ufeff" + text, StandardCharsets.UTF_16BE).rows());
  }

  @Test
  void interpolatesOnLogFrequencyAndNeverBeyond() throws RefusedException {
    MicrophoneResponse response = parse("100 0\n1000 3\n10000 -3\n");
    assertEquals(1.5, response.responseDb(Math.sqrt(100 * 1000.0)).getAsDouble(), 1e-12);
    assertEquals(0, response.responseDb(Math.sqrt(1000 * 10_000.0)).getAsDouble(), 1e-12);
    assertTrue(response.responseDb(99.999).isEmpty());
    assertTrue(response.responseDb(10_001).isEmpty());
    assertTrue(response.responseDb(Double.NaN).isEmpty());
  }

  @Test
  void keepsTheSensitivityAsStated() throws RefusedException {
    SensitivityStatement quoted =
        parse("\"Sens. -1.378dB, no. 0421\"\n20 -1.5\n1000 0\n").sensitivity().get();
    assertEquals(-1.378, quoted.value());
    assertEquals("Sens. -1.378dB, no. 0421", quoted.text());
    assertEquals(-37.4, parse("*1000Hz\t-37.4\n20 -1.5\n1000 0\n").sensitivity().get().value());
    assertEquals(
        12.5, parse("# Sensitivity: 12,5 mV/Pa\n20 -1.5\n1000 0\n").sensitivity().get().value());
    assertTrue(parse("# serial 12\n20 -1.5\n1000 0\n").sensitivity().isEmpty());
  }

  static Stream<Arguments> refused() {
    return Stream.of(
        Arguments.of("", "no rows"),
        Arguments.of("hello\nworld\n", "no rows"),
        Arguments.of("20 1\n", "1 row"),
        Arguments.of("20 1\n30 x\n", "line 2 holds \"x\""),
        Arguments.of("20 1\n30 1.2.3\n", "line 2 holds \"1.2.3\""),
        Arguments.of("20 1\n30 2\n30 3\n", "line 3 gives 30 Hz after 30.0 Hz"),
        Arguments.of("20 1\n30 2\n25 3\n", "line 3 gives 25 Hz after 30.0 Hz"),
        Arguments.of("0 1\n30 2\n", "line 1 gives a frequency of 0"),
        Arguments.of("-20 1\n30 2\n", "line 1 gives a frequency of -20"),
        Arguments.of("20 1\n3e9 2\n", "line 2 gives a frequency of 3e9"),
        Arguments.of("20 1\n30 994\n", "line 2 gives a response of 994"),
        Arguments.of("20 1\n30 1e400\n", "line 2 holds \"1e400\"|beyond"),
        Arguments.of("20 1\n30 1 2 3\n", "line 2 has 4 columns"),
        Arguments.of("20 1\n30\n", "line 2 has 1 column"),
        Arguments.of("20 1 0\n30 1\n", "line 2 has 2 columns where the rows above have 3"),
        Arguments.of("20 1\n30 2\nThe end\n", "line 3 isn't a row of numbers"),
        Arguments.of("20 1\n30 NaN\n", "line 2 holds \"NaN\""),
        Arguments.of("20,0,-1,5\n30,0,-1,0\n", "can't be told apart"),
        Arguments.of("20,-0,5\n30,-1,5\n", "can't be told apart"),
        Arguments.of("1.000,5;2\n2.000,5;3\n", "isn't a number"),
        Arguments.of("20 1\n\u0000\u0001\u0002", "isn't a text file"));
  }

  @ParameterizedTest
  @MethodSource("refused")
  void refusesWithTheLine(String text, String reason) {
    String message = refusal(text);
    assertTrue(Stream.of(reason.split("\\|")).anyMatch(message::contains), message);
  }

  @Test
  void refusesHugeFilesAndRows() {
    assertTrue(
        assertThrows(
                RefusedException.class,
                () -> ResponseFileReader.parse("mic.txt", new byte[(4 << 20) + 1]))
            .getMessage()
            .contains("larger than 4 MiB"));
    StringBuilder text = new StringBuilder();
    for (int i = 1; i <= 200_001; i++) {
      text.append(i).append(" 0\n");
    }
    assertTrue(refusal(text.toString()).contains("200000 rows"));
  }

  /** 120,000 damaged files: each is read or refused in one line. */
  @Test
  void damagedFilesAreRefusedAndNothingWorse() {
    List<byte[]> seeds =
        layouts()
            .map(layout -> ((String) layout.get()[1]).getBytes(StandardCharsets.UTF_8))
            .toList();
    List<byte[]> words =
        Stream.of(
                "1e999",
                "-",
                ".",
                ",",
                ";",
                "\t",
                "NaN",
                "\"",
                "//",
                "\r",
                "*sens 1",
                "99999999999")
            .map(word -> word.getBytes(StandardCharsets.UTF_8))
            .toList();
    Mutator mutator = new Mutator(20_260_314, seeds, words, 4096);
    int read = 0;
    ByteArrayOutputStream silent = new ByteArrayOutputStream();
    for (int i = 0; i < 120_000; i++) {
      byte[] bytes = mutator.next();
      try {
        MicrophoneResponse response = ResponseFileReader.parse("mic.txt", bytes);
        assertTrue(response.responseDb(response.highestHz()).isPresent());
        read++;
      } catch (RefusedException e) {
        assertTrue(e.getMessage().startsWith("mic.txt") && e.getMessage().indexOf('\n') < 0);
        silent.write(0);
      }
    }
    int taken = read;
    assertTrue(taken > 1000 && silent.size() > 10_000, () -> taken + " read");
  }
}
