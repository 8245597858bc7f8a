package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertAll;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.Devices;
import org.whinograph.rehearsal.Line;
import org.whinograph.rehearsal.LineCause;
import org.whinograph.rehearsal.NoiseShape;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.speed.SpeedHints;
import org.whinograph.speed.SpeedResult;
import org.whinograph.verification.SpeedTrial.Tally;

/**
 * The speed of simulated devices of known truth. Blades, speeds, levels and seeds are drawn from
 * seeds of their own, on which nothing was tuned; {@code -Dverification.repeats=N} draws N times as
 * many.
 */
class SpeedVerificationTest {
  private static final int REPEATS = Integer.getInteger("verification.repeats", 1);
  private static final int[] BLADES = {5, 7, 9, 11, 13, 23, 37, 61};
  private static final String SIMULATION =
      "simulated devices of known truth; pitch estimators of TarsosDSP 2.4-1 as a general-purpose"
          + " second opinion (the shaft's or the blade-pass frequency counts as right)";

  private static final String STOP = "stop and restart";

  /** Length of a long recording [s]. */
  private static final double LONG_S = 420.0;

  private static int blades(Random random) {
    return BLADES[random.nextInt(BLADES.length)];
  }

  /** A speed whose blade-pass frequency lies between 150 Hz and 2.5 kHz. */
  private static double rpm(Random random, int blades) {
    double lowest = Math.max(800.0, 60.0 * 150.0 / blades);
    double highest = Math.min(12_000.0, 60.0 * 2500.0 / blades);
    return lowest * Math.pow(highest / lowest, random.nextDouble());
  }

  private static Object[] cells(String name, Tally tally) {
    return new Object[] {
      name,
      tally.cases,
      tally.running,
      tally.knownPercent(),
      tally.wrongPercent(),
      tally.rmsPercent(),
      tally.insidePercent(),
      tally.yinPercent(),
      tally.mcLeodPercent(),
      tally.amdfPercent()
    };
  }

  private static VerificationReport report(String name, String title) {
    return new VerificationReport(
        name,
        title,
        SIMULATION,
        "case",
        "recordings",
        "frames",
        "known [%]",
        "wrong order [% of known]",
        "rms error [%]",
        "within 95 % interval [%]",
        "YIN wrong [%]",
        "McLeod wrong [%]",
        "AMDF wrong [%]");
  }

  @Test
  void steadySpeed() {
    VerificationReport report = report("speed-steady", "Steady speed, blades given");
    Random random = new Random(7001);
    Tally all = new Tally();
    Tally still = new Tally();
    Tally clear = new Tally();
    Tally thin = new Tally();
    for (double carrier : new double[] {8, 10, 12, 15, 20, 25, 30}) {
      for (double jitter : new double[] {0, 0.1, 0.3}) {
        Tally tally = new Tally();
        for (int i = 0; i < 2 * REPEATS; i++) {
          int blades = blades(random);
          double corner = 0.1 * Math.pow(20.0, random.nextDouble());
          SpeedProfile speed = SpeedProfile.steady(rpm(random, blades));
          Device device =
              Devices.comb(
                      blades,
                      jitter == 0 ? speed : speed.withJitter(jitter, corner),
                      carrier,
                      3,
                      3 + 5 * random.nextDouble(),
                      0,
                      0,
                      20)
                  .build();
          tally.add(
              SpeedTrial.run(device, random.nextInt(), SpeedHints.ofBlades(blades), new double[0]));
        }
        report.row(cells(carrier + " dB-Hz, jitter " + jitter + " %", tally));
        all.add(tally);
        if (jitter == 0 && carrier >= 15) {
          still.add(tally);
        }
        if (carrier >= 20) {
          clear.add(tally);
        }
        if (carrier < 12) {
          thin.add(tally);
        }
      }
    }
    report.row(cells("all", all));
    // So loud that general-purpose estimators hear it too: they are used rightly.
    Tally loud = new Tally();
    loud.add(
        SpeedTrial.run(
            Devices.comb(7, SpeedProfile.steady(2431), 65, 3, 5, 0, 0, 10).build(),
            7,
            SpeedHints.ofBlades(7),
            new double[0]));
    report.row(cells("65 dB-Hz, no jitter", loud));
    report.save();
    assertAll(
        () -> assertEquals(0.0, loud.yinPercent(), "YIN wrong on a loud comb"),
        () -> assertTrue(still.rmsPercent() <= 0.1, "rms " + still.rmsPercent()),
        () -> assertTrue(still.insidePercent() >= 90.0, "still inside " + still.insidePercent()),
        () -> assertTrue(still.insidePercent() <= 98.0, "still inside " + still.insidePercent()),
        () -> assertTrue(clear.knownPercent() >= 90.0, "known " + clear.knownPercent()),
        () -> assertTrue(clear.wrongPercent() <= 1.0, "wrong " + clear.wrongPercent()),
        () -> assertTrue(thin.knownPercent() <= 50.0, "thin known " + thin.knownPercent()),
        () -> assertTrue(thin.wrongPercent() <= 2.0, "thin wrong " + thin.wrongPercent()),
        () -> assertTrue(all.insidePercent() >= 90.0, "inside " + all.insidePercent()),
        () -> assertTrue(all.insidePercent() <= 98.0, "inside " + all.insidePercent()));
  }

