package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.junit.jupiter.api.Test;
import org.whinograph.audiofile.WavSource;
import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.MeasurementPlan;
import org.whinograph.measurement.Measurer;
import org.whinograph.quantity.Reading;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.DeviceTruth;
import org.whinograph.rehearsal.Devices;
import org.whinograph.rehearsal.Line;
import org.whinograph.rehearsal.LineCause;
import org.whinograph.rehearsal.NoiseShape;
import org.whinograph.rehearsal.SampleDevices;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.rehearsal.TruthMaker;
import org.whinograph.report.AnalysisJson;
import org.whinograph.report.Summary;
import org.whinograph.report.Typeface;
import org.whinograph.signal.RefusedException;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.Envelope;
import org.whinograph.speed.order.OrderResult;
import org.whinograph.speed.order.ResonanceCrossing;
import org.whinograph.speed.order.SpeedSweep;
import org.whinograph.speed.order.ToneOrigin;
import org.whinograph.speed.order.TwoFans;
import org.whinograph.tone.Tone;

/** Causes of tones against published anatomy and simulated devices of known truth. */
class ToneOriginTest {
  private static final Map<String, Measurement> SAMPLES = new HashMap<>();

  /**
   * A supplier's published tutorial on the anatomy of a fan's tones: seven blades, tones at 280,
   * 560, 840 and 960 Hz belong to 2400 1/min as orders 7, 14, 21, and 24, the least common multiple
   * of stator slots and magnet poles. Weak lines at orders 1 to 3 tell the shaft.
   */
  private static Device.Builder anatomy() {
    return Device.builder("anatomy")
        .duration(30)
        .fan(7, SpeedProfile.steady(2400).withJitter(0.01, 0.5), 2400)
        .bladePass(32, 26, 20)
        .shaft(20, 16, 14)
        .background(NoiseShape.flat(0));
  }

  @Test
  void publishedAnatomyIsNamedOrderByOrder() throws RefusedException {
    Measurement measurement = DeviceBench.measured(anatomy().motor(6, 8, 24).build(), 5);
    VerificationReport report =
        new VerificationReport(
            "tone-anatomy",
            "Anatomy of a fan's tones",
            "a supplier's published example: 7 blades, 280, 560, 840 and 960 Hz at 2400 1/min",
            "frequency Hz",
            "order published",
            "order",
            "cause");
    double[] frequencies = {280, 560, 840, 960};
    double[] orders = {7, 14, 21, 24};
    Cause[] causes = {Cause.BLADE_PASS, Cause.BLADE_PASS, Cause.BLADE_PASS, Cause.MOTOR};
    for (int i = 0; i < frequencies.length; i++) {
      int tone = DeviceBench.nearest(measurement, frequencies[i], 1.0);
      ToneOrigin origin = DeviceBench.origin(measurement, tone);
      report.row(frequencies[i], orders[i], origin.order(), origin.cause().label());
    }
    report.save();
    for (int i = 0; i < frequencies.length; i++) {
      int tone = DeviceBench.nearest(measurement, frequencies[i], 1.0);
      ToneOrigin origin = DeviceBench.origin(measurement, tone);
      assertEquals(orders[i], origin.order(), origin.evidence().toString());
      assertEquals(causes[i], origin.cause(), origin.evidence().toString());
    }
  }

  @Test
  void anOrderAmongEqualNeighboursIsNoMotor() throws RefusedException {
    Device.Builder builder = anatomy().motor(6, 8, 24);
    for (int order = 17; order <= 28; order++) {
      if (order % 7 != 0 && order != 24) {
        builder.line(Line.order(LineCause.SHAFT, 0, order, 22));
      }
    }
    Measurement measurement = DeviceBench.measured(builder.build(), 6);
    int tone = DeviceBench.nearest(measurement, 960, 1.0);
    assertEquals(24.0, DeviceBench.origin(measurement, tone).order());
    assertEquals(Cause.SHAFT, DeviceBench.origin(measurement, tone).cause());
  }

