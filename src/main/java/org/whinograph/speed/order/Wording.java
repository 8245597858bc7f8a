package org.whinograph.speed.order;

import java.util.Locale;

/** Figures in sentences, the same in every country. */
final class Wording {
  private Wording() {}

  /** A text with values, after {@link String#format(Locale, String, Object...)}. */
  static String format(String text, Object... values) {
    return String.format(Locale.ROOT, text, values);
  }

  /** A part of 1 as per cent. */
  static String percent(double part) {
    double value = 100.0 * part;
    return format(value < 0.1 ? "%.3f %%" : value < 10.0 ? "%.1f %%" : "%.0f %%", value);
  }
}
