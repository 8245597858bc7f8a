package org.whinograph.comparison;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.tone.Tone;

/**
 * A tone of one device: of the plain spectrum, of the one that follows the speed, or of both.
 *
 * @param plain the tone of the plain spectrum, or null if that shows none
 * @param followed the order that tells it when followed, or null
 * @param sameLineHz frequency of a stronger tone of the device that is the same line at another
 *     speed [Hz], or null
 */
record HeardTone(Tone plain, FollowedLine followed, Double sameLineHz) {
  /** All tones of a device: those of the plain spectrum, then those that only the other shows. */
  static List<HeardTone> of(Measurement measurement) {
    if (measurement.tones() == null) {
      return List.of();
    }
    List<FollowedLine> lines = FollowedLine.of(measurement);
    Map<Tone, FollowedLine> byTone = new HashMap<>();
    lines.stream().filter(line -> line.plain() != null).forEach(l -> byTone.put(l.plain(), l));
    List<HeardTone> heard = new ArrayList<>();
    List<Tone> tones = measurement.tones().tones();
    for (int i = 0; i < tones.size(); i++) {
      Integer stronger = measurement.orders().origins().get(i).sameLineAs();
      heard.add(
          new HeardTone(
              tones.get(i),
              byTone.get(tones.get(i)),
              stronger == null ? null : tones.get(stronger).frequencyHz()));
    }
    for (FollowedLine line : lines) {
      if (line.plain() == null) {
        heard.add(new HeardTone(null, line, null));
      }
    }
    return heard;
  }

  /** Frequency, of the plain spectrum if that shows the tone [Hz]. */
  double frequencyHz() {
    return plain == null ? followedHz() : plain.frequencyHz();
  }

  private double followedHz() {
    return followed.followed().frequencyHz();
  }

  /**
   * How far two tones lie apart, as the logarithm of the ratio of their frequencies: in the plain
   * spectra or in those that follow the speed, whichever is nearer. A plain spectrum shows an order
   * that drifts where the speed dwelt, which may be its edge.
   */
  double distance(HeardTone other) {
    double plainly = Math.abs(Math.log(frequencyHz() / other.frequencyHz()));
    if (followed == null || other.followed == null) {
      return plainly;
    }
    return Math.min(plainly, Math.abs(Math.log(followedHz() / other.followedHz())));
  }
}
