package org.whinograph.rehearsal;

/** Where a line of a device comes from, in the words that results use. */
public enum LineCause {
  /** Imbalance of the rotor, or blades that aren't alike. */
  SHAFT("shaft"),
  /** Blades passing, and their harmonics. */
  BLADE_PASS("blade-pass"),
  /** Poles and slots of the motor. */
  MOTOR("motor"),
  /** Electronics at a frequency of its own. */
  FIXED("fixed"),
  /** The supply, 50 or 60 Hz and multiples. */
  MAINS("mains"),
  /** The drive's switching frequency and its sidebands. */
  DRIVE("drive"),
  /** Coils that follow the load. */
  LOAD("load"),
  /** Any order of another fan than the first. */
  SECOND_FAN("second-fan"),
  /** A sound from outside the device, such as the tone of a calibrator. */
  UNKNOWN("unknown");

  private final String label;

  LineCause(String label) {
    this.label = label;
  }

  /**
   * The word that files use.
   *
   * @return lower case with hyphens
   */
  public String label() {
    return label;
  }
}
