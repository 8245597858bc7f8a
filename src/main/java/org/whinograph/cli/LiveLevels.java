package org.whinograph.cli;

import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.weighting.TimeWeighting;
import org.whinograph.weighting.WeightingFilter;

/**
 * The three figures that a person watches while recording: the A- and F-weighted level now, its
 * maximum, and L_Aeq since the start (IEC 61672-1:2013, clause 3). Lighter than the level meter,
 * which keeps a history; results come from that one. The maximum waits until filter and averaging
 * have settled; lost samples count nowhere.
 */
final class LiveLevels implements SampleSink {
  private final LevelUnit unit;
  private final WeightingFilter filter;
  private final double keep;
  private final long settled;
  private double[] weightedA = new double[0];
  private double[] weightedC = new double[0];
  private double fast;
  private double fastMaximum;
  private double energy;
  private long counted;
  private long seen;

  LiveLevels(double sampleRateHz, LevelUnit unit) {
    this.unit = unit;
    this.filter = new WeightingFilter(sampleRateHz);
    this.keep = Math.exp(-1.0 / (TimeWeighting.F.timeConstantS() * sampleRateHz));
    this.settled = Math.round(TimeWeighting.F.settlingS() * sampleRateHz);
  }

  @Override
  public void accept(SampleBlock block) {
    int length = block.length();
    if (weightedA.length < length) {
      weightedA = new double[length];
      weightedC = new double[length];
    }
    filter.process(block.samples(), 0, length, weightedC, weightedA);
    filter.quench();
    boolean lost = !block.gaps().isEmpty();
    for (int i = 0; i < length; i++) {
      double square = weightedA[i] * weightedA[i];
      fast = keep * fast + (1 - keep) * square;
      if (!lost) {
        energy += square;
        if (seen + i >= settled) {
          fastMaximum = Math.max(fastMaximum, fast);
        }
      }
    }
    seen += length;
    counted += lost ? 0 : length;
  }

  /** L_AF now [dB]; negative infinity for digital silence. */
  double now() {
    return unit.levelOf(fast);
  }

  /** L_AFmax [dB]; negative infinity before it has settled. */
  double maximum() {
    return unit.levelOf(fastMaximum);
  }

  /** L_Aeq since the start [dB]. */
  double average() {
    return unit.levelOf(counted == 0 ? 0 : energy / counted);
  }

  String label() {
    return unit.label();
  }

  LevelUnit unit() {
    return unit;
  }
}
