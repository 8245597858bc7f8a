package org.whinograph.speed.order;

/** Where a tone comes from. */
public enum Cause {
  /** An order of the shaft: imbalance of the rotor, or blades that aren't alike. */
  SHAFT("shaft"),
  /** Blades passing, and their harmonics. */
  BLADE_PASS("blade-pass"),
  /** Poles and slots of the motor. */
  MOTOR("motor"),
  /** A frequency of its own, whatever the fan does: electronics, as a rule. */
  FIXED("fixed"),
  /** The supply of 50 or 60 Hz and its multiples. */
  MAINS("mains"),
  /** The switching frequency of the motor's drive, or a sideband of it. */
  DRIVE("drive"),
  /** The case or the duct, which an order excites on its way. */
  RESONANCE("resonance"),
  /** Moves or comes and goes on its own while the speed doesn't: a coil that follows the load. */
  LOAD("load"),
  /** An order of another fan. */
  SECOND_FAN("second-fan"),
  /** The evidence doesn't say. */
  UNKNOWN("unknown");

  private final String label;

  Cause(String label) {
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

  /**
   * Whether such a tone turns with the fan that the speed is known of.
   *
   * @return true for orders of its shaft
   */
  public boolean turnsWithTheFan() {
    return this == SHAFT || this == BLADE_PASS || this == MOTOR;
  }
}
