package org.whinograph.capture;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import javax.sound.sampled.AudioFormat;
import javax.sound.sampled.AudioSystem;
import javax.sound.sampled.Line;
import javax.sound.sampled.LineUnavailableException;
import javax.sound.sampled.Mixer;
import javax.sound.sampled.TargetDataLine;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

/**
 * The sound system of the computer through the Java platform. Only packed samples are ever asked
 * for: 24 bits in four bytes open there and deliver garbage.
 */
public final class JavaSoundSystem implements InputSystem {
  /** Long enough to outlive a thread that waits, short enough to come in bursts below 60 ms. */
  private static final double BUFFER_S = 0.200;

  /** Makes the system; devices are looked up anew on each call. */
  public JavaSoundSystem() {}

  @Override
  public List<String> names() {
    return List.copyOf(inputs().keySet());
  }

  @Override
  public CaptureLine open(String name, SampleFormat format) throws RefusedException {
    Map<String, Mixer> inputs = inputs();
    Mixer mixer = inputs.get(name);
    if (mixer == null) {
      throw new RefusedException(Inputs.unknown(name, List.copyOf(inputs.keySet())));
    }
    int frameBytes = format.channels() * format.bitDepth() / 8;
    AudioFormat wanted =
        new AudioFormat(
            AudioFormat.Encoding.PCM_SIGNED,
            (float) format.sampleRateHz(),
            format.bitDepth(),
            format.channels(),
            frameBytes,
            (float) format.sampleRateHz(),
            false);
    try {
      // The mixer's first line opens with formats that it doesn't list, such as packed 24 bits.
      TargetDataLine line = (TargetDataLine) mixer.getLine(captureLines(mixer).get(0));
      line.open(wanted, (int) Math.round(format.sampleRateHz() * BUFFER_S) * frameBytes);
      return new JavaSoundLine(name, format, line);
    } catch (LineUnavailableException | IllegalArgumentException | SecurityException e) {
      throw new RefusedException(
          "input " + name + ": doesn't open with " + Inputs.describe(format) + "; " + Inputs.IN_USE,
          e);
    }
  }

  private static Map<String, Mixer> inputs() {
    Map<String, Mixer> inputs = new LinkedHashMap<>();
    for (Mixer.Info info : AudioSystem.getMixerInfo()) {
      Mixer mixer = AudioSystem.getMixer(info);
      if (!captureLines(mixer).isEmpty()) {
        String name = info.getName();
        for (int copy = 2; inputs.containsKey(name); copy++) {
          name = info.getName() + " (" + copy + ")";
        }
        inputs.put(name, mixer);
      }
    }
    return inputs;
  }

  private static List<Line.Info> captureLines(Mixer mixer) {
    List<Line.Info> lines = new ArrayList<>();
    for (Line.Info info : mixer.getTargetLineInfo()) {
      if (TargetDataLine.class.isAssignableFrom(info.getLineClass())) {
        lines.add(info);
      }
    }
    return lines;
  }

  private record JavaSoundLine(String name, SampleFormat format, TargetDataLine line)
      implements CaptureLine {
    @Override
    public void start() {
      line.start();
    }

    @Override
    public int read(byte[] target, int length) {
      return line.read(target, 0, length);
    }

    @Override
    public void close() {
      line.close();
    }
  }
}