  /**
   * The variance of a frequency estimate is at least 6 / ((2π)² C/N₀ T³) (Rife and Boorstyn, IEEE
   * Transactions on Information Theory 20(5), 1974): no method that sees T alone does better. Ours
   * sees at most the whole recording, and windows of 4.1 s at a time.
   */
  @Test
  void steadyErrorsComeNearTheCramerRaoBound() {
    VerificationReport report =
        new VerificationReport(
            "speed-cramer-rao",
            "One steady line: error of the frequency beside the Cramér–Rao bound",
            "Rife and Boorstyn, IEEE Trans. Inf. Theory 20(5), 1974",
            "C/N0 [dB-Hz]",
            "rms error [Hz]",
            "bound for 4.1 s [Hz]",
            "bound for the whole 20 s [Hz]");
    Random random = new Random(7005);
    List<Runnable> checks = new ArrayList<>();
    for (double carrier : new double[] {17, 20, 25}) {
      Tally tally = new Tally();
      double hz = 400;
      int blades = 8;
      for (int i = 0; i < 3 * REPEATS; i++) {
        SpeedProfile speed = SpeedProfile.steady(60 * hz / blades + 40 * random.nextDouble());
        Device device = Devices.comb(blades, speed, carrier, 1, 0, 0, 0, 20).build();
        tally.add(
            SpeedTrial.run(device, random.nextInt(), SpeedHints.ofBlades(blades), new double[0]));
      }
      double error = tally.rmsPercent() / 100.0 * hz;
      double window = bound(carrier, 4.096);
      double whole = bound(carrier, 20);
      report.row(carrier, error, window, whole);
      checks.add(
          () -> {
            assertTrue(error <= 2.5 * window, "error " + error + " Hz, bound " + window + " Hz");
            assertTrue(error >= whole, "error " + error + " Hz below the bound " + whole + " Hz");
          });
    }
    report.save();
    checks.forEach(Runnable::run);
  }

  private static double bound(double carrierDb, double seconds) {
    double ratio = Math.pow(10.0, carrierDb / 10.0);
    return Math.sqrt(6.0 / (4.0 * Math.PI * Math.PI * ratio * Math.pow(seconds, 3)));
  }

  private record Move(String name, SpeedProfile speed, double... steps) {}

  private static List<Move> moves(Random random, double slowest) {
    double low = slowest;
    double high = low + 1800;
    return List.of(
        new Move("ramp 300 rpm/s", SpeedProfile.of(3, low, 9, high, 13, high, 19, low)),
        new Move("ramp " + (int) (1800.0 / 17) + " rpm/s", SpeedProfile.of(2, low, 19, high)),
        new Move(
            "steps",
            SpeedProfile.of(0, low, 8, low, 8, low * 1.3, 15, low * 1.3, 15, low * 1.1),
            8,
            15),
        new Move(STOP, SpeedProfile.of(0, high, 8, high, 10, 0, 12, 0, 15, low, 22, low)),
        new Move(
            "drift and jitter",
            SpeedProfile.steady(low * 1.5)
                .withDrift(2, 15)
                .withJitter(0.1 + 0.1 * random.nextDouble(), 0.5)));
  }

