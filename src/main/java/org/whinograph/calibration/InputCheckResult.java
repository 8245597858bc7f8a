package org.whinograph.calibration;

import java.util.List;
import java.util.Objects;
import org.whinograph.signal.SampleFormat;

/**
 * Whether the computer alters the sound on its way.
 *
 * @param name name of the recording or input
 * @param format how samples were stored
 * @param stages calibrator on and off, in order
 * @param findings what was found, the worst first
 * @param verdict whether levels through this input can be trusted
 * @param reason why, one sentence
 */
public record InputCheckResult(
    String name,
    SampleFormat format,
    List<InputStage> stages,
    List<InputFinding> findings,
    Verdict verdict,
    String reason) {
  /** Checks the components. {@inheritDoc} */
  public InputCheckResult {
    Objects.requireNonNull(verdict, "verdict");
    stages = List.copyOf(stages);
    findings = List.copyOf(findings);
  }

  /** Whether levels through an input can be trusted. */
  public enum Verdict {
    /** Nothing that alters sound was found, and all that was needed to find it was there. */
    TRUSTED("trusted"),
    /** The sound is altered. */
    NOT_TO_BE_TRUSTED("not to be trusted"),
    /** Nothing was found, but a stage that would have shown it is missing. */
    NOT_DECIDED("not decided");

    private final String label;

    Verdict(String label) {
      this.label = label;
    }

    /**
     * The verdict in words.
     *
     * @return "trusted", "not to be trusted" or "not decided"
     */
    public String label() {
      return label;
    }
  }
}