  @Test
  void drivesAndTheirSidebandsAreTold() throws RefusedException {
    Device device =
        anatomy().drive(18_300, 24, 8, 16).line(Line.fixed(LineCause.FIXED, 5021.3, 20)).build();
    Measurement measurement = DeviceBench.measured(device, 7);
    for (double f : new double[] {18_300, 18_300 - 320, 18_300 + 320}) {
      int tone = DeviceBench.nearest(measurement, f, 3.0);
      assertEquals(Cause.DRIVE, DeviceBench.origin(measurement, tone).cause(), f + " Hz");
    }
    int fixed = DeviceBench.nearest(measurement, 5021.3, 1.0);
    assertNotEquals(Cause.DRIVE, DeviceBench.origin(measurement, fixed).cause());
  }

  /** Every tone of the sample devices that is found and told: how often rightly? */
  @Test
  void sampleDevicesAreNamedAsTheyAre() throws RefusedException {
    VerificationReport report =
        new VerificationReport(
            "tone-causes",
            "Causes of the tones of the sample devices",
            "truth of the simulated devices",
            "device",
            "tones found",
            "named rightly",
            "unknown",
            "named wrongly");
    int right = 0;
    int wrong = 0;
    for (SampleDevices.Sample sample :
        List.of(SampleDevices.handheld(), SampleDevices.miniPc(), SampleDevices.projector())) {
      String name = sample.device().name();
      Measurement measurement = ofFile(name);
      DeviceTruth truth = TruthMaker.of(sample.device(), sample.seed());
      Map<String, Integer> count = new TreeMap<>();
      for (int i = 0; i < measurement.tones().tones().size(); i++) {
        count.merge(verdict(measurement, i, truth), 1, Integer::sum);
      }
      report.row(
          name,
          measurement.tones().tones().size(),
          count.getOrDefault("right", 0),
          count.getOrDefault("unknown", 0),
          count.getOrDefault("wrong", 0));
      right += count.getOrDefault("right", 0);
      wrong += count.getOrDefault("wrong", 0);
    }
    report.save();
    assertEquals(0, wrong);
    assertTrue(right >= 36, right + " named rightly");
  }

  /**
   * A cause counts as right if a line of the device with that cause passes within 0.3 % of the
   * tone. A motor order among shaft orders may be called a shaft order: it is one.
   */
  private static String verdict(Measurement measurement, int i, DeviceTruth truth) {
    Tone tone = DeviceBench.tone(measurement, i);
    ToneOrigin origin = DeviceBench.origin(measurement, i);
    if (origin.cause() == Cause.UNKNOWN) {
      return "unknown";
    }
    for (DeviceTruth.Tone line : truth.tones()) {
      if (line.lowHz() == null) {
        continue;
      }
      boolean here =
          tone.frequencyHz() > 0.997 * line.lowHz() && tone.frequencyHz() < 1.003 * line.highHz();
      boolean sameOrder =
          origin.order() == null || (line.order() != null && origin.order().equals(line.order()));
      boolean sameCause =
          line.cause().equals(origin.cause().label())
              || (origin.cause() == Cause.SHAFT && line.cause().equals("motor"));
      if (here && sameOrder && sameCause) {
        return "right";
      }
    }
    return "wrong";
  }

  private static synchronized Measurement ofFile(String name) throws RefusedException {
    Measurement known = SAMPLES.get(name);
    if (known == null) {
      try (WavSource source = WavSource.open(Path.of("samples", name + ".wav"), 1)) {
        known = new Measurer(MeasurementPlan.whole(null, null)).measure(source);
      }
      SAMPLES.put(name, known);
    }
    return known;
  }

