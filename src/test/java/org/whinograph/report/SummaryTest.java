package org.whinograph.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.whinograph.comparison.Comparison;
import org.whinograph.measurement.Measurement;

class SummaryTest {
  private static final String UNCALIBRATED = "dB re full scale, not calibrated";

  private static List<String> lines(InventedDevice device, Typeface typeface) {
    return Summary.of(device.build(), typeface).lines().toList();
  }

  private static String oneLine(InventedDevice device) {
    return Summary.of(device.build(), Typeface.UNICODE).replaceAll("\\s+", " ");
  }

  @ParameterizedTest
  @EnumSource(Typeface.class)
  void noLineIsWiderThanAHundredCharacters(Typeface typeface) {
    for (InventedDevice device :
        List.of(
            InventedDevice.miniComputer(),
            InventedDevice.miniComputer().uncalibrated().rate(32_000.0),
            InventedDevice.blower().uncalibrated().seconds(40_000))) {
      for (String line : lines(device, typeface)) {
        assertTrue(line.length() <= 100, () -> line.length() + ": " + line);
      }
    }
  }

  /** 13.3 dB stand 5.3 dB above the limit of 8 dB, and 3 dB more when followed. */
  @Test
  void aProminentToneThatTheMotionSmearsIsToldAsItIsWhenFollowed() {
    String text =
        Summary.of(InventedDevice.miniComputer().gaining(3.0).build(), Typeface.UNICODE)
            .replaceAll("\\s+", " ");
    String gain = "; when followed along the speed, 8.3 dB at 14880 rpm (tone-to-noise ratio).";
    assertTrue(text.contains("5.3 dB above its limit of prominence"), text);
    assertTrue(text.contains(gain), text);
    String plain = Summary.of(InventedDevice.miniComputer().build(), Typeface.UNICODE);
    assertFalse(plain.contains("when followed"), plain);
    Measurement other = InventedDevice.quietComputer().build();
    List<String> findings =
        ComparisonFindings.of(
            Comparison.of(List.of(InventedDevice.miniComputer().gaining(3.0).build(), other), 0));
    assertTrue(
        findings.get(0).contains(", and 8.3 dB when followed along the speed (tone-to-noise"),
        findings.get(0));
  }

  @Test
  void asciiHasNoOtherCharacters() {
    String text = Summary.of(InventedDevice.miniComputer().build(), Typeface.ASCII);
    assertTrue(text.chars().allMatch(c -> c == '\n' || (c >= 32 && c < 127)), text);
    assertTrue(text.contains("dB re 20 uPa"), text);
    assertFalse(text.contains("?"), text);
  }

  @Test
  void controlCharactersInAFileNameDoNotReachTheTerminal() {
    String text =
        Summary.of(InventedDevice.named("evil\u001b[2J.wav", 0.0).build(), Typeface.UNICODE);
    assertFalse(text.contains("\u001b"));
    assertTrue(text.startsWith("evil?[2J.wav\n"), text);
  }

  @Test
  void saysFirstThatLevelsAreNotCalibratedAndAgainAtEveryLevel() {
    List<String> lines = lines(InventedDevice.miniComputer().uncalibrated(), Typeface.UNICODE);
    assertTrue(
        lines.subList(0, 4).stream().anyMatch(line -> line.contains("NOT CALIBRATED")),
        lines::toString);
    assertTrue(lines.stream().noneMatch(line -> line.contains("20 µPa")), lines::toString);
    int start = lines.indexOf("Levels of the whole recording");
    for (String line : lines.subList(start + 1, start + 7)) {
      assertTrue(line.endsWith(UNCALIBRATED), line);
    }
    assertTrue(
        lines.contains("One-third octaves, unweighted, levels in " + UNCALIBRATED),
        lines::toString);
    assertTrue(
        oneLine(InventedDevice.miniComputer().uncalibrated())
            .contains("−92.3 " + UNCALIBRATED + ", stands 5.3 dB above"));
  }

  @Test
  void saysWhatCalibratedLevelsRestOn() {
    String text = oneLine(InventedDevice.miniComputer());
    assertTrue(
        text.contains(
            "Calibrated 2026-03-02 with Microphone WM-4, serial 0117: full scale is 121.40 dB re"
                + " 20 µPa, standard uncertainty 0.26 dB (morning.json)"),
        text);
    assertFalse(text.contains("calibrated,"), text);
  }

  @Test
  void levelsStandInTheirRowsWithTheUnit() {
    Measurement measurement = InventedDevice.miniComputer().build();
    String laeq = Words.number(measurement.levels().laeq().value(), 1);
    String lceq = Words.number(measurement.levels().lceq().value(), 1);
    String row =
        Summary.of(measurement, Typeface.UNICODE)
            .lines()
            .filter(line -> line.startsWith("  equivalent"))
            .findFirst()
            .orElseThrow();
    assertTrue(row.matches(".*LAeq +" + laeq + " +LCeq +" + lceq + " .*dB re 20 µPa"), row);
  }

