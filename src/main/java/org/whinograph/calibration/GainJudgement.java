package org.whinograph.calibration;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.whinograph.calibration.InputStages.Stretch;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;

/** Decides from tone and noise whether the gain of an input moves. */
final class GainJudgement {
  /** Most difference of the levels of two stretches of one tone [dB]. */
  private static final double RETURN_DB = 0.3;

  /** Most fluctuation of a tone over tenths of a second, half its range [dB]. */
  private static final double STEADY_DB = ToneJudgement.STEADY_DB;

  /** Most excess of a hundredth of a second at the onset [dB]. */
  private static final double ATTACK_DB = 0.4;

  /** A calibrator that is switched on needs up to this long [frames]. */
  private static final int SWITCHING_FRAMES = 10;

  /** The floor is compared from here after the tone's end [frames]. */
  private static final int EARLY_FROM = 2;

  private static final int EARLY_TO = 7;

  /** Shortest quiet stretch whose floor is compared [frames]. */
  private static final int LEAST_QUIET = 25;

  /** The floor sinks if it does so by this in each of several stretches [dB]. */
  private static final double SINKS_DB = 3;

  /** The floor rises likewise; handling noise makes it sink, nothing but a gain makes it rise. */
  private static final double RISES_DB = 1.2;

  /** In the only stretch it must move by this many times as much. */
  private static final double ONLY_ONCE = 2;

  /** A floor that is this much lower without the tone than with it was turned down [dB]. */
  private static final double GATED_DB = 20;

  /** Steady noise has 2.51 dB; a room's noises bring it up to this [dB]. */
  private static final double SCATTER_DB = 2.65;

  /**
   * The hiss rises if it does so by this on average over several stretches [dB]: with a thousand
   * lines a frame, chance moves it by a tenth of a decibel.
   */
  private static final double HISS_RISES_DB = 0.42;

  /** And by this in each of them [dB]. */
  private static final double HISS_LEAST_DB = 0.25;

  private final List<InputFrame> frames;
  private final double secondsAFrame;
  private final InputStages stages;
  private final Map<String, InputFigure> figures = new LinkedHashMap<>();

  GainJudgement(List<InputFrame> frames, double secondsAFrame, InputStages stages) {
    this.frames = frames;
    this.secondsAFrame = secondsAFrame;
    this.stages = stages;
  }

  Optional<InputFinding> automaticGain() {
    InputFinding worst = null;
    List<double[]> returns = new ArrayList<>();
    for (Stretch stretch : stages.stretches()) {
      if (!stretch.on()) {
        continue;
      }
      worst = worse(worst, ride(stretch));
      worst = worse(worst, attack(stretch));
      if (stretch.length() >= 2 * SWITCHING_FRAMES) {
        returns.add(new double[] {stretch.from() * secondsAFrame, settledDb(stretch)});
      }
    }
    worst = worse(worst, unequalReturn(returns));
    worst = worse(worst, movedFloor(false));
    worst = worse(worst, risingHiss());
    return Optional.ofNullable(worst);
  }

  Optional<InputFinding> noiseSuppression(InputSpectra spectra) {
    InputFinding worst = movedFloor(true);
    worst = worse(worst, gatedFloor());
    if (spectra.count() >= 20) {
      double scatter = spectra.scatterDb();
      figure("line-scatter", "scatter of the noise's lines", scatter, SCATTER_DB);
      if (scatter > SCATTER_DB) {
        worst =
            worse(
                worst,
                new InputFinding(
                    InputFinding.Kind.NOISE_SUPPRESSION,
                    String.format(
                        Locale.ROOT,
                        "the noise has holes, its lines scatter by %.1f dB where steady noise has 2.5"
                            + " dB",
                        scatter),
                    Reading.of(2.51 - scatter)));
      }
    }
    return Optional.ofNullable(worst);
  }

  /** What was measured so far, found or not. */
  List<InputFigure> figures() {
    return List.copyOf(figures.values());
  }

  /** Keeps a figure; of several stretches the greatest counts. */
  private void figure(String id, String meaning, double value, double limit) {
    InputFigure before = figures.get(id);
    if (Double.isFinite(value) && (before == null || value > before.value().value())) {
      figures.put(id, new InputFigure(id, meaning, Reading.of(value), limit));
    }
  }

  private static InputFinding worse(InputFinding one, InputFinding other) {
    if (one == null || other == null) {
      return one == null ? other : one;
    }
    return Math.abs(other.effect().value()) > Math.abs(one.effect().value()) ? other : one;
  }

