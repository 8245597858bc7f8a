package org.whinograph.verification;

import be.tarsos.dsp.pitch.AMDF;
import be.tarsos.dsp.pitch.FastYin;
import be.tarsos.dsp.pitch.McLeodPitchMethod;
import be.tarsos.dsp.pitch.PitchDetectionResult;
import be.tarsos.dsp.pitch.PitchDetector;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.DeviceSource;
import org.whinograph.signal.SampleBlock;
import org.whinograph.speed.SpeedAnalyser;
import org.whinograph.speed.SpeedHints;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;

/**
 * A simulated device analysed once, and its speed beside the truth frame by frame. The truth of a
 * frame is the mean speed over it, by the revolutions in it.
 */
final class SpeedTrial {
  /** A speed further off than this is on a wrong order and no mere error [1]. */
  private static final double WRONG = 0.05;

  /** Slower than this a simulated fan makes no sound to speak of [1/min]. */
  private static final double SLOWEST_RPM = 300.0;

  private static final int PITCH_BUFFER = 4096;
  private static final int PITCH_FRAMES = 8;

  final SpeedResult result;
  int running;
  int known;
  int wrong;
  int inside;
  double sumSquares;
  int stopped;
  int falseWhileStopped;
  int pitchFrames;
  int yinWrong;
  int mcLeodWrong;
  int amdfWrong;

  private SpeedTrial(SpeedResult result) {
    this.result = result;
  }

  /** Analyses a device without any truth to compare with. */
  static SpeedTrial run(Device device, long seed, SpeedHints hints) {
    return new SpeedTrial(analysed(device, seed, hints, null));
  }

  /**
   * Analyses a device and compares with one of its fans.
   *
   * @param stepsS times at which the speed leaps: frames that hold one have no one speed
   */
  static SpeedTrial run(Device device, long seed, SpeedHints hints, double... stepsS) {
    org.whinograph.rehearsal.SpeedTrack truth =
        org.whinograph.rehearsal.SpeedTrack.of(device, seed, 0, 0.01);
    int blades = device.fans().get(0).blades();
    float[][] pitchBuffers = new float[PITCH_FRAMES][PITCH_BUFFER];
    SpeedTrial trial = new SpeedTrial(analysed(device, seed, hints, pitchBuffers));
    trial.compare(truth, stepsS);
    trial.comparePitch(device, truth, blades, pitchBuffers);
    return trial;
  }

  private static SpeedResult analysed(
      Device device, long seed, SpeedHints hints, float[][] pitchBuffers) {
    SpeedAnalyser analyser = new SpeedAnalyser(device.sampleRateHz(), hints);
    try (DeviceSource source = new DeviceSource(device, seed)) {
      long spacing = device.frames() / (PITCH_FRAMES + 1);
      for (SampleBlock block = source.read(4096); block != null; block = source.read(4096)) {
        analyser.accept(block);
        if (pitchBuffers != null) {
          for (int i = 0; i < PITCH_FRAMES; i++) {
            long start = (i + 1) * spacing;
            for (int n = 0; n < block.length(); n++) {
              long at = block.position() + n - start;
              if (at >= 0 && at < PITCH_BUFFER) {
                pitchBuffers[i][(int) at] = (float) block.samples()[n];
              }
            }
          }
        }
      }
    }
    return analyser.result();
  }

  private void compare(org.whinograph.rehearsal.SpeedTrack truth, double[] stepsS) {
    SpeedTrack track = result.track();
    if (track.frames() < 2) {
      return;
    }
    double frameS = track.timeS()[1] - track.timeS()[0];
    for (int i = 0; i < track.frames(); i++) {
      double t = track.timeS()[i];
      boolean leaps = false;
      for (double step : stepsS) {
        leaps |= Math.abs(step - t) < frameS;
      }
      double rpm = track.rpm()[i];
      double right = truth.meanRpm(t - frameS / 2, t + frameS / 2);
      if (right < SLOWEST_RPM) {
        stopped += right < 1.0 ? 1 : 0;
        falseWhileStopped += right < 1.0 && !Double.isNaN(rpm) ? 1 : 0;
        continue;
      }
      if (leaps) {
        continue;
      }
      running++;
      if (Double.isNaN(rpm)) {
        continue;
      }
      known++;
      double error = rpm / right - 1.0;
      if (Math.abs(error) > WRONG) {
        wrong++;
        continue;
      }
      sumSquares += error * error;
      if (track.lowRpm()[i] <= right && right <= track.highRpm()[i]) {
        inside++;
      }
    }
  }

