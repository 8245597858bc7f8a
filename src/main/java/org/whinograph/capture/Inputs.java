package org.whinograph.capture;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.whinograph.audiofile.SampleEncoding;
import org.whinograph.quantity.Decibels;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

/**
 * Finds out what inputs really do. What a sound system says it can is not believed: each width with
 * each number of channels, and each rate with the widest, is opened and listened to for a moment,
 * and one that delivers nothing, or something quite different from what the same input delivers
 * with 16 bits, is not offered.
 */
public final class Inputs {
  static final String IN_USE =
      "close other programs that record, and check that the system lets programs use the microphone"
          + " (on macOS and Windows in the privacy settings, on Linux in the rights to the sound"
          + " device), then try again";

  private static final double[] RATES = {44100, 48000, 88200, 96000, 176400, 192000};

  /** Where widths and channels are tried, all of them; the other rates then with the widest. */
  private static final double[] REFERENCE_RATES = {48000, 44100};

  /** Packed 24 bits first: they hold every microphone's range and no bit more is wasted. */
  private static final int[] BIT_DEPTHS = {24, 32, 16};

  private static final int[] CHANNELS = {1, 2};

  /** No converter runs at it, so a system that opens it resamples. */
  private static final double ODD_RATE = 45_678;

  private static final double LISTEN_S = 0.15;
  private static final long PATIENCE_NANOS = 2_500_000_000L;

  /** Garbage is loud; sound that changes between two moments of 0.15 s rarely does so by more. */
  private static final double GARBAGE_DB = 40;

  private static final double LOUD_DB = -30;

  private final InputSystem system;
  private final CaptureClock clock;

  /**
   * Prepares.
   *
   * @param system what offers inputs
   * @param clock time
   */
  public Inputs(InputSystem system, CaptureClock clock) {
    this.system = system;
    this.clock = clock;
  }

  /**
   * Lists all inputs with what each really delivers; takes about a second for each format tried,
   * some fifteen seconds in all.
   *
   * @return the inputs, in the system's order
   * @throws RefusedException if there are none, with what to do
   */
  public List<Input> list() throws RefusedException {
    List<String> names = system.names();
    if (names.isEmpty()) {
      throw new RefusedException(none());
    }
    List<Input> inputs = new ArrayList<>();
    for (String name : names) {
      inputs.add(probe(name));
    }
    return inputs;
  }

  /**
   * Opens an input.
   *
   * @param name its name, or the only one whose name contains this, whatever the case
   * @param format what to open
   * @return the line
   * @throws RefusedException if there is none of that name, or several, or it doesn't open
   */
  public CaptureLine open(String name, SampleFormat format) throws RefusedException {
    return system.open(resolve(name), format);
  }

  /**
   * Finds the best format of an input without probing all: packed 24 bits, else 32, else 16.
   *
   * @param name its name or a part of it
   * @param rateHz rate [Hz]
   * @param channels channels
   * @return a format that opens
   * @throws RefusedException if none does
   */
  public SampleFormat best(String name, double rateHz, int channels) throws RefusedException {
    String full = resolve(name);
    RefusedException last = null;
    for (int bits : BIT_DEPTHS) {
      SampleFormat format = new SampleFormat(rateHz, channels, bits, false);
      try (CaptureLine line = system.open(full, format)) {
        return line.format();
      } catch (RefusedException e) {
        last = e;
      }
    }
    throw new RefusedException(
        String.format(
            Locale.ROOT,
            "input %s: doesn't open with %.0f Hz, %d channel%s at 24, 32 or 16 bits; try another rate"
                + " or number of channels, or it is in use or not permitted: %s",
            full,
            rateHz,
            channels,
            channels == 1 ? "" : "s",
            IN_USE),
        last);
  }

  private String resolve(String name) throws RefusedException {
    List<String> names = system.names();
    if (names.isEmpty()) {
      throw new RefusedException(none());
    }
    if (names.contains(name)) {
      return name;
    }
    String wanted = name.toLowerCase(Locale.ROOT);
    List<String> matches =
        names.stream().filter(n -> n.toLowerCase(Locale.ROOT).contains(wanted)).toList();
    if (matches.size() != 1) {
      throw new RefusedException(unknown(name, matches.isEmpty() ? names : matches));
    }
    return matches.get(0);
  }

  private Input probe(String name) {
    Probe probe = new Probe(name);
    double reference = 0;
    for (int i = 0; i < REFERENCE_RATES.length && probe.layouts.isEmpty(); i++) {
      reference = REFERENCE_RATES[i];
      probe.tryLayouts(reference);
    }
    List<SampleFormat> formats = new ArrayList<>();
    if (!probe.layouts.isEmpty()) {
      SampleFormat widest = probe.layouts.get(probe.layouts.size() - 1);
      for (double rate : RATES) {
        if (rate == reference || probe.delivers(at(rate, widest))) {
          probe.layouts.forEach(layout -> formats.add(at(rate, layout)));
        }
      }
    }
    return new Input(
        name,
        formats,
        resampling(name, formats),
        problem(formats.isEmpty(), probe.zeros, probe.firstRefusal));
  }

