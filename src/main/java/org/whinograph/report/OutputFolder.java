package org.whinograph.report;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.whinograph.signal.RefusedException;
import org.whinograph.storage.AtomicFile;

/**
 * A folder of results. All files are planned first and the names of all are checked before the
 * first is written, so that a refusal to replace one leaves no half of a set behind.
 *
 * <p>For use by one thread.
 */
public final class OutputFolder {
  private final Path folder;
  private final boolean force;
  private final Map<String, AtomicFile.Content> planned = new LinkedHashMap<>();

  /**
   * Plans a folder; nothing is made yet.
   *
   * @param folder the folder
   * @param force whether existing files are replaced
   */
  public OutputFolder(Path folder, boolean force) {
    this.folder = folder;
    this.force = force;
  }

  /**
   * Plans a file.
   *
   * @param name name under the folder; a slash makes a folder in it
   * @param content what to write
   * @throws IllegalArgumentException if the name is planned already
   */
  public void add(String name, AtomicFile.Content content) {
    if (planned.putIfAbsent(name, content) != null) {
      throw new IllegalArgumentException("name: each file once, got " + name + " again");
    }
  }

  /**
   * Plans a text file.
   *
   * @param name name under the folder
   * @param text its text, written as UTF-8
   * @throws IllegalArgumentException if the name is planned already
   */
  public void addText(String name, String text) {
    add(name, out -> out.write(text.getBytes(java.nio.charset.StandardCharsets.UTF_8)));
  }

  /**
   * Makes the folder and writes all planned files, each whole or not at all.
   *
   * @return the files written, in the order planned
   * @throws RefusedException if a file exists already and may not be replaced (then nothing is
   *     written), or if writing fails
   */
  public List<Path> write() throws RefusedException {
    for (String name : planned.keySet()) {
      AtomicFile.check(folder.resolve(name), force);
    }
    List<Path> written = new ArrayList<>();
    for (Map.Entry<String, AtomicFile.Content> file : planned.entrySet()) {
      Path target = folder.resolve(file.getKey());
      AtomicFile.write(target, force, file.getValue());
      written.add(target);
    }
    return written;
  }
}
