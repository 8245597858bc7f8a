package org.whinograph.band;

import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Warning;
import org.whinograph.weighting.FrequencyWeighting;

/**
 * Octave and one-third-octave band levels of a recording, through filters of class 1 of IEC
 * 61260-1:2014 (design in {@link BandPassDesign}).
 *
 * <p>Each band runs at the lowest rate, the recording's halved as often as possible, of which the
 * band's upper edge is at most 0.4688 (octaves: 0.44); so all bands together cost about twice those
 * of the top octave, whatever their number.
 *
 * <p>What is averaged: energy over the whole recording, except a band's settling of 4/B (B: its
 * width; 0.9 s for the one-third octave at 20 Hz, 17 ms at 1 kHz) at the start and after each gap,
 * and the gaps. A band is known if what is left has BT of at least 4, so that noise scatters by no
 * more than 2.2 dB (4.34/√(BT)): from 1.8 s of recording at 20 Hz, from 35 ms at 1 kHz.
 *
 * <p>Levels of seconds: the energy of second s is counted from the filters' output later by the
 * group delay of band and halvings at midband, so that bands stand in time with each other and with
 * the other histories; a second of which less than half counts is unknown.
 *
 * <p>One thread at a time. Nothing is allocated while samples come, except that the histories grow.
 */
public final class BandAnalyser implements SampleSink {
  /** Lowest sample rate [Hz]; at 32 kHz and above all bands up to 12.5 kHz are there. */
  public static final double LOWEST_RATE_HZ = 8_000.0;

  private static final int CHUNK = 1024;

  /**
   * Highest upper edge of an octave band after halving, as part of the halved rate. Closer to half
   * the rate the upper skirt falls so steeply that a tone between two octaves would lose 1.5 dB of
   * the sum.
   */
  private static final double HIGHEST_HALVED_OCTAVE_EDGE = 0.44;

  /** Mean square that only the guard against denormal numbers can cause. */
  private static final double SILENT_MEAN_SQUARE = 1e-45;

  /** Part of the loudest band below which a band holds nothing but rounding. */
  private static final double ROUNDING_PART = 1e-24;

  private final double sampleRateHz;
  private final LevelUnit unit;
  private final GapList gaps = new GapList();
  private final List<BandMeter> meters = new ArrayList<>();
  private final BandStage first;
  private final double[] input;
  private int filled;
  private long frames;

  /**
   * Designs the filters for a rate.
   *
   * @param sampleRateHz sample rate of the recording [Hz], at least {@link #LOWEST_RATE_HZ}
   * @param unit what levels refer to; fixes the unit of the samples
   * @throws IllegalArgumentException if the rate is too low or not finite
   */
  public BandAnalyser(double sampleRateHz, LevelUnit unit) {
    if (!(sampleRateHz >= LOWEST_RATE_HZ) || Double.isInfinite(sampleRateHz)) {
      throw new IllegalArgumentException(
          "sampleRateHz: at least " + LOWEST_RATE_HZ + ", got " + sampleRateHz);
    }
    this.sampleRateHz = sampleRateHz;
    this.unit = unit;
    List<List<BandMeter>> stages = new ArrayList<>();
    place(Band.thirdOctaves(), stages);
    place(Band.octaves(), stages);
    BandStage stage = null;
    for (int k = stages.size() - 1; k >= 0; k--) {
      stage = new BandStage(stages.get(k), (CHUNK >> k) + 2, stage);
    }
    first = stage;
    input = first.input();
  }

  private void place(List<Band> bands, List<List<BandMeter>> stages) {
    List<BandPassDesign> designs = new ArrayList<>();
    for (Band band : bands) {
      if (!carried(band)) {
        continue;
      }
      double edge =
          band.designator() == 1 ? HIGHEST_HALVED_OCTAVE_EDGE : BandPassDesign.HIGHEST_EDGE;
      int halvings = 0;
      while (band.upperHz() <= edge * Math.scalb(sampleRateHz, -halvings - 1)) {
        halvings++;
      }
      while (stages.size() <= halvings) {
        stages.add(new ArrayList<>());
      }
      BandPassDesign design =
          BandPassDesign.of(
              band,
              Math.scalb(sampleRateHz, -halvings),
              halvings > 0,
              designs.isEmpty() ? null : similar(designs, band, halvings));
      designs.add(design);
      BandMeter meter = new BandMeter(design, sampleRateHz, halvings, gaps);
      stages.get(halvings).add(meter);
      meters.add(meter);
    }
  }

  /** The design so far that is nearest in frequency as part of the rate. */
  private BandPassDesign similar(List<BandPassDesign> designs, Band band, int halvings) {
    double part = band.midbandHz() / Math.scalb(sampleRateHz, -halvings);
    return Collections.min(
        designs,
        Comparator.comparingDouble(design -> Math.abs(Math.log(design.relativeMidband() / part))));
  }

  private boolean carried(Band band) {
    return band.upperHz() <= BandPassDesign.HIGHEST_EDGE * sampleRateHz;
  }

  @Override
  public void accept(SampleBlock block) {
    if (block.sampleRateHz() != sampleRateHz) {
      throw new IllegalArgumentException(
          "block: sampled at " + sampleRateHz + " Hz, got " + block.sampleRateHz());
    }
    if (block.position() != frames) {
      throw new IllegalArgumentException(
          "block: its position follows the block before, " + frames + ", got " + block.position());
    }
    gaps.add(block.gaps());
    double[] samples = block.samples();
    int length = block.length();
    int done = 0;
    while (done < length) {
      int part = Math.min(length - done, CHUNK - filled);
      int to = BandStage.inputStart() + filled;
      for (int i = 0; i < part; i++) {
        input[to + i] = samples[done + i] + BandStage.BIAS;
      }
      done += part;
      filled += part;
      if (filled == CHUNK) {
        flush();
      }
    }
    frames += length;
  }

