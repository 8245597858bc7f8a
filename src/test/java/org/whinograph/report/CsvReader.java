package org.whinograph.report;

import java.util.ArrayList;
import java.util.List;

/** Reads CSV by the grammar of RFC 4180, clause 2, written apart from the code under test. */
public final class CsvReader {
  private CsvReader() {}

  /** All records, the header first. */
  public static List<List<String>> read(String text) {
    List<List<String>> records = new ArrayList<>();
    List<String> record = new ArrayList<>();
    StringBuilder field = new StringBuilder();
    boolean quoted = false;
    for (int i = 0; i < text.length(); i++) {
      char c = text.charAt(i);
      if (quoted) {
        if (c == '"' && i + 1 < text.length() && text.charAt(i + 1) == '"') {
          field.append('"');
          i++;
        } else if (c == '"') {
          quoted = false;
        } else {
          field.append(c);
        }
      } else if (c == '"' && field.length() == 0) {
        quoted = true;
      } else if (c == ',') {
        record.add(field.toString());
        field.setLength(0);
      } else if (c == '\r' && text.charAt(i + 1) == '\n') {
        record.add(field.toString());
        field.setLength(0);
        records.add(record);
        record = new ArrayList<>();
        i++;
      } else if (c == '"' || c == '\n') {
        throw new IllegalArgumentException("text: stray character at " + i);
      } else {
        field.append(c);
      }
    }
    if (quoted || field.length() > 0 || !record.isEmpty()) {
      throw new IllegalArgumentException("text: the last record is not ended");
    }
    return records;
  }
}
