package org.whinograph.storage;

import java.io.BufferedOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.ByteBuffer;
import java.nio.channels.Channels;
import java.nio.channels.FileChannel;
import java.nio.file.AtomicMoveNotSupportedException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.util.Arrays;
import java.util.concurrent.ThreadLocalRandom;
import org.whinograph.signal.RefusedException;

/**
 * Writes a file whole or not at all. A result that a tester publishes must never be half a file,
 * nor silently take the place of an older one: the content goes to a file beside the target, is
 * forced to the disk, and only then takes the target's name.
 *
 * <p>Safe for use by several threads.
 */
public final class AtomicFile {
  /** Common file systems give room in pieces of this size or a multiple; no source. */
  private static final int BLOCK_BYTES = 4096;

  private AtomicFile() {}

  /** What a file is to hold. */
  @FunctionalInterface
  public interface Content {
    /**
     * Writes the content.
     *
     * @param out where to; buffered, closed by the caller
     * @throws IOException if writing fails
     * @throws RefusedException if the content can't be made, with the sentence to show
     */
    void writeTo(OutputStream out) throws IOException, RefusedException;
  }

  /**
   * Refuses a target that may not be written.
   *
   * @param target the file to be written later
   * @param force whether an existing file may be replaced
   * @throws RefusedException if the target exists and {@code force} is false, or if it is something
   *     other than a plain file
   */
  public static void check(Path target, boolean force) throws RefusedException {
    if (!Files.exists(target, LinkOption.NOFOLLOW_LINKS)) {
      return;
    }
    if (!Files.isRegularFile(target, LinkOption.NOFOLLOW_LINKS)) {
      throw new RefusedException(
          target + " is not a plain file, so nothing was written to it; name another file.");
    }
    if (!force) {
      throw alreadyThere(target, null);
    }
  }

  /**
   * Writes a file, and makes its folder if that is missing.
   *
   * @param target the file
   * @param force whether an existing file is replaced
   * @param content what to write
   * @throws RefusedException if the target exists and {@code force} is false, or if it can't be
   *     written; the target is then as it was before
   */
  public static void write(Path target, boolean force, Content content) throws RefusedException {
    check(target, force);
    Path name = target.getFileName();
    if (name == null) {
      throw new RefusedException(target + " is not the name of a file; name one.");
    }
    makeFolder(target.toAbsolutePath().getParent());
    put(target, force, content);
  }

  /**
   * Writes a file in place of what may be there, in a folder that is there: one that was deleted
   * isn't made again, since what belongs beside the file is gone with it.
   *
   * @param target the file
   * @param content what to write
   * @throws RefusedException if it can't be written; the target is then as it was before
   */
  public static void replace(Path target, Content content) throws RefusedException {
    check(target, true);
    put(target, true, content);
  }

  /**
   * Writes a file as {@link #replace} does; if the disk has no room for a second one beside it,
   * over the bytes of the one that is there, in the blocks that it has already. What says how a
   * recording ended must get onto the disk that has just become full.
   *
   * @param target the file
   * @param text what it is to hold; blanks that fill up the length of the older file must do no
   *     harm
   * @throws RefusedException if it can't be written; the target is then as it was before
   */
  public static void replaceOnFullDisk(Path target, byte[] text) throws RefusedException {
    try {
      replace(target, out -> out.write(text));
    } catch (RefusedException e) {
      if (!overwrite(target, text)) {
        throw e;
      }
    }
  }

  private static boolean overwrite(Path target, byte[] text) {
    try {
      if (!Files.isRegularFile(target, LinkOption.NOFOLLOW_LINKS)) {
        return false;
      }
      long before = Files.size(target);
      if (before == 0 || text.length > (before + BLOCK_BYTES - 1) / BLOCK_BYTES * BLOCK_BYTES) {
        return false;
      }
      byte[] padded = Arrays.copyOf(text, (int) Math.max(before, text.length));
      Arrays.fill(padded, text.length, padded.length, (byte) ' ');
      try (FileChannel channel = FileChannel.open(target, StandardOpenOption.WRITE)) {
        ByteBuffer bytes = ByteBuffer.wrap(padded);
        while (bytes.hasRemaining()) {
          channel.write(bytes, bytes.position());
        }
        channel.force(true);
      }
      return true;
    } catch (IOException e) {
      // The first failure is the one to tell.
      return false;
    }
  }

  private static void put(Path target, boolean force, Content content) throws RefusedException {
    Path part =
        target.resolveSibling(
            "."
                + target.getFileName()
                + "."
                + Long.toHexString(ThreadLocalRandom.current().nextLong())
                + ".part");
    try {
      try {
        fill(part, content);
        settle(part, target, force);
      } finally {
        Files.deleteIfExists(part);
      }
    } catch (FileAlreadyExistsException e) {
      throw alreadyThere(target, e);
    } catch (IOException e) {
      throw new RefusedException(
          target
              + " can't be written ("
              + FileFailure.reason(e)
              + "); check the folder, its permissions and the free space.",
          e);
    }
  }

  private static void makeFolder(Path folder) throws RefusedException {
    if (folder == null) {
      return;
    }
    try {
      Files.createDirectories(folder);
    } catch (IOException e) {
      throw new RefusedException(
          "Could not make the folder " + folder + "; check its name and the permissions above it.",
          e);
    }
  }

  private static void fill(Path part, Content content) throws IOException, RefusedException {
    try (FileChannel channel =
        FileChannel.open(part, StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE)) {
      OutputStream out = new BufferedOutputStream(Channels.newOutputStream(channel), 1 << 16);
      content.writeTo(out);
      out.flush();
      channel.force(true);
    }
  }

  private static void settle(Path part, Path target, boolean force) throws IOException {
    if (force) {
      try {
        Files.move(part, target, StandardCopyOption.ATOMIC_MOVE);
      } catch (AtomicMoveNotSupportedException e) {
        Files.move(part, target, StandardCopyOption.REPLACE_EXISTING);
      }
    } else {
      // Without an option, a target that has come up meanwhile is refused and not replaced.
      Files.move(part, target);
    }
  }

  private static RefusedException alreadyThere(Path target, Throwable cause) {
    return new RefusedException(
        target + " exists already and was left as it is; name another file, or add --force.",
        cause);
  }
}