  private static InputFinding gain(double effectDb, String pattern, Object... values) {
    return new InputFinding(
        InputFinding.Kind.AUTOMATIC_GAIN,
        String.format(Locale.ROOT, pattern, values),
        Reading.of(effectDb));
  }

  /** The level of a tone must stay: from its onset, or from when a calibrator has come up. */
  private InputFinding ride(Stretch stretch) {
    double settled = settledDb(stretch);
    int from = stretch.from() + 1;
    int rising = from;
    while (rising < stretch.to() - 1
        && rising - from < SWITCHING_FRAMES
        && levelDb(rising) < settled - STEADY_DB) {
      rising++;
    }
    double highest = Double.NEGATIVE_INFINITY;
    double lowest = Double.POSITIVE_INFINITY;
    int highestAt = 0;
    int lowestAt = 0;
    int falling = stretch.to() - 1;
    while (falling > rising + 1
        && stretch.to() - 1 - falling < SWITCHING_FRAMES
        && levelDb(falling - 1) < settled - STEADY_DB) {
      falling--;
    }
    for (int i = rising; i < falling; i++) {
      if (disturbed(i)) {
        continue;
      }
      double level = levelDb(i);
      if (level > highest) {
        highest = level;
        highestAt = i;
      }
      if (level < lowest) {
        lowest = level;
        lowestAt = i;
      }
    }
    double range = highest - lowest;
    figure("tone-movement", "range of the tone's level while it is on", range, 2 * STEADY_DB);
    if (!(range > 2 * STEADY_DB)) {
      return null;
    }
    return gain(
        range,
        "the tone's level moves by %.2f dB, from %.2f dB at %.1f s to %.2f dB at %.1f s",
        range,
        highestAt < lowestAt ? highest : lowest,
        Math.min(highestAt, lowestAt) * secondsAFrame,
        highestAt < lowestAt ? lowest : highest,
        Math.max(highestAt, lowestAt) * secondsAFrame);
  }

  /** A fast gain control lets the first hundredths of a second through. */
  private InputFinding attack(Stretch stretch) {
    double settled = settledDb(stretch);
    double most = 0;
    for (int i = stretch.from(); i < Math.min(stretch.from() + 3, stretch.to()); i++) {
      ToneFrame tone = frames.get(i).tone();
      for (int k = 0; k < ToneFrame.PIECES; k++) {
        double square = tone.pieceAmplitude()[k] * tone.pieceAmplitude()[k] / 2;
        if (square > 0 && tone.pieceResidual()[k] < 0.01 * square) {
          most = Math.max(most, LevelUnit.FULL_SCALE.levelOf(square) - settled);
        }
      }
    }
    figure("tone-onset", "excess of the tone's level at its onset", most, ATTACK_DB);
    if (most <= ATTACK_DB) {
      return null;
    }
    return gain(
        most,
        "the tone comes in %.2f dB too loud at %.1f s and is then held down",
        most,
        stretch.from() * secondsAFrame);
  }

  private InputFinding unequalReturn(List<double[]> returns) {
    double[] highest = null;
    double[] lowest = null;
    for (double[] one : returns) {
      highest = highest == null || one[1] > highest[1] ? one : highest;
      lowest = lowest == null || one[1] < lowest[1] ? one : lowest;
    }
    if (returns.size() > 1) {
      figure(
          "tone-return",
          "difference of the tone's levels from stage to stage",
          highest[1] - lowest[1],
          RETURN_DB);
    }
    if (highest == null || highest[1] - lowest[1] <= RETURN_DB) {
      return null;
    }
    return gain(
        highest[1] - lowest[1],
        "the tone comes back %.2f dB different, %.2f dB at %.1f s and %.2f dB at %.1f s",
        highest[1] - lowest[1],
        highest[1],
        highest[0],
        lowest[1],
        lowest[0]);
  }

