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
