package org.whinograph.rehearsal;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.util.DefaultIndenter;
import com.fasterxml.jackson.core.util.DefaultPrettyPrinter;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.PropertyNamingStrategies;
import com.fasterxml.jackson.databind.SerializationFeature;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import org.whinograph.signal.RefusedException;

/** A {@link DeviceTruth} as a JSON file; names in it are those of the records, in snake case. */
public final class TruthFile {
  private static final ObjectMapper JSON =
      new ObjectMapper()
          .setPropertyNamingStrategy(PropertyNamingStrategies.SNAKE_CASE)
          .enable(SerializationFeature.INDENT_OUTPUT)
          .disable(DeserializationFeature.FAIL_ON_UNKNOWN_PROPERTIES);

  private TruthFile() {}

  /**
   * The truth as text.
   *
   * @param truth the truth
   * @return one JSON object, lines ended by \n
   */
  public static String toJson(DeviceTruth truth) {
    DefaultPrettyPrinter printer = new DefaultPrettyPrinter();
    printer.indentObjectsWith(new DefaultIndenter("  ", "\n"));
    try {
      return JSON.writer(printer).writeValueAsString(truth) + "\n";
    } catch (JsonProcessingException e) {
      throw new IllegalStateException(e);
    }
  }

  /**
   * Reads a truth.
   *
   * @param file the file
   * @return the truth
   * @throws RefusedException if the file can't be read or isn't a truth of a version known here
   */
  public static DeviceTruth read(Path file) throws RefusedException {
    DeviceTruth truth;
    try {
      truth = JSON.readValue(Files.readString(file, StandardCharsets.UTF_8), DeviceTruth.class);
    } catch (IOException | IllegalArgumentException e) {
      throw new RefusedException(
          file + ": can't be read as a truth file; make it again with rehearse", e);
    }
    if (!"whinograph-truth".equals(truth.format()) || truth.formatVersion() != 1) {
      throw new RefusedException(
          file
              + ": format "
              + truth.format()
              + " version "
              + truth.formatVersion()
              + ", not whinograph-truth 1; make it again with rehearse");
    }
    return truth;
  }
}
