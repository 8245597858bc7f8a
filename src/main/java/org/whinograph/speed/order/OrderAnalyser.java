package org.whinograph.speed.order;

import java.util.List;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleSink;
import org.whinograph.spectrum.Spectrogram;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.tone.ToneAnalyser;
import org.whinograph.tone.ToneResult;

/**
 * Holds the tones against the speed. It listens to the frames of the tones while they are measured;
 * once the speed is known it wants the samples a second time, to follow it, and works without where
 * they can't be had.
 *
 * <p>Not safe for use by several threads.
 */
public final class OrderAnalyser {
  /** Rows of the spectrogram: 6 Hz each at 48 kHz. */
  private static final int ROWS = 4096;

  private static final int COLUMNS = 256;

  private final double rate;
  private final LevelUnit unit;
  private final LineTracks tracks;
  private final Spectrogram spectrogram;
  private FollowingSpectrum following;
  private EnvelopeMeter envelope;

  /**
   * Starts to listen.
   *
   * @param sampleRateHz frames a second [Hz]
   * @param unit what levels refer to
   * @param tones the analyser that finds the tones, before its first sample
   */
  public OrderAnalyser(double sampleRateHz, LevelUnit unit, ToneAnalyser tones) {
    this.rate = sampleRateHz;
    this.unit = unit;
    int length = ToneAnalyser.frameLength(sampleRateHz);
    this.tracks = new LineTracks(sampleRateHz, length, length / 2);
    tones.addListener(tracks);
    this.spectrogram = tones.spectrogram(ROWS, COLUMNS);
  }

  /**
   * What wants the samples a second time.
   *
   * @param speed the shaft's speed
   * @return where they go, from the first on; null if no speed is known that could be followed
   */
  public SampleSink secondPass(SpeedResult speed) {
    SpeedTrack track = reference(speed);
    if (!speed.heard() || track.frames() < 2 || !(track.knownFraction() > 0.0)) {
      return null;
    }
    following = new FollowingSpectrum(rate, unit, track);
    envelope = new EnvelopeMeter(rate, track, strongOrder(speed));
    return block -> {
      following.accept(block);
      envelope.accept(block);
    };
  }

  /** The order whose envelope is worth hearing: blade-pass, as far as it is known. */
  private static int strongOrder(SpeedResult speed) {
    if (!speed.medianRpm().known()) {
      return 1;
    }
    return speed.blades() != null ? speed.blades() : Math.max(1, speed.combOrder());
  }

  private static SpeedTrack reference(SpeedResult speed) {
    return speed.medianRpm().known() ? speed.track() : speed.comb();
  }

  /**
   * The result.
   *
   * @param tones the tones
   * @param spectrum the spectrum that they come from, or null if there is none
   * @param speed the shaft's speed
   * @return causes, ratios that follow the speed, a second fan, speeds to avoid
   */
  public OrderResult result(ToneResult tones, Spectrum spectrum, SpeedResult speed) {
    List<SpeedBin> all = following == null ? List.of() : following.bins(SweepJudge.FEWEST_FRAMES);
    List<SpeedBin> bins =
        all.stream().filter(bin -> bin.spectrum().frames() >= FollowingTone.FEWEST_FRAMES).toList();
    List<SpeedLevels> levels = following == null ? List.of() : following.levels();
    SpeedSweep sweep =
        speed.medianRpm().known()
            ? SweepJudge.judge(all, levels, SteadyLines.of(tracks, spectrum))
            : null;
    Envelope beat = envelope == null ? null : envelope.result();
    return ToneOrigins.judge(
        tones,
        spectrum,
        speed,
        tracks,
        new Followed(bins, levels, sweep, beat),
        spectrogram.columns());
  }
}
