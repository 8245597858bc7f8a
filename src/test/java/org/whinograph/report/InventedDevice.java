package org.whinograph.report;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.whinograph.band.BandLevel;
import org.whinograph.band.BandResult;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.level.LevelHistory;
import org.whinograph.level.LevelResult;
import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.RecordingInfo;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;
import org.whinograph.spectrum.Spectrogram;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.speed.SpeedCandidate;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.FollowedOrder;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.speed.order.OrderResult;
import org.whinograph.speed.order.ToneOrigin;
import org.whinograph.speed.order.TwoFans;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneResult;

/**
 * A measurement of an invented device, built by hand: falling broadband noise with tones in it. Its
 * bands are the sums of its spectrum, so that charts show one consistent device.
 */
public final class InventedDevice {
  private static final double RATE = 48_000.0;
  private static final int LINES = 32_769;
  private static final double SPACING = RATE / 65_536.0;
  private static final double HANN_BANDWIDTH = 1.5;
  private static final double[] NOMINAL = {
    20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250,
    1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10_000, 12_500, 16_000, 20_000
  };
  private static final double[] NOMINAL_OCTAVES = {
    31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000
  };

  private final String file;
  private final double noiseDb;
  private final List<Tone> tones = new ArrayList<>();
  private double fullScaleDb = 121.4;
  private boolean calibrated = true;
  private boolean brief;
  private double rate = RATE;
  private int seconds = 60;
  private double followedDb = -4.5;
  private double gainDb;
  private TwoFans twoFans;
  private final List<Warning> warnings = new ArrayList<>();

  private InventedDevice(String file, double noiseDb) {
    this.file = file;
    this.noiseDb = noiseDb;
  }

  /** A device with noise alone; {@code noiseDb} is its noise in 1 Hz at 1 kHz [dB re 20 µPa]. */
  public static InventedDevice named(String file, double noiseDb) {
    return new InventedDevice(file, noiseDb);
  }

  /** A mini computer whose fan of 7 blades whines at 1736 Hz, beside a fixed line at 9800 Hz. */
  public static InventedDevice miniComputer() {
    return named("runs/heron-mini/idle-1.wav", -2.0)
        .tone(248.0, 14.5, 6.1, 7.2, 1, 248.0)
        .tone(1736.021, 29.1, 13.3, 12.9, 7, 248.003)
        .tone(3472.04, 21.0, 9.1, 8.2, 14, 248.003)
        .tone(5208.06, 9.6, 2.4, 1.9, 21, 248.003)
        .tone(9800.0, 12.2, 7.1, 6.0, 0, 0.0)
        .tone(13_500.0, 8.8, 9.9, 8.1, 0, 0.0);
  }

  /** A quieter neighbour with another blade-pass frequency. */
  public static InventedDevice quietComputer() {
    return named("runs/plover-cube/idle-1.wav", -7.0)
        .tone(1204.3, 18.4, 9.4, 8.9, 5, 240.86)
        .tone(1741.2, 10.2, 3.1, 2.4, 0, 0.0)
        .tone(9799.2, 12.0, 11.9, 10.2, 0, 0.0);
  }

  /** A loud blower. */
  public static InventedDevice blower() {
    return named("runs/dunlin-one/idle-1.wav", 3.0)
        .tone(612.4, 30.2, 9.0, 8.0, 0, 0.0)
        .tone(1480.0, 24.2, 4.4, 4.0, 0, 0.0)
        .tone(2960.1, 26.6, 9.7, 8.8, 0, 0.0);
  }

  /** Adds a tone; harmonic 0 means that it belongs to no series. */
  public InventedDevice tone(
      double hz, double levelDb, double ratioDb, double prominenceDb, int harmonic, double base) {
    boolean verdict = hz >= 89.1 && hz <= 11_220.0;
    Reading none = Reading.unknown("There is no limit outside 89.1 Hz to 11 220 Hz.");
    // ECMA-418-1, clauses 11.6 and 12.7, as in the reference tables of this project.
    double below = hz < 1000.0 ? Math.log10(1000.0 / hz) : 0.0;
    double ratioLimit = 8.0 + 8.33 * below;
    double prominenceLimit = 9.0 + 10.0 * below;
    tones.add(
        new Tone(
            hz,
            0.0005,
            Reading.of(levelDb),
            Reading.of(ratioDb),
            verdict ? Reading.of(ratioLimit) : none,
            Reading.of(prominenceDb),
            verdict ? Reading.of(prominenceLimit) : none,
            verdict ? ratioDb >= ratioLimit || prominenceDb >= prominenceLimit : null,
            true,
            Reading.of(ratioDb - 2.0),
            harmonic == 0 ? null : new Tone.Harmonic(base, harmonic)));
    return this;
  }

