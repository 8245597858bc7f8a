package org.whinograph.report;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.zip.ZipEntry;
import java.util.zip.ZipFile;
import javax.xml.parsers.DocumentBuilderFactory;
import org.w3c.dom.Document;
import org.w3c.dom.Element;
import org.w3c.dom.NodeList;

/** Reads a workbook as what it is: a zip of XML (ECMA-376, part 1, clause 18). */
public final class XlsxReader {
  private XlsxReader() {}

  /** One sheet: cells by their reference, such as B2. */
  public static final class Sheet {
    private final Map<String, Double> numbers = new HashMap<>();
    private final Map<String, String> texts = new HashMap<>();

    /** A numeric cell. */
    public double number(String cell) {
      return numbers.get(cell);
    }

    /** A text cell. */
    public String text(String cell) {
      return texts.get(cell);
    }

    /** Whether a cell holds anything. */
    public boolean has(String cell) {
      return numbers.containsKey(cell) || texts.containsKey(cell);
    }
  }

  /** All sheets by name, in order. */
  public static Map<String, Sheet> read(byte[] file) throws Exception {
    Map<String, Document> parts = new HashMap<>();
    Path copy = Files.createTempFile("workbook", ".xlsx");
    Files.write(copy, file);
    try (ZipFile zip = new ZipFile(copy.toFile())) {
      for (ZipEntry entry : Collections.list(zip.entries())) {
        if (entry.getName().endsWith(".xml")) {
          parts.put(
              entry.getName(),
              DocumentBuilderFactory.newInstance()
                  .newDocumentBuilder()
                  .parse(zip.getInputStream(entry)));
        }
      }
    } finally {
      Files.delete(copy);
    }
    List<String> shared = new ArrayList<>();
    NodeList strings = parts.get("xl/sharedStrings.xml").getElementsByTagName("si");
    for (int i = 0; i < strings.getLength(); i++) {
      shared.add(strings.item(i).getTextContent());
    }
    Map<String, Sheet> sheets = new LinkedHashMap<>();
    NodeList names = parts.get("xl/workbook.xml").getElementsByTagName("sheet");
    for (int i = 0; i < names.getLength(); i++) {
      Document part = parts.get("xl/worksheets/sheet" + (i + 1) + ".xml");
      sheets.put(((Element) names.item(i)).getAttribute("name"), sheet(part, shared));
    }
    return sheets;
  }

  private static Sheet sheet(Document part, List<String> shared) {
    Sheet sheet = new Sheet();
    NodeList cells = part.getElementsByTagName("c");
    for (int i = 0; i < cells.getLength(); i++) {
      Element cell = (Element) cells.item(i);
      NodeList value = cell.getElementsByTagName("v");
      if (value.getLength() == 0) {
        continue;
      }
      String text = value.item(0).getTextContent();
      switch (cell.getAttribute("t")) {
        case "s" -> sheet.texts.put(cell.getAttribute("r"), shared.get(Integer.parseInt(text)));
        case "", "n" -> sheet.numbers.put(cell.getAttribute("r"), Double.valueOf(text));
        default -> sheet.texts.put(cell.getAttribute("r"), text);
      }
    }
    return sheet;
  }
}
