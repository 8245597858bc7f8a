package org.whinograph.cli;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Path;
import org.whinograph.signal.RefusedException;
import org.whinograph.storage.AtomicFile;
import picocli.CommandLine.Option;

/** Where results go. */
final class OutputOptions {
  @Option(
      names = "--json",
      paramLabel = "FILE",
      description = "Write the results as JSON; - writes to standard output.")
  private Path json;

  @Option(
      names = "--out",
      paramLabel = "FOLDER",
      description = "Write tables and charts into this folder.")
  private Path folder;

  @Option(names = "--force", description = "Replace files that are there already.")
  private boolean force;

  Path json() {
    return json;
  }

  Path folder() {
    return folder;
  }

  boolean force() {
    return force;
  }

  /** Refuses before anything is measured if the JSON may not be written. */
  void check() throws RefusedException {
    if (json != null && !jsonToStandardOutput()) {
      AtomicFile.check(json, force);
    }
  }

  /** Whether the JSON takes standard output, so that nothing else may be printed there. */
  boolean jsonToStandardOutput() {
    return json != null && json.toString().equals("-");
  }

  /** Standard output as bytes of UTF-8, flushed by the caller. */
  static OutputStream bytesTo(java.io.PrintWriter out) {
    return new java.io.ByteArrayOutputStream() {
      @Override
      public void flush() throws IOException {
        out.print(toString(java.nio.charset.StandardCharsets.UTF_8));
        out.flush();
        reset();
      }
    };
  }
}
