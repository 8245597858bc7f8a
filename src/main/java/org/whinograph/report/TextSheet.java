package org.whinograph.report;

import java.util.ArrayList;
import java.util.List;

/**
 * Plain text for a terminal: headings, wrapped sentences and aligned tables, no line wider than
 * {@link #WIDTH}.
 *
 * <p>For use by one thread.
 */
final class TextSheet {
  /** Greatest width of a line that this class breaks [characters]. */
  static final int WIDTH = 96;

  private final StringBuilder text = new StringBuilder();

  void line(String line) {
    text.append(line.stripTrailing()).append('\n');
  }

  void blank() {
    text.append('\n');
  }

  void heading(String heading) {
    blank();
    line(heading);
  }

  /** Writes a sentence, broken between words, with the first line's indent and a deeper one. */
  void wrapped(String first, String rest, String sentence) {
    StringBuilder line = new StringBuilder(first);
    boolean empty = true;
    for (String word : sentence.strip().split(" +", -1)) {
      if (!empty && line.length() + 1 + word.length() > WIDTH) {
        line(line.toString());
        line = new StringBuilder(rest);
        empty = true;
      }
      if (!empty) {
        line.append(' ');
      }
      line.append(word);
      empty = false;
    }
    line(line.toString());
  }

  /**
   * Writes a table, each column as wide as its widest cell.
   *
   * @param indent before each line
   * @param left for each column whether it stands to the left, else to the right
   * @param rows rows of cells, the header first
   */
  void table(String indent, boolean[] left, List<String[]> rows) {
    int[] widths = new int[left.length];
    for (String[] row : rows) {
      for (int i = 0; i < row.length; i++) {
        widths[i] = Math.max(widths[i], row[i].length());
      }
    }
    for (String[] row : rows) {
      List<String> cells = new ArrayList<>();
      for (int i = 0; i < row.length; i++) {
        String space = " ".repeat(widths[i] - row[i].length());
        cells.add(left[i] ? row[i] + space : space + row[i]);
      }
      line(indent + String.join("  ", cells));
    }
  }

  @Override
  public String toString() {
    return text.toString();
  }
}
