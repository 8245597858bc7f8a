package org.whinograph.calibration;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSink;

/**
 * Finds the tone of a sound calibrator in a recording, measures it, and refuses what can't carry a
 * calibration.
 *
 * <p>Published numbers hang on this one level, and an input that rides the gain, drops samples or
 * clips looks like a tone at a glance. Hence the whole tone is judged, not its best part: only
 * handling noise, or a tone that comes up out of nothing, may be left out, and no more than 2 s at
 * either end.
 *
 * <p>The level is the energy mean of least-squares fits over tenths of a second (IEEE Std
 * 1057-2017), the frequency the slope of their phases. Memory grows by 0.3 kB for each of them and
 * ends at an hour. Used by one thread.
 */
public final class ReferenceToneMeter implements SampleSink {
  /** Longest recording that is taken. */
  private static final double LONGEST_S = 3600;

  private final SampleFormat format;
  private final double nominalHz;
  private final String name;
  private final List<ToneFrame> frames = new ArrayList<>();
  private final ToneFrameAnalyser analyser;
  private final long longest;
  private long samples;

  /**
   * Prepares for a recording.
   *
   * @param format how its samples were stored
   * @param nominalHz nominal frequency of the calibrator [Hz]
   * @param name name of the recording, for messages
   * @throws IllegalArgumentException if the frequency isn't from 80 Hz to 5 kHz, where the tone is
   *     looked for, or the rate is below 8 kHz
   */
  public ReferenceToneMeter(SampleFormat format, double nominalHz, String name) {
    if (!(nominalHz >= 80 && nominalHz <= 5000)) {
      throw new IllegalArgumentException("nominalHz: 80 to 5000, got " + nominalHz);
    }
    this.format = format;
    this.nominalHz = nominalHz;
    this.name = name;
    this.analyser = new ToneFrameAnalyser(format, frames::add);
    this.longest = Math.round(LONGEST_S * format.sampleRateHz());
  }

  @Override
  public void accept(SampleBlock block) {
    samples += block.length();
    if (samples <= longest) {
      analyser.accept(block);
    }
  }

  /**
   * Judges and measures what was taken.
   *
   * @return the tone
   * @throws RefusedException with the reason and its figure if there is no tone that can carry a
   *     calibration
   */
  public ReferenceTone finish() throws RefusedException {
    if (samples > longest) {
      throw new RefusedException(
          name
              + " lasts longer than an hour; give a recording of the calibrator's tone alone, ten to"
              + " thirty seconds long.");
    }
    return new ToneJudgement(
            frames, analyser.frameLength(), samples, format.sampleRateHz(), nominalHz, name)
        .judge();
  }
}
