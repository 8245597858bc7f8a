package org.whinograph.capture;

import java.nio.file.Path;
import java.util.Map;
import java.util.Objects;
import org.whinograph.audiofile.InputVerdict;

/**
 * What to record.
 *
 * @param wav the file to make; its run record lies beside it
 * @param replace whether existing files may be replaced
 * @param frames when to stop by itself [frames], at least 1; {@link Long#MAX_VALUE} for never
 * @param channel the channel that is watched for overload and shown live, from 1; all are recorded
 * @param conditions what the tester set, names and values
 * @param notes free text, may be empty
 * @param inputCheck the newest verdict on the input, kept in the run record, or null for none
 */
public record RecordingPlan(
    Path wav,
    boolean replace,
    long frames,
    int channel,
    Map<String, String> conditions,
    String notes,
    InputVerdict inputCheck) {
  /** Checks the components. {@inheritDoc} */
  public RecordingPlan {
    Objects.requireNonNull(wav, "wav");
    Objects.requireNonNull(notes, "notes");
    conditions = Map.copyOf(conditions);
    if (frames < 1) {
      throw new IllegalArgumentException("frames: at least 1, got " + frames);
    }
  }

  /**
   * A plan for an input that was never checked.
   *
   * @param wav the file to make; its run record lies beside it
   * @param replace whether existing files may be replaced
   * @param frames when to stop by itself [frames], at least 1; {@link Long#MAX_VALUE} for never
   * @param channel the channel that is watched for overload and shown live, from 1
   * @param conditions what the tester set, names and values
   * @param notes free text, may be empty
   */
  public RecordingPlan(
      Path wav,
      boolean replace,
      long frames,
      int channel,
      Map<String, String> conditions,
      String notes) {
    this(wav, replace, frames, channel, conditions, notes, null);
  }
}
