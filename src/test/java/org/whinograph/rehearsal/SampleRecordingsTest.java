package org.whinograph.rehearsal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** The committed recordings are what the described devices sound like, to the last bit. */
class SampleRecordingsTest {
  private static final ObjectMapper JSON = new ObjectMapper();

  static Stream<SampleDevices.Sample> samples() {
    return SampleDevices.all().stream();
  }

  @ParameterizedTest
  @MethodSource("samples")
  void committedFilesAreThoseOfTheDescription(SampleDevices.Sample sample, @TempDir Path folder)
      throws Exception {
    Path wav = DeviceRecording.write(sample.device(), sample.seed(), folder, false);
    Path committed = SampleRecordings.FOLDER.resolve(wav.getFileName());
    assertEquals(-1, Files.mismatch(wav, committed), wav.getFileName().toString());
    String truth = sample.device().name() + ".truth.json";
    // Java leaves the last digit of powers and logarithms to the machine.
    assertAlike(
        JSON.readTree(folder.resolve(truth).toFile()),
        JSON.readTree(SampleRecordings.FOLDER.resolve(truth).toFile()),
        truth);
  }

  private static void assertAlike(JsonNode expected, JsonNode actual, String where) {
    assertEquals(expected.getNodeType(), actual.getNodeType(), where);
    assertEquals(expected.size(), actual.size(), where);
    if (expected.isNumber()) {
      double value = expected.doubleValue();
      assertEquals(value, actual.doubleValue(), 1e-9 * (1 + Math.abs(value)), where);
    } else if (expected.isValueNode()) {
      assertEquals(expected, actual, where);
    }
    for (int i = 0; expected.isArray() && i < expected.size(); i++) {
      assertAlike(expected.get(i), actual.get(i), where + "[" + i + "]");
    }
    expected
        .properties()
        .forEach(
            field -> {
              assertTrue(actual.has(field.getKey()), where + "." + field.getKey());
              assertAlike(
                  field.getValue(), actual.get(field.getKey()), where + "." + field.getKey());
            });
  }

  /** What the README of the folder promises. */
  @Test
  void devicesAreWhatTheReadmeSays() throws Exception {
    long bytes = 0;
    try (Stream<Path> files = Files.list(SampleRecordings.FOLDER)) {
      for (Path file : files.toList()) {
        bytes += Files.size(file);
      }
    }
    assertTrue(bytes < 30_000_000, bytes + " bytes");
    assertEquals(18.0, laeq("background"), 0.05);
    for (String device : new String[] {"handheld-30mm", "mini-pc-blower", "projector-pair"}) {
      assertTrue(laeq(device) > 22 && laeq(device) < 40, device + ": " + laeq(device));
    }
    DeviceTruth miniPc = truth("mini-pc-blower");
    DeviceTruth.Tone whine = miniPc.tones().get(0);
    assertEquals(37 * 4180 / 60.0, whine.frequencyHz(), 1.0);
    assertTrue(whine.toneToNoiseDb() > 8.0);
    DeviceTruth projector = truth("projector-pair");
    assertEquals(
        1.6,
        projector.fans().get(1).meanRpm() * 7 / 60 - projector.fans().get(0).meanRpm() * 7 / 60,
        0.1);
    DeviceTruth handheld = truth("handheld-30mm");
    assertEquals(4500, handheld.fans().get(0).rpm()[50], 30);
    assertEquals(9000, handheld.fans().get(0).rpm()[300], 60);
  }

  private static DeviceTruth truth(String name) throws Exception {
    return TruthFile.read(SampleRecordings.FOLDER.resolve(name + ".truth.json"));
  }

  private static double laeq(String name) throws Exception {
    return truth(name).levels().laeqDb();
  }
}
