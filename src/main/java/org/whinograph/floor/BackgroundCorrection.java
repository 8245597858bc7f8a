package org.whinograph.floor;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.band.BandLevel;
import org.whinograph.band.BandResult;
import org.whinograph.level.LevelResult;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;

/**
 * Correction for background noise, K1, within the limits of ISO 3744:2010, 8.2.3 (clause and limits
 * from memory): with ΔL the level with the device minus the level without,
 *
 * <ul>
 *   <li>ΔL &gt; 15 dB: K1 = 0, the level stands as measured;
 *   <li>6 dB ≤ ΔL ≤ 15 dB: K1 = −10 lg(1 − 10^(−0.1 ΔL)) is subtracted;
 *   <li>ΔL &lt; 6 dB: K1 stays at its value for 6 dB, 1.26 dB, and the result is an upper bound.
 * </ul>
 *
 * <p>A floor that is unsteady allows no correction: the level as measured is then an upper bound
 * wherever K1 wouldn't be 0.
 */
public final class BackgroundCorrection {
  /** Above this difference nothing is corrected [dB]. */
  public static final double NO_CORRECTION_DB = 15.0;

  /** Below this difference there is only an upper bound [dB]. */
  public static final double UPPER_BOUND_DB = 6.0;

  private BackgroundCorrection() {}

  /**
   * The correction by its formula, within its limits.
   *
   * @param differenceDb level with the device minus level without [dB]
   * @return K1 [dB], 0 to 1.26
   */
  public static double k1(double differenceDb) {
    if (differenceDb > NO_CORRECTION_DB) {
      return 0;
    }
    double held = Math.max(UPPER_BOUND_DB, differenceDb);
    return -Decibels.ofEnergyRatio(1 - Decibels.toEnergyRatio(-held));
  }

  /**
   * Grades the levels of a recording.
   *
   * @param floor what lies beneath it, in the same unit
   * @param levels its levels
   * @param bands its band levels
   * @return each one-third octave and the A-weighted level with its grade
   */
  public static GradedLevels grade(FloorMap floor, LevelResult levels, BandResult bands) {
    List<GradedLevel> thirds = new ArrayList<>();
    int bounds = 0;
    for (int i = 0; i < bands.thirdOctaves().size(); i++) {
      BandLevel band = bands.thirdOctaves().get(i);
      GradedLevel graded =
          grade(band.nominalHz(), band.midbandHz(), band.level(), floor.thirdOctaves().get(i));
      bounds += graded.grade() == Grade.UPPER_BOUND ? 1 : 0;
      thirds.add(graded);
    }
    GradedLevel laeq = grade(0, 0, levels.laeq(), floor.aWeighted());
    List<Warning> warnings = new ArrayList<>(floor.warnings());
    if (bounds > 0 || laeq.grade() == Grade.UPPER_BOUND) {
      warnings.add(
          new Warning(
              "upper-bound-levels",
              (laeq.grade() == Grade.UPPER_BOUND ? "The A-weighted level" : "")
                  + (laeq.grade() == Grade.UPPER_BOUND && bounds > 0 ? " and " : "")
                  + (bounds > 0 ? bounds + " one-third octaves" : "")
                  + " lie less than 6 dB above the floor or above an unsteady one: the device is at"
                  + " most as loud as stated there; a quieter place or a smaller distance would"
                  + " tell more."));
    }
    return new GradedLevels(thirds, laeq, warnings);
  }

  private static GradedLevel grade(
      double nominalHz, double midbandHz, Reading level, FloorBand floor) {
    Reading background = floor.highest();
    if (!level.known() || !background.known()) {
      return new GradedLevel(
          nominalHz,
          midbandHz,
          level,
          background,
          Reading.unknown(level.known() ? background.reason() : level.reason()),
          null);
    }
    double difference = level.value() - background.value();
    if (difference > NO_CORRECTION_DB) {
      return new GradedLevel(nominalHz, midbandHz, level, background, level, Grade.MEASURED);
    }
    boolean correct = floor.steady();
    Reading corrected = correct ? Reading.of(level.value() - k1(difference)) : level;
    Grade grade = correct && difference >= UPPER_BOUND_DB ? Grade.CORRECTED : Grade.UPPER_BOUND;
    return new GradedLevel(nominalHz, midbandHz, level, background, corrected, grade);
  }
}
