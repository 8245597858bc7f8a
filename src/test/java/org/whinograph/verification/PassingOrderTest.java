package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.whinograph.measurement.Measurement;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.Fan;
import org.whinograph.rehearsal.Line;
import org.whinograph.rehearsal.LineCause;
import org.whinograph.rehearsal.NoiseShape;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.signal.RefusedException;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.ToneOrigin;
import org.whinograph.tone.Tone;

/**
 * A speed that goes to and fro spreads its orders over many lines of the plain spectrum, and each
 * turning point leaves a tone. The power of a slow frequency modulation is distributed as the time
 * that it spends at each frequency (Woodward's theorem; Blachman and McAlpine, IEEE Trans. Commun.
 * Technol. 17(2), 1969, from memory): an even sweep over D leaves 5 Δ/D of it in five lines.
 */
class PassingOrderTest {
  private static final NoiseShape NOISE =
      NoiseShape.of(100, -2, 1000, -2, 5000, -6, 12_000, -12, 20_000, -18);
  private static final Pattern TOLD =
      Pattern.compile("for ([0-9.]+) % of the time .* leaves (-?[0-9.]+) dB here; (-?[0-9.]+) dB");

  /** 4000 ± 60 1/min, six sweeps in 30 s. */
  private static Device.Builder toAndFro() {
    SpeedProfile speed =
        SpeedProfile.of(0, 3940, 5, 4060, 10, 3940, 15, 4060, 20, 3940, 25, 4060, 30, 3940);
    return Device.builder("to and fro")
        .duration(30)
        .fan(new Fan(17, speed.withJitter(0.01, 1), 4000, NOISE, 50))
        .bladePass(36, 33, 32, 31)
        .shaft(24, 18, 14)
        .background(NoiseShape.flat(-12));
  }

  @Test
  void thePiecesOfASmearedOrderAreThatOrder() throws RefusedException {
    Measurement measured = DeviceBench.measured(toAndFro().build(), 51);
    List<Tone> tones = measured.tones().tones();
    double line = measured.spectrum().lineSpacingHz();
    int pieces = 0;
    for (int i = 0; i < tones.size(); i++) {
      ToneOrigin origin = DeviceBench.origin(measured, i);
      int k = (int) Math.rint(tones.get(i).frequencyHz() / (4000.0 / 60.0));
      int blades = (int) Math.rint(k / 17.0);
      if (Math.abs(tones.get(i).frequencyHz() / (17.0 * blades * 4000.0 / 60.0) - 1.0) > 0.016) {
        continue;
      }
      assertEquals(Cause.BLADE_PASS, origin.cause(), tones.get(i) + " " + origin.evidence());
      assertEquals(17.0 * blades, origin.order(), origin.evidence().toString());
      Matcher told = TOLD.matcher(String.join(" ", origin.evidence()));
      if (told.find()) {
        pieces++;
        double sweepHz = 17.0 * blades * 120.0 / 60.0;
        // At a turning point half of the band is beyond it, and the track rounds the corner off.
        double even = 5.0 * line / sweepHz;
        double share = 0.01 * Double.parseDouble(told.group(1));
        assertTrue(share > 0.2 * even && share < 2.5 * even, share + ", evenly " + even);
        assertEquals(Double.parseDouble(told.group(2)), Double.parseDouble(told.group(3)), 4.0);
      }
    }
    assertTrue(pieces >= 3, pieces + " pieces");
  }

  /** The negative control: a line that stays within the sweep of an order isn't that order. */
  @Test
  void aLineThatStaysWithinTheSweepIsNoPieceOfIt() throws RefusedException {
    double hz = 34.2 * 4000.0 / 60.0;
    Measurement measured =
        DeviceBench.measured(toAndFro().line(Line.fixed(LineCause.FIXED, hz, 30)).build(), 52);
    int tone = DeviceBench.nearest(measured, hz, 1.0);
    ToneOrigin origin = DeviceBench.origin(measured, tone);
    assertNotEquals(Cause.BLADE_PASS, origin.cause(), origin.evidence().toString());
    assertNotEquals(34.0, origin.order());
  }
}
