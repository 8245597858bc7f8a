package org.whinograph.report;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import org.whinograph.quantity.Reading;

/**
 * One table, the same for CSV and workbook. Cells are {@link Double}, {@link Long}, {@link
 * Boolean}, {@link String} or null, which is an empty cell: unknown.
 *
 * <p>For use by one thread.
 */
final class Table {
  /**
   * A column.
   *
   * @param name header, with the unit in it
   * @param decimals digits after the point of its doubles in CSV
   */
  record Column(String name, int decimals) {
    static Column text(String name) {
      return new Column(name, 0);
    }

    static Column db(String name) {
      return new Column(name, 4);
    }

    static Column hz(String name) {
      return new Column(name, 6);
    }
  }

  private final String name;
  private final String title;
  private final List<Column> columns;
  private final List<Object[]> rows = new ArrayList<>();

  /**
   * Starts a table.
   *
   * @param name name of the CSV file without ending
   * @param title name of the sheet
   * @param columns columns
   */
  Table(String name, String title, List<Column> columns) {
    this.name = name;
    this.title = title;
    this.columns = List.copyOf(columns);
  }

  /**
   * Adds a row.
   *
   * @param cells cells; a {@link Reading} or a double that isn't known becomes an empty one
   */
  void row(Object... cells) {
    if (cells.length != columns.size()) {
      throw new IllegalArgumentException(
          "cells: " + columns.size() + " as the columns, got " + cells.length);
    }
    Object[] row = new Object[cells.length];
    for (int i = 0; i < cells.length; i++) {
      row[i] = cell(cells[i]);
    }
    rows.add(row);
  }

  private static Object cell(Object value) {
    if (value instanceof Reading reading) {
      return reading.orNull();
    }
    if (value instanceof Double number && !Double.isFinite(number)) {
      return null;
    }
    if (value instanceof Integer number) {
      return Long.valueOf(number);
    }
    return value;
  }

  /** The same with one more column that says one thing in every row. */
  Table with(Column column, String cell) {
    List<Column> more = new ArrayList<>(columns);
    more.add(column);
    Table table = new Table(name, title, more);
    for (Object[] row : rows) {
      Object[] longer = Arrays.copyOf(row, row.length + 1);
      longer[row.length] = cell;
      table.rows.add(longer);
    }
    return table;
  }

  String name() {
    return name;
  }

  String title() {
    return title;
  }

  List<Column> columns() {
    return columns;
  }

  List<Object[]> rows() {
    return Collections.unmodifiableList(rows);
  }
}
