package org.whinograph.audiofile;

import java.time.Instant;
import java.time.ZoneOffset;
import java.time.temporal.ChronoUnit;
import java.util.List;
import java.util.Objects;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.SampleFormat;

/**
 * Whether a check found that the computer alters the sound of an input. It is kept with what is
 * calibrated and recorded through that input, since a level through an input that alters the sound
 * is none.
 *
 * @param trusted false if the sound is altered
 * @param reason why, one sentence
 * @param findings what was found, the worst first
 * @param checked when the sound that was checked was taken, to the second
 * @param input name of the input, or null if only a recording is known
 * @param file name of the recording that was checked, or null for a live input
 * @param format how its samples were stored
 */
public record InputVerdict(
    boolean trusted,
    String reason,
    List<Finding> findings,
    Instant checked,
    String input,
    String file,
    SampleFormat format) {
  /** Checks the components. {@inheritDoc} */
  public InputVerdict {
    Objects.requireNonNull(reason, "reason");
    Objects.requireNonNull(checked, "checked");
    Objects.requireNonNull(format, "format");
    checked = checked.truncatedTo(ChronoUnit.SECONDS);
    findings = List.copyOf(findings);
  }

  /**
   * One thing that was found.
   *
   * @param id a name that scripts match, lower case with hyphens
   * @param altersSound whether levels can't be trusted for it; false if it only limits them
   * @param evidence the figures it rests on
   * @param effect by how much levels are off or what they can't fall below [dB; the evidence says
   *     relative to what], or unknown
   */
  public record Finding(String id, boolean altersSound, String evidence, Reading effect) {
    /** Checks the components. {@inheritDoc} */
    public Finding {
      Objects.requireNonNull(id, "id");
      Objects.requireNonNull(evidence, "evidence");
      Objects.requireNonNull(effect, "effect");
    }
  }

  /**
   * What was checked and how it came out.
   *
   * @return one sentence with its stop
   */
  public String sentence() {
    String what =
        input != null
            ? "The input " + input
            : "The input of the recording " + (file == null ? "" : file);
    return what.strip()
        + (trusted ? " passed its check of " : " failed its check of ")
        + checked.atZone(ZoneOffset.UTC).toLocalDate()
        + (trusted ? "." : ": " + because() + ".");
  }

  private String because() {
    String text =
        findings.stream()
            .filter(Finding::altersSound)
            .findFirst()
            .map(Finding::evidence)
            .orElse(reason);
    return text.endsWith(".") ? text.substring(0, text.length() - 1) : text;
  }
}
