package org.whinograph.floor;

/** What can lie beneath a measurement. */
public enum FloorPart {
  /** Background at the place of the measurement. */
  BACKGROUND("background"),
  /** The microphone's own noise. */
  SELF_NOISE("microphone self-noise"),
  /** Rounding of the samples. */
  QUANTISATION("quantisation");

  private final String label;

  FloorPart(String label) {
    this.label = label;
  }

  /**
   * The name as reports spell it.
   *
   * @return a few words, lower case
   */
  public String label() {
    return label;
  }
}
