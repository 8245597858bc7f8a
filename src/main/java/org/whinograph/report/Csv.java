package org.whinograph.report;

import java.io.IOException;
import java.io.OutputStream;
import java.io.OutputStreamWriter;
import java.io.Writer;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.nio.charset.StandardCharsets;

/**
 * Tables as RFC 4180 says (clause 2): comma, CRLF after every record, quotes round a field that
 * holds a comma, a quote or a line break, one header record. UTF-8 without a byte order mark,
 * decimal point, no exponents.
 */
final class Csv {
  private Csv() {}

  static void write(Table table, OutputStream out) throws IOException {
    Writer writer = new OutputStreamWriter(out, StandardCharsets.UTF_8);
    StringBuilder line = new StringBuilder();
    for (int i = 0; i < table.columns().size(); i++) {
      line.append(i == 0 ? "" : ",").append(quoted(table.columns().get(i).name()));
    }
    writer.append(line).append("\r\n");
    for (Object[] row : table.rows()) {
      line.setLength(0);
      for (int i = 0; i < row.length; i++) {
        line.append(i == 0 ? "" : ",").append(field(row[i], table.columns().get(i).decimals()));
      }
      writer.append(line).append("\r\n");
    }
    writer.flush();
  }

  private static String field(Object cell, int decimals) {
    if (cell == null) {
      return "";
    }
    if (cell instanceof Double number) {
      BigDecimal rounded = BigDecimal.valueOf(number).setScale(decimals, RoundingMode.HALF_EVEN);
      return rounded.toPlainString();
    }
    return quoted(cell.toString());
  }

  private static String quoted(String text) {
    boolean plain = text.chars().noneMatch(c -> c == ',' || c == '"' || c == '\r' || c == '\n');
    return plain ? text : '"' + text.replace("\"", "\"\"") + '"';
  }
}
