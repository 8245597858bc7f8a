package org.whinograph.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The rehearsal as a person starts it. */
class RehearseCommandTest {
  @Test
  void printsErrorsBesideIntervalsAndLeavesItsFiles(@TempDir Path folder) {
    Path out = folder.resolve("rehearsal");
    CommandRun run = CommandRun.of("rehearse", "--seed", 5, "--out", out);
    assertEquals(0, run.exitCode(), run.err());
    assertTrue(run.out().contains("Seed 5."), run.out());
    assertTrue(run.out().contains("level at full scale"), run.out());
    assertTrue(run.out().contains("inside their interval"), run.out());
    for (String name :
        new String[] {
          "calibrator.wav",
          "background.wav",
          "device.wav",
          "device.truth.json",
          "calibration.json",
          "rehearsal.csv"
        }) {
      assertTrue(Files.exists(out.resolve(name)), name);
    }
    assertTrue(run.out().contains("inside the stated 95 % interval"), run.out());
    CommandRun again = CommandRun.of("rehearse", "--seed", 5, "--out", out);
    assertEquals(1, again.exitCode());
    assertTrue(again.err().contains("--force"), again.err());
  }

  @Test
  void wantsAFolder() {
    CommandRun run = CommandRun.of("rehearse", "--seed", 5);
    assertEquals(2, run.exitCode());
    assertTrue(run.err().contains("--out"), run.err());
  }
}
