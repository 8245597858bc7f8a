package org.whinograph.report;

import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import org.whinograph.comparison.Comparison;
import org.whinograph.measurement.Measurement;
import org.whinograph.report.chart.ChartFile;
import org.whinograph.report.chart.ComparisonSheet;
import org.whinograph.report.chart.FrequencySheet;
import org.whinograph.report.chart.TimeSheet;
import org.whinograph.report.chart.TrackSheet;

/**
 * All files that measurements or a comparison leave in a folder. One measurement stands in the
 * folder itself; of several, each has a folder in it that bears the recording's name.
 */
public final class AnalysisFiles {
  private AnalysisFiles() {}

  /**
   * Plans the tables and the workbook of each measurement, and its charts {@code frequency}, {@code
   * level} and, where a fan was heard, {@code track} as PNG and SVG.
   *
   * @param folder folder to add them to
   * @param measurements measurements
   * @param charts whether charts are wanted; they need a font, see {@link ChartFile#requireFonts}
   */
  public static void addTo(OutputFolder folder, List<Measurement> measurements, boolean charts) {
    Set<String> taken = new HashSet<>();
    for (Measurement measurement : measurements) {
      String prefix = measurements.size() == 1 ? "" : folderName(measurement, taken) + "/";
      Tables.addTo(folder, prefix, measurement);
      if (charts) {
        ChartFile.addTo(folder, prefix + "frequency", new FrequencySheet(measurement));
        ChartFile.addTo(folder, prefix + "level", new TimeSheet(measurement));
        if (TrackSheet.drawable(measurement)) {
          ChartFile.addTo(folder, prefix + "track", new TrackSheet(measurement));
        }
      }
    }
  }

  /**
   * Plans the tables and the workbook of a comparison, and its chart {@code comparison} as PNG and
   * SVG.
   *
   * @param folder folder to add them to
   * @param comparison comparison
   * @param charts whether the chart is wanted; it needs a font, see {@link ChartFile#requireFonts}
   */
  public static void addTo(OutputFolder folder, Comparison comparison, boolean charts) {
    ComparisonTables.addTo(folder, comparison);
    if (charts) {
      ChartFile.addTo(folder, "comparison", new ComparisonSheet(comparison));
    }
  }

  private static String folderName(Measurement measurement, Set<String> taken) {
    String file = Words.fileName(measurement.recording().file());
    int dot = file.lastIndexOf('.');
    String stem = dot > 0 ? file.substring(0, dot) : file;
    String name = stem;
    // Case is ignored because some file systems ignore it.
    for (int i = 2; !taken.add(name.toLowerCase(Locale.ROOT)); i++) {
      name = stem + "-" + i;
    }
    return name;
  }
}
