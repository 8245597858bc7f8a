package org.whinograph.storage;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.signal.RefusedException;

class AtomicFileTest {
  @TempDir private Path folder;

  private static AtomicFile.Content text(String text) {
    return out -> out.write(text.getBytes(StandardCharsets.UTF_8));
  }

  private List<Path> files() throws IOException {
    try (Stream<Path> files = Files.list(folder)) {
      return files.toList();
    }
  }

  @Test
  void replacesInOneStepAndLeavesNothingBeside() throws Exception {
    Path file = folder.resolve("run.json");
    AtomicFile.replace(file, text("old"));
    AtomicFile.replace(file, text("new"));
    assertEquals("new", Files.readString(file));
    assertEquals(List.of(file), files());
  }

  /** What a full disk says in the middle of writing: the old file stays, and the reason is told. */
  @Test
  void aFullDiskLeavesTheOldFileAndIsTold() throws Exception {
    Path file = folder.resolve("run.json");
    AtomicFile.replace(file, text("old"));
    String message =
        assertThrows(
                RefusedException.class,
                () ->
                    AtomicFile.replace(
                        file,
                        out -> {
                          out.write('n');
                          throw new IOException("No space left on device");
                        }))
            .getMessage();
    assertTrue(message.contains("can't be written (the disk is full)"), message);
    assertEquals("old", Files.readString(file));
    assertEquals(List.of(file), files());
  }

  /**
   * A name that leaves none for a file beside it stands for a disk without room for one: then the
   * older one is written over, as far as its own blocks go and no further.
   */
  @Test
  void whereThereIsNoRoomForASecondFileTheOldOneIsWrittenOver() throws Exception {
    Path file = folder.resolve("r".repeat(240) + ".json");
    byte[] longer = new byte[4097];
    assertThrows(RefusedException.class, () -> AtomicFile.replaceOnFullDisk(file, longer));
    assertFalse(Files.exists(file));
    Files.writeString(file, "older and longer");
    assertThrows(RefusedException.class, () -> AtomicFile.replace(file, text("new")));
    assertThrows(RefusedException.class, () -> AtomicFile.replaceOnFullDisk(file, longer));
    assertEquals("older and longer", Files.readString(file));
    AtomicFile.replaceOnFullDisk(file, "new".getBytes(StandardCharsets.UTF_8));
    assertEquals("new", Files.readString(file).strip());
    assertEquals("older and longer".length(), Files.size(file));
    byte[] full = new byte[4096];
    java.util.Arrays.fill(full, (byte) 'x');
    AtomicFile.replaceOnFullDisk(file, full);
    assertEquals("x".repeat(4096), Files.readString(file));
  }

  /** A folder that was deleted is not made again by what replaces, and is by what writes. */
  @Test
  void aDeletedFolderIsToldUnlessAFileIsNew() throws Exception {
    Path file = folder.resolve("gone").resolve("run.json");
    String message =
        assertThrows(RefusedException.class, () -> AtomicFile.replace(file, text("x")))
            .getMessage();
    assertTrue(message.contains("no such file or folder"), message);
    assertFalse(Files.exists(file.getParent()));
    AtomicFile.write(file, false, text("x"));
    assertEquals("x", Files.readString(file));
  }

  @Test
  void onlyAPlainFileIsReplaced() {
    assertThrows(RefusedException.class, () -> AtomicFile.replace(folder, text("x")));
    assertTrue(Files.isDirectory(folder));
  }
}
