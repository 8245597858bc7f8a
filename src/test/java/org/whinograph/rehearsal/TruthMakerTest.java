package org.whinograph.rehearsal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Map;
import org.apache.commons.math3.complex.Complex;
import org.apache.commons.math3.stat.StatUtils;
import org.apache.commons.math3.transform.DftNormalization;
import org.apache.commons.math3.transform.FastFourierTransformer;
import org.apache.commons.math3.transform.TransformType;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.signal.RefusedException;
import org.whinograph.verification.ReferenceTable;

/** The truth against published tables, closed forms, and statistics of the samples. */
class TruthMakerTest {
  private static final double FULL_SCALE_DB = 120;
  private static final int FRAME = 1 << 15;

  /** IEC 61672-1, table of weightings at exact midband frequencies: rounded to 0.1 dB. */
  @Test
  void weightingsAreThoseOfTheTable() {
    for (Map<String, String> row : ReferenceTable.read("iec61672-1/weightings.csv").rows()) {
      double f = ReferenceTable.number(row, "f_exact_Hz");
      assertEquals(
          ReferenceTable.number(row, "A_dB"), 10 * Math.log10(AnalyticWeighting.a(f)), 0.051);
      assertEquals(
          ReferenceTable.number(row, "C_dB"), 10 * Math.log10(AnalyticWeighting.c(f)), 0.051);
    }
  }

  /** ECMA-418-1, critical bands and the bands beside them; the table is rounded to 0.01 Hz. */
  @Test
  void criticalBandsAreThoseOfTheTable() {
    for (Map<String, String> row : ReferenceTable.read("ecma418-1/tones.csv").rows()) {
      double f = ReferenceTable.number(row, "ft_Hz");
      CriticalBand band = CriticalBand.around(f);
      assertEquals(ReferenceTable.number(row, "f1_M_Hz"), band.lowerHz(), 0.006);
      assertEquals(ReferenceTable.number(row, "f2_M_Hz"), band.upperHz(), 0.006);
      assertEquals(ReferenceTable.number(row, "f1_L_Hz"), band.belowHz(), 0.006);
      assertEquals(ReferenceTable.number(row, "f2_U_Hz"), band.aboveHz(), 0.006);
      if (f < 1000) {
        double spacing = ReferenceTable.number(row, "proximity_spacing_Hz");
        assertTrue(CriticalBand.proximate(f, f + spacing - 0.02));
        assertFalse(CriticalBand.proximate(f, f + spacing + 0.02));
      }
    }
  }

  /** The computed examples of a tone in flat noise, rounded to 0.001 dB. */
  @Test
  void ratiosAreThoseOfTheWorkedExamples() {
    for (Map<String, String> row : ReferenceTable.read("ecma418-1/worked-examples.csv").rows()) {
      Device device =
          Devices.toneInNoise(
              ReferenceTable.number(row, "ft_Hz"),
              ReferenceTable.number(row, "tone_level_dB"),
              ReferenceTable.number(row, "noise_density_dB_per_Hz"),
              1);
      DeviceTruth.Tone tone = TruthMaker.of(device, 1).tones().get(0);
      assertEquals(ReferenceTable.number(row, "TNR_dB"), tone.toneToNoiseDb(), 0.001);
      assertEquals(ReferenceTable.number(row, "PR_dB"), tone.prominenceDb(), 0.001);
      assertEquals(20, tone.noiseDensityDb(), 1e-9);
    }
  }

  /** IEC 61260-1:2014, table 1: both limits of class 1 at every row, for octaves and thirds. */
  @Test
  void filterLimitsAreThoseOfTheMask() {
    for (Map<String, String> row : ReferenceTable.read("iec61260-1/mask.csv").rows()) {
      for (int fraction : new int[] {1, 3}) {
        FilterLimits limits = new FilterLimits(fraction);
        double omega =
            ReferenceTable.number(row, fraction == 1 ? "Omega_high_octave" : "Omega_high_third");
        String exponent = row.get("exponent");
        // Just inside and just beyond the edge the limits jump.
        double aside = exponent.equals("1/2-") ? -1.5e-4 : exponent.equals("1/2+") ? 1.5e-4 : 0;
        double distance = Math.log10(omega) + aside;
        assertEquals(
            ReferenceTable.number(row, "class1_min_dB"),
            -10 * Math.log10(limits.most(distance)),
            0.1,
            exponent);
        double most = ReferenceTable.number(row, "class1_max_dB");
        if (Double.isInfinite(most)) {
          assertEquals(0, limits.least(distance), exponent);
        } else {
          assertEquals(most, -10 * Math.log10(limits.least(distance)), 0.1, exponent);
        }
      }
    }
  }

