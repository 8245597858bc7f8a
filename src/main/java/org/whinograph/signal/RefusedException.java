package org.whinograph.signal;

/**
 * An input or a measurement that is refused. Its message is one sentence that a person reads: what
 * is wrong, where, and what to do about it. The command line prints it and exits with 1.
 */
public class RefusedException extends Exception {
  private static final long serialVersionUID = 1L;

  /**
   * Refuses with a reason.
   *
   * @param message what, where and the next step, in one line
   */
  public RefusedException(String message) {
    super(message);
  }

  /**
   * Refuses with a reason and the failure beneath it.
   *
   * @param message what, where and the next step, in one line
   * @param cause the failure beneath, shown only with {@code --debug}
   */
  public RefusedException(String message, Throwable cause) {
    super(message, cause);
  }
}
