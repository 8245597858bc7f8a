package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;

/**
 * Orders that a motor can make: cogging pulls as often in a turn as the least common multiple of
 * stator slots and magnet poles says, such as 24 in a published example of the anatomy of a fan's
 * tones (seven blades at 2400 1/min: 280, 560, 840 and 960 Hz). The slots and poles of small motors
 * listed here are common practice, no source.
 */
final class MotorOrders {
  private static final int[] SLOTS = {3, 6, 9, 12};
  private static final int[] POLES = {2, 4, 6, 8, 10, 12};

  /** Below it, plain orders of an uneven rotor are as likely. */
  private static final int LEAST = 6;

  private MotorOrders() {}

  /** Slots and poles whose least common multiple an order is, as words; empty if there are none. */
  static List<String> pairs(int order) {
    List<String> result = new ArrayList<>();
    if (order < LEAST) {
      return result;
    }
    for (int slots : SLOTS) {
      for (int poles : POLES) {
        int multiple = slots;
        while (multiple % poles != 0) {
          multiple += slots;
        }
        if (multiple == order) {
          result.add(slots + " slots and " + poles + " poles");
        }
      }
    }
    return result;
  }
}
