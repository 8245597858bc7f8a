package org.whinograph.capture;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Instant;
import java.util.List;
import java.util.function.Function;
import org.junit.jupiter.api.Test;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

class InputsTest {
  /** Time that passes by a millisecond with every look at it. */
  private static final class Ticking implements CaptureClock {
    private long now;

    @Override
    public long nanoTime() {
      now += 1_000_000;
      return now;
    }

    @Override
    public Instant instant() {
      return Instant.EPOCH.plusNanos(now);
    }

    @Override
    public void pause(long nanos) {
      now += nanos;
    }
  }

  /** A sound system of one input, whose lines a test makes; null for a format that doesn't open. */
  private record OneInput(String name, Function<SampleFormat, SimulatedInput> lines)
      implements InputSystem {
    @Override
    public List<String> names() {
      return List.of(name);
    }

    @Override
    public CaptureLine open(String wanted, SampleFormat format) throws RefusedException {
      SimulatedInput line = lines.apply(format);
      if (line == null) {
        throw new RefusedException("input " + wanted + ": doesn't open; " + Inputs.IN_USE);
      }
      return line;
    }
  }

  private static Input probe(Function<SampleFormat, SimulatedInput> lines) throws RefusedException {
    return new Inputs(new OneInput("desk microphone", lines), new Ticking()).list().get(0);
  }

  private static SimulatedInput quiet(SampleFormat format) {
    SimulatedInput line = new SimulatedInput(format);
    line.code = frame -> (frame * 7919) % 13 - 6;
    return line;
  }

  @Test
  void aSystemThatConvertsRatesIsToldFromOneThatDoesNot() throws RefusedException {
    Input converting = probe(InputsTest::quiet);
    assertEquals(36, converting.formats().size());
    assertEquals(new SampleFormat(44100, 1, 24, false), converting.formats().get(0));
    assertTrue(converting.resampling().contains("45678 Hz"));
    assertEquals(null, converting.problem());
    Input native48 = probe(f -> f.sampleRateHz() == 48000 ? quiet(f) : null);
    assertEquals(List.of(48000.0), native48.rates());
    assertEquals(List.of(24, 32, 16), native48.bitDepths());
    assertEquals(List.of(1, 2), native48.channels());
    assertTrue(native48.resampling().startsWith("no sign"));
  }

  @Test
  void aFormatThatDeliversGarbageIsNotOffered() throws RefusedException {
    Input input =
        probe(
            format -> {
              SimulatedInput line = quiet(format);
              if (format.bitDepth() == 24) {
                line.code = frame -> (frame * 0x9E3779B97F4A7C15L) >> 30;
              }
              return line;
            });
    assertEquals(List.of(32, 16), input.bitDepths());
  }

  @Test
  void aFormatThatOpensAndDeliversNothingIsNotOffered() throws RefusedException {
    Input input =
        probe(
            format -> {
              SimulatedInput line = quiet(format);
              line.endFrame = format.channels() == 2 ? 0 : Long.MAX_VALUE;
              return line;
            });
    assertEquals(List.of(1), input.channels());
  }

  @Test
  void nothingButZerosIsTold() throws RefusedException {
    Input input =
        probe(
            format -> {
              SimulatedInput line = quiet(format);
              line.code = frame -> 0;
              return line;
            });
    assertTrue(input.problem().contains("nothing but zeros"));
    assertTrue(input.problem().contains("privacy settings"));
  }

  @Test
  void anInputInUseSaysWhatToDo() throws RefusedException {
    Input input = probe(format -> null);
    assertEquals(List.of(), input.formats());
    assertTrue(input.problem().contains("close other programs"), input.problem());
    Inputs inputs = new Inputs(new OneInput("desk microphone", format -> null), new Ticking());
    RefusedException refusal =
        assertThrows(RefusedException.class, () -> inputs.best("desk", 48000, 2));
    assertTrue(
        refusal.getMessage().contains("48000 Hz, 2 channels at 24, 32 or 16 bits"),
        refusal.getMessage());
    assertTrue(refusal.getMessage().contains("close other programs"), refusal.getMessage());
  }

  @Test
  void noInputsAtAllIsARefusalThatSaysWhatToDo() {
    InputSystem nothing =
        new InputSystem() {
          @Override
          public List<String> names() {
            return List.of();
          }

          @Override
          public CaptureLine open(String name, SampleFormat format) throws RefusedException {
            throw new RefusedException("none");
          }
        };
    Inputs inputs = new Inputs(nothing, new Ticking());
    RefusedException refusal = assertThrows(RefusedException.class, inputs::list);
    assertTrue(refusal.getMessage().contains("plug a microphone in"));
    assertThrows(RefusedException.class, () -> inputs.best("any", 48000, 1));
  }

  @Test
  void namesMayBeShortButNotAmbiguous() throws RefusedException {
    Inputs inputs = new Inputs(new OneInput("desk microphone", InputsTest::quiet), new Ticking());
    SampleFormat best = inputs.best("DESK", 48000, 1);
    assertEquals(new SampleFormat(48000, 1, 24, false), best);
    RefusedException refusal =
        assertThrows(RefusedException.class, () -> inputs.best("other", 48000, 1));
    assertTrue(refusal.getMessage().contains("desk microphone"), refusal.getMessage());
    Inputs without24 =
        new Inputs(
            new OneInput("desk microphone", f -> f.bitDepth() == 24 ? null : quiet(f)),
            new Ticking());
    assertEquals(32, without24.best("desk", 48000, 1).bitDepth());
  }
}
