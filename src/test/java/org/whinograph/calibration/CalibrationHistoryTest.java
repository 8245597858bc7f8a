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
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.signal.RefusedException;

class CalibrationHistoryTest {
  @TempDir Path folder;

  private static CalibrationRecord record(
      double level, String date, String microphone, String input) {
    return new CalibrationRecord(
        level,
        94,
        1000,
        1000,
        0.01,
        0.004,
        12,
        0.26,
        Instant.parse(date),
        microphone,
        null,
        null,
        48_000,
        24,
        null,
        input);
  }

  private static final CalibrationRecord MORNING =
      record(114.0, "2026-03-14T08:00:00Z", "M-1 (invented)", "USB input");
  private static final CalibrationRecord NOON =
      record(114.3, "2026-03-14T12:00:00Z", "M-1 (invented)", "USB input");
  private static final CalibrationRecord EVENING =
      record(114.52, "2026-03-14T18:00:00Z", "M-1 (invented)", "USB input");

  @Test
  void keepsByMicrophoneAndInput() throws RefusedException {
    CalibrationHistory history = CalibrationHistory.read(folder.resolve("new"));
    assertTrue(history.of("M-1 (invented)", "USB input").isEmpty());
    history =
        history
            .add(NOON)
            .add(MORNING)
            .add(record(100, "2026-03-14T09:00:00Z", "M-2", "USB input"))
            .add(record(90, "2026-03-14T09:30:00Z", null, null));
    assertEquals(List.of(MORNING, NOON), history.of("M-1 (invented)", "USB input"));
    CalibrationHistory again = CalibrationHistory.read(folder.resolve("new"));
    assertEquals(List.of(MORNING, NOON), again.of("M-1 (invented)", "USB input"));
    assertEquals(1, again.of(null, null).size());
    assertTrue(Files.exists(folder.resolve("new/20260314T080000Z-m-1-invented.json")));
  }

  @Test
  void driftIsAgainstTheLastOne() throws RefusedException {
    CalibrationHistory history = CalibrationHistory.read(folder).add(MORNING).add(NOON);
    assertEquals(0.22, history.driftDb(EVENING).getAsDouble(), 1e-9);
    assertEquals(0.3, history.driftDb(NOON).getAsDouble(), 1e-9);
    assertTrue(history.driftDb(MORNING).isEmpty());
    assertTrue(history.driftDb(record(1, "2027-01-01T00:00:00Z", "M-2", null)).isEmpty());
  }

  @Test
  void damagedRecordsAreToldOf() throws RefusedException, IOException {
    CalibrationHistory.read(folder).add(MORNING);
    Files.writeString(folder.resolve("broken.json"), "{");
    Files.writeString(folder.resolve("notes.txt"), "hello");
    CalibrationHistory history = CalibrationHistory.read(folder);
    assertEquals(1, history.of("M-1 (invented)", "USB input").size());
    assertEquals("damaged-calibration", history.warnings().get(0).code());
    assertEquals(1, history.warnings().size());
  }

  @Test
  void namesMustntCollide() throws RefusedException {
    CalibrationHistory history = CalibrationHistory.read(folder).add(MORNING);
    assertThrows(RefusedException.class, () -> history.add(MORNING));
  }

  /** ISO 3744:2010, clause 5, and ISO 9612:2009, clause 12: 0.5 dB (from memory). */
  @Test
  void closingCheckAgainstHalfADecibel() throws RefusedException {
    ClosingCheck within = ClosingCheck.of(MORNING, NOON);
    assertTrue(within.trusted() && within.warning().isEmpty());
    assertEquals(0.3 / Math.sqrt(12), within.standardUncertaintyDb(), 1e-9);
    ClosingCheck beyond = ClosingCheck.of(MORNING, EVENING);
    assertFalse(beyond.trusted());
    assertEquals("calibration-drift", beyond.warning().get().code());
    assertTrue(beyond.warning().get().message().contains("+0.52 dB"));
    CalibrationRecord lower = record(113.49, "2026-03-14T18:00:00Z", "M-1 (invented)", "USB input");
    assertFalse(ClosingCheck.of(MORNING, lower).trusted());
  }

  @Test
  void closingCheckWantsTheSameMicrophone() {
    CalibrationRecord other = record(114, "2026-03-14T18:00:00Z", "M-2", "USB input");
    assertTrue(
        assertThrows(RefusedException.class, () -> ClosingCheck.of(MORNING, other))
            .getMessage()
            .contains("same microphone"));
    assertTrue(
        assertThrows(RefusedException.class, () -> ClosingCheck.of(NOON, MORNING))
            .getMessage()
            .contains("older"));
  }
}
