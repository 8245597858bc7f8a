package org.whinograph.audiofile;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;
import org.whinograph.storage.AtomicFile;
import org.whinograph.storage.FileFailure;

/**
 * Reads and writes run records as JSON; writing is atomic, so a record is old or new, never half.
 */
public final class RunFile {
  private static final String FORMAT = "whinograph-run";
  private static final int FORMAT_VERSION = 1;
  private static final long MOST_BYTES = 16 << 20;
  private static final int HEAD_BYTES = 4096;
  private static final ObjectMapper JSON = new ObjectMapper();

  private RunFile() {}

  /**
   * The record that belongs to a recording.
   *
   * @param wav the WAV file, {@code <run>.wav}
   * @return {@code <run>.json} beside it
   */
  public static Path beside(Path wav) {
    String name = wav.getFileName().toString();
    int dot = name.lastIndexOf('.');
    return wav.resolveSibling((dot > 0 ? name.substring(0, dot) : name) + ".json");
  }

  /**
   * Reads the record beside a recording, if there is one: a file of that name that is something
   * else, or belongs to another recording, is none.
   *
   * @param wav the WAV file
   * @return the record, or empty
   * @throws RefusedException if there is one that is damaged
   */
  public static Optional<RunRecord> find(Path wav) throws RefusedException {
    Path file = beside(wav);
    if (!isRunRecord(file)) {
      return Optional.empty();
    }
    return Optional.of(read(file))
        .filter(record -> record.audioFile().equals(wav.getFileName().toString()));
  }

  /**
   * Whether a file says of itself that it is a run record.
   *
   * @param file any file
   * @return true if it does
   */
  public static boolean isRunRecord(Path file) {
    if (!Files.isRegularFile(file)) {
      return false;
    }
    try (InputStream in = Files.newInputStream(file)) {
      String head = new String(in.readNBytes(HEAD_BYTES), StandardCharsets.UTF_8);
      return head.contains('"' + FORMAT + '"');
    } catch (IOException e) {
      // What can't be read can't be told from any other file; who opens the WAV learns more.
      return false;
    }
  }

  /**
   * Reads a record.
   *
   * @param file the JSON file
   * @return the record
   * @throws RefusedException if it can't be read, is none, is damaged, or of a newer format
   */
  public static RunRecord read(Path file) throws RefusedException {
    try {
      if (Files.size(file) > MOST_BYTES) {
        throw damaged(file, "longer than any run record", null);
      }
      return parse(file, JSON.readTree(Files.readAllBytes(file)));
    } catch (JsonProcessingException
        | IllegalArgumentException
        | ArithmeticException
        | DateTimeParseException e) {
      throw damaged(file, String.valueOf(e.getMessage()).lines().findFirst().orElse(""), e);
    } catch (IOException e) {
      throw new RefusedException(
          file + ": can't be read (" + FileFailure.reason(e) + "); check the file", e);
    }
  }

  /**
   * Writes a record in one step, replacing an older one.
   *
   * @param file the JSON file
   * @param run the record
   * @throws RefusedException if it can't be written; an older one is then untouched
   */
  public static void write(Path file, RunRecord run) throws RefusedException {
    byte[] text = text(run);
    AtomicFile.replace(file, out -> out.write(text));
  }

  /**
   * Writes the last record of a recording, also onto a disk that the recording has filled.
   *
   * @param file the JSON file
   * @param run the record
   * @throws RefusedException if it can't be written; an older one is then untouched
   */
  public static void writeLast(Path file, RunRecord run) throws RefusedException {
    AtomicFile.replaceOnFullDisk(file, text(run));
  }

  private static byte[] text(RunRecord run) {
    return (toJson(run).toPrettyString() + "\n").getBytes(StandardCharsets.UTF_8);
  }

