package org.whinograph.report.chart;

import java.util.ArrayList;
import java.util.List;

/**
 * Places for labels above the tones of a frequency axis, in a few rows, so that none covers
 * another; those asked for first are served first.
 */
final class ToneLabels {
  private static final double SPACE = 8.0;

  private record Taken(double from, double to) {}

  private final List<List<Taken>> rows = new ArrayList<>();
  private final double left;
  private final double right;

  ToneLabels(int rows, double left, double right) {
    for (int i = 0; i < rows; i++) {
      this.rows.add(new ArrayList<>());
    }
    this.left = left;
    this.right = right;
  }

  /** Where a label goes: its middle [px] and its row, 0 the lowest; row −1 if there is no room. */
  record Place(double x, int row) {}

  Place place(double x, double width) {
    double middle = Math.max(left + width / 2.0, Math.min(right - width / 2.0, x));
    double from = middle - width / 2.0 - SPACE / 2.0;
    double to = middle + width / 2.0 + SPACE / 2.0;
    for (int row = 0; row < rows.size(); row++) {
      List<Taken> taken = rows.get(row);
      if (taken.stream().noneMatch(other -> other.from() < to && from < other.to())) {
        taken.add(new Taken(from, to));
        return new Place(middle, row);
      }
    }
    return new Place(middle, -1);
  }
}
