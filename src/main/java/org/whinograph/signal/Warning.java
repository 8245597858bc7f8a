package org.whinograph.signal;

import java.util.Objects;

/**
 * Something that the reader of a result must know.
 *
 * @param code a short name that scripts match, lower case with hyphens, such as {@code
 *     truncated-file}
 * @param message the sentence that a person reads, with its figures
 */
public record Warning(String code, String message) {
  /** Checks the components. {@inheritDoc} */
  public Warning {
    Objects.requireNonNull(code, "code");
    Objects.requireNonNull(message, "message");
  }
}
