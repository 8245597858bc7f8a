package org.whinograph.audiofile;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.fuzz.Mutator;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;

class RunFileTest {
  private static final RunRecord RUN =
      new RunRecord(
          "idle.wav",
          "desk microphone",
          Instant.parse("2026-03-01T10:00:00.125Z"),
          new SampleFormat(96000, 2, 24, false),
          960_000,
          RunRecord.State.COMPLETE,
          "time",
          Map.of("load", "idle", "distance", "0.3 m"),
          List.of(new RunRecord.Event(48_000, "fan up"), new RunRecord.Event(96_000, "")),
          "quiet \"room\"",
          List.of(new Span(5, 7), new Span(100, 1)),
          List.of(new Span(3, 3)),
          3,
          12.5,
          new InputVerdict(
              false,
              "The input alters the sound: it moves.",
              List.of(
                  new InputVerdict.Finding("automatic-gain", true, "it moves", Reading.of(5.9)),
                  new InputVerdict.Finding("hum", false, "50 Hz", Reading.of(-80))),
              Instant.parse("2026-03-01T09:00:00Z"),
              "desk microphone",
              null,
              new SampleFormat(96000, 2, 24, false)));

  @TempDir Path folder;

  @Test
  void roundTripIsExact() throws RefusedException {
    Path file = folder.resolve("idle.json");
    RunFile.write(file, RUN);
    assertEquals(RUN, RunFile.read(file));
    assertEquals(8, RUN.lostSamples());
    assertEquals(Optional.of(RUN), RunFile.find(folder.resolve("idle.wav")));
    assertEquals(file, RunFile.beside(folder.resolve("idle.wav")));
  }

  @Test
  void aFileOfThatNameThatIsSomethingElseIsNoRecord() throws Exception {
    Files.writeString(folder.resolve("idle.json"), "{\"format\": \"whinograph-analysis\"}");
    assertEquals(Optional.empty(), RunFile.find(folder.resolve("idle.wav")));
    assertEquals(Optional.empty(), RunFile.find(folder.resolve("other.wav")));
    RunFile.write(folder.resolve("copy.json"), RUN);
    assertEquals(Optional.empty(), RunFile.find(folder.resolve("copy.wav")));
  }

  @Test
  void damagedAndNewerRecordsAreRefused() throws Exception {
    Path file = folder.resolve("idle.json");
    RunFile.write(file, RUN);
    String good = Files.readString(file);
    for (String[] change :
        new String[][] {
          {"\"format_version\" : 1", "\"format_version\" : 2"},
          {"\"position\" : 100", "\"position\" : 6"},
          {"\"position\" : 100", "\"position\" : 9223372036854775807"},
          {"\"frames\" : 960000", "\"frames\" : -1"},
          {"\"started\" : \"2026", "\"started\" : \"soon"},
          {"\"sample_rate_hz\" : 96000.0", "\"sample_rate_hz\" : 0"},
          {"\"state\" : \"complete\"", "\"state\" : \"unheard\""},
          {"}", ""}
        }) {
      Files.writeString(file, good.replace(change[0], change[1]));
      RefusedException refusal =
          assertThrows(RefusedException.class, () -> RunFile.read(file), change[1]);
      assertEquals(1, refusal.getMessage().lines().count());
    }
  }

  /** Damage of every kind is read or refused in one line. */
  @Test
  void damagedBytesAreReadOrRefused() throws IOException, RefusedException {
    Path file = folder.resolve("idle.json");
    RunFile.write(file, RUN);
    Mutator mutator = new Mutator(7, List.of(Files.readAllBytes(file)), List.of(), 8192);
    int refused = 0;
    for (int i = 0; i < 3000; i++) {
      Files.write(file, mutator.next());
      try {
        RunFile.read(file);
      } catch (RefusedException e) {
        refused++;
        assertEquals(1, e.getMessage().lines().count());
      }
    }
    assertTrue(refused > 1000 && refused < 3000, refused + " refused");
  }
}
