package org.whinograph.report.chart;

import java.awt.Color;
import java.awt.Font;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/**
 * Labels at the right ends of lines, moved apart where lines end close together, each tied to its
 * line's end by a fine rule.
 */
final class EndLabels {
  private static final double GAP = 15.0;

  private record Label(String text, Color colour, Font font, double x, double y) {}

  private final List<Label> labels = new ArrayList<>();

  /** Adds the label of a line that ends at a point. */
  void add(String text, Color colour, Font font, double x, double y) {
    labels.add(new Label(text, colour, font, x, y));
  }

  /**
   * Draws the labels.
   *
   * @param pen pen
   * @param x where the labels begin [px]
   * @param room greatest width of a label [px]
   * @param top least place of a label [px]
   * @param bottom greatest place of a label [px]
   */
  void draw(Pen pen, double x, double room, double top, double bottom) {
    List<Label> sorted = labels.stream().sorted(Comparator.comparingDouble(Label::y)).toList();
    double[] places = apart(sorted.stream().mapToDouble(Label::y).toArray(), GAP, top, bottom);
    for (int i = 0; i < places.length; i++) {
      Label label = sorted.get(i);
      pen.line(label.colour(), Palette.solid(0.7f), label.x() + 1.0, label.y(), x - 3.0, places[i]);
      String text = pen.fitted(label.font(), label.text(), room);
      pen.text(label.font(), label.colour(), text, x, places[i] + 4.0, Pen.Anchor.LEFT);
    }
  }

  /**
   * Moves places apart, as little as possible.
   *
   * @param wanted places in rising order
   * @param gap least distance
   * @param low least place
   * @param high greatest place
   * @return places in rising order, at least {@code gap} apart, within the limits if they fit
   */
  static double[] apart(double[] wanted, double gap, double low, double high) {
    // Groups of touching labels, each at the mean of what its members want.
    List<double[]> groups = new ArrayList<>();
    for (double place : wanted) {
      double[] group = {1.0, place, 0.0};
      settle(group, gap, low, high);
      groups.add(group);
      while (groups.size() > 1) {
        double[] last = groups.get(groups.size() - 1);
        double[] before = groups.get(groups.size() - 2);
        if (before[2] + before[0] * gap <= last[2]) {
          break;
        }
        // Wishes are kept as those of the group's first member.
        before[1] =
            (before[0] * before[1] + last[0] * (last[1] - before[0] * gap)) / (before[0] + last[0]);
        before[0] += last[0];
        settle(before, gap, low, high);
        groups.remove(groups.size() - 1);
      }
    }
    double[] places = new double[wanted.length];
    int next = 0;
    for (double[] group : groups) {
      for (int i = 0; i < group[0]; i++) {
        places[next++] = group[2] + i * gap;
      }
    }
    return places;
  }

  private static void settle(double[] group, double gap, double low, double high) {
    group[2] = Math.max(low, Math.min(high - (group[0] - 1.0) * gap, group[1]));
  }
}
