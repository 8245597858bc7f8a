package org.whinograph.report.chart;

import java.awt.BasicStroke;
import java.awt.Color;
import java.util.List;

/**
 * Ink on paper. Text keeps a contrast of at least 4.5 to the paper and lines at least 3 (WCAG 2.1,
 * success criteria 1.4.3 and 1.4.11). Devices differ by dash first; their colours were chosen to
 * stay apart under the three usual kinds of colour blindness.
 */
final class Palette {
  static final Color PAPER = new Color(0xFBF9F4);
  static final Color INK = new Color(0x1E1C1A);

  /** Secondary text. */
  static final Color PALE_INK = new Color(0x5E5A54);

  /** Grid lines, which carry no value of their own. */
  static final Color RULE = new Color(0xE2DDD3);

  /** Fill beneath a line. */
  static final Color SHADE = new Color(0xECE7DC);

  /** What turns with the fan. */
  static final Color EMBER = new Color(0xB23A0E);

  /** The interval about what turns with the fan. */
  static final Color EMBER_SHADE = new Color(0xF1CDB8);

  /** What doesn't turn with the fan. */
  static final Color SLATE = new Color(0x3B5B7E);

  /** The device that one compares with. */
  static final Color MOSS = new Color(0x4F6B22);

  private static final List<Color> DEVICES = List.of(INK, new Color(0x1674B0), new Color(0x8C2F6B));

  private static final float[][] DASHES = {
    {9f, 4f}, {2f, 3f}, {9f, 3f, 2f, 3f}, {16f, 5f}, {9f, 3f, 2f, 3f, 2f, 3f}
  };

  private Palette() {}

  /**
   * Colour of a device in a comparison.
   *
   * @param place 0 for the device that one compares with, from 1 for the others
   */
  static Color device(int place) {
    return place == 0 ? MOSS : DEVICES.get((place - 1) % DEVICES.size());
  }

  /** Line of a device: solid for the one that one compares with, else dashed. */
  static BasicStroke deviceLine(int place, float width) {
    return place == 0 ? solid(width) : dashed(width, DASHES[(place - 1) % DASHES.length]);
  }

  static BasicStroke solid(float width) {
    return new BasicStroke(width, BasicStroke.CAP_BUTT, BasicStroke.JOIN_MITER, 4f);
  }

  static BasicStroke dashed(float width, float... dash) {
    return new BasicStroke(width, BasicStroke.CAP_BUTT, BasicStroke.JOIN_MITER, 4f, dash, 0f);
  }
}