  /** One fan whose lines are read as every second order at first and as every order later. */
  @Test
  void aFanThatSpeedsUpIsNoSecondFan() throws RefusedException {
    Measurement one = ofFile("handheld-30mm");
    assertEquals(null, one.speed().rival());
    assertEquals(null, one.orders().twoFans());
    assertFalse(one.warnings().stream().anyMatch(w -> w.code().equals("second-comb")));
    // Two fans are two still.
    assertNotEquals(null, ofFile("projector-pair").orders().twoFans());
  }

  @Test
  void twoFansAreToldApartWithTheirBeat() throws RefusedException {
    TwoFans fans = ofFile("projector-pair").orders().twoFans();
    assertEquals(6254.0, fans.secondRpm(), 1.0);
    // 7 · (6254 − 6240)/60 = 1.633 Hz.
    double beat =
        fans.beats().stream().filter(b -> b.order() == 7).findFirst().orElseThrow().rateHz();
    assertEquals(1.633, beat, 0.02);
    // 32.0 and 30.5 dB lie 1.6 Hz apart, within one line of the spectrum: only the envelope tells
    // the depth, 20 lg[(1 + b)/(1 − b)] = 21.3 dB with b = 10^(−1.5/20). Noise fills the fade.
    Envelope envelope = ofFile("projector-pair").orders().envelope();
    assertEquals(7, envelope.order());
    assertEquals(1.633, envelope.rateHz().value(), 0.02);
    Reading depth =
        fans.beats().stream().filter(b -> b.order() == 7).findFirst().orElseThrow().depth();
    assertEquals(21.3, depth.value(), 3.0);
    assertFalse(ofFile("mini-pc-blower").orders().envelope().rateHz().known());
    // One fan alone has no beat.
    assertEquals(null, ofFile("mini-pc-blower").orders().twoFans());
  }

  /**
   * At order 1 the two lines lie (6254 − 6240)/60 = 0.233 Hz apart: less than any spectrum tells.
   */
  @Test
  void eachBeatIsToldWithItsVerdictAndAnUnknownDepthWithItsReason() throws RefusedException {
    Reading depth =
        ofFile("projector-pair").orders().twoFans().beats().stream()
            .filter(beat -> beat.order() == 1)
            .findFirst()
            .orElseThrow()
            .depth();
    assertEquals("its two lines, 0.23 Hz apart, are too near to tell apart", depth.reason());
    String summary = Summary.of(ofFile("projector-pair"), Typeface.UNICODE).replaceAll("\\s+", " ");
    assertTrue(
        summary.contains("0.23 times at 104 Hz (how deep is unknown: " + depth.reason() + ")"),
        summary);
    assertTrue(summary.contains("At 728 and 104 Hz: a beat as slow as this"), summary);
    assertTrue(summary.contains("At 1456 Hz: beats up to 2 Hz are heard as louder"), summary);
  }

  @Test
  void aRampTellsResonanceSlopeAndSpeedsToAvoid() throws RefusedException, IOException {
    SpeedSweep sweep = ofFile("handheld-30mm").orders().sweep();
    assertEquals(4500, sweep.lowRpm(), 100);
    assertEquals(9000, sweep.highRpm(), 100);
    ResonanceCrossing resonance = sweep.resonances().get(0);
    assertEquals(1320, resonance.frequencyHz(), 10);
    assertTrue(resonance.lowHz().value() < 1320 && resonance.highHz().value() > 1320);
    assertTrue(resonance.highHz().value() - resonance.lowHz().value() < 40, resonance.toString());
    String summary = Summary.of(ofFile("handheld-30mm"), Typeface.UNICODE).replaceAll("\\s+", " ");
    assertTrue(summary.contains(" Hz (95 %: 13"), summary);
    ByteArrayOutputStream json = new ByteArrayOutputStream();
    AnalysisJson.write(List.of(ofFile("handheld-30mm")), json);
    JsonNode written = new ObjectMapper().readTree(json.toByteArray()).at("/speed/resonances/0");
    assertEquals(resonance.lowHz().value(), written.get("frequency_low_hz").doubleValue());
    assertEquals(resonance.highHz().value(), written.get("frequency_high_hz").doubleValue());
    assertTrue(written.get("interval_unknown_because").isNull());
    assertTrue(written.get("orders_without_peak").isArray());
    assertTrue(sweep.resonances().get(0).orders().contains(11));
    // Its noise rises by 55 dB a decade; the resonance and the room bend that a little.
    assertEquals(55, sweep.levelSlope().value(), 2 * sweep.levelSlopeDeviation().value());
    // Order 11 passes the resonance at 7200 1/min.
    assertTrue(
        sweep.avoid().stream()
            .anyMatch(r -> r.order() == 11 && r.lowRpm() < 7200 && r.highRpm() > 7200));
    assertEquals(null, ofFile("mini-pc-blower").orders().sweep());
  }

