package org.whinograph.cli;

import java.util.Locale;
import org.whinograph.calibration.LiveCalibration;
import org.whinograph.calibration.LiveReading;
import org.whinograph.calibration.LiveReading.State;
import org.whinograph.calibration.ReferenceTone;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSource;

/** Watches a live input until a calibrator's tone is taken, and shows how it stands. */
final class LiveCalibrationRun {
  private static final int BLOCK = 2048;

  private final Terminal terminal;
  private final boolean quiet;
  private final StatusLine status;
  private String refused;

  LiveCalibrationRun(Terminal terminal, boolean quiet) {
    this.terminal = terminal;
    this.quiet = quiet;
    this.status = new StatusLine(terminal, quiet);
  }

  /**
   * Runs until the tone is taken, or the time is up.
   *
   * @param source the input, started; not closed
   * @param frequencyHz nominal frequency of the calibrator [Hz]
   * @param seconds how long to wait [s, counted in samples]
   * @return the tone
   * @throws RefusedException if none was taken, with the last reason
   */
  ReferenceTone run(SampleSource source, double frequencyHz, double seconds)
      throws RefusedException {
    LiveCalibration live = new LiveCalibration(source.format(), frequencyHz, source.name());
    if (!quiet) {
      line(
          "Fit the calibrator on the microphone and switch it on; its tone is taken once it has been"
              + " steady for 5 s.");
    }
    double rate = source.format().sampleRateHz();
    LiveReading shown = live.reading();
    show(shown);
    for (SampleBlock block = source.read(BLOCK); block != null; block = source.read(BLOCK)) {
      live.accept(block);
      if (!live.reading().equals(shown)) {
        shown = live.reading();
        show(shown);
      }
      if (live.tone().isPresent() || (block.position() + block.length()) / rate >= seconds) {
        break;
      }
    }
    status.clear();
    try {
      return live.finish();
    } catch (RefusedException e) {
      if (!e.getMessage().equals(refused)) {
        throw e;
      }
      throw new RefusedException(
          String.format(
              Locale.ROOT,
              "%s: no tone was taken in %.0f s; the last was refused for the reason above.",
              source.name(),
              seconds));
    }
  }

  private void show(LiveReading reading) {
    if (reading.state() == State.REFUSED && !reading.message().equals(refused)) {
      refused = reading.message();
      status.clear();
      line("whinograph: " + refused);
    }
    status.show(
        String.format(
            Locale.ROOT,
            "%-8s  level %s  frequency %s  steady %.1f s",
            reading.state().name().toLowerCase(Locale.ROOT),
            text(reading.level(), "%.2f dB re full scale"),
            text(reading.frequency(), "%.2f Hz"),
            reading.steadyS()));
  }

  private static String text(Reading reading, String pattern) {
    return reading.known() ? String.format(Locale.ROOT, pattern, reading.value()) : "--";
  }

  private void line(String text) {
    terminal.err().println(text);
    terminal.err().flush();
  }
}
