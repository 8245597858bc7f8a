package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.whinograph.speed.WaySearch.Way;

/**
 * Closed forms: integrals over Hann windows, the mean of an exponential over a frame, and the
 * scatter of means whose steps have noise of known covariance. The unit of time is a step, half a
 * window.
 */
class EndFitTest {
  private static final double HZ = 700.0;

  private static double hann(double s) {
    return Math.abs(s) < 0.5 ? Math.pow(Math.cos(Math.PI * s), 2) : 0.0;
  }

  /** Integral over −2 to 2. */
  private static double integral(DoubleUnaryOperator f) {
    int steps = 8000;
    double sum = 0.0;
    for (int i = 0; i < steps; i++) {
      sum += f.applyAsDouble(-2.0 + 4.0 * (i + 0.5) / steps);
    }
    return sum * 4.0 / steps;
  }

  /** What a window around a moment tells of a frequency: weights ∫ w s ds from |s| on. */
  private static double told(DoubleUnaryOperator hz, double at) {
    int steps = 400;
    double sum = 0.0;
    double all = 0.0;
    double weight = 0.0;
    for (int i = 0; i < steps; i++) {
      double s = 0.5 - 0.5 * (i + 0.5) / steps;
      weight += hann(s) * s;
      sum += weight * (hz.applyAsDouble(at + 2.0 * s) + hz.applyAsDouble(at - 2.0 * s));
      all += 2.0 * weight;
    }
    return sum / all;
  }

  private static double mean(DoubleUnaryOperator hz, double at) {
    return integral(x -> hz.applyAsDouble(at + 0.5 * x)) / 4.0;
  }

  private static Way[] path(DoubleUnaryOperator hz, int count, double deviation) {
    Way[] result = new Way[count + 1];
    for (int i = 0; i <= count; i++) {
      result[i] = new Way(null, told(hz, i), 0.0, deviation * deviation, 0.0);
    }
    return result;
  }

  @Test
  void constantsAreTheIntegralsTheyNameThemselves() {
    double own = integral(s -> Math.pow(hann(s) * s, 2));
    double shared = integral(s -> hann(s) * s * hann(s - 0.5) * (s - 0.5));
    assertEquals(shared / own, EndFit.NEIGHBOURS, 1e-3);
    double ofWindow = integral(s -> hann(s) * s * s) / integral(EndFitTest::hann);
    double ofSquare = own / integral(s -> Math.pow(hann(s), 2));
    assertEquals(ofSquare / ofWindow, SlopeScan.BLUNT, 1e-3);
    // Of x², the mean over a frame of two steps is 1/3.
    assertEquals(1.0 / 3.0 - told(x -> x * x, 0.0), EndFit.BENT_SHARE, 1e-3);
  }

  @Test
  void anExponentialIsWithinWhatIsStated() {
    EndFit fit = new EndFit(4.0);
    for (double rate : new double[] {-0.3, -0.1, -0.03, 0.05, 0.2}) {
      DoubleUnaryOperator hz = x -> HZ * Math.exp(rate * x);
      Way[] path = path(hz, 12, 1e-3);
      for (int at : new int[] {2, 4, 6, 10, 12}) {
        fit.lay(path, at);
        double off = Math.abs(fit.mean() - mean(hz, at));
        double stated = Math.sqrt(fit.variance());
        assertTrue(off < 2.0 * stated, rate + " at " + at + ": " + off + " of " + stated);
        // And not absurdly wide: the third power of the rate at an end.
        assertTrue(stated < HZ * (2e-4 + 6.0 * Math.pow(Math.abs(rate), 3)), rate + " at " + at);
      }
    }
  }

  @Test
  void scatterIsAsStated() {
    Random random = new Random(4);
    EndFit fit = new EndFit(0.0);
    double deviation = 0.5;
    // A moving average of two has the correlation −b/(1 + b²) of neighbours.
    double b = 0.63;
    assertEquals(EndFit.NEIGHBOURS, -b / (1.0 + b * b), 0.01);
    double squares = 0.0;
    double stated = 0.0;
    int trials = 4000;
    for (int trial = 0; trial < trials; trial++) {
      Way[] path = path(x -> HZ - 20.0 * x, 8, deviation);
      double before = random.nextGaussian();
      for (int i = 0; i < path.length; i++) {
        double each = random.nextGaussian();
        double noise = deviation * (each - b * before) / Math.sqrt(1.0 + b * b);
        path[i] = new Way(null, path[i].hz() + noise, 0.0, deviation * deviation, 0.0);
        before = each;
      }
      fit.lay(path, 5);
      squares += Math.pow(fit.mean() - (HZ - 100.0), 2) / trials;
      stated += fit.variance() / trials;
    }
    double ratio = Math.sqrt(stated / squares);
    assertTrue(ratio > 0.9 && ratio < 1.2, "stated over found " + ratio);
  }

  @Test
  void oneStepThatIsOffMovesTheMeanLittle() {
    Way[] path = path(x -> HZ - 20.0 * x, 10, 0.5);
    path[6] = new Way(null, path[6].hz() + 15.0, 0.0, 0.25, 0.0);
    EndFit fit = new EndFit(4.0);
    fit.lay(path, 5);
    assertEquals(HZ - 100.0, fit.mean(), 0.5);
    fit.layWithout(path, 6);
    assertEquals(HZ - 120.0, fit.place(), 0.5);
  }

  @Test
  void aCornerIsFollowed() {
    DoubleUnaryOperator hz = x -> HZ - 40.0 * Math.max(0.0, x - 6.0);
    Way[] path = path(hz, 12, 0.3);
    EndFit fit = new EndFit(4.0);
    for (int at = 4; at <= 8; at++) {
      fit.lay(path, at);
      double off = Math.abs(fit.mean() - mean(hz, at));
      assertTrue(off < 2.0 * Math.sqrt(fit.variance()), at + ": " + off);
    }
  }
}
