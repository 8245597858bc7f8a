package org.whinograph.verification;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/**
 * A table of the verification report that the build writes: {@code target/verification/<name>.md}.
 * A test fills it with what it measured beside what the publication says, then saves it before it
 * asserts, so that a failure leaves its figures behind.
 */
public final class VerificationReport {
  private static final Path FOLDER = Path.of("target", "verification");

  private final String name;
  private final String title;
  private final String source;
  private final List<String> columns;
  private final List<String> lines = new ArrayList<>();

  /**
   * Starts a table.
   *
   * @param name file name without ending, lower case with hyphens
   * @param title heading
   * @param source document, edition and clause that the figures are checked against
   * @param columns column names with units
   */
  public VerificationReport(String name, String title, String source, String... columns) {
    this.name = name;
    this.title = title;
    this.source = source;
    this.columns = List.of(columns);
  }

  /** Adds a row; doubles are printed with six significant digits. */
  public void row(Object... cells) {
    if (cells.length != columns.size()) {
      throw new IllegalArgumentException(
          "cells: " + columns.size() + " as the columns, got " + cells.length);
    }
    StringBuilder line = new StringBuilder("|");
    for (Object cell : cells) {
      String text =
          cell instanceof Double d ? String.format(Locale.ROOT, "%.6g", d) : String.valueOf(cell);
      line.append(' ').append(text).append(" |");
    }
    lines.add(line.toString());
  }

  /** Writes the file, replacing an older one. */
  public void save() {
    StringBuilder text = new StringBuilder();
    text.append("## ").append(title).append("\n\nChecked against: ").append(source).append("\n\n");
    text.append("| ").append(String.join(" | ", columns)).append(" |\n");
    text.append("|").append(" --- |".repeat(columns.size())).append('\n');
    lines.forEach(line -> text.append(line).append('\n'));
    try {
      Files.createDirectories(FOLDER);
      Files.writeString(FOLDER.resolve(name + ".md"), text);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}
