package org.whinograph.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.whinograph.calibration.LiveReading.State;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;

class LiveCalibrationTest {
  private static final double RATE = 48_000;
  private static final SampleFormat FORMAT = new SampleFormat(RATE, 1, 24, false);

  private static LiveCalibration live() {
    return new LiveCalibration(FORMAT, 1000, "USB input");
  }

  /** Plays a recording in blocks of 10 ms and returns the states in the order they came. */
  private static List<State> play(LiveCalibration live, ToneBench bench) {
    List<State> states = new ArrayList<>();
    ArraySource source = new ArraySource(bench.samples, FORMAT, 480, List.of(), List.of());
    for (SampleBlock block = source.read(480); block != null; block = source.read(480)) {
      live.accept(block);
      State state = live.reading().state();
      if (states.isEmpty() || states.get(states.size() - 1) != state) {
        states.add(state);
      }
    }
    return states;
  }

  private static ToneBench room(double seconds) {
    return new ToneBench(RATE, seconds).noise(1e-5, 1);
  }

  @Test
  void takesTheToneByItself() throws RefusedException {
    LiveCalibration live = live();
    ToneBench bench = room(9).tone(1000.2, 0.1, 2, 9).knock(1.9, 0.3, 1).knock(2.6, 0.2, 2);
    assertEquals(List.of(State.WAITING, State.WATCHING, State.TAKEN), play(live, bench));
    assertEquals(-20, live.finish().levelDb(), 0.005);
    assertEquals(1000.2, live.tone().get().frequencyHz(), 1e-3);
    assertEquals(-20, live.reading().level().value(), 0.01);
    assertTrue(live.finish().toneS() >= 4.95);
  }

  @Test
  void waitsForFiveSteadySeconds() {
    LiveCalibration live = live();
    assertEquals(
        List.of(State.WAITING, State.WATCHING), play(live, room(6).tone(1000, 0.1, 1.5, 6)));
    assertEquals(4.5, live.reading().steadyS(), 0.21);
    assertTrue(live.tone().isEmpty());
  }

  @Test
  void aGainControlThatRestsIsRefused() {
    LiveCalibration live = live();
    ToneBench bench =
        room(14).tone(1000, 0.02, t -> t < 1 ? 0 : Math.pow(10, 6 * Math.exp(-(t - 1)) / 20));
    assertEquals(List.of(State.WAITING, State.WATCHING, State.REFUSED), play(live, bench));
    assertTrue(live.reading().message().contains("isn't steady"), live.reading().message());
    assertThrows(RefusedException.class, live::finish);
  }

  @Test
  void triesAgainAfterAPause() throws RefusedException {
    LiveCalibration live = live();
    ToneBench bench = room(18).tone(250, 0.1, 0.5, 7).tone(1000, 0.1, 10, 18);
    assertEquals(
        List.of(
            State.WAITING,
            State.WATCHING,
            State.REFUSED,
            State.WAITING,
            State.WATCHING,
            State.TAKEN),
        play(live, bench));
    assertEquals(-20, live.finish().levelDb(), 0.005);
  }

  @Test
  void saysThatNoToneCame() {
    LiveCalibration live = live();
    play(live, room(4));
    assertTrue(
        assertThrows(RefusedException.class, live::finish).getMessage().contains("no tone came"));
  }

  @Test
  void endsEarlyByTheRulesOfARecording() throws RefusedException {
    LiveCalibration live = live();
    play(live, room(5.5).tone(1000, 0.1, 1, 5.5));
    assertEquals(-20, live.finish().levelDb(), 0.005);
    LiveCalibration shorter = live();
    play(shorter, room(3).tone(1000, 0.1, 1, 3));
    assertTrue(
        assertThrows(RefusedException.class, shorter::finish)
            .getMessage()
            .contains("at least 3 s"));
  }
}