  @Test
  void movingSpeed() {
    VerificationReport report = report("speed-moving", "Moving speed, blades given");
    Random random = new Random(7002);
    Tally all = new Tally();
    Tally ramps = new Tally();
    Tally stops = new Tally();
    for (double carrier : new double[] {20, 25, 30}) {
      for (int which = 0; which < 5; which++) {
        Tally tally = new Tally();
        String name = "";
        for (int i = 0; i < REPEATS; i++) {
          int blades = new int[] {5, 7, 9, 11, 13, 23}[random.nextInt(6)];
          double slowest = Math.max(1200.0, 60.0 * 120.0 / blades);
          Move move = moves(random, slowest).get(which);
          name = move.name();
          Device.Builder builder =
              Devices.comb(
                  blades, move.speed(), carrier, 3, 3 + 5 * random.nextDouble(), 2, 10, 22);
          // Decoys: a fixed tone stronger than the fan, and hum.
          builder.line(
              Line.fixed(LineCause.FIXED, 700 + 900 * random.nextDouble(), 10 + carrier + 5));
          builder.hum(50, 10 + carrier, 10 + carrier + 3, 10 + carrier - 3);
          Device device = builder.build();
          tally.add(
              SpeedTrial.run(device, random.nextInt(), SpeedHints.ofBlades(blades), move.steps()));
        }
        report.row(cells(name + ", " + carrier + " dB-Hz, decoys", tally));
        all.add(tally);
        if (which < 2) {
          ramps.add(tally);
        }
        if (name.equals(STOP)) {
          stops.add(tally);
        }
      }
    }
    report.row(cells("ramps", ramps));
    report.row(cells("stops and restarts", stops));
    report.row(cells("all", all));
    report.save();
    assertAll(
        () -> assertTrue(ramps.rmsPercent() <= 0.5, "rms " + ramps.rmsPercent()),
        () -> assertTrue(ramps.wrongPercent() <= 1.0, "wrong " + ramps.wrongPercent()),
        () -> assertTrue(ramps.knownPercent() >= 90.0, "known " + ramps.knownPercent()),
        () -> assertTrue(stops.knownPercent() >= 90.0, "stops known " + stops.knownPercent()),
        () -> assertTrue(stops.rmsPercent() <= 0.5, "stops rms " + stops.rmsPercent()),
        () -> assertTrue(stops.stillPercent() <= 1.0, "at rest known " + stops.stillPercent()),
        () -> assertTrue(ramps.insidePercent() >= 90.0, "ramps inside " + ramps.insidePercent()),
        () -> assertTrue(ramps.insidePercent() <= 98.0, "ramps inside " + ramps.insidePercent()),
        () -> assertTrue(stops.insidePercent() >= 90.0, "stops inside " + stops.insidePercent()),
        () -> assertTrue(stops.insidePercent() <= 98.0, "stops inside " + stops.insidePercent()),
        () -> assertTrue(all.wrongPercent() <= 1.0, "wrong " + all.wrongPercent()),
        () -> assertTrue(all.insidePercent() >= 90.0, "inside " + all.insidePercent()),
        () -> assertTrue(all.insidePercent() <= 98.0, "inside " + all.insidePercent()));
  }

  /** Speeds that last a while and change at some rate, through seven minutes. */
  private static SpeedProfile rests(Random random, double slowest) {
    List<Double> points = new ArrayList<>();
    double t = 0.0;
    double rpm = slowest * (1.0 + random.nextDouble());
    while (t < LONG_S) {
      points.add(t);
      points.add(rpm);
      t += 30.0 + 120.0 * random.nextDouble();
      points.add(t);
      points.add(rpm);
      double next = slowest * (1.0 + 1.2 * random.nextDouble());
      t += Math.max(0.5, Math.abs(next - rpm) / (30.0 + 270.0 * random.nextDouble()));
      rpm = next;
    }
    return SpeedProfile.of(points.stream().mapToDouble(Double::doubleValue).toArray());
  }

