package org.whinograph.audiofile;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import org.whinograph.signal.RefusedException;
import org.whinograph.storage.FileFailure;

/**
 * SHA-256 of whole files (FIPS 180-4), which ties a result to the very bytes that were measured.
 */
public final class FileDigest {
  private static final int BUFFER_BYTES = 1 << 16;

  private FileDigest() {}

  /**
   * Reads a file once from end to end.
   *
   * @param file the file
   * @return its SHA-256 as 64 hexadecimal digits, lower case
   * @throws RefusedException if the file can't be read
   */
  public static String sha256(Path file) throws RefusedException {
    MessageDigest digest = newSha256();
    byte[] buffer = new byte[BUFFER_BYTES];
    try (InputStream in = Files.newInputStream(file)) {
      for (int count = in.read(buffer); count >= 0; count = in.read(buffer)) {
        digest.update(buffer, 0, count);
      }
    } catch (IOException e) {
      throw new RefusedException(file + ": can't be read (" + FileFailure.reason(e) + ")", e);
    }
    return HexFormat.of().formatHex(digest.digest());
  }

  static MessageDigest newSha256() {
    try {
      return MessageDigest.getInstance("SHA-256");
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java runtime offers SHA-256", e);
    }
  }
}