  /**
   * The floor after the tone must stay where it is: it sinks under suppression, rises under gain.
   */
  private InputFinding movedFloor(boolean down) {
    double least = Double.POSITIVE_INFINITY;
    int count = 0;
    double atS = 0;
    double from = 0;
    double to = 0;
    boolean after = false;
    for (Stretch stretch : stages.stretches()) {
      if (stretch.on()) {
        after = true;
        continue;
      }
      if (!after || stretch.length() < LEAST_QUIET) {
        continue;
      }
      double early = floorDb(stretch.from() + EARLY_FROM, stretch.from() + EARLY_TO);
      double late = floorDb(stretch.to() - 1 - stretch.length() / 3, stretch.to() - 1);
      double moved = down ? early - late : late - early;
      count++;
      if (moved < least) {
        least = moved;
        atS = stretch.from() * secondsAFrame;
        from = early;
        to = late;
      }
    }
    double limit = (down ? SINKS_DB : RISES_DB) * (count == 1 ? ONLY_ONCE : 1);
    figure(
        down ? "floor-sinking" : "floor-rising",
        "by how much the noise " + (down ? "sinks" : "rises") + " each time after the tone",
        least,
        limit);
    if (count == 0 || least < limit) {
      return null;
    }
    return new InputFinding(
        down ? InputFinding.Kind.NOISE_SUPPRESSION : InputFinding.Kind.AUTOMATIC_GAIN,
        String.format(
            Locale.ROOT,
            "after the tone at %.1f s the noise %s by %.1f dB, from %.1f dB to %.1f dB a line, each"
                + " time",
            atS,
            down ? "sinks" : "rises",
            least,
            from,
            to),
        Reading.of(down ? -least : least));
  }

  /**
   * A gain that the tone held down comes back within a second or some, and brings up a microphone's
   * own noise, which nothing else moves.
   */
  private InputFinding risingHiss() {
    double sum = 0;
    double least = Double.POSITIVE_INFINITY;
    int count = 0;
    boolean after = false;
    for (Stretch stretch : stages.stretches()) {
      if (stretch.on()) {
        after = true;
      } else if (after && stretch.length() >= LEAST_QUIET) {
        double rise =
            hissDb(stretch.to() - 1 - stretch.length() / 3, stretch.to() - 1)
                - hissDb(stretch.from() + EARLY_FROM, stretch.from() + EARLY_TO);
        sum += rise;
        least = Math.min(least, rise);
        count++;
      }
    }
    if (count < 2) {
      return null;
    }
    double mean = sum / count;
    figure("hiss-rising", "by how much the hiss rises after the tone", mean, HISS_RISES_DB);
    if (mean <= HISS_RISES_DB || least < HISS_LEAST_DB) {
      return null;
    }
    return gain(
        mean,
        "after the tone the hiss above 3.8 kHz rises by %.2f dB, each of %d times by %.2f dB or more",
        mean,
        count,
        least);
  }

  /** Noise that is there with the tone and gone without it was gated. */
  private InputFinding gatedFloor() {
    List<Double> with = new ArrayList<>();
    List<Double> without = new ArrayList<>();
    for (Stretch stretch : stages.stretches()) {
      for (int i = stretch.from() + EARLY_FROM; i < stretch.to() - EARLY_FROM; i++) {
        (stretch.on() ? with : without).add((double) frames.get(i).floorDb());
      }
    }
    if (with.size() < 10 || without.size() < 10) {
      return null;
    }
    double difference = median(with) - median(without);
    figure(
        "floor-gated",
        "by how much the noise is lower with the tone off than on",
        difference,
        GATED_DB);
    if (difference < GATED_DB) {
      return null;
    }
    return new InputFinding(
        InputFinding.Kind.NOISE_SUPPRESSION,
        String.format(
            Locale.ROOT,
            "noise between the tone's harmonics is %.1f dB higher while the tone is on than while it"
                + " is off",
            difference),
        Reading.of(-difference));
  }

  /** Level of a tone over the middle half of its stretch, which switching doesn't reach. */
  private double settledDb(Stretch stretch) {
    int from = stretch.from() + stretch.length() / 4;
    double[] levels = new double[Math.max(1, stretch.length() / 2)];
    for (int i = 0; i < levels.length; i++) {
      levels[i] = levelDb(from + i);
    }
    Arrays.sort(levels);
    return levels[levels.length / 2];
  }

  private double levelDb(int frame) {
    return frames.get(frame).tone().levelDb();
  }

  /** Whether a knock or an interruption spoils the level of a frame. */
  private boolean disturbed(int frame) {
    ToneFrame tone = frames.get(frame).tone();
    for (float residual : tone.pieceResidual()) {
      if (residual > 0.01 * tone.amplitude() * tone.amplitude() / 2) {
        return true;
      }
    }
    return !tone.tonal();
  }

  private double floorDb(int from, int to) {
    return median(frames.subList(from, to).stream().map(f -> (double) f.floorDb()).toList());
  }

  private double hissDb(int from, int to) {
    return median(frames.subList(from, to).stream().map(f -> (double) f.hissDb()).toList());
  }

  private static double median(List<Double> values) {
    double[] sorted = values.stream().mapToDouble(Double::doubleValue).sorted().toArray();
    return sorted[sorted.length / 2];
  }
}
