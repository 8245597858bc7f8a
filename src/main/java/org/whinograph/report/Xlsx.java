package org.whinograph.report;

import java.io.IOException;
import java.io.OutputStream;
import java.util.List;
import org.dhatim.fastexcel.Workbook;
import org.dhatim.fastexcel.Worksheet;

/** Tables as one workbook: a sheet a table, numbers as numbers, headers that stay in sight. */
final class Xlsx {
  private static final double MIN_WIDTH = 10.0;
  private static final double MAX_WIDTH = 60.0;

  private Xlsx() {}

  static void write(List<Table> tables, OutputStream out) throws IOException {
    Workbook workbook = new Workbook(out, "Whinograph", null);
    for (Table table : tables) {
      Worksheet sheet = workbook.newWorksheet(table.title());
      for (int column = 0; column < table.columns().size(); column++) {
        String header = table.columns().get(column).name();
        sheet.value(0, column, header);
        sheet.style(0, column).bold().set();
        sheet.width(column, width(table, column));
      }
      sheet.freezePane(0, 1);
      int line = 1;
      for (Object[] row : table.rows()) {
        for (int column = 0; column < row.length; column++) {
          cell(sheet, line, column, row[column]);
        }
        line++;
      }
      sheet.finish();
    }
    workbook.finish();
  }

  private static double width(Table table, int column) {
    int longest = table.columns().get(column).name().length();
    for (Object[] row : table.rows()) {
      if (row[column] instanceof String text) {
        longest = Math.max(longest, text.length());
      }
    }
    return Math.min(MAX_WIDTH, Math.max(MIN_WIDTH, longest + 2.0));
  }

  private static void cell(Worksheet sheet, int row, int column, Object cell) {
    if (cell instanceof Number number) {
      sheet.value(row, column, number);
    } else if (cell instanceof Boolean flag) {
      sheet.value(row, column, flag);
    } else if (cell instanceof String text) {
      sheet.value(row, column, text);
    }
  }
}
