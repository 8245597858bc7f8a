package org.whinograph.quantity;

/**
 * What a level is relative to. Samples travel as pascals once calibrated, else as parts of full
 * scale; the unit fixes the mean square that reads 0 dB.
 */
public enum LevelUnit {
  /** Sound pressure level re 20 µPa (ISO 1683:2015, table 1: sound in gases). */
  SOUND_PRESSURE("dB re 20 uPa", 20e-6 * 20e-6, true),
  /**
   * Level re full scale, in which a full-scale sine has an rms level of 0 dB (the convention of IEC
   * 61606-3:2008 and AES17-2020, clause 3): mean square 1/2 reads 0 dB.
   */
  FULL_SCALE("dB re full scale", 0.5, false);

  private final String label;
  private final double referenceMeanSquare;
  private final boolean calibrated;

  LevelUnit(String label, double referenceMeanSquare, boolean calibrated) {
    this.label = label;
    this.referenceMeanSquare = referenceMeanSquare;
    this.calibrated = calibrated;
  }

  /**
   * The unit as files and reports spell it.
   *
   * @return "dB re 20 uPa" or "dB re full scale"
   */
  public String label() {
    return label;
  }

  /**
   * The mean square that reads 0 dB.
   *
   * @return reference [Pa² if calibrated, else (full scale)²]
   */
  public double referenceMeanSquare() {
    return referenceMeanSquare;
  }

  /**
   * Whether levels in this unit are sound pressure levels.
   *
   * @return true for {@link #SOUND_PRESSURE}
   */
  public boolean calibrated() {
    return calibrated;
  }

  /**
   * Level of a mean square.
   *
   * @param meanSquare mean square of the samples [Pa² or (full scale)²], at least 0
   * @return level [dB in this unit]; negative infinity for 0
   */
  public double levelOf(double meanSquare) {
    return Decibels.ofEnergyRatio(meanSquare / referenceMeanSquare);
  }

  /**
   * Mean square of a level: the inverse of {@link #levelOf}.
   *
   * @param level level [dB in this unit]
   * @return mean square [Pa² or (full scale)²]
   */
  public double meanSquareOf(double level) {
    return Decibels.toEnergyRatio(level) * referenceMeanSquare;
  }
}
