package org.whinograph.floor;

/** What a level above a floor is worth. */
public enum Grade {
  /** The floor doesn't count. */
  MEASURED("measured"),
  /** The floor was subtracted by the formula of ISO 3744. */
  CORRECTED("corrected"),
  /** The device is at most this loud; how much quieter can't be told. */
  UPPER_BOUND("upper-bound");

  private final String label;

  Grade(String label) {
    this.label = label;
  }

  /**
   * The grade as files spell it.
   *
   * @return "measured", "corrected" or "upper-bound"
   */
  public String label() {
    return label;
  }
}