  private void flush() {
    if (filled > 0) {
      first.process(filled);
      filled = 0;
    }
  }

  /**
   * The levels of all samples so far; more may follow.
   *
   * @return band levels
   */
  public BandResult result() {
    flush();
    return new BandResult(levels(Band.octaves()), levels(Band.thirdOctaves()), secondLevels());
  }

  private List<BandLevel> levels(List<Band> bands) {
    double floor = floor();
    List<BandLevel> levels = new ArrayList<>();
    for (Band band : bands) {
      Reading level = level(band, floor);
      double weighting = FrequencyWeighting.A.levelAt(band.midbandHz());
      levels.add(
          new BandLevel(
              band.nominalHz(), band.midbandHz(), level, level.map(value -> value + weighting)));
    }
    return levels;
  }

  private Reading level(Band band, double floor) {
    BandMeter meter = meterOf(band);
    if (meter == null) {
      return Reading.unknown(
          String.format(
              Locale.ROOT,
              "the band reaches up to %.0f Hz, a sample rate of %.0f Hz carries no more than %.0f",
              band.upperHz(),
              sampleRateHz,
              BandPassDesign.HIGHEST_EDGE * sampleRateHz));
    }
    if (tooShort(meter)) {
      return Reading.unknown(
          String.format(
              Locale.ROOT,
              "the recording is too short: this band needs %.2f s without gaps",
              meter.leastSeconds()));
    }
    double meanSquare = meter.meanSquare();
    if (meanSquare <= floor) {
      return Reading.unknown("there is no sound in this band, digital silence");
    }
    return Reading.of(unit.levelOf(meanSquare));
  }

  private BandMeter meterOf(Band band) {
    for (BandMeter meter : meters) {
      if (meter.band().equals(band)) {
        return meter;
      }
    }
    return null;
  }

  private static boolean tooShort(BandMeter meter) {
    return meter.averagingSeconds() * meter.band().widthHz() < BandMeter.LEAST_BANDWIDTH_TIME;
  }

  private double floor() {
    double loudest = 0.0;
    for (BandMeter meter : meters) {
      if (!tooShort(meter)) {
        loudest = Math.max(loudest, meter.meanSquare());
      }
    }
    return Math.max(SILENT_MEAN_SQUARE, ROUNDING_PART * loudest);
  }

  private float[][] secondLevels() {
    List<Band> bands = Band.thirdOctaves();
    float[][] levels = new float[(int) (frames / sampleRateHz)][bands.size()];
    for (int b = 0; b < bands.size(); b++) {
      BandMeter meter = meterOf(bands.get(b));
      for (int second = 0; second < levels.length; second++) {
        double meanSquare = meter == null ? Double.NaN : meter.secondMeanSquare(second);
        levels[second][b] =
            meanSquare > SILENT_MEAN_SQUARE ? (float) unit.levelOf(meanSquare) : Float.NaN;
      }
    }
    return levels;
  }

  /**
   * What the reader of the levels so far must know: bands that the rate can't carry, bands for
   * which the recording is too short, bands without sound, lost samples.
   *
   * @return warnings, at most one of each kind
   */
  public List<Warning> warnings() {
    flush();
    double floor = floor();
    List<String> beyond = new ArrayList<>();
    List<String> brief = new ArrayList<>();
    List<String> silent = new ArrayList<>();
    for (List<Band> bands : List.of(Band.thirdOctaves(), Band.octaves())) {
      for (Band band : bands) {
        BandMeter meter = meterOf(band);
        if (meter == null) {
          beyond.add(name(band));
        } else if (tooShort(meter)) {
          brief.add(name(band));
        } else if (meter.meanSquare() <= floor) {
          silent.add(name(band));
        }
      }
    }
    List<Warning> warnings = new ArrayList<>();
    if (!beyond.isEmpty()) {
      warnings.add(
          new Warning(
              "band-beyond-rate",
              String.format(
                  Locale.ROOT,
                  "A sample rate of %.0f Hz can't carry these bands, their levels are unknown: %s.",
                  sampleRateHz,
                  String.join(", ", beyond))));
    }
    if (!brief.isEmpty()) {
      warnings.add(
          new Warning(
              "band-too-short",
              String.format(
                  Locale.ROOT,
                  "The recording of %.2f s is too short for these bands, their levels are unknown:"
                      + " %s.",
                  frames / sampleRateHz,
                  String.join(", ", brief))));
    }
    if (!silent.isEmpty()) {
      warnings.add(
          new Warning(
              "band-silent",
              "These bands hold no sound at all, their levels are unknown: "
                  + String.join(", ", silent)
                  + "."));
    }
    if (gaps.size() > 0) {
      warnings.add(
          new Warning(
              "band-gaps",
              String.format(
                  Locale.ROOT,
                  "%d samples were lost in %d gaps; band levels leave them out, and each band's"
                      + " settling after them.",
                  gaps.frames(),
                  gaps.size())));
    }
    return warnings;
  }

  private static String name(Band band) {
    return band.label() + (band.designator() == 1 ? " octave" : " one-third octave");
  }
}