  /** Whatever is heard, no cause is named without a sentence of evidence, and none beside noise. */
  @Test
  void nothingIsClaimedWithoutEvidence() throws RefusedException {
    Device.Builder noise = Device.builder("noise").duration(20).background(NoiseShape.flat(10));
    Device.Builder chord =
        Device.builder("chord")
            .duration(20)
            .line(Line.fixed(LineCause.UNKNOWN, 261.63, 30))
            .line(Line.fixed(LineCause.UNKNOWN, 329.63, 30))
            .line(Line.fixed(LineCause.UNKNOWN, 392.0, 30))
            .background(NoiseShape.flat(0));
    Device.Builder hum =
        Device.builder("hum").duration(20).hum(50, 20, 30, 15, 22).background(NoiseShape.flat(0));
    for (Device.Builder builder : List.of(noise, chord, hum)) {
      Device device = builder.build();
      Measurement measurement = DeviceBench.measured(device, 9);
      OrderResult orders = measurement.orders();
      assertEquals(measurement.tones().tones().size(), orders.origins().size());
      for (ToneOrigin origin : orders.origins()) {
        assertFalse(origin.evidence().isEmpty(), device.name());
        Cause allowed = device.name().equals("hum") ? Cause.MAINS : Cause.UNKNOWN;
        assertEquals(allowed, origin.cause(), device.name() + ": " + origin.evidence());
      }
      assertEquals(null, orders.twoFans());
      assertEquals(null, orders.sweep());
    }
    assertTrue(DeviceBench.measured(hum.build(), 9).tones().tones().size() >= 4);
  }

  /** At high orders a whole multiple lies near anyway; the fixed line must not become an order. */
  @Test
  void aFixedLineIsNoOrderEvenWhereOneLiesNear() throws RefusedException {
    int claimed = 0;
    int told = 0;
    VerificationReport report =
        new VerificationReport(
            "fixed-lines",
            "Lines that stay put beside a fan whose speed drifts by ±0.1 %",
            "truth of the simulated devices",
            "line Hz",
            "multiple of the shaft",
            "cause");
    double rpm = 3300.0;
    for (int i = 0; i < 6; i++) {
      double f = rpm / 60.0 * (61 + 12 * i + 0.002 * i);
      Device device =
          Devices.comb(9, SpeedProfile.steady(rpm).withDrift(0.1, 15), 26, 3, 5, 3, 8, 24)
              .line(Line.fixed(LineCause.FIXED, f, 38))
              .build();
      Measurement measurement = DeviceBench.measured(device, 20 + i);
      int tone = DeviceBench.nearest(measurement, f, 1.0);
      Cause cause = DeviceBench.origin(measurement, tone).cause();
      report.row(f, 60.0 * f / rpm, cause.label());
      claimed += cause.turnsWithTheFan() ? 1 : 0;
      told += cause == Cause.FIXED ? 1 : 0;
    }
    report.save();
    assertEquals(0, claimed);
    assertTrue(told >= 5, told + " of 6 told as fixed");
  }
}
