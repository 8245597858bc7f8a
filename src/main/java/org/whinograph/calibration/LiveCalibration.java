package org.whinograph.calibration;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.whinograph.calibration.LiveReading.State;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSink;

/**
 * Takes a calibrator's tone from a live input by itself, once it has been steady for 5 s.
 *
 * <p>It's judged from its onset, by the same rules as a recording: a gain control that comes to
 * rest is steady for 5 s too. A tone that was refused must stop for a second before another is
 * tried. Time is counted in samples. Used by one thread.
 */
public final class LiveCalibration implements SampleSink {
  /** How long the tone must have been steady [s]. */
  public static final double STEADY_S = 5.0;

  private static final int STEADY_FRAMES = (int) Math.round(STEADY_S / ToneFrameAnalyser.FRAME_S);
  private static final int PAUSE_FRAMES = (int) Math.round(1 / ToneFrameAnalyser.FRAME_S);

  /** A tone that isn't steady after this long won't become so [frames]. */
  private static final int MOST_FRAMES = (int) Math.round(600 / ToneFrameAnalyser.FRAME_S);

  /** Frames belong to one steady tone if their frequencies agree within this part. */
  private static final double SAME_TONE = 0.005;

  private final SampleFormat format;
  private final double nominalHz;
  private final String name;
  private final ToneFrameAnalyser analyser;
  private final List<ToneFrame> frames = new ArrayList<>();
  private int silentFrames;
  private State state = State.WAITING;
  private LiveReading reading;
  private ReferenceTone tone;
  private RefusedException refusal;

  /**
   * Prepares for an input.
   *
   * @param format its format
   * @param nominalHz nominal frequency of the calibrator [Hz], 160 to 1250
   * @param name name of the input, for messages
   * @throws IllegalArgumentException if the frequency is outside its limits, or the rate below 8
   *     kHz
   */
  public LiveCalibration(SampleFormat format, double nominalHz, String name) {
    this.format = format;
    this.nominalHz = nominalHz;
    this.name = name;
    this.analyser = ToneFrameAnalyser.ofCalibrator(format, nominalHz, this::take);
    this.reading = waiting(null);
  }

  @Override
  public void accept(SampleBlock block) {
    analyser.accept(block);
  }

  /**
   * What to show now.
   *
   * @return the last reading, new ten times a second
   */
  public LiveReading reading() {
    return reading;
  }

  /**
   * The tone, once it was taken.
   *
   * @return the tone, or empty
   */
  public Optional<ReferenceTone> tone() {
    return Optional.ofNullable(tone);
  }

  /**
   * Ends the wait.
   *
   * @return the tone that was taken
   * @throws RefusedException if none was, with the last reason
   */
  public ReferenceTone finish() throws RefusedException {
    if (tone != null) {
      return tone;
    }
    if (refusal != null) {
      throw refusal;
    }
    if (frames.isEmpty()) {
      throw new RefusedException(
          name
              + ": no tone came; fit the calibrator on the microphone, switch it on, and check that"
              + " this is the right input.");
    }
    return judge();
  }

  private void take(ToneFrame frame) {
    if (state == State.TAKEN) {
      return;
    }
    boolean sounds = frame.tonal() && frame.levelDb() > -90;
    silentFrames = sounds ? 0 : silentFrames + 1;
    if (silentFrames >= PAUSE_FRAMES) {
      frames.clear();
      state = State.WAITING;
      reading = waiting(refusal == null ? null : refusal.getMessage());
      return;
    }
    if (state == State.REFUSED) {
      reading = of(frame, 0);
      return;
    }
    if (sounds || !frames.isEmpty()) {
      frames.add(frame);
      state = State.WATCHING;
      watch(frame);
    }
  }

  private void watch(ToneFrame frame) {
    int steady = steadyFrames();
    reading = of(frame, steady);
    if (steady < STEADY_FRAMES && frames.size() < MOST_FRAMES) {
      return;
    }
    try {
      ReferenceTone judged = judge();
      // Handling noise was left out, so that less than 5 s may remain.
      if (judged.toneS() >= STEADY_S - ToneFrameAnalyser.FRAME_S / 2) {
        tone = judged;
        refusal = null;
        state = State.TAKEN;
      }
    } catch (RefusedException e) {
      refusal = e;
      state = State.REFUSED;
      frames.clear();
    }
    reading = of(frame, steady);
  }

  private ReferenceTone judge() throws RefusedException {
    return new ToneJudgement(
            frames,
            analyser.frameLength(),
            (long) frames.size() * analyser.frameLength(),
            format.sampleRateHz(),
            nominalHz,
            name)
        .judge();
  }

  /** How many frames up to the last have one tone of one level. */
  private int steadyFrames() {
    double greatest = 0;
    double least = Double.POSITIVE_INFINITY;
    double hertz = frames.get(frames.size() - 1).frequencyHz();
    int count = 0;
    for (int i = frames.size() - 1; i >= 0 && count < STEADY_FRAMES; i--) {
      ToneFrame frame = frames.get(i);
      greatest = Math.max(greatest, frame.amplitude());
      least = Math.min(least, frame.amplitude());
      boolean same = frame.tonal() && Math.abs(frame.frequencyHz() - hertz) <= SAME_TONE * hertz;
      if (!same || Decibels.ofAmplitudeRatio(greatest / least) / 2 > ToneJudgement.STEADY_DB) {
        break;
      }
      count++;
    }
    return count;
  }

  private LiveReading of(ToneFrame frame, int steady) {
    double greatest = 0;
    double least = Double.POSITIVE_INFINITY;
    int seen = Math.min(frames.size(), STEADY_FRAMES);
    for (ToneFrame one : frames.subList(frames.size() - seen, frames.size())) {
      greatest = Math.max(greatest, one.amplitude());
      least = Math.min(least, one.amplitude());
    }
    return new LiveReading(
        state,
        Reading.ofFinite(frame.levelDb(), "silence"),
        frame.tonal() ? Reading.of(frame.frequencyHz()) : Reading.unknown("no tone"),
        Reading.ofFinite(Decibels.ofAmplitudeRatio(greatest / least) / 2, "no tone"),
        steady * analyser.frameLength() / format.sampleRateHz(),
        refusal == null ? null : refusal.getMessage());
  }

  private static LiveReading waiting(String message) {
    Reading none = Reading.unknown("no tone");
    return new LiveReading(State.WAITING, none, none, none, 0, message);
  }
}
