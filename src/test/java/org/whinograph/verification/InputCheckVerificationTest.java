package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.UnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.calibration.InputBench;
import org.whinograph.calibration.InputCheck;
import org.whinograph.calibration.InputCheckResult;
import org.whinograph.calibration.InputCheckResult.Verdict;
import org.whinograph.calibration.InputFinding.Kind;
import org.whinograph.calibration.ToneBench;
import org.whinograph.signal.RefusedException;

/**
 * Detection of altered inputs by simulation: no published figures exist, so that rates over
 * simulated inputs stand in for them; the clean ones are the negative control.
 */
class InputCheckVerificationTest {
  /** How many inputs are simulated; more are asked for by these properties. */
  private static final int CLEAN = Integer.getInteger("whinograph.inputs.clean", 50);

  private static final int RUNS = Integer.getInteger("whinograph.inputs.altered", 2);

  /** Too weak to be told from a room for certain: their rates are reported and not asked for. */
  private static final List<String> WEAK =
      List.of("automatic gain 0.5 dB, attack 30 ms, release 1 s");

  private static InputCheckResult check(InputBench bench) throws RefusedException {
    return InputCheck.check(List.of(bench.source()), 1000);
  }

  private static Map<String, UnaryOperator<InputBench>> alterations() {
    Map<String, UnaryOperator<InputBench>> all = new LinkedHashMap<>();
    for (double depth : new double[] {0.5, 1, 3, 6, 12}) {
      all.put(
          "automatic gain " + depth + " dB, attack 0.5 s, release 3 s",
          bench -> bench.automaticGain(depth, 0.5, 3));
      all.put(
          "automatic gain " + depth + " dB, attack 30 ms, release 1 s",
          bench -> bench.automaticGain(depth, 0.03, 1));
    }
    for (double depth : new double[] {6, 12, 20, 40, 200}) {
      all.put("gate " + depth + " dB, hold 0.5 s", bench -> bench.gate(depth, 0.5, 0.3));
    }
    for (double depth : new double[] {6, 12, 20}) {
      all.put("suppression " + depth + " dB, adapts in 1 s", bench -> bench.suppression(depth, 1));
    }
    for (double hertz : new double[] {3800, 7800, 15_800}) {
      all.put("wall at " + hertz + " Hz", bench -> bench.wall(hertz));
    }
    all.put("resampled by straight lines over 44 100 Hz", bench -> bench.resampleBadly(44_100));
    all.put("clipped 1 dB below the tone's crest", bench -> bench.clip(0.89));
    return all;
  }

  @Test
  void detectionRates() throws RefusedException {
    VerificationReport report =
        new VerificationReport(
            "input-check",
            "Inputs that alter the sound",
            "simulated inputs of known alteration (no published figures); clean ones with hum,"
                + " clicks and talk",
            "input",
            "simulated",
            "found altered",
            "kinds");
    int alarms = 0;
    int undecided = 0;
    StringBuilder kinds = new StringBuilder();
    for (int i = 0; i < CLEAN; i++) {
      InputCheckResult result = check(InputBench.clean(1000 + i));
      alarms += result.verdict() == Verdict.NOT_TO_BE_TRUSTED ? 1 : 0;
      undecided += result.verdict() == Verdict.NOT_DECIDED ? 1 : 0;
      if (result.verdict() == Verdict.NOT_TO_BE_TRUSTED) {
        kinds.append(i).append(": ").append(result.reason()).append(' ');
      }
    }
    report.row("clean", CLEAN, alarms, kinds.toString());
    Map<String, Integer> found = new LinkedHashMap<>();
    for (var entry : alterations().entrySet()) {
      int caught = 0;
      String seen = "";
      for (int run = 0; run < RUNS; run++) {
        InputCheckResult result = check(entry.getValue().apply(InputBench.clean(2000 + run)));
        caught += result.verdict() == Verdict.NOT_TO_BE_TRUSTED ? 1 : 0;
        seen =
            result.findings().stream()
                .filter(finding -> finding.kind().alters())
                .map(finding -> finding.kind().code() + " " + Math.round(finding.effect().value()))
                .toList()
                .toString();
      }
      found.put(entry.getKey(), caught);
      report.row(entry.getKey(), RUNS, caught, seen);
    }
    report.save();
    assertEquals(0, alarms, kinds.toString());
    assertEquals(0, undecided);
    found.forEach(
        (name, caught) -> {
          if (!WEAK.contains(name)) {
            assertEquals(RUNS, caught, name);
          }
        });
  }

