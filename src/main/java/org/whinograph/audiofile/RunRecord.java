package org.whinograph.audiofile;

import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;

/**
 * What is known of a recorded run beside its sound: the file {@code <run>.json} that lies beside
 * {@code <run>.wav}. Positions count frames from the start of the recording, so time is told by
 * samples; the wall clock only says when the first one came.
 *
 * @param audioFile name of the WAV file, without folder
 * @param input name of the input
 * @param started when the first sample came
 * @param format how the samples are stored
 * @param frames length so far [frames]
 * @param state whether the recording goes on, ended as wished, or was broken off
 * @param stopReason why it ended, a few words, or null while it goes on
 * @param conditions what the tester set, names and values
 * @param events markers in the order of their positions
 * @param notes free text, may be empty
 * @param gaps where samples were lost; the file holds zeros there
 * @param overloads where the channel that is measured was overloaded, at most {@value #MOST_SPANS}
 * @param overloadSamples how many samples that are, all counted [samples]
 * @param clockDeviationPpm how much faster the sound's clock ran than the computer's [parts per
 *     million], or null where the recording was too short to tell
 * @param inputCheck the newest verdict on the input when the recording began, or null if it was
 *     never checked
 */
public record RunRecord(
    String audioFile,
    String input,
    Instant started,
    SampleFormat format,
    long frames,
    State state,
    String stopReason,
    Map<String, String> conditions,
    List<Event> events,
    String notes,
    List<Span> gaps,
    List<Span> overloads,
    long overloadSamples,
    Double clockDeviationPpm,
    InputVerdict inputCheck) {
  /** Spans that are listed; more are only counted, so that ten hours of overload need no memory. */
  public static final int MOST_SPANS = 10_000;

  /** How far a recording has come. */
  public enum State {
    /** It goes on, or was broken off without a chance to say so. */
    RECORDING,
    /** It ended and is whole up to its end. */
    COMPLETE,
    /** It was broken off and has been repaired since. */
    REPAIRED
  }

  /**
   * A marker.
   *
   * @param position where it was set [frames]
   * @param text what the tester typed, may be empty
   */
  public record Event(long position, String text) {
    /** Checks the components. {@inheritDoc} */
    public Event {
      Objects.requireNonNull(text, "text");
      if (position < 0) {
        throw new IllegalArgumentException("position: at least 0, got " + position);
      }
    }
  }

  /** Checks the components. {@inheritDoc} */
  public RunRecord {
    Objects.requireNonNull(audioFile, "audioFile");
    Objects.requireNonNull(input, "input");
    Objects.requireNonNull(started, "started");
    Objects.requireNonNull(format, "format");
    Objects.requireNonNull(state, "state");
    Objects.requireNonNull(notes, "notes");
    conditions = Map.copyOf(conditions);
    events = List.copyOf(events);
    gaps = List.copyOf(gaps);
    overloads = List.copyOf(overloads);
  }

  /**
   * How many samples were lost.
   *
   * @return sum of the gaps [samples]
   */
  public long lostSamples() {
    return gaps.stream().mapToLong(Span::length).sum();
  }
}