  /** Takes the calibration away: levels are re full scale, and audibility is unknown. */
  public InventedDevice uncalibrated() {
    calibrated = false;
    return this;
  }

  /** Takes the spectrum away, as a recording that is too short for one. */
  public InventedDevice withoutSpectrum() {
    brief = true;
    return this;
  }

  /** Takes another sample rate, above whose bands levels are unknown. */
  public InventedDevice rate(double hz) {
    rate = hz;
    return this;
  }

  /** Takes another length. */
  public InventedDevice seconds(int length) {
    seconds = length;
    return this;
  }

  /** Lets order 3, at 744 Hz, stand so high above its noise when followed along the speed. */
  public InventedDevice followed(double toneToNoiseDb) {
    followedDb = toneToNoiseDb;
    return this;
  }

  /** Lets the whine stand so much higher above its noise when followed along the speed. */
  public InventedDevice gaining(double db) {
    gainDb = db;
    return this;
  }

  /** Adds a second fan of one speed. */
  public InventedDevice besideAnother(double rpm) {
    twoFans = new TwoFans(rpm, 0.5, null, null, List.of());
    return this;
  }

  /** Adds a second fan that runs up evenly from one speed to another. */
  public InventedDevice besideAnother(double fromRpm, double toRpm) {
    int frames = 4 * seconds;
    double[] time = new double[frames];
    double[] rpm = new double[frames];
    double[] low = new double[frames];
    double[] high = new double[frames];
    for (int i = 0; i < frames; i++) {
      time[i] = (i + 0.5) / 4;
      rpm[i] = fromRpm + (toRpm - fromRpm) * time[i] / seconds;
      low[i] = rpm[i] - 6;
      high[i] = rpm[i] + 6;
    }
    SpeedTrack track = new SpeedTrack(time, rpm, low, high);
    twoFans = new TwoFans((fromRpm + toRpm) / 2.0, 0.5, 9, track, List.of());
    return this;
  }

  /** Adds a warning of the chain. */
  public InventedDevice warning(String code, String message) {
    warnings.add(new Warning(code, message));
    return this;
  }

  /** Builds the measurement. */
  public Measurement build() {
    LevelUnit unit = calibrated ? LevelUnit.SOUND_PRESSURE : LevelUnit.FULL_SCALE;
    double shift = calibrated ? 0.0 : -fullScaleDb;
    double[] meanSquare = spectrum(unit, shift);
    List<BandLevel> thirds = bands(meanSquare, unit, NOMINAL, 3);
    List<BandLevel> octaves = bands(meanSquare, unit, NOMINAL_OCTAVES, 1);
    double laeq = sum(thirds, true);
    double lzeq = sum(thirds, false);
    List<Tone> shifted = tones.stream().map(tone -> shifted(tone, shift)).toList();
    return new Measurement(
        new RecordingInfo(file, "5f".repeat(32), rate, 24, false, 2, 1, 0.0, seconds, 0, 0),
        calibrated ? calibration() : null,
        calibrated ? "calibration/morning.json" : null,
        null,
        unit,
        levels(laeq, lzeq),
        new BandResult(octaves, thirds, new float[0][]),
        null,
        brief ? null : new Spectrum(meanSquare, SPACING, HANN_BANDWIDTH, 87, 45.2, unit),
        new ToneResult(
            shifted,
            Reading.of(15.0),
            Reading.of(14.6),
            Reading.of(4.2),
            SPACING,
            seconds,
            List.of()),
        speed(seconds),
        orders(shifted),
        warnings);
  }

