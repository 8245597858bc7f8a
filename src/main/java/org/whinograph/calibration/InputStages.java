package org.whinograph.calibration;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;

/** Finds where a calibrator was on and off in a recording. */
final class InputStages {
  /** Below this a tone is hum. */
  static final double LOWEST_TONE_HZ = 150;

  /** Tone this far below the loudest isn't the calibrator on the microphone. */
  static final double FAINT = Decibels.toAmplitudeRatio(-20);

  /** The calibrator's tone is looked for this near its nominal frequency. */
  static final double NEAR_NOMINAL = 0.05;

  /** Stages are at least this long [frames]. */
  private static final int LEAST_FRAMES = 10;

  /** Interruptions up to this long don't part a stage [frames]. */
  private static final int BRIDGED_FRAMES = 4;

  private static final double LEAST_ON_S = 2;
  private static final double LEAST_QUIET_S = 3;

  /**
   * A stretch of frames.
   *
   * @param on whether the tone is there
   * @param from first frame
   * @param to first frame after it
   */
  record Stretch(boolean on, int from, int to) {
    int length() {
      return to - from;
    }
  }

  private final List<InputFrame> frames;
  private final double secondsAFrame;
  private final double nominalHz;
  private final boolean[] on;
  private final List<Stretch> stretches = new ArrayList<>();
  private double toneHz;

  InputStages(List<InputFrame> frames, double secondsAFrame, double nominalHz) {
    this.frames = frames;
    this.secondsAFrame = secondsAFrame;
    this.nominalHz = nominalHz;
    this.on = new boolean[frames.size()];
    double loudest = 0;
    for (InputFrame frame : frames) {
      ToneFrame tone = frame.tone();
      if (tone.tonal() && nearNominal(tone) && tone.amplitude() > loudest) {
        loudest = tone.amplitude();
        toneHz = tone.frequencyHz();
      }
    }
    for (int i = 0; i < on.length; i++) {
      ToneFrame tone = frames.get(i).tone();
      on[i] =
          tone.tonal() && nearNominal(tone) && tone.amplitude() >= FAINT * loudest && loudest > 0;
    }
    bridge();
    split();
  }

  private boolean nearNominal(ToneFrame tone) {
    return Math.abs(tone.frequencyHz() / nominalHz - 1) <= NEAR_NOMINAL;
  }

  private void bridge() {
    int off = 0;
    for (int i = 0; i < on.length; i++) {
      if (!on[i]) {
        off++;
        continue;
      }
      if (off > 0 && off <= BRIDGED_FRAMES && i > off) {
        Arrays.fill(on, i - off, i, true);
      }
      off = 0;
    }
  }

  private void split() {
    int from = 0;
    for (int i = 1; i <= on.length; i++) {
      if (i == on.length || on[i] != on[from]) {
        if (i - from >= LEAST_FRAMES) {
          stretches.add(new Stretch(on[from], from, i));
        }
        from = i;
      }
    }
  }

  boolean on(int frame) {
    return on[frame];
  }

  List<Stretch> stretches() {
    return stretches;
  }

  OptionalDouble toneHz() {
    return toneHz > 0 ? OptionalDouble.of(toneHz) : OptionalDouble.empty();
  }

  List<InputStage> stages() {
    List<InputStage> stages = new ArrayList<>();
    for (Stretch stretch : stretches) {
      double[] squares = new double[stretch.length()];
      for (int i = 0; i < squares.length; i++) {
        ToneFrame tone = frames.get(stretch.from() + i).tone();
        squares[i] =
            stretch.on()
                ? tone.amplitude() * tone.amplitude() / 2
                : tone.distortionMeanSquare()
                    + (tone.tonal() ? tone.amplitude() * tone.amplitude() / 2 : 0);
      }
      Arrays.sort(squares);
      stages.add(
          new InputStage(
              stretch.on(),
              stretch.from() * secondsAFrame,
              stretch.to() * secondsAFrame,
              Reading.ofFinite(
                  LevelUnit.FULL_SCALE.levelOf(squares[squares.length / 2]), "digital silence")));
    }
    return stages;
  }

  /** What a decision lacks, with the next step. */
  Optional<String> missing() {
    int tones = 0;
    double quiet = 0;
    boolean after = false;
    for (Stretch stretch : stretches) {
      if (stretch.on()) {
        tones += stretch.length() * secondsAFrame >= LEAST_ON_S ? 1 : 0;
        after = true;
      } else if (after) {
        quiet = Math.max(quiet, stretch.length() * secondsAFrame);
      }
    }
    if (tones >= 2 && quiet >= LEAST_QUIET_S) {
      return Optional.empty();
    }
    return Optional.of(
        String.format(
            Locale.ROOT,
            "It holds %d stretches of the calibrator's tone (2 of at least %.0f s are needed) and"
                + " %.1f s of quiet after it (%.0f s are needed); record the calibrator on, off, on"
                + " again without moving it, and off, 5 s each.",
            tones,
            LEAST_ON_S,
            quiet,
            LEAST_QUIET_S));
  }
}