  /**
   * General-purpose pitch estimators on the same sound. They look for a fundamental, so that both
   * the shaft's frequency and the blade-pass frequency count as right.
   */
  private void comparePitch(
      Device device,
      org.whinograph.rehearsal.SpeedTrack truth,
      int blades,
      float[][] pitchBuffers) {
    float rate = (float) device.sampleRateHz();
    PitchDetector yin = new FastYin(rate, PITCH_BUFFER);
    PitchDetector mcLeod = new McLeodPitchMethod(rate, PITCH_BUFFER);
    PitchDetector amdf = new AMDF(rate, PITCH_BUFFER);
    double spacing = device.durationS() / (PITCH_FRAMES + 1);
    for (int i = 0; i < PITCH_FRAMES; i++) {
      double start = (i + 1) * spacing;
      double shaft = truth.meanRpm(start, start + PITCH_BUFFER / rate) / 60.0;
      if (shaft * 60.0 < SLOWEST_RPM) {
        continue;
      }
      pitchFrames++;
      yinWrong += right(yin.getPitch(pitchBuffers[i]), shaft, blades) ? 0 : 1;
      mcLeodWrong += right(mcLeod.getPitch(pitchBuffers[i]), shaft, blades) ? 0 : 1;
      amdfWrong += right(amdf.getPitch(pitchBuffers[i]), shaft, blades) ? 0 : 1;
    }
  }

  private static boolean right(PitchDetectionResult pitch, double shaft, int blades) {
    double hz = pitch.getPitch();
    return Math.abs(hz / shaft - 1.0) < WRONG || Math.abs(hz / (shaft * blades) - 1.0) < WRONG;
  }

  /** Sums of several trials. */
  static final class Tally {
    int cases;
    int running;
    int known;
    int wrong;
    int inside;
    double sumSquares;
    int stopped;
    int falseWhileStopped;
    int pitchFrames;
    int yinWrong;
    int mcLeodWrong;
    int amdfWrong;

    void add(SpeedTrial trial) {
      cases++;
      running += trial.running;
      known += trial.known;
      wrong += trial.wrong;
      inside += trial.inside;
      sumSquares += trial.sumSquares;
      stopped += trial.stopped;
      falseWhileStopped += trial.falseWhileStopped;
      pitchFrames += trial.pitchFrames;
      yinWrong += trial.yinWrong;
      mcLeodWrong += trial.mcLeodWrong;
      amdfWrong += trial.amdfWrong;
    }

    void add(Tally other) {
      cases += other.cases;
      running += other.running;
      known += other.known;
      wrong += other.wrong;
      inside += other.inside;
      sumSquares += other.sumSquares;
      stopped += other.stopped;
      falseWhileStopped += other.falseWhileStopped;
      pitchFrames += other.pitchFrames;
      yinWrong += other.yinWrong;
      mcLeodWrong += other.mcLeodWrong;
      amdfWrong += other.amdfWrong;
    }

    double knownPercent() {
      return 100.0 * known / Math.max(1, running);
    }

    double wrongPercent() {
      return 100.0 * wrong / Math.max(1, known);
    }

    double rmsPercent() {
      return 100.0 * Math.sqrt(sumSquares / Math.max(1, known - wrong));
    }

    double insidePercent() {
      return 100.0 * inside / Math.max(1, known - wrong);
    }

    /** Share of the frames at rest for which a speed is claimed. */
    double stillPercent() {
      return 100.0 * falseWhileStopped / Math.max(1, stopped);
    }

    double yinPercent() {
      return 100.0 * yinWrong / Math.max(1, pitchFrames);
    }

    double amdfPercent() {
      return 100.0 * amdfWrong / Math.max(1, pitchFrames);
    }

    double mcLeodPercent() {
      return 100.0 * mcLeodWrong / Math.max(1, pitchFrames);
    }
  }
}