  /** The whine at 1736 Hz is the blade-pass line; of all else nothing is known. */
  private OrderResult orders(List<Tone> tones) {
    List<ToneOrigin> origins = new ArrayList<>();
    List<FollowingTone> following = new ArrayList<>();
    for (Tone tone : tones) {
      boolean whine = Math.abs(tone.frequencyHz() - 1736.0) < 1.0;
      origins.add(
          whine
              ? new ToneOrigin(7.0, Cause.BLADE_PASS, List.of("7 is the number of blades."))
              : new ToneOrigin(null, Cause.UNKNOWN, List.of()));
      Reading none = Reading.unknown("the tone isn't known to be an order of the shaft");
      following.add(
          whine
              ? new FollowingTone(
                  tone.toneToNoise().map(ratio -> ratio + gainDb),
                  tone.prominence(),
                  248.0,
                  tone.frequencyHz(),
                  tone.level(),
                  tone.audible())
              : new FollowingTone(none, none, 0.0, 0.0, none, null));
    }
    Reading level = Reading.of(12.5);
    FollowedOrder third =
        new FollowedOrder(
            3.0,
            new FollowingTone(Reading.of(followedDb), Reading.of(0.3), 248.0, 744.0, level, null),
            Cause.SHAFT,
            List.of("3 isn't a multiple of the 7 blades."));
    return new OrderResult(
        origins, following, List.of(third), twoFans, null, null, spectrogram(level));
  }

  /** Columns of a second and rows of 6 Hz: quiet but for a line at 1736 Hz. */
  private static Spectrogram.Columns spectrogram(Reading level) {
    float[][] cells = new float[60][1000];
    float line = (float) Math.pow(10.0, level.value() / 10.0);
    for (float[] column : cells) {
      Arrays.fill(column, line / 1e4f);
      column[289] = line;
    }
    return new Spectrogram.Columns(cells, 1.0, 0.5, 6.0, 2.0);
  }

  /** Seven blades at 14 880 rpm, so that the whine at 1736 Hz is the blade-pass line. */
  private static SpeedResult speed(int seconds) {
    int frames = 4 * seconds;
    double[] time = new double[frames];
    double[] rpm = new double[frames];
    double[] low = new double[frames];
    double[] high = new double[frames];
    double[] comb = new double[frames];
    for (int i = 0; i < frames; i++) {
      time[i] = (i + 0.5) / 4;
      rpm[i] = i % 9 == 8 ? Double.NaN : 14_880 + i % 5;
      low[i] = rpm[i] - 4;
      high[i] = rpm[i] + 4;
      comb[i] = 7 * rpm[i];
    }
    return new SpeedResult(
        Reading.of(14_882),
        Reading.of(14_879),
        Reading.of(14_885),
        0.97,
        7,
        List.of(new SpeedCandidate(14_882, 7, 0.97), new SpeedCandidate(11_575, 9, 0.02)),
        new SpeedTrack(time, rpm, low, high),
        new SpeedTrack(time, comb, comb, comb),
        7,
        null,
        null,
        List.of());
  }

  private CalibrationRecord calibration() {
    return new CalibrationRecord(
        fullScaleDb,
        93.95,
        1000.0,
        1000.2,
        0.02,
        0.004,
        12.5,
        0.26,
        Instant.parse("2026-03-02T08:15:00Z"),
        "Microphone WM-4, serial 0117",
        "calibration/morning.wav",
        "a7".repeat(32),
        RATE,
        24,
        "calibration/wm-4-0117.txt",
        null);
  }

  private static Tone shifted(Tone tone, double shift) {
    return new Tone(
        tone.frequencyHz(),
        tone.frequencyUncertaintyHz(),
        tone.level().map(level -> level + shift),
        tone.toneToNoise(),
        tone.toneToNoiseLimit(),
        tone.prominence(),
        tone.prominenceLimit(),
        tone.prominent(),
        shift == 0.0 ? tone.audible() : null,
        tone.tonalAudibility(),
        tone.harmonic());
  }

  private double[] spectrum(LevelUnit unit, double shift) {
    SplittableRandom random = new SplittableRandom(file.hashCode());
    double[] lines = new double[LINES];
    for (int k = 1; k < LINES; k++) {
      double hz = k * SPACING;
      double octaves = Math.log(hz / 1000.0) / Math.log(2.0);
      double level = noiseDb + shift - 3.2 * octaves - 0.45 * octaves * octaves;
      // Gamma-distributed as the mean of 45 independent frames is, here by a normal approximation.
      double spread = 1.0 + gaussian(random) / Math.sqrt(45.0);
      lines[k] = unit.meanSquareOf(level) * SPACING * HANN_BANDWIDTH * Math.max(0.3, spread);
    }
    for (Tone tone : tones) {
      double power = unit.meanSquareOf(tone.level().value() + shift);
      double place = tone.frequencyHz() / SPACING;
      for (int k = (int) place - 1; k <= (int) place + 2; k++) {
        double d = k - place;
        double hann = Math.abs(d) < 1e-9 ? 1.0 : hann(d);
        lines[k] += power * hann * hann;
      }
    }
    return lines;
  }

