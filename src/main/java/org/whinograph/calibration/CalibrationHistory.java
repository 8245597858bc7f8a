package org.whinograph.calibration;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import java.util.OptionalDouble;
import java.util.stream.Stream;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.Warning;

/**
 * The calibrations of a folder, by microphone and input: a slow drift or a knob that was touched
 * shows against the last ones. Immutable; {@link #add} gives a new one.
 */
public final class CalibrationHistory {
  private static final DateTimeFormatter STAMP =
      DateTimeFormatter.ofPattern("yyyyMMdd'T'HHmmss'Z'").withZone(ZoneOffset.UTC);

  private final Path folder;
  private final List<CalibrationRecord> records;
  private final List<Warning> warnings;

  private CalibrationHistory(Path folder, List<CalibrationRecord> records, List<Warning> warnings) {
    this.folder = folder;
    this.records = records.stream().sorted(Comparator.comparing(CalibrationRecord::date)).toList();
    this.warnings = List.copyOf(warnings);
  }

  /**
   * Reads a folder. Files that aren't calibration records are passed over; damaged records are told
   * of.
   *
   * @param folder the folder; it needn't be there yet
   * @return the history
   * @throws RefusedException if the folder can't be read
   */
  public static CalibrationHistory read(Path folder) throws RefusedException {
    List<CalibrationRecord> records = new ArrayList<>();
    List<Warning> warnings = new ArrayList<>();
    if (!Files.exists(folder)) {
      return new CalibrationHistory(folder, records, warnings);
    }
    List<Path> files;
    try (Stream<Path> entries = Files.list(folder)) {
      files =
          entries
              .filter(file -> file.getFileName().toString().endsWith(".json"))
              .filter(Files::isRegularFile)
              .sorted()
              .toList();
    } catch (IOException e) {
      throw new RefusedException(
          folder + " can't be read; check that it's a folder and its permissions.", e);
    }
    for (Path file : files) {
      try {
        records.add(CalibrationFile.read(file));
      } catch (RefusedException e) {
        warnings.add(new Warning("damaged-calibration", e.getMessage()));
      }
    }
    return new CalibrationHistory(folder, records, warnings);
  }

  /**
   * Damaged records that were passed over.
   *
   * @return warnings
   */
  public List<Warning> warnings() {
    return warnings;
  }

  /**
   * The calibrations of a microphone at an input.
   *
   * @param microphone the microphone as the tester names it, or null
   * @param input the live input, or null for files
   * @return its records, oldest first
   */
  public List<CalibrationRecord> of(String microphone, String input) {
    return records.stream()
        .filter(
            record ->
                Objects.equals(record.microphone(), microphone)
                    && Objects.equals(record.input(), input))
        .toList();
  }

  /**
   * Writes a record into the folder, under its date and microphone, and makes the folder if need
   * be.
   *
   * @param record the record
   * @return the history with it
   * @throws RefusedException if it can't be written, or is there already
   */
  public CalibrationHistory add(CalibrationRecord record) throws RefusedException {
    try {
      Files.createDirectories(folder);
    } catch (IOException e) {
      throw new RefusedException(folder + " can't be made; check the name and permissions.", e);
    }
    String microphone = record.microphone() == null ? "microphone" : record.microphone();
    String plain =
        microphone.toLowerCase(Locale.ROOT).replaceAll("[^a-z0-9]+", "-").replaceAll("^-|-$", "");
    String name =
        STAMP.format(record.date())
            + "-"
            + (plain.isEmpty() ? "microphone" : plain.substring(0, Math.min(40, plain.length())))
            + ".json";
    CalibrationFile.write(record, folder.resolve(name), false);
    List<CalibrationRecord> more = new ArrayList<>(records);
    more.add(record);
    return new CalibrationHistory(folder, more, warnings);
  }

  /**
   * By how much a calibration differs from the one before it.
   *
   * @param record a calibration; it may be in the history or not
   * @return level at full scale minus that of the last older one of the same microphone and input
   *     [dB], or empty if there is none
   */
  public OptionalDouble driftDb(CalibrationRecord record) {
    return of(record.microphone(), record.input()).stream()
        .filter(older -> older.date().isBefore(record.date()))
        .reduce((first, second) -> second)
        .map(older -> OptionalDouble.of(record.levelAtFullScaleDb() - older.levelAtFullScaleDb()))
        .orElseGet(OptionalDouble::empty);
  }

  /** Microphone and input in words. */
  static String describe(CalibrationRecord record) {
    return (record.microphone() == null ? "an unnamed microphone" : record.microphone())
        + (record.input() == null ? "" : " at " + record.input());
  }
}