  @Test
  void theWhineIsToldInWordsWithItsExcessOverTheLimit() {
    // The excess is 13.3 dB less the limit of 8.0 dB of ECMA-418-1, 11.6.
    assertTrue(
        oneLine(InventedDevice.miniComputer())
            .contains(
                "One line at 1736.021 Hz, seven times the shaft's speed (blade-pass), 29.1 dB re 20"
                    + " µPa, stands 5.3 dB above its limit of prominence (tone-to-noise ratio,"
                    + " ECMA-418-1)."));
  }

  @Test
  void theTableOfTonesGivesRatiosLimitsAndVerdicts() {
    List<String> lines = lines(InventedDevice.miniComputer(), Typeface.UNICODE);
    String whine =
        lines.stream().filter(line -> line.startsWith("   1736.021")).findFirst().orElseThrow();
    assertEquals(
        "1736.021 Hz 29.1 dB 13.3 dB 8.0 dB 12.9 dB 9.0 dB prominent",
        whine.strip().replaceAll(" +", " "));
    String high =
        lines.stream().filter(line -> line.startsWith("  13500")).findFirst().orElseThrow();
    assertTrue(high.endsWith("no verdict, heard by some"), high);
    assertEquals(2, lines.stream().filter(line -> line.matches(".* dB  prominent")).count());
  }

  @Test
  void theWedgeOfTheWhineStandsUnderItsBand() {
    List<String> lines = lines(InventedDevice.miniComputer(), Typeface.UNICODE);
    String wedges = lines.stream().filter(line -> line.startsWith(" tones")).findFirst().get();
    String axis = lines.stream().filter(line -> line.startsWith("    Hz")).findFirst().get();
    // 1736 Hz lies in the band of 1.6 kHz, one band under the label of 2 kHz.
    assertEquals(axis.indexOf("2k") - 2, wedges.indexOf('▲'));
  }

  @Test
  void missingBandsAreMarkedAndExplained() {
    InventedDevice device = InventedDevice.miniComputer().rate(32_000.0);
    assertTrue(lines(device, Typeface.UNICODE).stream().anyMatch(line -> line.contains("█ ? ?")));
    assertTrue(
        oneLine(device)
            .contains("one-third octave 16 kHz, one-third octave 20 kHz: the sample rate"));
  }

  @Test
  void quietDevicesGetASentenceToo() {
    assertTrue(oneLine(InventedDevice.named("a.wav", 0.0)).contains("No discrete tone was found."));
    assertTrue(
        oneLine(InventedDevice.named("a.wav", 0.0).tone(1000.0, 20.0, 5.5, 5.0, 0, 0.0))
            .contains(
                "No line is prominent: the nearest, at 1000.000 Hz, stays 2.5 dB below its limit"));
  }

  @Test
  void manyTonesAreShownByTheirExcessAndTheRestCounted() {
    InventedDevice device = InventedDevice.named("a.wav", 0.0);
    for (int i = 1; i <= 40; i++) {
      device.tone(200.0 * i, 20.0, i == 37 ? 12.0 : i * 0.1, 1.0, 0, 0.0);
    }
    String text = Summary.of(device.build(), Typeface.UNICODE);
    assertTrue(text.contains("and 25 lesser tones"), text);
    assertTrue(text.contains("7400.000 Hz"), text);
    assertFalse(text.contains(" 200.000 Hz"), text);
  }

  @Test
  void warningsOfTheChainAreShown() {
    assertTrue(
        oneLine(InventedDevice.blower().warning("truncated-file", "the file ends early"))
            .contains("- The file ends early."));
  }

  @Test
  void manyUnknownsAreCounted() {
    InventedDevice device = InventedDevice.miniComputer();
    for (int i = 0; i < 7; i++) {
      device.warning(Notices.UNKNOWN, "Unknown, ratio " + i + ": reason " + i + ".");
    }
    String text = oneLine(device);
    assertTrue(text.contains("Unknown, ratio 3: reason 3."), text);
    assertFalse(text.contains("Unknown, ratio 4"), text);
    assertTrue(text.contains("- 3 more numbers are unknown"), text);
  }

  /**
   * An order that the plain spectrum doesn't show is told with what following shows of it: 0.3 dB
   * stay 10.0 dB below 9 + 10 lg(1000/744) dB, the limit of the prominence ratio (ECMA-418-1).
   */
  @Test
  void ordersThatOnlyFollowingShowsAreTold() {
    String text = oneLine(InventedDevice.miniComputer());
    assertTrue(
        text.contains("744 Hz 3 14880 rpm −4.5 dB no tone 0.3 dB −10.0 dB not prominent"), text);
  }
}
