package org.whinograph.audiofile;

import java.nio.charset.StandardCharsets;

/** Says what a file that isn't a WAV looks like, from its first bytes, and the way out. */
final class ForeignFile {
  private static final String LOSSLESS = "convert it to WAV, which loses nothing";
  private static final String LOSSY =
      "its compression has removed sound that a measurement needs; record as WAV";

  private ForeignFile() {}

  /**
   * Describes a file.
   *
   * @param head its first bytes [at most 16 count]
   * @return "it looks like …; what to do"
   */
  static String describe(byte[] head) {
    String text = new String(head, StandardCharsets.ISO_8859_1);
    if (text.startsWith("fLaC")) {
      return "it looks like FLAC; " + LOSSLESS;
    }
    if (text.startsWith("OggS")) {
      return "it looks like Ogg; if it holds FLAC, " + LOSSLESS + ", else " + LOSSY;
    }
    if (text.startsWith("ID3")
        || (head.length > 1 && (head[0] & 0xFF) == 0xFF && (head[1] & 0xE0) == 0xE0)) {
      return "it looks like MP3 or AAC; " + LOSSY;
    }
    if (text.startsWith("ftyp", 4)) {
      return "it looks like M4A or MP4; " + LOSSY;
    }
    if (text.startsWith("FORM")) {
      return "it looks like AIFF; " + LOSSLESS;
    }
    if (text.startsWith("caff")) {
      return "it looks like CAF; " + LOSSLESS;
    }
    if (text.startsWith(".snd")) {
      return "it looks like AU; " + LOSSLESS;
    }
    if (text.startsWith("riff")) {
      return "it looks like Wave64; " + LOSSLESS;
    }
    if (text.startsWith("RIFX")) {
      return "it looks like RIFX, a WAV with the bytes reversed; " + LOSSLESS;
    }
    if (text.startsWith("RIFF")) {
      return "it is a RIFF file, but of type "
          + WavLayout.show(text.substring(Math.min(8, text.length()), Math.min(12, text.length())))
          + "; give a WAV";
    }
    if (text.startsWith("\u001aE\u00df\u00a3")) {
      return "it looks like Matroska or WebM; " + LOSSY;
    }
    if (text.startsWith("PK\u0003\u0004")) {
      return "it looks like a ZIP archive; unpack it and give the WAV";
    }
    if (text.chars().allMatch(c -> (c >= ' ' && c < 127) || c == '\t' || c == '\r' || c == '\n')) {
      return "it looks like text; give a WAV";
    }
    if (text.chars().allMatch(c -> c == 0)) {
      return "it starts with zeros and has no header; give a WAV";
    }
    return "its first bytes are of no audio format that is known here; give a WAV";
  }
}