  /**
   * Recordings of several of the stretches that are worked on one after the other: what is a fixed
   * tone in one is so in the next, however long the fan rests there.
   */
  @Test
  void longRecordings() {
    VerificationReport report =
        report("speed-long", "Seven minutes, speeds that last, hum and fixed tones");
    Random random = new Random(7021);
    Tally given = new Tally();
    Tally open = new Tally();
    for (boolean hint : new boolean[] {true, false}) {
      for (int i = 0; i < 5 * REPEATS; i++) {
        int blades = new int[] {5, 7, 9, 11, 13}[random.nextInt(5)];
        double slowest = Math.max(1500.0, 60.0 * 150.0 / blades);
        double carrier = 18 + 8 * random.nextDouble();
        SpeedProfile speed =
            rests(random, slowest).withJitter(0.03 + 0.1 * random.nextDouble(), 0.5);
        Device.Builder builder = Devices.comb(blades, speed, carrier, 3, 5, 2, 6, LONG_S);
        builder.sampleRate(16_000);
        builder.hum(50, 10 + carrier - 6, 10 + carrier - 3, 10 + carrier - 9);
        for (int d = 0; d < 1 + i % 3; d++) {
          double hz = 200 * Math.pow(30, random.nextDouble());
          double level = 10 + carrier - 6 + 14 * random.nextDouble();
          builder.line(Line.fixed(LineCause.FIXED, hz, level));
        }
        SpeedHints hints = hint ? SpeedHints.ofBlades(blades) : SpeedHints.none();
        Tally tally = hint ? given : open;
        tally.add(SpeedTrial.run(builder.build(), random.nextInt(), hints, new double[0]));
      }
    }
    report.row(cells("blades given", given));
    report.row(cells("nothing given", open));
    report.save();
    assertAll(
        () -> assertTrue(given.wrongPercent() <= 1.0, "wrong " + given.wrongPercent()),
        () -> assertTrue(open.wrongPercent() <= 1.0, "nothing given, wrong " + open.wrongPercent()),
        () -> assertTrue(given.knownPercent() >= 90.0, "known " + given.knownPercent()),
        () -> assertTrue(given.rmsPercent() <= 0.5, "rms " + given.rmsPercent()),
        () -> assertTrue(given.insidePercent() >= 90.0, "inside " + given.insidePercent()),
        () -> assertTrue(given.insidePercent() <= 98.0, "inside " + given.insidePercent()),
        () -> assertTrue(open.insidePercent() >= 90.0, "inside " + open.insidePercent()),
        () -> assertTrue(open.insidePercent() <= 98.0, "inside " + open.insidePercent()));
  }

