package org.whinograph.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Clock;
import java.time.Instant;
import java.time.ZoneOffset;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.whinograph.signal.RefusedException;

/** The examples in the top-level folder calibration/ are what its README says. */
class CalibrationExamplesTest {
  private static final Path FOLDER = Path.of("calibration");

  @ParameterizedTest
  @CsvSource({
    "response-m30-0421-0deg.txt, 121, 19.69, 20158.74, -37.4",
    "response-m30-0421-90deg.txt, 121, 19.69, 20158.74, -1.42",
    "response-k6-1107.csv, 31, 20, 20000, 12.6"
  })
  void responsesAreRead(String file, int rows, double lowest, double highest, double sensitivity)
      throws RefusedException {
    MicrophoneResponse response = MicrophoneResponse.read(FOLDER.resolve(file));
    assertEquals(rows, response.rows());
    assertEquals(lowest, response.lowestHz());
    assertEquals(highest, response.highestHz());
    assertEquals(sensitivity, response.sensitivity().orElseThrow().value());
    assertEquals(0, response.responseDb(1000).orElseThrow(), 0.5);
  }

  @Test
  void recordIsWhatTheCodeWrites() throws RefusedException, IOException {
    ToneBench bench =
        new ToneBench(48_000, 15)
            .noise(2e-5, 421)
            .tone(1000.12, Math.pow(10, -26.2 / 20), 1.5, 14)
            .tone(2000.24, 2e-4)
            .knock(1.3, 0.05, 1)
            .knock(13.9, 0.05, 2)
            .quantise(24);
    Calibrator calibrator =
        new Calibrator(Clock.fixed(Instant.parse("2026-02-02T08:15:00Z"), ZoneOffset.UTC));
    CalibrationRecord made =
        calibrator
            .calibrate(
                bench.source(),
                CalibrationRequest.of(94.0, 1000)
                    .withMicrophone("M30, serial 0421 (invented)")
                    .withResponseFile("response-m30-0421-0deg.txt"))
            .calibration();
    Path again = Path.of("target", "calibrator-m30-0421.json");
    Files.createDirectories(again.getParent());
    CalibrationFile.write(made, again, true);
    CalibrationRecord kept = CalibrationFile.read(FOLDER.resolve("calibrator-m30-0421.json"));
    assertEquals(made.levelAtFullScaleDb(), kept.levelAtFullScaleDb(), 1e-9);
    assertEquals(made.frequencyHz(), kept.frequencyHz(), 1e-6);
    assertEquals(made.standardUncertaintyDb(), kept.standardUncertaintyDb(), 1e-9);
    assertEquals(made.microphone(), kept.microphone());
    assertEquals(made.date(), kept.date());
    assertEquals(94 + 26.2, kept.levelAtFullScaleDb(), 0.001);
  }

  @Test
  void readmeNamesEachFile() throws IOException {
    String readme = Files.readString(FOLDER.resolve("README.md"));
    try (var files = Files.list(FOLDER)) {
      for (Path file : files.toList()) {
        String name = file.getFileName().toString();
        assertTrue(name.equals("README.md") || readme.contains("`" + name + "`"), name);
      }
    }
  }
}
