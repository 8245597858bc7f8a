package org.whinograph.capture;

import be.tarsos.dsp.AudioEvent;
import be.tarsos.dsp.AudioProcessor;
import be.tarsos.dsp.io.TarsosDSPAudioFormat;
import javax.sound.sampled.AudioFormat;
import javax.sound.sampled.AudioSystem;
import javax.sound.sampled.LineUnavailableException;
import javax.sound.sampled.SourceDataLine;

/**
 * The loudspeaker as the end of a chain of processors. The library's own prints into the results on
 * standard output, and says nothing to its caller when the output is gone.
 */
final class LineOutput implements AudioProcessor {
  private final SourceDataLine line;
  private final int frameBytes;
  private final byte[] headStart;

  private LineOutput(SourceDataLine line) {
    this.line = line;
    this.frameBytes = line.getFormat().getFrameSize();
    this.headStart = new byte[line.getBufferSize() / frameBytes / 2 * frameBytes];
  }

  /** Opens and starts the default output, with a buffer of so many frames. */
  static LineOutput open(TarsosDSPAudioFormat format, int bufferFrames)
      throws LineUnavailableException {
    AudioFormat wanted =
        new AudioFormat(
            format.getSampleRate(),
            format.getSampleSizeInBits(),
            format.getChannels(),
            true,
            false);
    SourceDataLine line = AudioSystem.getSourceDataLine(wanted);
    line.open(wanted, bufferFrames * wanted.getFrameSize());
    line.start();
    return new LineOutput(line);
  }

  @Override
  public boolean process(AudioEvent event) {
    if (line.available() >= line.getBufferSize() - frameBytes) {
      // It is empty. Sound from a live input comes in bursts, so an output that is fed from hand to
      // mouth would run dry again and again, and a sound server may then be silent for seconds.
      write(headStart, headStart.length);
    }
    write(event.getByteBuffer(), event.getBufferSize() * frameBytes);
    return true;
  }

  private void write(byte[] bytes, int length) {
    int written = line.write(bytes, 0, length);
    if (written != length) {
      throw new IllegalStateException("the output took " + written + " of " + length + " bytes");
    }
  }

  @Override
  public void processingFinished() {
    line.drain();
    line.close();
  }
}
