package org.whinograph.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.signal.RefusedException;
import org.whinograph.storage.AtomicFile;

class OutputFolderTest {
  @TempDir Path temp;

  private List<String> names() throws IOException {
    try (Stream<Path> files = Files.list(temp)) {
      return files.map(file -> file.getFileName().toString()).sorted().toList();
    }
  }

  @Test
  void refusesToReplaceAndLeavesNothingOfTheSetBehind() throws Exception {
    Files.writeString(temp.resolve("b.csv"), "old");
    OutputFolder folder = new OutputFolder(temp, false);
    folder.addText("a.csv", "new a");
    folder.addText("b.csv", "new b");
    RefusedException refusal = assertThrows(RefusedException.class, folder::write);
    assertTrue(refusal.getMessage().contains("b.csv exists already"), refusal.getMessage());
    assertTrue(refusal.getMessage().contains("--force"), refusal.getMessage());
    assertEquals(List.of("b.csv"), names());
    assertEquals("old", Files.readString(temp.resolve("b.csv")));
  }

  @Test
  void replacesWhenForced() throws Exception {
    Files.writeString(temp.resolve("b.csv"), "old");
    OutputFolder folder = new OutputFolder(temp, true);
    folder.addText("b.csv", "new b µ");
    folder.addText("deep/c.csv", "c");
    assertEquals(List.of(temp.resolve("b.csv"), temp.resolve("deep/c.csv")), folder.write());
    assertEquals("new b µ", Files.readString(temp.resolve("b.csv")));
    assertEquals("c", Files.readString(temp.resolve("deep/c.csv")));
    assertEquals(List.of("b.csv", "deep"), names());
  }

  @Test
  void aFailureWhileWritingKeepsTheOldFileAndNoRest() throws Exception {
    Files.writeString(temp.resolve("b.csv"), "old");
    RefusedException refusal =
        assertThrows(
            RefusedException.class,
            () ->
                AtomicFile.write(
                    temp.resolve("b.csv"),
                    true,
                    out -> {
                      out.write(new byte[100_000]);
                      throw new IOException("No space left on device");
                    }));
    assertTrue(refusal.getMessage().contains("the disk is full"), refusal.getMessage());
    assertEquals("old", Files.readString(temp.resolve("b.csv")));
    assertEquals(List.of("b.csv"), names());
  }

  @Test
  void aFileThatComesUpMeanwhileIsNotReplaced() throws Exception {
    Path target = temp.resolve("b.csv");
    assertThrows(
        RefusedException.class,
        () -> AtomicFile.write(target, false, out -> Files.writeString(target, "theirs")));
    assertEquals("theirs", Files.readString(target));
    assertEquals(List.of("b.csv"), names());
  }

  @Test
  void somethingElseThanAPlainFileIsNeverReplaced() throws Exception {
    Files.createDirectory(temp.resolve("b.csv"));
    assertThrows(
        RefusedException.class,
        () -> AtomicFile.write(temp.resolve("b.csv"), true, out -> out.write(1)));
    assertTrue(Files.isDirectory(temp.resolve("b.csv")));
  }

  @Test
  void aMissingFolderIsMadeUnlessAFileIsInTheWay() throws Exception {
    AtomicFile.write(temp.resolve("new/a.csv"), false, out -> out.write(1));
    assertTrue(Files.exists(temp.resolve("new/a.csv")));
    Files.writeString(temp.resolve("no"), "a file");
    RefusedException refusal =
        assertThrows(
            RefusedException.class,
            () -> AtomicFile.write(temp.resolve("no/b.csv"), false, out -> out.write(1)));
    assertTrue(refusal.getMessage().contains("the folder"), refusal.getMessage());
    assertEquals("a file", Files.readString(temp.resolve("no")));
  }

  @Test
  void eachNameIsPlannedOnce() {
    OutputFolder folder = new OutputFolder(temp, true);
    folder.addText("a", "1");
    assertThrows(IllegalArgumentException.class, () -> folder.addText("a", "2"));
  }
}
