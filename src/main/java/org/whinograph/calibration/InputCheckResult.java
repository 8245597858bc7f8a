package org.whinograph.calibration;

import java.time.Instant;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.signal.SampleFormat;

/**
 * Whether the computer alters the sound on its way.
 *
 * @param name name of the recording or input
 * @param format how samples were stored
 * @param stages calibrator on and off, in order
 * @param findings what was found, the worst first
 * @param figures the figures that the gain was judged by, found or not
 * @param verdict whether levels through this input can be trusted
 * @param reason why, one sentence
 */
public record InputCheckResult(
    String name,
    SampleFormat format,
    List<InputStage> stages,
    List<InputFinding> findings,
    List<InputFigure> figures,
    Verdict verdict,
    String reason) {
  /** Checks the components. {@inheritDoc} */
  public InputCheckResult {
    Objects.requireNonNull(verdict, "verdict");
    stages = List.copyOf(stages);
    findings = List.copyOf(findings);
    figures = List.copyOf(figures);
  }

  /**
   * What is kept of it with calibrations and recordings.
   *
   * @param checked when the sound that was checked was taken
   * @param input name of the input, or null if only a recording is known
   * @param file name of the recording that was checked, or null for a live input
   * @return the verdict, or empty if nothing could be decided, which changes nothing
   */
  public Optional<InputVerdict> verdict(Instant checked, String input, String file) {
    if (verdict == Verdict.NOT_DECIDED) {
      return Optional.empty();
    }
    List<InputVerdict.Finding> kept =
        findings.stream()
            .map(
                finding ->
                    new InputVerdict.Finding(
                        finding.kind().code(),
                        finding.kind().alters(),
                        finding.evidence(),
                        finding.effect()))
            .toList();
    return Optional.of(
        new InputVerdict(verdict == Verdict.TRUSTED, reason, kept, checked, input, file, format));
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