  /** White noise of density N₀: N₀ + 10 lg B in each band with the edges of IEC 61260-1, 5.5. */
  @Test
  void whiteNoiseFillsEachBandByItsWidth() {
    Device device = Device.builder("white").duration(1).background(NoiseShape.flat(3)).build();
    DeviceTruth truth = TruthMaker.of(device, 1);
    assertEquals(31, truth.thirdOctaves().size());
    assertEquals(10, truth.octaves().size());
    for (DeviceTruth.Band band : truth.thirdOctaves()) {
      double width = band.midbandHz() * (Math.pow(10, 0.05) - Math.pow(10, -0.05));
      assertEquals(3 + 10 * Math.log10(width), band.levelDb(), 1e-6, band.nominalHz() + " Hz");
      assertEquals(band.levelDb(), band.backgroundDb(), 1e-12);
      assertNull(band.deviceDb());
    }
    for (DeviceTruth.Band band : truth.octaves()) {
      double width = band.midbandHz() * (Math.pow(10, 0.15) - Math.pow(10, -0.15));
      assertEquals(3 + 10 * Math.log10(width), band.levelDb(), 1e-6, band.nominalHz() + " Hz");
    }
    assertEquals(3 + 10 * Math.log10(24_000), truth.levels().lzeqDb(), 1e-9);
    assertNull(truth.levels().deviceLaeqDb());
  }

  /**
   * Pink noise has the same level in every one-third octave, and its A-level is then that level
   * plus the energy sum of the table's weightings (within what rounding to 0.1 dB and the edges at
   * 20 Hz and 20 kHz allow).
   */
  @Test
  void pinkNoiseFillsBandsAlike() {
    double at1kHz = 0;
    Device device =
        Device.builder("pink")
            .duration(1)
            .background(NoiseShape.sloped(at1kHz, -10 * Math.log10(2)))
            .build();
    DeviceTruth truth = TruthMaker.of(device, 1);
    double level = 10 * Math.log10(1000 * Math.log(Math.pow(10, 0.1)));
    for (DeviceTruth.Band band : truth.thirdOctaves()) {
      if (band.nominalHz() >= 31.5 && band.nominalHz() <= 16_000) {
        assertEquals(level, band.levelDb(), band.nominalHz() < 60 ? 0.15 : 0.02);
      }
    }
    double weights = 0;
    for (Map<String, String> row : ReferenceTable.read("iec61672-1/weightings.csv").rows()) {
      if (ReferenceTable.number(row, "f_nominal_Hz") >= 20) {
        weights += Math.pow(10, ReferenceTable.number(row, "A_dB") / 10);
      }
    }
    assertEquals(level + 10 * Math.log10(weights), truth.levels().laeqDb(), 0.05);
  }

  /**
   * A whole device against its samples: mean square by Commons Math statistics, A-level by summing
   * its transform's lines under the table's weightings.
   */
  @Test
  void samplesHaveTheLevelsOfTheTruth() {
    Device device =
        Device.builder("fan")
            .duration(88 * FRAME / 48_000.0)
            .fan(
                new Fan(
                    7,
                    SpeedProfile.of(0, 4000, 60, 6000).withJitter(0.1, 2),
                    5000,
                    NoiseShape.of(100, 15, 1000, 12, 10_000, -5),
                    55))
            .bladePass(45, 40)
            .shaft(30, 25)
            .hum(50, 30, 25)
            .resonance(1500, 4, 12)
            .background(NoiseShape.of(100, 10, 1000, 0, 10_000, -10))
            .selfNoise(NoiseShape.flat(-15))
            .levelAtFullScale(FULL_SCALE_DB)
            .quantisation(Quantisation.BITS_16)
            .build();
    DeviceTruth truth = TruthMaker.of(device, 2);
    double[] x = DeviceSourceTest.samples(device, 2, 8192);
    double meanSquare = StatUtils.sumSq(x) / x.length;
    double full = FULL_SCALE_DB + 10 * Math.log10(2);
    assertEquals(truth.levels().lzeqDb(), full + 10 * Math.log10(meanSquare), 0.05);
    assertEquals(truth.levels().laeqDb(), full + 10 * Math.log10(aMeanSquare(x)), 0.05);
    // The parts make the whole.
    assertEquals(
        Math.pow(10, truth.levels().laeqDb() / 10),
        Math.pow(10, truth.levels().deviceLaeqDb() / 10)
            + Math.pow(10, truth.levels().backgroundLaeqDb() / 10),
        1e-6 * Math.pow(10, truth.levels().laeqDb() / 10));
  }

  /**
   * Mean square under the weighting: frames without a window, side by side, so that Parseval holds.
   */
  private static double aMeanSquare(double[] x) {
    FastFourierTransformer transformer = new FastFourierTransformer(DftNormalization.STANDARD);
    double sum = 0;
    for (int start = 0; start < x.length; start += FRAME) {
      double[] frame = Arrays.copyOfRange(x, start, start + FRAME);
      Complex[] lines = transformer.transform(frame, TransformType.FORWARD);
      for (int k = 1; k < FRAME / 2; k++) {
        double magnitude = lines[k].abs() / FRAME;
        sum += 2 * magnitude * magnitude * AnalyticWeighting.a(k * 48_000.0 / FRAME);
      }
    }
    return sum * FRAME / x.length;
  }

