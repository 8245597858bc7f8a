package org.whinograph.level;

import org.whinograph.quantity.Reading;

/**
 * The levels of a {@link LevelResult}, each under the name that files use and the symbol that
 * readers know (IEC 61672-1:2013, clause 3). It exists so that tables, summaries and comparisons
 * list the same levels in the same order.
 */
public enum LevelQuantity {
  /** Time-averaged A-weighted level. */
  LAEQ("laeq_db", "LAeq", "equivalent level, A-weighted"),
  /** Time-averaged C-weighted level. */
  LCEQ("lceq_db", "LCeq", "equivalent level, C-weighted"),
  /** Time-averaged level without weighting. */
  LZEQ("lzeq_db", "LZeq", "equivalent level, unweighted"),
  /** Maximum of the A- and F-weighted level. */
  LAF_MAX("laf_max_db", "LAFmax", "maximum, A-weighted, time weighting F"),
  /** Minimum of the A- and F-weighted level. */
  LAF_MIN("laf_min_db", "LAFmin", "minimum, A-weighted, time weighting F"),
  /** Maximum of the A- and S-weighted level. */
  LAS_MAX("las_max_db", "LASmax", "maximum, A-weighted, time weighting S"),
  /** Minimum of the A- and S-weighted level. */
  LAS_MIN("las_min_db", "LASmin", "minimum, A-weighted, time weighting S"),
  /** C-weighted peak level. */
  LC_PEAK("lcpeak_db", "LCpeak", "peak level, C-weighted"),
  /** Peak level without weighting. */
  LZ_PEAK("lzpeak_db", "LZpeak", "peak level, unweighted"),
  /** Level exceeded for 10 % of the time. */
  LA10("la10_db", "LA10", "exceeded for 10 % of the time, A-weighted, F"),
  /** Level exceeded for 50 % of the time. */
  LA50("la50_db", "LA50", "exceeded for 50 % of the time, A-weighted, F"),
  /** Level exceeded for 90 % of the time. */
  LA90("la90_db", "LA90", "exceeded for 90 % of the time, A-weighted, F"),
  /** A-weighted sound exposure level. */
  LAE("lae_db", "LAE", "sound exposure level, A-weighted, referred to 1 s");

  private final String field;
  private final String symbol;
  private final String meaning;

  LevelQuantity(String field, String symbol, String meaning) {
    this.field = field;
    this.symbol = symbol;
    this.meaning = meaning;
  }

  /**
   * Name in files, with its unit.
   *
   * @return such as {@code laeq_db}
   */
  public String field() {
    return field;
  }

  /**
   * Symbol without subscripts.
   *
   * @return such as {@code LAeq}
   */
  public String symbol() {
    return symbol;
  }

  /**
   * The quantity in words.
   *
   * @return a phrase
   */
  public String meaning() {
    return meaning;
  }

  /**
   * The level itself.
   *
   * @param levels levels of a recording
   * @return the level [dB in the unit of the chain], or why it is unknown
   */
  public Reading of(LevelResult levels) {
    return switch (this) {
      case LAEQ -> levels.laeq();
      case LCEQ -> levels.lceq();
      case LZEQ -> levels.lzeq();
      case LAF_MAX -> levels.lafMax();
      case LAF_MIN -> levels.lafMin();
      case LAS_MAX -> levels.lasMax();
      case LAS_MIN -> levels.lasMin();
      case LC_PEAK -> levels.lcPeak();
      case LZ_PEAK -> levels.lzPeak();
      case LA10 -> levels.la10();
      case LA50 -> levels.la50();
      case LA90 -> levels.la90();
      case LAE -> levels.lae();
    };
  }
}