  /** Amplitude response of a Hann window [1] at d lines off its centre. */
  private static double hann(double d) {
    if (Math.abs(Math.abs(d) - 1.0) < 1e-9) {
      return 0.5;
    }
    return Math.sin(Math.PI * d) / (Math.PI * d) / (1.0 - d * d);
  }

  private static double gaussian(SplittableRandom random) {
    double sum = -6.0;
    for (int i = 0; i < 12; i++) {
      sum += random.nextDouble();
    }
    return sum;
  }

  private List<BandLevel> bands(
      double[] meanSquare, LevelUnit unit, double[] nominal, int perOctave) {
    List<BandLevel> bands = new ArrayList<>();
    for (double name : nominal) {
      int index = (int) Math.rint(10.0 * Math.log10(name / 1000.0));
      double middle = 1000.0 * Math.pow(10.0, index / 10.0);
      double half = Math.pow(10.0, 0.15 / perOctave);
      if (middle * half > 0.48 * rate) {
        Reading missing =
            Reading.unknown("the sample rate of " + rate + " Hz does not carry the band.");
        bands.add(new BandLevel(name, middle, missing, missing));
        continue;
      }
      int low = (int) Math.ceil(middle / half / SPACING);
      int high = Math.min(LINES - 1, (int) Math.floor(middle * half / SPACING));
      double sum = Arrays.stream(meanSquare, low, high + 1).sum() / HANN_BANDWIDTH;
      Reading level = Reading.of(unit.levelOf(sum));
      bands.add(new BandLevel(name, middle, level, level.map(v -> v + aWeighting(middle))));
    }
    return bands;
  }

  /** A-weighting of IEC 61672-1:2013, Annex E [dB]. */
  private static double aWeighting(double f) {
    double f2 = f * f;
    double ratio =
        12194.217
            * 12194.217
            * f2
            * f2
            / ((f2 + 20.598997 * 20.598997)
                * Math.sqrt((f2 + 107.65265 * 107.65265) * (f2 + 737.86223 * 737.86223))
                * (f2 + 12194.217 * 12194.217));
    return Decibels.ofAmplitudeRatio(ratio) + 2.0;
  }

  private static double sum(List<BandLevel> bands, boolean weighted) {
    return Decibels.sum(
        bands.stream()
            .map(band -> weighted ? band.aWeighted() : band.level())
            .filter(Reading::known)
            .mapToDouble(Reading::value)
            .toArray());
  }

  private LevelResult levels(double laeq, double lzeq) {
    double[] laeq1s = new double[seconds];
    double[] lafMax1s = new double[seconds];
    double[] laf = new double[seconds * 10];
    SplittableRandom random = new SplittableRandom(7);
    for (int i = 0; i < laf.length; i++) {
      double cycle = 1.2 * Math.sin(i / 90.0) + 0.35 * gaussian(random);
      // The averaging settles in the first second.
      laf[i] = i < 10 ? Double.NaN : laeq + cycle;
    }
    for (int s = 0; s < seconds; s++) {
      double[] part = Arrays.copyOfRange(laf, 10 * s, 10 * s + 10);
      laeq1s[s] = s == 0 ? laeq + 0.1 : Decibels.mean(part);
      lafMax1s[s] = s == 0 ? Double.NaN : Arrays.stream(part).max().orElseThrow();
    }
    return new LevelResult(
        Reading.of(laeq),
        Reading.of(lzeq - 1.1),
        Reading.of(lzeq),
        Reading.of(laeq + 2.3),
        Reading.of(laeq - 1.9),
        Reading.of(laeq + 1.5),
        Reading.of(laeq - 1.4),
        Reading.of(lzeq + 12.2),
        Reading.of(lzeq + 13.1),
        Reading.of(laeq + 1.0),
        Reading.of(laeq - 0.1),
        Reading.of(laeq - 1.2),
        Reading.of(laeq + 10.0 * Math.log10(seconds)),
        new LevelHistory(laeq1s, lafMax1s, laf, 0.1));
  }
}