  private static ObjectNode toJson(RunRecord run) {
    ObjectNode root = JSON.createObjectNode();
    root.put("format", FORMAT).put("format_version", FORMAT_VERSION);
    root.put("audio_file", run.audioFile());
    root.put("input", run.input());
    root.put("started", run.started().toString());
    root.put("sample_rate_hz", run.format().sampleRateHz());
    root.put("channels", run.format().channels());
    root.put("bit_depth", run.format().bitDepth());
    root.put("floating_point", run.format().floatingPoint());
    root.put("frames", run.frames());
    root.put("duration_s", run.frames() / run.format().sampleRateHz());
    root.put("state", run.state().name().toLowerCase(java.util.Locale.ROOT));
    root.put("stop_reason", run.stopReason());
    ObjectNode conditions = root.putObject("conditions");
    new TreeMap<>(run.conditions()).forEach(conditions::put);
    ArrayNode events = root.putArray("events");
    for (RunRecord.Event event : run.events()) {
      events
          .addObject()
          .put("position", event.position())
          .put("time_s", event.position() / run.format().sampleRateHz())
          .put("text", event.text());
    }
    root.put("notes", run.notes());
    root.put("lost_samples", run.lostSamples());
    putSpans(root.putArray("gaps"), run.gaps());
    root.put("overload_samples", run.overloadSamples());
    putSpans(root.putArray("overloads"), run.overloads());
    root.put("clock_deviation_ppm", run.clockDeviationPpm());
    if (run.inputCheck() == null) {
      root.putNull("input_check");
    } else {
      InputVerdictJson.put(run.inputCheck(), root.putObject("input_check"));
    }
    return root;
  }

  private static void putSpans(ArrayNode array, List<Span> spans) {
    for (Span span : spans) {
      array.addObject().put("position", span.position()).put("length", span.length());
    }
  }

  private static RunRecord parse(Path file, JsonNode root) throws RefusedException {
    if (!FORMAT.equals(root.path("format").asText())) {
      throw damaged(file, "no \"" + FORMAT + "\"", null);
    }
    int version = root.path("format_version").asInt();
    if (version != FORMAT_VERSION) {
      throw new RefusedException(
          file
              + ": a run record of version "
              + version
              + ", this program reads "
              + FORMAT_VERSION
              + "; use a newer one");
    }
    Map<String, String> conditions = new LinkedHashMap<>();
    root.path("conditions")
        .properties()
        .forEach(entry -> conditions.put(entry.getKey(), entry.getValue().asText()));
    List<RunRecord.Event> events = new ArrayList<>();
    for (JsonNode event : root.path("events")) {
      events.add(new RunRecord.Event(whole(event, "position"), event.path("text").asText("")));
    }
    events.sort(Comparator.comparingLong(RunRecord.Event::position));
    JsonNode deviation = root.path("clock_deviation_ppm");
    return new RunRecord(
        text(root, "audio_file"),
        text(root, "input"),
        Instant.parse(text(root, "started")),
        new SampleFormat(
            root.path("sample_rate_hz").asDouble(),
            root.path("channels").asInt(),
            root.path("bit_depth").asInt(),
            root.path("floating_point").asBoolean()),
        whole(root, "frames"),
        RunRecord.State.valueOf(text(root, "state").toUpperCase(java.util.Locale.ROOT)),
        root.path("stop_reason").isTextual() ? root.path("stop_reason").asText() : null,
        conditions,
        events,
        root.path("notes").asText(""),
        spans(root.path("gaps")),
        spans(root.path("overloads")),
        whole(root, "overload_samples"),
        deviation.isNumber() ? Double.valueOf(deviation.asDouble()) : null,
        root.path("input_check").isObject()
            ? InputVerdictJson.parse(root.path("input_check"))
            : null);
  }

  private static List<Span> spans(JsonNode array) {
    List<Span> spans = new ArrayList<>();
    for (JsonNode span : array) {
      Span next = new Span(whole(span, "position"), whole(span, "length"));
      if (!spans.isEmpty() && spans.get(spans.size() - 1).end() > next.position()) {
        throw new IllegalArgumentException("spans overlap at " + next.position());
      }
      Math.addExact(next.position(), next.length());
      spans.add(next);
    }
    return spans;
  }

  private static String text(JsonNode node, String name) {
    JsonNode value = node.path(name);
    if (!value.isTextual()) {
      throw new IllegalArgumentException("no text \"" + name + "\"");
    }
    return value.asText();
  }

  private static long whole(JsonNode node, String name) {
    JsonNode value = node.path(name);
    if (!value.isIntegralNumber() || !value.canConvertToLong() || value.asLong() < 0) {
      throw new IllegalArgumentException("no whole number \"" + name + "\"");
    }
    return value.asLong();
  }

  private static RefusedException damaged(Path file, String why, Exception cause) {
    return new RefusedException(
        file + ": the run record is damaged (" + why + "); correct it, or move it away", cause);
  }
}
