package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

/**
 * Hum is at whole multiples of the mains' frequency: its definition. That frequency is within 0.2
 * Hz of the nominal one (Regulation (EU) 2017/1485, Annex III, table 1; from memory).
 */
class MainsHumTest {
  private static final int FRAMES = 90;
  private static final int REST = 60;
  private static final double LINE_HZ = 1.95;

  private final WhitenedFrames frames = new WhitenedFrames(LINE_HZ, 29);

  /** A comb at 693 Hz that goes to 540 Hz, the ninth multiple of the mains. */
  private static CombPath comb() {
    double[] hz = new double[FRAMES];
    Arrays.fill(hz, 0, REST, 693.0);
    Arrays.fill(hz, REST, FRAMES, 540.0);
    return path(hz, 3.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
  }

  private static CombPath path(double[] hz, double... evidence) {
    return new CombPath(hz, new boolean[FRAMES], new double[FRAMES], 100.0, evidence, 0);
  }

  private static CombPath at(double hz, double... evidence) {
    double[] spacing = new double[FRAMES];
    Arrays.fill(spacing, hz);
    return path(spacing, evidence);
  }

  private List<Double> beyond() {
    return MainsHum.in(frames.peaks(), LINE_HZ).stream()
        .flatMap(each -> each.beyond(frames.peaks(), LINE_HZ, comb()).stream())
        .toList();
  }

  private static double[] multiples(double hz, int... orders) {
    return IntStream.of(orders).mapToDouble(k -> k * hz).toArray();
  }

  private static void assertNear(double[] expected, List<Double> lines) {
    double[] actual = lines.stream().mapToDouble(Double::doubleValue).toArray();
    assertEquals(expected.length, actual.length, lines + "");
    for (int i = 0; i < expected.length; i++) {
      assertEquals(expected[i], actual[i], 0.15, "line " + i);
    }
  }

  @Test
  void faintHighMultiplesOfTheMainsAreTold() {
    double[] low = {60.0, 120.0};
    for (int t = 0; t < FRAMES; t++) {
      frames.add(t % 2 == 0 ? new double[] {60.0, 120.0, 480.0, 600.0} : low);
    }
    assertNear(new double[] {480.0, 600.0}, beyond());
  }

  @Test
  void withoutLowOnesHighMultiplesAreNoHum() {
    for (int t = 0; t < FRAMES; t++) {
      frames.add(t % 2 == 0 ? new double[] {480.0, 600.0} : new double[] {});
    }
    assertEquals(List.of(), beyond());
    assertEquals(60.0, MainsHum.in(frames.peaks(), LINE_HZ).get(1).hz());
  }

  @Test
  void whatIsThereOnlyAtTheUsualSpeedMayBeTheShafts() {
    for (int t = 0; t < FRAMES; t++) {
      frames.add(t < REST ? new double[] {60.0, 120.0, 480.0} : new double[] {60.0, 120.0});
    }
    assertEquals(List.of(), beyond());
  }

  @Test
  void supplyIsFoundWhereverTheGridKeepsIt() {
    for (double supply : new double[] {49.81, 49.93, 50.02, 50.18}) {
      WhitenedFrames heard = new WhitenedFrames(LINE_HZ, 31);
      int[] orders = {1, 2, 3, 5, 7, 9, 11, 20, 33, 47, 64};
      for (int t = 0; t < FRAMES; t++) {
        heard.add(multiples(supply, orders));
      }
      MainsHum hum = MainsHum.in(heard.peaks(), LINE_HZ).get(0);
      assertEquals(supply, hum.hz(), 0.003);
      assertNear(multiples(supply, orders), hum.lines());
      assertEquals(6, hum.faint().size());
      assertEquals(List.of(), MainsHum.in(heard.peaks(), LINE_HZ).get(1).lines());
    }
  }

  /** Three orders of a shaft that turns nearly as fast as the mains are no hum. */
  @Test
  void fewLinesOffTheNominalFrequencyMayBeAShafts() {
    for (int t = 0; t < FRAMES; t++) {
      frames.add(multiples(50.15, 1, 2, 7));
    }
    assertEquals(List.of(), MainsHum.in(frames.peaks(), LINE_HZ).get(0).lines());
  }

  @Test
  void combOfNothingButFaintMultiplesIsTheHums() {
    for (int t = 0; t < FRAMES; t++) {
      frames.add(multiples(50.1, 1, 2, 3, 5));
    }
    MainsHum hum = MainsHum.in(frames.peaks(), LINE_HZ).get(0);
    assertTrue(hum.explains(at(50.12, 1.0, 0.2, 1.5, 0.1, 0.9, 0.0, 1.0, 0.0), LINE_HZ));
    assertTrue(hum.explains(at(150.3, 1.0, 0.9), LINE_HZ));
    // Half way between two multiples, and where nothing is heard.
    assertFalse(hum.explains(at(75.15, 1.0, 0.9), LINE_HZ));
    assertFalse(hum.explains(at(50.1, 0.5, 0.5), LINE_HZ));
    assertFalse(hum.explains(at(151.5, 1.0, 1.0), LINE_HZ));
  }

  @Test
  void withoutHumNothingIsTheHums() {
    for (int t = 0; t < FRAMES; t++) {
      frames.add(73.0, 146.0);
    }
    MainsHum hum = MainsHum.in(frames.peaks(), LINE_HZ).get(0);
    assertFalse(hum.explains(at(50.0, 1.0, 1.0), LINE_HZ));
  }
}