  /**
   * Fans beside one or two fixed tones, from 6 dB weaker to 10 dB stronger than blade-pass. A fan
   * that stands as still as they do, of one line, can't be told from them.
   */
  @Test
  void fixedTonesAreNotTakenForTheFan() {
    VerificationReport report =
        report("speed-decoys", "Fixed tones beside the fan, steady and slow, blades given");
    Random random = new Random(7011);
    Tally all = new Tally();
    Tally alone = new Tally();
    for (int decoys = 0; decoys < 3; decoys++) {
      for (String motion : new String[] {"none", "jitter", "slow ramp"}) {
        Tally tally = new Tally();
        for (int i = 0; i < 5 * REPEATS; i++) {
          int blades = blades(random);
          double rpm = rpm(random, blades);
          double carrier = 12 + 8 * random.nextDouble();
          SpeedProfile speed =
              motion.equals("slow ramp")
                  ? SpeedProfile.of(3, rpm, 17, rpm * (1.02 + 0.06 * random.nextDouble()))
                  : SpeedProfile.steady(rpm);
          if (!motion.equals("none")) {
            speed = speed.withJitter(0.05 + 0.25 * random.nextDouble(), 0.3);
          }
          Device.Builder builder =
              Devices.comb(blades, speed, carrier, 1 + random.nextInt(3), 5, 0, 0, 20);
          builder.sampleRate(16_000);
          for (int d = 0; d < decoys; d++) {
            double hz = 150 * Math.pow(20, random.nextDouble());
            double level = 10 + carrier - 6 + 16 * random.nextDouble();
            builder.line(Line.fixed(LineCause.FIXED, hz, level));
          }
          tally.add(
              SpeedTrial.run(
                  builder.build(), random.nextInt(), SpeedHints.ofBlades(blades), new double[0]));
        }
        report.row(cells(decoys + " fixed tones, motion: " + motion, tally));
        (decoys == 0 ? alone : all).add(tally);
      }
    }
    report.row(cells("alone", alone));
    report.row(cells("with fixed tones", all));
    report.save();
    assertAll(
        () -> assertTrue(all.wrongPercent() <= 5.0, "wrong " + all.wrongPercent()),
        () -> assertTrue(alone.wrongPercent() <= 1.0, "alone wrong " + alone.wrongPercent()),
        () -> assertTrue(alone.knownPercent() >= 75.0, "alone known " + alone.knownPercent()),
        () -> assertTrue(alone.insidePercent() >= 90.0, "alone inside " + alone.insidePercent()),
        () -> assertTrue(alone.insidePercent() <= 98.0, "alone inside " + alone.insidePercent()));
  }

  @Test
  void bladesAreClaimedOnlyWithEvidence() {
    VerificationReport report =
        new VerificationReport(
            "speed-blades",
            "Number of blades, nothing given",
            "simulated devices of known truth",
            "case",
            "recordings",
            "speed right",
            "speed wrong",
            "speed open",
            "blades right",
            "blades wrong",
            "blades open",
            "truth among candidates");
    Random random = new Random(7003);
    int wrongBlades = 0;
    int wrongSpeed = 0;
    int rightWithOrders = 0;
    int withOrders = 0;
    int claimedWithout = 0;
    int cases = 0;
    for (String kind : new String[] {"blade-pass alone", "shaft orders", "motor order", "uneven"}) {
      int[] counts = new int[7];
      int recordings = 6 * REPEATS;
      for (int i = 0; i < recordings; i++) {
        int blades = new int[] {5, 7, 9, 11, 13}[random.nextInt(5)];
        double rpm = rpm(random, blades);
        SpeedProfile speed =
            i % 2 == 0 ? SpeedProfile.steady(rpm) : SpeedProfile.of(3, rpm, 17, rpm * 1.4);
        int orders = kind.equals("shaft orders") ? 2 : kind.equals("uneven") ? 2 * blades : 0;
        Device.Builder builder =
            Devices.comb(
                blades, speed.withJitter(0.05, 0.3), 22, 3, 5, orders, orders > 2 ? 8 : 10, 20);
        if (kind.equals("motor order")) {
          builder.line(Line.order(LineCause.MOTOR, 0, 12, 10 + 22 - 6).withSlope(0));
        }
        SpeedResult result =
            SpeedTrial.run(builder.build(), random.nextInt(), SpeedHints.none()).result;
        double truth = i % 2 == 0 ? rpm : rpm * 1.2;
        boolean speedKnown = result.medianRpm().known();
        boolean speedRight =
            speedKnown && Math.abs(result.medianRpm().value() / truth - 1.0) < 0.03;
        counts[speedRight ? 0 : speedKnown ? 1 : 2]++;
        counts[result.blades() == null ? 5 : result.blades() == blades ? 3 : 4]++;
        counts[6] +=
            result.candidates().stream()
                    .anyMatch(c -> c.blades() == blades && Math.abs(c.rpm() / truth - 1.0) < 0.03)
                ? 1
                : 0;
      }
      report.row(
          kind,
          recordings,
          counts[0],
          counts[1],
          counts[2],
          counts[3],
          counts[4],
          counts[5],
          counts[6]);
      wrongBlades += counts[4];
      wrongSpeed += counts[1];
      cases += recordings;
      if (kind.equals("blade-pass alone")) {
        claimedWithout += counts[3] + counts[4];
      }
      if (kind.equals("shaft orders") || kind.equals("uneven")) {
        rightWithOrders += counts[0];
        withOrders += recordings;
      }
    }
    report.save();
    int allCases = cases;
    int claims = claimedWithout;
    int wrongB = wrongBlades;
    int wrongS = wrongSpeed;
    int right = rightWithOrders;
    int with = withOrders;
    assertAll(
        () -> assertEquals(0, claims, "blades claimed from blade-pass alone"),
        () -> assertTrue(wrongB <= 0.05 * allCases, "wrong blades " + wrongB),
        () -> assertTrue(wrongS <= 0.05 * allCases, "wrong speeds " + wrongS),
        () -> assertTrue(right >= 0.8 * with, "right " + right + " of " + with));
  }

