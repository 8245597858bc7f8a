package org.whinograph.comparison;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;

/**
 * Puts the tones of several devices beside each other by frequency. Two tones belong together if
 * their frequencies differ by no more than 1 %, as they are or when followed; the closest pairs are
 * matched first, each tone at most once. (The 1 % is this program's own rule: the spacing of the
 * shaft orders about the hundredth, and more than the same fan wanders between two runs.)
 */
final class ToneMatcher {
  /** Greatest distance of a pair, as the logarithm of the ratio of their frequencies. */
  private static final double TOLERANCE = Math.log(1.01);

  private record Pair(int row, int tone, double distance) {}

  private ToneMatcher() {}

  /**
   * Matches tones.
   *
   * @param devices tones of each device
   * @param reference index of the device whose tones make the first rows
   * @return rows in order of the frequency of their first tone, each with a place for every device
   */
  static List<List<Optional<HeardTone>>> match(List<List<HeardTone>> devices, int reference) {
    List<HeardTone> seeds = new ArrayList<>();
    List<List<Optional<HeardTone>>> rows = new ArrayList<>();
    add(seeds, rows, devices.get(reference), reference, devices.size());
    for (int device = 0; device < devices.size(); device++) {
      if (device != reference) {
        List<HeardTone> left = fill(seeds, rows, devices.get(device), device);
        add(seeds, rows, left, device, devices.size());
      }
    }
    List<Integer> order = new ArrayList<>();
    for (int row = 0; row < rows.size(); row++) {
      order.add(row);
    }
    order.sort(Comparator.comparingDouble(row -> seeds.get(row).frequencyHz()));
    return order.stream().map(rows::get).toList();
  }

  private static void add(
      List<HeardTone> seeds,
      List<List<Optional<HeardTone>>> rows,
      List<HeardTone> tones,
      int device,
      int devices) {
    for (HeardTone tone : tones) {
      List<Optional<HeardTone>> row = new ArrayList<>();
      for (int i = 0; i < devices; i++) {
        row.add(i == device ? Optional.of(tone) : Optional.empty());
      }
      seeds.add(tone);
      rows.add(row);
    }
  }

  /** Puts a device's tones into rows that are there, and returns those that fit none. */
  private static List<HeardTone> fill(
      List<HeardTone> seeds,
      List<List<Optional<HeardTone>>> rows,
      List<HeardTone> tones,
      int device) {
    List<Pair> pairs = new ArrayList<>();
    for (int row = 0; row < rows.size(); row++) {
      for (int tone = 0; tone < tones.size(); tone++) {
        double distance = tones.get(tone).distance(seeds.get(row));
        if (distance <= TOLERANCE) {
          pairs.add(new Pair(row, tone, distance));
        }
      }
    }
    pairs.sort(Comparator.comparingDouble(Pair::distance));
    boolean[] placed = new boolean[tones.size()];
    for (Pair pair : pairs) {
      if (!placed[pair.tone()] && rows.get(pair.row()).get(device).isEmpty()) {
        rows.get(pair.row()).set(device, Optional.of(tones.get(pair.tone())));
        placed[pair.tone()] = true;
      }
    }
    List<HeardTone> left = new ArrayList<>();
    for (int tone = 0; tone < tones.size(); tone++) {
      if (!placed[tone]) {
        left.add(tones.get(tone));
      }
    }
    return left;
  }
}
