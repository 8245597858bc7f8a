package org.whinograph.verification;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * A table of published figures under {@code src/test/resources/reference}. Its leading comment
 * lines name the document, the table, the edition, and how each figure was come by.
 */
public final class ReferenceTable {
  private final List<Map<String, String>> rows = new ArrayList<>();

  private ReferenceTable() {}

  /** Reads {@code reference/<path>}, such as {@code iec61672-1/weightings.csv}. */
  public static ReferenceTable read(String path) {
    ReferenceTable table = new ReferenceTable();
    try (InputStream in = ReferenceTable.class.getResourceAsStream("/reference/" + path)) {
      if (in == null) {
        throw new IllegalArgumentException("path: no reference table " + path);
      }
      BufferedReader reader = new BufferedReader(new InputStreamReader(in, StandardCharsets.UTF_8));
      List<String> header = null;
      for (String line = reader.readLine(); line != null; line = reader.readLine()) {
        if (line.isBlank() || line.startsWith("#")) {
          continue;
        }
        List<String> cells = cells(line);
        if (header == null) {
          header = cells;
          continue;
        }
        Map<String, String> row = new LinkedHashMap<>();
        for (int i = 0; i < header.size(); i++) {
          row.put(header.get(i), i < cells.size() ? cells.get(i) : "");
        }
        table.rows.add(row);
      }
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    return table;
  }

  /** The rows, each from column name to cell. */
  public List<Map<String, String>> rows() {
    return rows;
  }

  /** A cell as a number; "inf", "+inf" and "-inf" are infinities. */
  public static double number(Map<String, String> row, String column) {
    String cell = row.get(column);
    if (cell == null) {
      throw new IllegalArgumentException("column: no " + column + " in " + row.keySet());
    }
    return switch (cell.trim()) {
      case "inf", "+inf" -> Double.POSITIVE_INFINITY;
      case "-inf" -> Double.NEGATIVE_INFINITY;
      default -> Double.parseDouble(cell.trim());
    };
  }

  private static List<String> cells(String line) {
    List<String> cells = new ArrayList<>();
    StringBuilder cell = new StringBuilder();
    boolean quoted = false;
    for (int i = 0; i < line.length(); i++) {
      char c = line.charAt(i);
      if (c == '"') {
        quoted = !quoted;
      } else if (c == ',' && !quoted) {
        cells.add(cell.toString());
        cell.setLength(0);
      } else {
        cell.append(c);
      }
    }
    cells.add(cell.toString());
    return cells;
  }
}
