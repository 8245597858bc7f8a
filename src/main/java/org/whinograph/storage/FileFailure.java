package org.whinograph.storage;

import java.io.IOException;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.NoSuchFileException;
import java.util.Locale;

/**
 * Words for failures of the file system. The messages of the runtime are often nothing but the
 * file's name, which tells a person little.
 */
public final class FileFailure {
  private FileFailure() {}

  /**
   * Why a file operation failed.
   *
   * @param failure what the runtime threw
   * @return the reason, a few words in lower case without full stop
   */
  public static String reason(IOException failure) {
    if (isDiskFull(failure)) {
      return "the disk is full";
    }
    if (failure instanceof NoSuchFileException) {
      return "no such file or folder";
    }
    if (failure instanceof AccessDeniedException) {
      return "permission denied";
    }
    if (failure instanceof FileAlreadyExistsException) {
      return "it exists already";
    }
    if (failure instanceof FileSystemException system && system.getReason() != null) {
      return oneLine(system.getReason());
    }
    return failure.getMessage() == null
        ? failure.getClass().getSimpleName()
        : oneLine(failure.getMessage());
  }

  /**
   * Whether a write failed because there was no room. The runtime has no exception of its own for
   * it, only the operating system's words.
   *
   * @param failure what the runtime threw
   * @return true if the disk or the quota is full
   */
  public static boolean isDiskFull(IOException failure) {
    String message = String.valueOf(failure.getMessage()).toLowerCase(Locale.ROOT);
    return message.contains("no space left")
        || message.contains("not enough space")
        || message.contains("quota exceeded");
  }

  private static String oneLine(String text) {
    return text.replaceAll("\\s+", " ").strip();
  }
}