  @Test
  void limitsAreTold() throws RefusedException {
    InputCheckResult coarse = check(InputBench.clean(1).quantise(16));
    assertEquals(Verdict.TRUSTED, coarse.verdict());
    assertTrue(
        coarse.findings().stream()
            .anyMatch(
                finding ->
                    finding.kind() == Kind.COARSE_SAMPLES
                        && Math.abs(finding.effect().value() + 98.1) < 0.1));
    InputCheckResult offset = check(InputBench.clean(2).offset(0.01));
    assertTrue(
        offset.findings().stream().anyMatch(finding -> finding.kind() == Kind.OFFSET),
        offset.toString());
    assertTrue(offset.findings().stream().noneMatch(finding -> finding.kind().alters()));
  }

  @Test
  void channelsAreCompared() throws RefusedException {
    InputBench one = InputBench.clean(3);
    InputBench turned = InputBench.clean(3);
    for (int i = 0; i < turned.samples.length; i++) {
      turned.samples[i] = -turned.samples[i];
    }
    InputCheckResult result =
        InputCheck.check(
            List.of(
                one.source(),
                InputBench.clean(3).source(),
                turned.source(),
                InputBench.clean(4).source()),
            1000);
    assertEquals(
        List.of(Kind.DUPLICATE_CHANNELS, Kind.MIRRORED_CHANNELS),
        result.findings().stream()
            .map(finding -> finding.kind())
            .filter(kind -> kind == Kind.DUPLICATE_CHANNELS || kind == Kind.MIRRORED_CHANNELS)
            .toList());
    assertEquals(Verdict.TRUSTED, result.verdict());
    // Measured with the third, the first two are the mirrored ones.
    InputCheckResult third =
        InputCheck.check(
            List.of(
                InputBench.clean(3).source(),
                InputBench.clean(3).source(),
                turned.source(),
                InputBench.clean(4).source()),
            3,
            1000);
    assertEquals(
        List.of("channel 1 is a copy of channel 3", "channel 2 is a copy of channel 3"),
        third.findings().stream()
            .filter(finding -> finding.kind() == Kind.MIRRORED_CHANNELS)
            .map(finding -> finding.evidence().split(" with ", 2)[0])
            .toList());
  }

  /** A tone that is switched on within a millisecond splatters; that is no end of the band. */
  @ParameterizedTest
  @ValueSource(doubles = {1.053, 1.06, 1.07, 1.08})
  void anOnsetAtTheEndOfAFrameIsNoWall(double onset) throws RefusedException {
    ToneBench bench =
        new ToneBench(48_000, 20)
            .noise(1e-4, 3)
            .tone(1000, 0.1, t -> (t > onset && t < 6) || (t > 10 + onset && t < 15.5) ? 1 : 0);
    InputCheckResult result = InputCheck.check(List.of(bench.source()), 1000);
    assertEquals(Verdict.TRUSTED, result.verdict(), result.reason());
  }

  @Test
  void withoutStagesNothingIsDecided() throws RefusedException {
    InputBench bench = InputBench.clean(5);
    bench.samples = java.util.Arrays.copyOf(bench.samples, (int) (6 * InputBench.RATE));
    InputCheckResult result = check(bench);
    assertEquals(Verdict.NOT_DECIDED, result.verdict());
    assertTrue(result.reason().contains("on, off, on"), result.reason());
  }
}
