package org.whinograph.level;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;

class LevelMeterTest {
  @Test
  void fullScaleSineAtOneKilohertzReadsZeroWithEveryWeighting() {
    double[] x = new double[480_000];
    for (int i = 0; i < x.length; i++) {
      x[i] = Math.sin(2 * Math.PI * 1000 * i / 48_000.0);
    }
    LevelMeter meter = new LevelMeter(48_000, LevelUnit.FULL_SCALE);
    meter.accept(SampleBlock.of(x, x.length, 48_000, 0));
    LevelResult levels = meter.result();
    assertEquals(0.0, levels.laeq().value(), 1e-3);
    assertEquals(0.0, levels.lceq().value(), 1e-3);
    assertEquals(0.0, levels.lzeq().value(), 1e-9);
    assertEquals(10.0, levels.lae().value(), 1e-3);
    // 48 samples a period: the crest lies at most half a sample from one, (π/48)²/2 low.
    assertEquals(3.0103, levels.lcPeak().value(), 0.019);
    assertEquals(3.0103, levels.lzPeak().value(), 1e-4);
  }
}