  @Test
  void nothingToFind() {
    VerificationReport report =
        new VerificationReport(
            "speed-nothing",
            "Nothing to find",
            "simulated sounds without a fan",
            "case",
            "speed stated",
            "greatest probability");
    List<Device> devices = new ArrayList<>();
    NoiseShape flat = NoiseShape.flat(10);
    devices.add(Device.builder("white noise").duration(20).background(flat).build());
    devices.add(
        Device.builder("falling noise").duration(20).background(NoiseShape.sloped(10, -5)).build());
    devices.add(
        Device.builder("hum of 50 Hz")
            .duration(20)
            .background(flat)
            .hum(50, 35, 45, 30, 40, 25, 35)
            .build());
    devices.add(
        Device.builder("hum of 60 Hz")
            .duration(20)
            .background(flat)
            .hum(60, 35, 45, 30, 40, 25, 35)
            .build());
    devices.add(
        Device.builder("one steady tone")
            .duration(20)
            .background(flat)
            .line(Line.fixed(LineCause.FIXED, 1000, 60))
            .build());
    devices.add(Device.builder("silence").duration(20).build());
    devices.addAll(music(new Random(7006)));
    devices.add(Devices.comb(7, SpeedProfile.steady(2400), 25, 3, 5, 2, 10, 3).build());
    devices.addAll(strongHum(new Random(7012)));
    devices.addAll(sparseHum(new Random(7013)));
    devices.addAll(pulses(new Random(7014)));
    List<String> claims = new ArrayList<>();
    long seed = 7004;
    for (Device device : devices) {
      SpeedResult result = SpeedTrial.run(device, seed++, SpeedHints.none()).result;
      String name = device.name() + ", " + device.durationS() + " s";
      report.row(name, result.medianRpm().known() ? "yes" : "no", result.probability());
      if (result.medianRpm().known()
          || result.blades() != null
          || result.probability() >= 0.5
          || result.track().knownFraction() > 0.0) {
        claims.add(name);
      }
    }
    // The negative control: of the same few sharp lines, set out as a fan has them.
    Device fan = Devices.comb(7, SpeedProfile.steady(2400), 25, 3, 5, 2, 10, 20).build();
    SpeedResult found = SpeedTrial.run(fan, seed, SpeedHints.none()).result;
    report.row(
        "control: a fan without any jitter",
        found.medianRpm().known() ? "yes" : "no",
        found.probability());
    report.save();
    assertEquals(List.of(), claims);
    assertEquals(2400.0, found.medianRpm().value(), 2.4);
  }

  /**
   * Hum of forty multiples, 10 dB to 35 dB over the noise in 1 Hz, at frequencies at which grids
   * run (Regulation (EU) 2017/1485, Annex III, table 1: within 0.2 Hz; from memory).
   */
  private static List<Device> strongHum(Random random) {
    List<Device> devices = new ArrayList<>();
    for (double supply : new double[] {49.82, 49.95, 50.0, 50.03, 50.08, 59.93, 60.0, 60.04}) {
      double[] levels = random.doubles(40, 20, 45).toArray();
      devices.add(
          Device.builder(String.format(Locale.ROOT, "forty multiples of %.2f Hz", supply))
              .duration(20)
              .background(NoiseShape.flat(10))
              .hum(supply, levels)
              .build());
    }
    return devices;
  }

