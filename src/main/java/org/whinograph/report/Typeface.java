package org.whinograph.report;

/** The characters that a terminal can show. */
public enum Typeface {
  /** Full Unicode: µ, −, block elements, wedges. */
  UNICODE,
  /** ASCII alone, for terminals without UTF-8. */
  ASCII;

  /**
   * Text as this terminal can show it. Control characters, which a file's name may hold, are
   * replaced, so that no name can command the terminal.
   *
   * @param text text with Unicode characters
   * @return the same text, or its ASCII spelling
   */
  public String set(String text) {
    StringBuilder plain = new StringBuilder(text.length());
    text.codePoints()
        .forEach(
            c -> {
              if (Character.isISOControl(c) && c != '\n') {
                plain.append('?');
              } else if (c < 128 || this == UNICODE) {
                plain.appendCodePoint(c);
              } else {
                plain.append(ascii(c));
              }
            });
    return plain.toString();
  }

  private static String ascii(int c) {
    return switch (c) {
      case 'µ', 'μ' -> "u";
      case '−', '–', '‐', '‑' -> "-";
      case '—' -> "--";
      case '±' -> "+/-";
      case '≤' -> "<=";
      case '≥' -> ">=";
      case '·' -> ".";
      case '×' -> "x";
      case '…' -> "...";
      case '’', '‘' -> "'";
      case '“', '”' -> "\"";
      case '°' -> " deg ";
      case 'Δ' -> "Delta ";
      case '²' -> "2";
      case '▲' -> "^";
      case '△' -> "'";
      case '▷' -> ">";
      case '│' -> "|";
      case '─' -> "-";
      case '└' -> "+";
      case '▁', '▂', '▃' -> ".";
      case '▄', '▅', '▆' -> ":";
      case '▇', '█' -> "#";
      case '\u00a0', '\u202f', '\u2009' -> " ";
      default -> "?";
    };
  }
}
