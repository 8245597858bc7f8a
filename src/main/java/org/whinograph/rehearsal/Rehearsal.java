package org.whinograph.rehearsal;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Clock;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.whinograph.audiofile.WavSource;
import org.whinograph.band.BandLevel;
import org.whinograph.calibration.CalibrationFile;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.CalibrationRequest;
import org.whinograph.calibration.Calibrator;
import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.MeasurementPlan;
import org.whinograph.measurement.Measurer;
import org.whinograph.measurement.ProgressListener;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.tone.Tone;

/**
 * Rehearses a measurement on a device of known truth: draws a device, records a calibrator, the
 * room and the device into a folder, measures the files with the code that measures real ones, and
 * compares.
 *
 * <p>The simulated calibrator is as wrong as its class allows, and fits the microphone as badly as
 * the stated uncertainty says, while the tester enters 94 dB. So absolute levels come out wrong by
 * as much as in earnest, and it shows whether the stated interval is honest.
 *
 * <p>An instance may be used by several threads.
 */
public final class Rehearsal {
  private static final double CERTIFICATE_DB = 94.0;

  /** Half width of the rectangular distribution that the calibrator's stated uncertainty means. */
  private static final double CALIBRATOR_HALF_WIDTH_DB =
      CalibrationRequest.CLASS_1_UNCERTAINTY_DB * Math.sqrt(3);

  private static final double DEVICE_S = 30;
  private static final double BACKGROUND_S = 20;
  private static final double TONE_S = 8;
  private static final long CALIBRATOR_STREAM = 8_000;
  private static final long ROOM_STREAM = 8_001;
  private static final long TONE_STREAM = 8_002;

  /** A tone counts as found within this part of its frequency. */
  private static final double NEAR = 1e-3;

  private static final double NEAR_HZ = 1.0;

  /** A tone that is weaker than this in its critical band isn't asked for [dB]. */
  private static final double LEAST_RATIO_DB = -3;

  private final Clock clock;

  /**
   * Prepares.
   *
   * @param clock gives the date of the calibration
   */
  public Rehearsal(Clock clock) {
    this.clock = clock;
  }

  /**
   * Makes a device, measures it and compares. Leaves {@code calibrator.wav}, {@code
   * background.wav}, {@code device.wav}, their truth files, {@code calibration.json} and {@code
   * rehearsal.csv} in the folder.
   *
   * @param seed draws the device and everything random about it
   * @param ramp whether the fan speeds up in mid-recording; its tones then have no exact levels and
   *     ratios to compare with
   * @param folder where files go; made if it isn't there
   * @param replace whether existing files may be replaced
   * @param progress hears how far measuring the device is
   * @return what was found
   * @throws RefusedException if a file exists or can't be written, or the chain refuses a recording
   */
  public RehearsalResult run(
      long seed, boolean ramp, Path folder, boolean replace, ProgressListener progress)
      throws RefusedException {
    Path table = folder.resolve("rehearsal.csv");
    prepare(folder, table, replace);
    RandomDevice random = new RandomDevice(seed);
    Path tone = DeviceRecording.write(calibrator(random, seed), toneSeed(seed), folder, replace);
    Device room = random.background(BACKGROUND_S);
    long roomSeed = Chance.stream(seed, ROOM_STREAM);
    Path roomFile = DeviceRecording.write(room, roomSeed, folder, replace);
    Device device = random.device(DEVICE_S, seed, ramp);
    Path deviceFile = DeviceRecording.write(device, seed, folder, replace);

    CalibrationRecord calibration = calibrate(tone);
    Path record = folder.resolve("calibration.json");
    CalibrationFile.write(calibration, record, replace);
    Measurer measurer =
        new Measurer(MeasurementPlan.whole(calibration, record.getFileName().toString()));
    Measurement background = measure(measurer, roomFile, ProgressListener.NONE);
    Measurement measurement = measure(measurer, deviceFile, progress);

    DeviceTruth roomTruth = TruthMaker.of(room, roomSeed);
    DeviceTruth truth = TruthMaker.of(device, seed);
    double uncertainty = calibration.standardUncertaintyDb();
    StatedIntervals intervals = new StatedIntervals(uncertainty, truth.durationS());
    List<Comparison> comparisons = new ArrayList<>();
    comparisons.add(
        exact(
            "level at full scale",
            "dB",
            truth.levelAtFullScaleDb(),
            Reading.of(calibration.levelAtFullScaleDb()),
            intervals.fullScaleDb()));
    comparisons.add(
        exact(
            "background L_Aeq",
            "dB",
            roomTruth.levels().laeqDb(),
            background.levels().laeq(),
            new StatedIntervals(uncertainty, roomTruth.durationS())
                .levelDb(roomTruth, AnalyticWeighting::a)));
    addLevels(comparisons, truth, measurement, intervals);
    addTones(comparisons, truth, measurement, intervals);
    SpeedErrors speed = SpeedErrors.of(device, seed, measurement.speed());
    if (speed.stated()) {
      comparisons.add(speed.median());
    }
    RehearsalResult result =
        new RehearsalResult(truth, calibration, measurement, comparisons, speed);
    DeviceRecording.writeText(table, csv(result), replace);
    return result;
  }

  private static void prepare(Path folder, Path table, boolean replace) throws RefusedException {
    try {
      Files.createDirectories(folder);
    } catch (IOException e) {
      throw new RefusedException(
          folder + ": this folder can't be made; check its name and the permissions above it", e);
    }
    if (!replace && Files.exists(table)) {
      throw new RefusedException(
          table + ": exists already; give another folder, or --force to replace it");
    }
  }

  private static long toneSeed(long seed) {
    return Chance.stream(seed, TONE_STREAM);
  }

