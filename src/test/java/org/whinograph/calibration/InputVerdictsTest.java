package org.whinograph.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

class InputVerdictsTest {
  @TempDir private Path folder;

  private static InputVerdict verdict(boolean trusted, String input, int minute, double rate) {
    return new InputVerdict(
        trusted,
        trusted ? "Nothing was found." : "The input alters the sound: the level moves by 6 dB.",
        trusted
            ? List.of(new InputVerdict.Finding("hum", false, "hum at 50 Hz", Reading.of(-90)))
            : List.of(
                new InputVerdict.Finding(
                    "automatic-gain", true, "the level moves by 6 dB", Reading.of(6))),
        Instant.parse("2026-03-01T10:00:00Z").plusSeconds(60L * minute),
        input,
        null,
        new SampleFormat(rate, 1, 24, false));
  }

  private InputVerdicts with(InputVerdict... verdicts) throws RefusedException {
    for (InputVerdict verdict : verdicts) {
      InputVerdicts.read(folder).add(verdict);
    }
    return InputVerdicts.read(folder);
  }

  @Test
  void theNewestOfAnInputCountsWhateverTheOrderOfWriting() throws RefusedException {
    InputVerdict failed = verdict(false, "desk", 1, 48_000);
    InputVerdict passed = verdict(true, "desk", 2, 48_000);
    assertEquals(Optional.of(passed), with(passed, failed).newest("desk", 48_000));
    InputVerdict later = verdict(false, "desk", 3, 48_000);
    assertEquals(Optional.of(later), with(later).newest("desk", 48_000));
    assertEquals(Optional.empty(), InputVerdicts.read(folder).newest("other", 48_000));
  }

  @Test
  void passingAtAnotherRateSaysNothingAndFailingThereCounts() throws RefusedException {
    InputVerdict passed = verdict(true, "desk", 1, 44_100);
    assertEquals(Optional.empty(), with(passed).newest("desk", 48_000));
    InputVerdict failed = verdict(false, "desk", 2, 44_100);
    assertEquals(Optional.of(failed), with(failed).newest("desk", 48_000));
    InputVerdict mended = verdict(true, "desk", 3, 44_100);
    assertEquals(Optional.empty(), with(mended).newest("desk", 48_000));
    assertEquals(Optional.of(mended), InputVerdicts.read(folder).newest("desk", 44_100));
  }

  @Test
  void damagedFilesArePassedOverAndToldOf() throws RefusedException, IOException {
    InputVerdict failed = verdict(false, "desk", 1, 48_000);
    with(failed);
    Files.writeString(folder.resolve("a.json"), "{\"format\": \"whinograph-input-check\"");
    Files.writeString(
        folder.resolve("b.json"),
        "{\"format\": \"whinograph-input-check\", \"format_version\": 1, \"verdict\": \"maybe\"}");
    InputVerdicts read = InputVerdicts.read(folder);
    assertEquals(2, read.warnings().size());
    assertEquals(Optional.of(failed), read.newest("desk", 48_000));
    assertTrue(read.warnings().get(1).message().contains("maybe"), read.warnings().toString());
  }

  @Test
  void whatIsNoCheckIsRefused() throws IOException {
    Path file = folder.resolve("x.json");
    Files.writeString(file, "{\"format\": \"whinograph-run\", \"format_version\": 1}");
    String message =
        assertThrows(RefusedException.class, () -> InputVerdicts.readFile(file)).getMessage();
    assertTrue(message.contains("verify-input"), message);
    assertThrows(RefusedException.class, () -> InputVerdicts.readFile(folder.resolve("none.json")));
    assertThrows(
        IllegalArgumentException.class,
        () -> InputVerdicts.read(folder).add(verdict(true, null, 1, 48_000)));
  }

  @Test
  void theSentenceNamesInputDayAndEvidence() {
    assertEquals(
        "The input desk failed its check of 2026-03-01: the level moves by 6 dB.",
        verdict(false, "desk", 1, 48_000).sentence());
    assertEquals(
        "The input desk passed its check of 2026-03-01.",
        verdict(true, "desk", 1, 48_000).sentence());
  }

  @Test
  void aCalibrationCarriesAVerdictAndLivesWithoutOne() throws RefusedException, IOException {
    CalibrationRecord record =
        new CalibrationRecord(
            114,
            94,
            1000,
            1000,
            0.01,
            0.004,
            9,
            0.26,
            Instant.EPOCH,
            "M",
            null,
            null,
            48_000,
            24,
            null,
            "desk");
    Path file = folder.resolve("record.json");
    CalibrationFile.write(record.withInputCheck(verdict(false, "desk", 1, 48_000)), file, false);
    CalibrationRecord read = CalibrationFile.read(file);
    assertEquals(verdict(false, "desk", 1, 48_000), read.inputCheck());
    assertEquals(record, read.withInputCheck(null));
    String text = Files.readString(file);
    Files.writeString(file, text.replace("\"not-to-be-trusted\"", "7"));
    String message =
        assertThrows(RefusedException.class, () -> CalibrationFile.read(file)).getMessage();
    assertTrue(message.contains("input_check"), message);
    assertFalse(CalibrationFile.toJson(record).contains("not-to-be-trusted"));
  }
}
