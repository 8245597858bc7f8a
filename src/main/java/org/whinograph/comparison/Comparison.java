package org.whinograph.comparison;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.function.Function;
import org.whinograph.band.BandLevel;
import org.whinograph.level.LevelQuantity;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneResult;

/**
 * Devices side by side, each with its difference to one of them. A difference between a calibrated
 * level and one that isn't means nothing and is never formed; ratios of tones to their noise need
 * no calibration and are compared in any case. Differences carry no uncertainty, and say so.
 *
 * @param devices the devices, in the order given
 * @param reference index of the device that one compares with
 * @param sameUnit whether all levels have one unit
 * @param values levels, then the ratios of all tones together
 * @param thirdOctaves one-third-octave levels, in order
 * @param tones tones, plain and followed along the speed, matched by frequency, in order
 * @param warnings what the reader must know of the comparison; those of the single measurements
 *     stay with them
 */
public record Comparison(
    List<ComparedDevice> devices,
    int reference,
    boolean sameUnit,
    List<ComparedValue> values,
    List<ComparedBand> thirdOctaves,
    List<ComparedTone> tones,
    List<Warning> warnings) {
  /** Code of the warning that differences have no stated uncertainty. */
  public static final String NO_UNCERTAINTY = "difference-without-uncertainty";

  /** Code of the warning that some devices are calibrated and some not. */
  public static final String UNITS_DIFFER = "units-differ";

  /** Code of the warning that no device is calibrated. */
  public static final String UNCALIBRATED = "not-calibrated";

  /** Code of the warning that the spectra have different line spacings. */
  public static final String SPECTRA_DIFFER = "spectra-differ";

  /** Freezes the lists. {@inheritDoc} */
  public Comparison {
    devices = List.copyOf(devices);
    values = List.copyOf(values);
    thirdOctaves = List.copyOf(thirdOctaves);
    tones = List.copyOf(tones);
    warnings = List.copyOf(warnings);
  }

  /**
   * Compares measurements, named after their files.
   *
   * @param measurements at least two
   * @param reference index of the one to compare with
   * @return the comparison
   * @throws IllegalArgumentException if there are fewer than two, or there is no such index
   */
  public static Comparison of(List<Measurement> measurements, int reference) {
    if (measurements.size() < 2) {
      throw new IllegalArgumentException(
          "measurements: a comparison needs at least 2, got " + measurements.size());
    }
    if (reference < 0 || reference >= measurements.size()) {
      throw new IllegalArgumentException(
          "reference: 0 to " + (measurements.size() - 1) + ", got " + reference);
    }
    List<String> labels =
        Labels.of(measurements.stream().map(each -> each.recording().file()).toList());
    List<ComparedDevice> devices = new ArrayList<>();
    for (int i = 0; i < measurements.size(); i++) {
      devices.add(new ComparedDevice(labels.get(i), measurements.get(i)));
    }
    boolean sameUnit = measurements.stream().map(Measurement::unit).distinct().count() == 1;
    Maker maker = new Maker(devices, reference);
    return new Comparison(
        devices,
        reference,
        sameUnit,
        maker.values(),
        maker.thirdOctaves(),
        maker.tones(),
        warnings(measurements, sameUnit));
  }

  private static List<Warning> warnings(List<Measurement> measurements, boolean sameUnit) {
    List<Warning> warnings = new ArrayList<>();
    if (!sameUnit) {
      warnings.add(
          new Warning(
              UNITS_DIFFER,
              "Some recordings are calibrated and some not: their levels have no difference, and"
                  + " only ratios are compared; calibrate all of them."));
    } else if (!measurements.get(0).unit().calibrated()) {
      warnings.add(
          new Warning(
              UNCALIBRATED,
              "Not calibrated: levels are dB re full scale, and their differences hold only if"
                  + " microphone, input gain and set-up were the same for all recordings."));
    }
    double[] spacings =
        measurements.stream()
            .map(Measurement::tones)
            .filter(tones -> tones != null && tones.lineSpacingHz() > 0.0)
            .mapToDouble(ToneResult::lineSpacingHz)
            .toArray();
    for (double each : spacings) {
      if (Math.abs(each / spacings[0] - 1.0) > 0.01) {
        warnings.add(
            new Warning(
                SPECTRA_DIFFER,
                "The spectra have lines "
                    + spacings[0]
                    + " Hz and "
                    + each
                    + " Hz apart, which alone can change what is found as a tone; use recordings"
                    + " of one sample rate and about one length."));
        break;
      }
    }
    warnings.add(
        new Warning(
            NO_UNCERTAINTY,
            "Each difference stands without a stated uncertainty: two runs of one device, placed"
                + " anew, show how small a difference can be told at all."));
    return warnings;
  }

  /** Forms the rows. */
  private record Maker(List<ComparedDevice> devices, int reference) {
    private static final Reading NO_TONE = Reading.unknown("there is no such tone.");
    private static final Reading NO_ORDER =
        Reading.unknown("no order was followed there along the speed.");

    List<ComparedValue> values() {
      List<ComparedValue> values = new ArrayList<>();
      for (LevelQuantity quantity : LevelQuantity.values()) {
        List<Reading> readings = readings(each -> quantity.of(each.levels()));
        values.add(
            new ComparedValue(
                quantity.field(),
                quantity.symbol(),
                quantity.meaning(),
                true,
                readings,
                levelDifferences(readings)));
      }
      values.add(
          ratio(
              "total_tone_to_noise_db",
              "total TNR",
              "tone-to-noise ratio of all tones together, plain spectrum",
              ToneResult::totalToneToNoise));
      values.add(
          ratio(
              "total_prominence_db",
              "total PR",
              "prominence ratio of all tones together, plain spectrum",
              ToneResult::totalProminence));
      values.add(
          ratio(
              "tonal_adjustment_db",
              "adjustment",
              "tonal adjustment, plain spectrum",
              ToneResult::tonalAdjustment));
      return values;
    }

    private ComparedValue ratio(
        String field, String symbol, String meaning, Function<ToneResult, Reading> of) {
      List<Reading> readings =
          readings(
              each ->
                  each.tones() == null
                      ? Reading.unknown("the recording gives no tones.")
                      : of.apply(each.tones()));
      return new ComparedValue(field, symbol, meaning, false, readings, differences(readings));
    }

    List<ComparedBand> thirdOctaves() {
      List<ComparedBand> bands = new ArrayList<>();
      List<BandLevel> first = devices.get(reference).measurement().bands().thirdOctaves();
      for (BandLevel band : first) {
        List<Reading> readings = readings(each -> level(each, band.nominalHz()));
        bands.add(
            new ComparedBand(
                band.nominalHz(), band.midbandHz(), readings, levelDifferences(readings)));
      }
      return bands;
    }

    private static Reading level(Measurement measurement, double nominalHz) {
      return measurement.bands().thirdOctaves().stream()
          .filter(band -> band.nominalHz() == nominalHz)
          .map(BandLevel::level)
          .findFirst()
          .orElse(Reading.unknown("the recording has no such band."));
    }

    List<ComparedTone> tones() {
      List<List<HeardTone>> all =
          devices.stream().map(device -> HeardTone.of(device.measurement())).toList();
      List<ComparedTone> tones = new ArrayList<>();
      for (List<Optional<HeardTone>> row : ToneMatcher.match(all, reference)) {
        HeardTone first =
            row.get(reference)
                .or(() -> row.stream().flatMap(Optional::stream).findFirst())
                .orElseThrow();
        List<Optional<Tone>> plain =
            row.stream().map(heard -> heard.map(HeardTone::plain)).toList();
        List<Optional<FollowedLine>> followed =
            row.stream().map(heard -> heard.map(HeardTone::followed)).toList();
        tones.add(
            new ComparedTone(
                first.frequencyHz(),
                plain,
                followed,
                row.stream().map(heard -> heard.map(HeardTone::sameLineHz)).toList(),
                levelDifferences(readings(plain, Tone::level, NO_TONE)),
                differences(readings(plain, Tone::toneToNoise, NO_TONE)),
                differences(readings(plain, Tone::prominence, NO_TONE)),
                differences(readings(followed, each -> each.followed().toneToNoise(), NO_ORDER)),
                differences(readings(followed, each -> each.followed().prominence(), NO_ORDER))));
      }
      return tones;
    }

    private static <T> List<Reading> readings(
        List<Optional<T>> row, Function<T, Reading> of, Reading none) {
      return row.stream().map(each -> each.map(of).orElse(none)).toList();
    }

    private List<Reading> readings(Function<Measurement, Reading> of) {
      return devices.stream().map(ComparedDevice::measurement).map(of).toList();
    }

    private List<Reading> differences(List<Reading> readings) {
      return readings.stream().map(each -> difference(each, readings.get(reference))).toList();
    }

    private List<Reading> levelDifferences(List<Reading> readings) {
      List<Reading> differences = new ArrayList<>();
      for (int i = 0; i < devices.size(); i++) {
        boolean same =
            devices.get(i).measurement().unit() == devices.get(reference).measurement().unit();
        differences.add(
            same
                ? difference(readings.get(i), readings.get(reference))
                : Reading.unknown("one of the two recordings is calibrated and the other not."));
      }
      return differences;
    }

    private static Reading difference(Reading value, Reading base) {
      if (!base.known()) {
        return base;
      }
      return value.map(level -> level - base.value());
    }
  }
}