  private static SampleFormat at(double rate, SampleFormat layout) {
    return new SampleFormat(rate, layout.channels(), layout.bitDepth(), false);
  }

  /** What was found out about one input. */
  private final class Probe {
    private final String name;

    /** Widths and channels that work, best width first, at the rate they were tried at. */
    private final List<SampleFormat> layouts = new ArrayList<>();

    private boolean zeros = true;
    private String firstRefusal;

    Probe(String name) {
      this.name = name;
    }

    void tryLayouts(double rate) {
      for (int channels : CHANNELS) {
        double reference = Double.NaN;
        List<SampleFormat> good = new ArrayList<>();
        // 16 bits come first as the reference, since no system gets them wrong.
        for (int i = BIT_DEPTHS.length - 1; i >= 0; i--) {
          SampleFormat format = new SampleFormat(rate, channels, BIT_DEPTHS[i], false);
          try {
            double level = listen(name, format);
            reference = Double.isNaN(reference) ? level : reference;
            zeros &= level == Double.NEGATIVE_INFINITY;
            if (level < LOUD_DB || level < reference + GARBAGE_DB) {
              good.add(0, format);
            }
          } catch (RefusedException e) {
            firstRefusal = firstRefusal == null ? e.getMessage() : firstRefusal;
          }
        }
        layouts.addAll(good);
      }
    }

    boolean delivers(SampleFormat format) {
      try {
        zeros &= listen(name, format) == Double.NEGATIVE_INFINITY;
        return true;
      } catch (RefusedException e) {
        firstRefusal = firstRefusal == null ? e.getMessage() : firstRefusal;
        return false;
      }
    }
  }

  private static String problem(boolean nothing, boolean zeros, String refusal) {
    if (nothing) {
      return refusal == null
          ? "delivers nothing plausible; " + IN_USE
          : "no format works, not even the plainest: " + refusal;
    }
    if (zeros) {
      return "delivers nothing but zeros: it is muted, nothing is plugged in, or the system keeps"
          + " the microphone from programs (macOS and Windows: privacy settings)";
    }
    return null;
  }

  private String resampling(String name, List<SampleFormat> formats) {
    if (formats.isEmpty()) {
      return "unknown, since no format opens";
    }
    SampleFormat best = formats.get(0);
    try {
      listen(name, new SampleFormat(ODD_RATE, best.channels(), best.bitDepth(), false));
      return String.format(
          Locale.ROOT,
          "the system converts rates (it even opens at %.0f Hz), so the device's own rate can't be"
              + " seen from here: set it in the system's sound settings and record at the same rate",
          ODD_RATE);
    } catch (RefusedException e) {
      return "no sign that the system converts rates: it refuses one that no device has";
    }
  }

  /** Opens a format, listens for a moment and returns the rms level [dB re full scale]. */
  private double listen(String name, SampleFormat format) throws RefusedException {
    SampleEncoding encoding = SampleEncoding.of(format.bitDepth() / 8, false);
    int frameBytes = encoding.bytes() * format.channels();
    int wanted = (int) Math.round(format.sampleRateHz() * LISTEN_S);
    byte[] bytes = new byte[(int) Math.round(format.sampleRateHz() * 0.01) * frameBytes];
    double[] samples = new double[bytes.length / encoding.bytes()];
    double sum = 0;
    long count = 0;
    try (CaptureLine line = system.open(name, format)) {
      line.start();
      long deadline = clock.nanoTime() + PATIENCE_NANOS;
      while (count < (long) wanted * format.channels()) {
        int length = line.read(bytes, bytes.length);
        if (length <= 0) {
          clock.pause(5_000_000);
        }
        if (clock.nanoTime() > deadline) {
          throw new RefusedException(
              "input "
                  + name
                  + ": opens with "
                  + describe(format)
                  + " but delivers nothing; "
                  + IN_USE);
        }
        int got = Math.max(0, length) / encoding.bytes();
        encoding.decode(bytes, 0, encoding.bytes(), samples, 0, got);
        for (int i = 0; i < got; i++) {
          sum += samples[i] * samples[i];
        }
        count += got;
      }
    }
    return Decibels.ofEnergyRatio(sum / count * 2);
  }

  /**
   * A format in words.
   *
   * @param format any format
   * @return rate, bits and channels
   */
  public static String describe(SampleFormat format) {
    return String.format(
        Locale.ROOT,
        "%.0f Hz, %d bits, %d channel%s",
        format.sampleRateHz(),
        format.bitDepth(),
        format.channels(),
        format.channels() == 1 ? "" : "s");
  }

  static String unknown(String name, List<String> names) {
    boolean several =
        names.size() > 1
            && names.stream()
                .allMatch(n -> n.toLowerCase(Locale.ROOT).contains(name.toLowerCase(Locale.ROOT)));
    return "input "
        + name
        + (several
            ? ": more than one has that in its name; give more of it, one of: "
            : ": there is none of that name; choose one of: ")
        + String.join(", ", names);
  }

  private static String none() {
    return "no audio input is there: plug a microphone in, switch it on in the system's sound"
        + " settings, on Linux see that the sound server runs, then try again";
  }
}