  /**
   * Hum of which but six of the first two dozen multiples are heard, 20 dB to 40 dB over the noise
   * in 1 Hz, further from the nominal frequency than most grids run (Regulation (EU) 2017/1485,
   * Annex III, table 1: within 0.2 Hz; from memory).
   */
  private static List<Device> sparseHum(Random random) {
    List<Device> devices = new ArrayList<>();
    for (double supply : new double[] {49.82, 49.9, 50.11, 50.18, 59.84, 59.92, 60.1, 60.17}) {
      Device.Builder builder =
          Device.builder(String.format(Locale.ROOT, "six multiples of %.2f Hz", supply))
              .duration(20)
              .background(NoiseShape.flat(10));
      random
          .ints(1, 25)
          .distinct()
          .limit(6)
          .forEach(
              k ->
                  builder.line(
                      Line.fixed(LineCause.MAINS, k * supply, 30 + 20 * random.nextDouble())));
      devices.add(builder.build());
    }
    return devices;
  }

  /**
   * Pulse trains, as dimmed lamps, buzzers and coils under load make them: multiple k of a train
   * that is on for a share d of the time has an amplitude of |sin πkd|/k (Fourier series of a
   * rectangle), and a square wave, d = 1/2, has odd ones only. Where they are heard, a room lets
   * each through by up to 6 dB more or less.
   */
  private static List<Device> pulses(Random random) {
    List<Device> devices = new ArrayList<>();
    for (double share : new double[] {0.01, 0.03, 0.11, 0.5}) {
      for (double hz : new double[] {95.3, 144.0, 240.0, 487.3}) {
        Device.Builder builder =
            Device.builder(String.format(Locale.ROOT, "pulses of %.1f Hz, on for %.2f", hz, share))
                .duration(20)
                .background(NoiseShape.flat(10));
        for (int k = 1; k * hz < 7000; k++) {
          double amplitude = Math.abs(Math.sin(Math.PI * k * share)) / k;
          double db = 20 * Math.log10(amplitude / Math.sin(Math.PI * share));
          if (db > -60) {
            double room = 12 * random.nextDouble() - 6;
            builder.line(Line.fixed(LineCause.FIXED, k * hz, 50 + db + room));
          }
        }
        devices.add(builder.build());
      }
    }
    return devices;
  }

  /** A chord: its name and its voices as ratios to the root. */
  private record Chord(String name, double... voices) {}

  private static Chord tempered(String name, int... semitones) {
    double[] voices = new double[semitones.length];
    for (int i = 0; i < voices.length; i++) {
      voices[i] = Math.pow(2.0, semitones[i] / 12.0);
    }
    return new Chord(name + ", tempered", voices);
  }

  /**
   * Chords in several keys, of voices of one to four harmonics, between 18 dB and 50 dB over the
   * noise in 1 Hz: held through, and changing every half second to four seconds.
   */
  private static List<Device> music(Random random) {
    List<Device> devices = new ArrayList<>();
    Chord[] chords = {
      tempered("major", 0, 4, 7),
      tempered("minor", 0, 3, 7),
      tempered("major with octaves", 0, 4, 7, 12, 16, 19),
      tempered("seventh", 0, 4, 7, 10),
      tempered("fifth", 0, 7),
      new Chord("major, 4:5:6", 1, 1.25, 1.5),
      new Chord("minor, 10:12:15", 1, 1.2, 1.5),
      new Chord("major with octaves, 4:5:6", 0.5, 1, 1.25, 1.5, 2, 2.5, 3),
      new Chord("fourth and sixth, 3:4:5", 1, 4.0 / 3.0, 5.0 / 3.0)
    };
    double[] carriers = {18, 25, 35, 50};
    for (double root : new double[] {261.63, 523.25}) {
      devices.add(held(tempered("major", 0, 4, 7), root, 2, 35, 0));
      devices.add(held(new Chord("major, 4:5:6", 1, 1.25, 1.5), root, 2, 35, 0));
    }
    int count = 0;
    for (int i = 0; i < 2 * REPEATS; i++) {
      for (Chord chord : chords) {
        double root = 110 * Math.pow(2, random.nextInt(36) / 12.0);
        double falloff = random.nextBoolean() ? 0 : 5;
        double carrier = carriers[random.nextInt(carriers.length)];
        devices.add(held(chord, root, 1 + count++ % 4, carrier, falloff));
      }
    }
    for (double length : new double[] {0.5, 1, 2, 4}) {
      devices.add(changing("melody", 0, length, random));
      devices.add(changing("chords", 2, length, random));
    }
    return devices;
  }

