package org.whinograph.report;

import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import org.whinograph.measurement.Measurement;

/**
 * All files that one or several measurements leave in a folder. One measurement stands in the
 * folder itself; of several, each has a folder in it that bears the recording's name.
 */
public final class AnalysisFiles {
  private AnalysisFiles() {}

  /**
   * Plans the tables and the workbook of each measurement.
   *
   * @param folder folder to add them to
   * @param measurements measurements
   */
  public static void addTo(OutputFolder folder, List<Measurement> measurements) {
    Set<String> taken = new HashSet<>();
    for (Measurement measurement : measurements) {
      String prefix = measurements.size() == 1 ? "" : folderName(measurement, taken) + "/";
      Tables.addTo(folder, prefix, measurement);
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
