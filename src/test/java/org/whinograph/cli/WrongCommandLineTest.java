package org.whinograph.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** A wrong command line is told in words that need no knowledge of programs. */
class WrongCommandLineTest {
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      quoteCharacter = '"',
      value = {
        "frob | there is no command 'frob'",
        "compare | at least 2 of FILE are needed, got none",
        "compare a.wav | at least 2 of FILE are needed, got 1",
        "analyse a.wav --blades 0 | --blades: 1 to 128, got 0",
        "analyse a.wav --blades seven | 'seven' is not a whole number",
        "analyse a.wav --rpm-near 5 | --rpm-near: 600.0 to 60000.0 1/min, got 5.0",
        "analyse a.wav --line-order -3=7 | --line-order: above 0 Hz and at least 1, got -3.0, 7",
        "analyse a.wav --from soon | 'soon' is not a number",
        "rehearse --out x --seed y | 'y' is not a whole number"
      })
  void itIsSaidWhatIsWrong(String line, String expected) {
    CommandRun run = CommandRun.of((Object[]) line.trim().split(" +", -1));
    assertEquals(2, run.exitCode());
    assertTrue(run.err().contains(expected), run.err());
    assertTrue(run.err().contains("--help") || run.err().contains("Did you mean"), run.err());
    assertEquals("", run.out());
  }
}