  private static Device held(
      Chord chord, double root, int harmonics, double carrierDb, double falloffDb) {
    String name =
        String.format(
            Locale.ROOT,
            "%s, root %.2f Hz, %d harmonics, %.0f dB-Hz",
            chord.name(),
            root,
            harmonics,
            carrierDb);
    Device.Builder builder =
        Device.builder(name).sampleRate(16_000).duration(20).background(NoiseShape.flat(10));
    for (double voice : chord.voices()) {
      for (int m = 1; m <= harmonics; m++) {
        double level = 10 + carrierDb - falloffDb * (m - 1);
        builder.line(Line.fixed(LineCause.FIXED, root * voice * m, level));
      }
    }
    return builder.build();
  }

  /** Voices of four harmonics over a root that changes. */
  private static Device changing(String what, int more, double lengthS, Random random) {
    Device.Builder builder =
        Device.builder(what + ", a new one every " + lengthS + " s")
            .sampleRate(16_000)
            .duration(20)
            .background(NoiseShape.flat(10));
    double t = 0;
    while (t < 20) {
      double end = Math.min(20, t + lengthS * (0.8 + 0.4 * random.nextDouble()));
      double root = 110 * Math.pow(2, random.nextInt(24) / 12.0);
      double[] intervals = {0, random.nextBoolean() ? 4 : 3, 7};
      for (int v = 0; v <= more; v++) {
        double voice = root * Math.pow(2, intervals[v] / 12);
        for (int m = 1; m <= 4; m++) {
          builder.line(Line.fixed(LineCause.FIXED, voice * m, 45 - 5 * m).between(t, end));
        }
      }
      t = end;
    }
    return builder.build();
  }

  /**
   * Tones at 280, 560, 840 and 960 Hz of a fan of seven blades are orders 7, 14, 21 and 24 of 2400
   * rpm (a supplier's published tutorial on tone anatomy). Without the last line nothing tells the
   * number of blades: the negative control.
   */
  @Test
  void publishedAnatomy() {
    Device.Builder builder =
        Device.builder("tone anatomy").duration(20).background(NoiseShape.flat(10));
    for (double hz : new double[] {280, 560, 840}) {
      builder.line(Line.fixed(LineCause.FIXED, hz, 35));
    }
    SpeedResult without = SpeedTrial.run(builder.build(), 5, SpeedHints.none()).result;
    builder.line(Line.fixed(LineCause.FIXED, 960, 30));
    SpeedResult result = SpeedTrial.run(builder.build(), 5, SpeedHints.none()).result;
    double shaftHz = result.candidates().get(0).rpm() / 60.0;
    VerificationReport report =
        new VerificationReport(
            "speed-anatomy",
            "Published anatomy of a fan's tones",
            "a supplier's published tutorial: 7 blades, 2400 rpm, orders 7, 14, 21 and 24",
            "line [Hz]",
            "order published",
            "order found");
    double[] lines = {280, 560, 840, 960};
    int[] orders = {7, 14, 21, 24};
    for (int i = 0; i < lines.length; i++) {
      report.row(lines[i], orders[i], lines[i] / shaftHz);
    }
    report.save();
    assertEquals(2400.0, result.medianRpm().value(), 2.4);
    assertEquals(7, result.candidates().get(0).blades());
    assertEquals(24.0, 960.0 / shaftHz, 0.024);
    assertTrue(without.probability() < SpeedResult.CLAIM_SPEED);
    assertNull(without.blades());
  }
}
