package org.whinograph.calibration;

import java.util.Arrays;
import java.util.Locale;
import java.util.Optional;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RealTransform;

/**
 * Looks for mirror images of the calibrator's tone that a poor change of sample rate leaves: lines
 * at m·R ± f, folded below half the rate, for the usual rates R.
 *
 * <p>Keeps 2.5 s of tone, the loudest that came.
 */
final class ImageFinder {
  private static final int FRAMES = 25;
  private static final double[] RATES = {
    8000, 11_025, 12_000, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 88_200, 96_000, 192_000
  };

  /** Images weaker than this against the tone don't matter [dB]. */
  private static final double WEAKEST_DB = -90;

  /**
   * An image stands this far out of the median of the lines around it [dB]; noise does so with a
   * probability of 2^(−100) for each line.
   */
  private static final double ABOVE_NOISE_DB = 20;

  /** Half the main lobe of the window [lines]. */
  private static final int LOBE = 4;

  private final int frameLength;
  private final double sampleRateHz;
  private double[] kept;
  private double[] coming;
  private double keptAmplitude;
  private double comingAmplitude;
  private double hertz;
  private int frames;

  ImageFinder(int frameLength, double sampleRateHz) {
    this.frameLength = frameLength;
    this.sampleRateHz = sampleRateHz;
    this.kept = new double[FRAMES * frameLength];
    this.coming = new double[FRAMES * frameLength];
  }

  void add(ToneFrame frame, double[] samples) {
    boolean goesOn =
        frame.tonal()
            && (frames == 0
                || (Math.abs(frame.frequencyHz() / hertz - 1) < 0.005
                    && Math.abs(Decibels.ofAmplitudeRatio(frame.amplitude() / comingAmplitude))
                        < 0.5));
    if (!goesOn) {
      frames = 0;
    }
    if (!frame.tonal()) {
      return;
    }
    if (frames == 0) {
      hertz = frame.frequencyHz();
      comingAmplitude = frame.amplitude();
    }
    System.arraycopy(samples, 0, coming, frames * frameLength, frameLength);
    if (++frames == FRAMES) {
      if (comingAmplitude > 1.1 * keptAmplitude) {
        double[] swap = kept;
        kept = coming;
        coming = swap;
        keptAmplitude = comingAmplitude;
      }
      frames = 0;
    }
  }

  Optional<InputFinding> finding(double toneHz) {
    if (keptAmplitude == 0) {
      return Optional.empty();
    }
    int n = kept.length;
    double[] work = new double[n];
    for (int i = 0; i < n; i++) {
      // Four terms, side lobes below −92 dB: F. J. Harris, Proc. IEEE 66, 1978, 51–83, table I.
      double x = 2 * Math.PI * i / n;
      double w =
          0.35875 - 0.48829 * Math.cos(x) + 0.14128 * Math.cos(2 * x) - 0.01168 * Math.cos(3 * x);
      work[i] = w * kept[i];
    }
    new RealTransform(n).forward(work);
    double[] power = new double[n / 2];
    for (int k = 1; k < n / 2; k++) {
      power[k] = work[2 * k] * work[2 * k] + work[2 * k + 1] * work[2 * k + 1];
    }
    double spacing = sampleRateHz / n;
    double tone = strongest(power, toneHz / spacing);
    double worst = WEAKEST_DB;
    double worstHz = 0;
    double worstRate = 0;
    for (double rate : RATES) {
      for (int m = 1; m * rate - toneHz < Math.max(rate, sampleRateHz) + toneHz && m < 64; m++) {
        for (int sign = -1; sign <= 1; sign += 2) {
          double image = folded(m * rate + sign * toneHz);
          if (isExpected(image, toneHz, spacing)) {
            continue;
          }
          double line = strongest(power, image / spacing);
          double level = Decibels.ofEnergyRatio(line / tone);
          if (level > worst && line > noise(power, image / spacing) * ABOVE_NOISE) {
            worst = level;
            worstHz = image;
            worstRate = rate;
          }
        }
      }
    }
    if (worstHz == 0) {
      return Optional.empty();
    }
    return Optional.of(
        new InputFinding(
            InputFinding.Kind.RESAMPLING_IMAGES,
            String.format(
                Locale.ROOT,
                "beside the tone of %.1f Hz there is an image at %.1f Hz, %.1f dB under it, where a"
                    + " change of rate from %.0f Hz puts one",
                toneHz,
                worstHz,
                -worst,
                worstRate),
            Reading.of(worst)));
  }

  private static final double ABOVE_NOISE = Decibels.toEnergyRatio(ABOVE_NOISE_DB);

  private double folded(double frequency) {
    double within = frequency % sampleRateHz;
    return within > sampleRateHz / 2 ? sampleRateHz - within : within;
  }

  /** Harmonics of the tone, hum, and the ends of the spectrum aren't images. */
  private boolean isExpected(double image, double toneHz, double spacing) {
    double near = 2.5 * LOBE * spacing;
    double harmonic = Math.rint(image / toneHz) * toneHz;
    boolean hum =
        image < 1000
            && (Math.abs(image - 50 * Math.rint(image / 50)) < near
                || Math.abs(image - 60 * Math.rint(image / 60)) < near);
    return Math.abs(image - harmonic) < near
        || hum
        || image < 100
        || image > sampleRateHz / 2 - near;
  }

  private static double strongest(double[] power, double line) {
    int middle = (int) Math.rint(line);
    double most = 0;
    for (int k = Math.max(1, middle - 2); k <= Math.min(power.length - 1, middle + 2); k++) {
      most = Math.max(most, power[k]);
    }
    return most;
  }

  private static double noise(double[] power, double line) {
    int middle = (int) Math.rint(line);
    int from = Math.max(1, middle - 100);
    int to = Math.min(power.length, middle + 100);
    double[] around = Arrays.copyOfRange(power, from, to);
    Arrays.sort(around);
    return around[around.length / 2];
  }
}