  private static Device calibrator(RandomDevice random, long seed) {
    long stream = Chance.stream(seed, CALIBRATOR_STREAM);
    double instrument = CALIBRATOR_HALF_WIDTH_DB * (2 * Chance.uniform(stream, 0) - 1);
    double fit = CalibrationRequest.COUPLING_UNCERTAINTY_DB * Chance.normal(stream, 1);
    return Devices.calibrator(
            "calibrator", CERTIFICATE_DB + instrument + fit, TONE_S, random.levelAtFullScaleDb())
        .build();
  }

  private CalibrationRecord calibrate(Path tone) throws RefusedException {
    try (WavSource source = WavSource.open(tone, 1)) {
      CalibrationRequest request =
          CalibrationRequest.of(CERTIFICATE_DB, 1000)
              .withMicrophone("simulated")
              .withSha256(source.sha256());
      return new Calibrator(clock).calibrate(source, request).calibration();
    }
  }

  private static Measurement measure(Measurer measurer, Path file, ProgressListener progress)
      throws RefusedException {
    try (WavSource source = WavSource.open(file, 1)) {
      return measurer.measure(source, progress);
    }
  }

  private static void addLevels(
      List<Comparison> comparisons,
      DeviceTruth truth,
      Measurement measurement,
      StatedIntervals intervals) {
    comparisons.add(
        exact(
            "L_Aeq",
            "dB",
            truth.levels().laeqDb(),
            measurement.levels().laeq(),
            intervals.levelDb(truth, AnalyticWeighting::a)));
    comparisons.add(
        exact(
            "L_Ceq",
            "dB",
            truth.levels().lceqDb(),
            measurement.levels().lceq(),
            intervals.levelDb(truth, AnalyticWeighting::c)));
    List<BandLevel> bands = measurement.bands().thirdOctaves();
    for (int i = 0; i < truth.thirdOctaves().size(); i++) {
      DeviceTruth.Band band = truth.thirdOctaves().get(i);
      comparisons.add(
          new Comparison(
              "one-third octave " + hertz(band.nominalHz()) + " Hz",
              "dB",
              band.lowDb(),
              band.highDb(),
              bands.get(i).level(),
              intervals.bandDb(band.midbandHz())));
    }
  }

  private static void addTones(
      List<Comparison> comparisons,
      DeviceTruth truth,
      Measurement measurement,
      StatedIntervals intervals) {
    for (DeviceTruth.Tone tone : truth.tones()) {
      if (tone.toneToNoiseDb() == null || tone.toneToNoiseDb() < LEAST_RATIO_DB) {
        continue;
      }
      String label = String.format(Locale.ROOT, "%s %.1f Hz ", tone.cause(), tone.frequencyHz());
      Tone found = near(measurement, tone.frequencyHz());
      Reading missing = Reading.unknown("no tone was found there");
      comparisons.add(
          exact(
              label + "frequency",
              "Hz",
              tone.frequencyHz(),
              found == null ? missing : Reading.of(found.frequencyHz()),
              found == null ? 0 : 2 * found.frequencyUncertaintyHz()));
      comparisons.add(
          exact(
              label + "level",
              "dB",
              tone.levelDb(),
              found == null ? missing : found.level(),
              intervals.toneLevelDb(tone)));
      comparisons.add(
          exact(
              label + "tone-to-noise ratio",
              "dB",
              tone.toneToNoiseDb(),
              found == null ? missing : found.toneToNoise(),
              intervals.toneRatioDb(tone)));
    }
    comparisons.add(
        exact(
            "prominent tones that aren't there",
            "1",
            0,
            Reading.of((double) ghosts(truth, measurement)),
            0));
  }

  /** A nominal frequency as it is spoken: 31.5, but 1000. */
  private static String hertz(double nominal) {
    return String.format(Locale.ROOT, nominal == Math.rint(nominal) ? "%.0f" : "%.1f", nominal);
  }

  private static Tone near(Measurement measurement, double frequencyHz) {
    Tone best = null;
    double least = Math.max(NEAR_HZ, NEAR * frequencyHz);
    for (Tone tone : measurement.tones().tones()) {
      double distance = Math.abs(tone.frequencyHz() - frequencyHz);
      if (distance <= least) {
        best = tone;
        least = distance;
      }
    }
    return best;
  }

  /** Tones called prominent where the device has no line at all. */
  private static long ghosts(DeviceTruth truth, Measurement measurement) {
    return measurement.tones().tones().stream()
        .filter(tone -> Boolean.TRUE.equals(tone.prominent()))
        .filter(
            tone ->
                truth.tones().stream()
                    .filter(line -> line.frequencyHz() != null)
                    .noneMatch(
                        line ->
                            tone.frequencyHz() >= line.lowHz() * (1 - NEAR) - NEAR_HZ
                                && tone.frequencyHz() <= line.highHz() * (1 + NEAR) + NEAR_HZ))
        .count();
  }

  private static Comparison exact(
      String quantity, String unit, double truth, Reading measured, double interval) {
    return new Comparison(quantity, unit, truth, truth, measured, interval);
  }

  private static String csv(RehearsalResult result) {
    StringBuilder text =
        new StringBuilder(
            "quantity,unit,truth_low,truth_high,measured,error,interval_95,inside\r\n");
    for (Comparison row : result.comparisons()) {
      text.append(row.quantity())
          .append(',')
          .append(row.unit())
          .append(',')
          .append(row.truthLow())
          .append(',')
          .append(row.truthHigh())
          .append(',')
          .append(row.measured().known() ? row.measured().value() : "")
          .append(',')
          .append(row.measured().known() ? row.error().value() : "")
          .append(',')
          .append(row.interval())
          .append(',')
          .append(row.inside())
          .append("\r\n");
    }
    return text.toString();
  }
}