  /**
   * A microphone's response is undone: the truth is that of a flat microphone, but for its noise.
   */
  @Test
  void responseDoesNotChangeTheTruthOfTheSound() {
    Device.Builder builder =
        Device.builder("fan")
            .duration(2)
            .fan(new Fan(5, SpeedProfile.steady(3000), 3000, NoiseShape.flat(10), 55))
            .bladePass(40);
    DeviceTruth flat = TruthMaker.of(builder.build(), 3);
    DeviceTruth coloured =
        TruthMaker.of(builder.response(ResponseCurve.of(50, -3, 1000, 0, 10_000, 4)).build(), 3);
    assertEquals(flat.levels().laeqDb(), coloured.levels().laeqDb(), 0.001);
    assertEquals(
        flat.tones().get(0).toneToNoiseDb(), coloured.tones().get(0).toneToNoiseDb(), 0.001);
  }

  /** Levels follow the speed: 60 dB a decade for lines, 55 for noise, by the description. */
  @Test
  void levelsFollowTheSpeed() {
    DeviceTruth slow = TruthMaker.of(fanAt(2000), 4);
    DeviceTruth fast = TruthMaker.of(fanAt(20_000), 4);
    assertEquals(60, fast.tones().get(0).levelDb() - slow.tones().get(0).levelDb(), 1e-9);
    assertEquals(
        55, fast.tones().get(0).noiseDensityDb() - slow.tones().get(0).noiseDensityDb(), 1e-6);
    assertEquals(20_000, fast.fans().get(0).meanRpm(), 1e-6);
  }

  private static Device fanAt(double rpm) {
    return Device.builder("fan")
        .duration(1)
        .fan(new Fan(5, SpeedProfile.steady(rpm), 5000, NoiseShape.flat(10), 55))
        .bladePass(40)
        .build();
  }

  /** A ramp sweeps its lines; a resonance raises them by its gain where they cross it. */
  @Test
  void sweptLinesHaveNoRatio() {
    Device device =
        Device.builder("ramp")
            .duration(10)
            .fan(5, SpeedProfile.of(0, 3000, 10, 6000), 3000)
            .bladePass(40)
            .line(Line.fixed(LineCause.FIXED, 12_000, 20))
            .background(NoiseShape.flat(0))
            .build();
    DeviceTruth truth = TruthMaker.of(device, 5);
    DeviceTruth.Tone swept = truth.tones().get(0);
    assertFalse(swept.steady());
    assertNull(swept.toneToNoiseDb());
    assertEquals(250, swept.lowHz(), 1e-6);
    assertEquals(500, swept.highHz(), 0.1);
    assertTrue(truth.tones().get(1).steady());
    assertEquals(4500, truth.fans().get(0).meanRpm(), 1);
    Resonance resonance = new Resonance(1000, 10, 12);
    assertEquals(12, 10 * Math.log10(resonance.powerGain(1000)), 1e-9);
    assertEquals(0, 10 * Math.log10(resonance.powerGain(50)), 0.01);
    assertEquals(0, 10 * Math.log10(resonance.powerGain(20_000)), 0.01);
  }

  /** Of two tones in one critical band the stronger carries the ratio, both tones in it. */
  @Test
  void strongestOfABandCarriesTheRatio() {
    Device device =
        Device.builder("pair")
            .duration(1)
            .line(Line.fixed(LineCause.FIXED, 1000, 50))
            .line(Line.fixed(LineCause.FIXED, 1030, 47))
            .background(NoiseShape.flat(20))
            .build();
    DeviceTruth truth = TruthMaker.of(device, 6);
    assertNull(truth.tones().get(1).toneToNoiseDb());
    double both = 10 * Math.log10(1e5 + Math.pow(10, 4.7));
    assertEquals(7.899 + both - 50, truth.tones().get(0).toneToNoiseDb(), 0.002);
  }

  @Test
  void truthSurvivesItsFile(@TempDir Path folder) throws Exception {
    Device device =
        Devices.comb(7, SpeedProfile.steady(5000), 20, 3, 6, 2, 10, 1)
            .line(Line.fixed(LineCause.FIXED, 9000, 20))
            .build();
    DeviceTruth truth = TruthMaker.of(device, 7);
    Path file = folder.resolve("device.truth.json");
    Files.writeString(file, TruthFile.toJson(truth));
    assertEquals(TruthFile.toJson(truth), TruthFile.toJson(TruthFile.read(file)));
    Files.writeString(file, "{\"format\": \"something\", \"tones\": []}");
    assertThrows(RefusedException.class, () -> TruthFile.read(file));
    Files.writeString(file, "no json");
    assertThrows(RefusedException.class, () -> TruthFile.read(file));
  }
}
