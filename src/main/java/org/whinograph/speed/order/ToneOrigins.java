package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.stream.IntStream;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.Reading;
import org.whinograph.spectrum.Spectrogram;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.speed.SpeedCandidate;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneRatios;
import org.whinograph.tone.ToneResult;

/**
 * Says where each tone comes from. Three kinds of evidence are weighed, and each is told with its
 * figures: whether the frequency is a whole multiple of the shaft's, and how often an unrelated
 * line would be as near to one; whether it moves as the speed moves; and what else is there, such
 * as the rest of a mains family or a mirror image about a carrier.
 *
 * <p>What the evidence doesn't settle is {@link Cause#UNKNOWN}. Used once; not safe for use by
 * several threads.
 */
final class ToneOrigins {
  /**
   * A whole order counts if an unrelated line would be as near in fewer than this part of cases.
   */
  private static final double MOST_CHANCE = 0.1;

  /** The same of orders that neither the blades nor a plain imbalance explain. */
  private static final double MOST_CHANCE_FAR = 0.03;

  private static final int PLAIN_ORDERS = 12;
  private static final double TWO_SIDED_95 = 1.96;

  /** What the tolerance of an order allows the method itself [orders]. */
  private static final double OWN_TOLERANCE = 0.002;

  /** The same in parts of the order. */
  private static final double OWN_PART = 3e-5;

  /** How far a second fan may differ for its orders to be told from a shift in common [1]. */
  private static final double NEAR_FAN = 0.03;

  /** How closely the shifts of two orders must agree [1]. */
  private static final double MOST_SHIFT_DOUBT = 3e-4;

  /**
   * How closely two lines of one shaft agree on its speed, beside what is uncertain of them [1].
   */
  private static final double LINES_AGREE = 2e-4;

  /** How closely the factors agree by which lines of one rotor lie apart [1]. */
  private static final double SAME_FACTOR = 0.002;

  /** How closely the envelope's rate agrees with that of the lines' distance [1]. */
  private static final double SAME_RATE = 0.1;

  private static final int FEWEST_RIVAL_FRAMES = 6;
  private static final double RESONANCE_REACH = 0.06;
  private static final double BLADES_LIKELY = 0.9;
  private static final double MOTOR_MARGIN_DB = 6.0;

  /** Lowest and highest frequency that drives of four-wire fans may have [Hz]. */
  private static final double LOWEST_DRIVE_HZ = 21_000.0;

  private static final double HIGHEST_DRIVE_HZ = 28_000.0;

  private final List<Tone> tones;
  private final Spectrum spectrum;
  private final SpeedResult speed;
  private final LineTracks tracks;
  private final SpeedSweep sweep;
  private final MainsFamily mains;
  private final boolean claimed;
  private final SpeedTrack reference;
  private final ShaftMotion motion;
  private final ShaftMotion rival;
  private final double referenceHz;
  private final double referenceDeviation;
  private final LineMotion[] lines;
  private final double[] ratio;
  private final double[] tolerance;
  private final Cause[] cause;
  private final Double[] order;
  private final boolean[] ofTheFan;
  private final List<List<String>> evidence = new ArrayList<>();
  private double secondShift = Double.NaN;

  private ToneOrigins(
      ToneResult result,
      Spectrum spectrum,
      SpeedResult speed,
      LineTracks tracks,
      SpeedSweep sweep) {
    this.tones = result.tones();
    this.sweep = sweep;
    this.spectrum = spectrum;
    this.speed = speed;
    this.tracks = tracks;
    this.mains = new MainsFamily(tones);
    this.claimed = speed.medianRpm().known();
    this.reference = claimed ? speed.track() : speed.comb();
    boolean any = speed.heard() && reference.knownFraction() > 0.0;
    this.motion = any ? new ShaftMotion(tracks, reference) : null;
    this.rival = any && speed.rival() != null ? new ShaftMotion(tracks, speed.rival()) : null;
    this.referenceHz = any ? medianHz(reference) : Double.NaN;
    this.referenceDeviation = any ? deviation() : Double.NaN;
    int n = tones.size();
    this.lines = new LineMotion[n];
    this.ratio = new double[n];
    this.tolerance = new double[n];
    this.cause = new Cause[n];
    this.order = new Double[n];
    this.ofTheFan = new boolean[n];
    for (int i = 0; i < n; i++) {
      evidence.add(new ArrayList<>());
    }
  }

  /**
   * Judges all tones of a recording.
   *
   * @param tones the tones
   * @param spectrum the spectrum that they come from, or null if there is none
   * @param speed the shaft's speed
   * @param tracks the peaks of the frames of that spectrum
   * @param bins the spectra that follow the speed, none if there was no second pass
   * @param sweep what was found of the speeds gone through, or null
   * @param envelope how the blade-pass line swells and fades, or null
   * @param spectrogram the spectra through time, handed on
   * @return the result
   */
  static OrderResult judge(
      ToneResult tones,
      Spectrum spectrum,
      SpeedResult speed,
      LineTracks tracks,
      List<SpeedBin> bins,
      SpeedSweep sweep,
      Envelope envelope,
      Spectrogram.Columns spectrogram) {
    ToneOrigins judge = new ToneOrigins(tones, spectrum, speed, tracks, sweep);
    List<ToneOrigin> origins = judge.judged();
    List<FollowingTone> following = new ArrayList<>();
    for (int i = 0; i < origins.size(); i++) {
      following.add(judge.following(i, bins));
    }
    return new OrderResult(
        origins,
        following,
        judge.followedOnly(bins),
        judge.twoFans(envelope),
        envelope,
        sweep,
        spectrogram);
  }

  private FollowingTone following(int i, List<SpeedBin> bins) {
    if (motion == null) {
      return FollowingTone.unknown("no speed is known that a spectrum could follow");
    }
    if (!ofTheFan[i]) {
      return FollowingTone.unknown("the tone isn't known to be an order of the shaft");
    }
    if (bins.isEmpty()) {
      return FollowingTone.unknown(
          "a spectrum that follows the speed needs the samples twice, or more than 2 s of one"
              + " speed");
    }
    return FollowingTone.of(bins, Math.rint(ratio[i]), tones.get(i).frequencyHz());
  }

  /** Orders that no tone of the plain spectrum tells of. */
  private List<FollowedOrder> followedOnly(List<SpeedBin> bins) {
    List<FollowedOrder> result = new ArrayList<>();
    if (motion == null || spectrum == null) {
      return result;
    }
    for (FollowedOrders.Found found : FollowedOrders.find(bins, motion)) {
      boolean told = false;
      for (int i = 0; i < tones.size(); i++) {
        double apart = Math.abs(tones.get(i).frequencyHz() - found.tone().frequencyHz());
        told |=
            ofTheFan[i]
                ? Math.rint(ratio[i]) == found.multiple()
                : apart <= 2.0 * spectrum.lineSpacingHz();
      }
      if (!told) {
        result.add(followed(found));
      }
    }
    return result;
  }

  private FollowedOrder followed(FollowedOrders.Found found) {
    int k = found.multiple();
    List<String> told = new ArrayList<>();
    told.add(
        format(
            "It stands out of the spectrum that follows the speed, at %.4f%s: %d within ±%.4f; an"
                + " unrelated line would be as near to a whole multiple in %s of cases.",
            found.ratio(), times(), k, found.reach(), percent(found.chance())));
    if (found.movesClearly(spectrum.lineSpacingHz())) {
      told.add(
          format(
              "It moves with the speed: over %.1f Hz in the plain spectrum, while a line that stays"
                  + " would be smeared as far in this one.",
              found.smearHz()));
    }
    double bladePass = bladePassProbability(k);
    Cause why = Cause.UNKNOWN;
    if (bladePass > BLADES_LIKELY && (claimed || combLooksLikeBlades())) {
      why = Cause.BLADE_PASS;
    } else if (claimed && bladePass <= 1.0 - BLADES_LIKELY) {
      why = Cause.SHAFT;
    }
    if (claimed) {
      told.add(bladePass > BLADES_LIKELY ? bladesText(k, bladePass) : noBladesText(k));
    } else {
      told.add(
          "It belongs to the fan's lines, but which order of the shaft it is depends on the number"
              + " of blades, which isn't known.");
    }
    return new FollowedOrder(claimed ? (double) k : null, found.tone(), why, told);
  }

  private TwoFans twoFans(Envelope envelope) {
    if (Double.isNaN(secondShift)) {
      return null;
    }
    List<Beat> beats = new ArrayList<>();
    double deviation = 0.0;
    for (int i : loudestFirst()) {
      if (!ofTheFan[i]) {
        continue;
      }
      int k = (int) Math.rint(ratio[i]);
      double f = k * referenceHz;
      double rate = Math.abs(secondShift) * f;
      Reading depth = Reading.unknown("the two lines aren't told apart");
      for (int j = 0; j < tones.size(); j++) {
        if (cause[j] == Cause.SECOND_FAN && partner(j) == i) {
          depth = depth(tones.get(i), tones.get(j));
          deviation = Math.max(deviation, shiftDeviation(j, i));
        }
      }
      if (!depth.known()
          && envelope != null
          && envelope.order() == k
          && envelope.rateHz().known()
          && Math.abs(envelope.rateHz().value() / rate - 1.0) < SAME_RATE) {
        depth = envelope.depth();
      }
      beats.add(new Beat(k, f, rate, depth, Beat.verdictAt(rate)));
    }
    double rpm = 60.0 * referenceHz;
    return new TwoFans(rpm * (1.0 + secondShift), rpm * deviation, beats);
  }

  private int[] loudestFirst() {
    return IntStream.range(0, tones.size())
        .filter(i -> tones.get(i).level().known())
        .boxed()
        .sorted(Comparator.comparingDouble(i -> -tones.get(i).level().value()))
        .mapToInt(Integer::intValue)
        .toArray();
  }

  private static Reading depth(Tone one, Tone other) {
    if (!one.level().known() || !other.level().known()) {
      return Reading.unknown("a level is unknown");
    }
    double ratio =
        Decibels.toAmplitudeRatio(-Math.abs(one.level().value() - other.level().value()));
    return Reading.ofFinite(
        Decibels.ofAmplitudeRatio((1.0 + ratio) / (1.0 - ratio)), "both are equally strong");
  }

  private static double medianHz(SpeedTrack track) {
    double[] known = Arrays.stream(track.rpm()).filter(v -> !Double.isNaN(v)).sorted().toArray();
    return known[known.length / 2] / 60.0;
  }

  /** Relative standard deviation of the median speed. */
  private double deviation() {
    if (claimed) {
      return (speed.highRpm().value() - speed.lowRpm().value())
          / (2.0 * TWO_SIDED_95 * speed.medianRpm().value());
    }
    double sum = 0.0;
    int n = 0;
    for (int i = 0; i < reference.frames(); i++) {
      if (!Double.isNaN(reference.rpm()[i])) {
        double width = reference.highRpm()[i] - reference.lowRpm()[i];
        sum += Math.pow(width / (2.0 * TWO_SIDED_95 * reference.rpm()[i]), 2);
        n++;
      }
    }
    return Math.sqrt(sum / n / Math.max(1.0, n / 16.0));
  }

  private List<ToneOrigin> judged() {
    for (int i = 0; i < tones.size(); i++) {
      if (motion != null) {
        lines[i] = new LineMotion(tracks, motion, tones.get(i).frequencyHz());
        measureRatio(i);
      } else {
        ratio[i] = Double.NaN;
      }
    }
    if (motion == null) {
      for (int i = 0; i < tones.size(); i++) {
        withoutSpeed(i);
      }
    } else {
      findSecondShift();
      for (int i = 0; i < tones.size(); i++) {
        byOrder(i);
      }
      findDrives();
      for (int i = 0; i < tones.size(); i++) {
        if (cause[i] == null) {
          byStaying(i);
        }
      }
      findResonances();
      findLoads();
      findMotor();
      for (int i = 0; i < tones.size(); i++) {
        if (cause[i] == null) {
          open(i);
        }
      }
    }
    List<ToneOrigin> result = new ArrayList<>();
    for (int i = 0; i < tones.size(); i++) {
      result.add(new ToneOrigin(order[i], cause[i], evidence.get(i)));
    }
    return result;
  }

  private void measureRatio(int i) {
    Tone tone = tones.get(i);
    double r = lines[i].ratio();
    double own = lines[i].ratioDeviation();
    if (Double.isNaN(r)) {
      // Seen in too few frames alone: the average must do, where the speed hardly moves.
      r = tone.frequencyHz() / referenceHz;
      own = r * (motion.range() / 4.0 + tone.frequencyUncertaintyHz() / tone.frequencyHz());
    }
    ratio[i] = r;
    double sigma = Math.hypot(own, r * referenceDeviation);
    tolerance[i] = 3.0 * sigma + OWN_TOLERANCE + OWN_PART * r;
  }

  /**
   * Whether a tone fits a whole order but agrees on the speed with none of the others that do.
   * Lines of one shaft agree far better than a track is known, tones of a chord don't.
   */
  private boolean disagrees(int i) {
    boolean others = false;
    for (int j = 0; j < tones.size(); j++) {
      if (j == i || !whole(j) || Math.rint(ratio[j]) == Math.rint(ratio[i])) {
        continue;
      }
      others = true;
      double one = tones.get(i).frequencyHz() / Math.rint(ratio[i]);
      double other = tones.get(j).frequencyHz() / Math.rint(ratio[j]);
      double uncertainty =
          Math.hypot(
              tones.get(i).frequencyUncertaintyHz() / tones.get(i).frequencyHz(),
              tones.get(j).frequencyUncertaintyHz() / tones.get(j).frequencyHz());
      double allowed = 4.0 * uncertainty + LINES_AGREE + 0.5 * motion.range();
      if (Math.abs(one / other - 1.0) <= allowed) {
        return false;
      }
    }
    return others;
  }

  private double chance(int i) {
    return Math.min(1.0, 2.0 * tolerance[i]);
  }

  private boolean whole(int i) {
    return ratio[i] > 0.5 && Math.abs(ratio[i] - Math.rint(ratio[i])) <= tolerance[i];
  }

  private String times() {
    return claimed ? " times the shaft's speed" : " times the spacing of the fan's lines";
  }

  /**
   * Whether its slope says that it stays. A small motion of the speed counts only if some line is
   * seen to follow it: it could be the estimate that moves and not the shaft.
   */
  private boolean slopeStays(int i) {
    if (!lines[i].slopeStays()) {
      return false;
    }
    if (motion.range() > 0.01) {
      return true;
    }
    for (LineMotion line : lines) {
      if (line.slopeFollows() && line.slopeDeviation() < 0.15) {
        return true;
      }
    }
    return false;
  }

  private void withoutSpeed(int i) {
    if (mains.has(i)) {
      cause[i] = Cause.MAINS;
      sayMains(i);
      return;
    }
    cause[i] = Cause.UNKNOWN;
    say(i, "No speed of a shaft is known to hold it against.");
  }

  private void byOrder(int i) {
    LineMotion line = lines[i];
    boolean follows = line.slopeFollows() || line.comesWithTheOrder();
    boolean stays = slopeStays(i) || (line.soundsElsewhere() && !line.slopeFollows());
    int k = (int) Math.rint(ratio[i]);
    double bladePass = bladePassProbability(k);
    double most =
        k <= PLAIN_ORDERS || bladePass > BLADES_LIKELY || follows ? MOST_CHANCE : MOST_CHANCE_FAR;
    if (stays || !whole(i) || chance(i) > most) {
      return;
    }
    if (!follows && disagrees(i)) {
      say(
          i,
          format(
              "It is near %d%s, but no other line near a whole multiple agrees with it on that"
                  + " speed, as lines of one shaft do.",
              k, times()));
      return;
    }
    boolean supply = mains.has(i) && !follows;
    if (supply && !shaftExplainsMains(i)) {
      cause[i] = Cause.UNKNOWN;
      say(
          i,
          format(
              "It could be order %d of the shaft or %d times the supply's %.0f Hz: both lie here,"
                  + " and the speed moves too little to tell them apart.",
              k, mains.multiple(i), mains.supplyHz(i)));
      return;
    }
    ofTheFan[i] = true;
    sayOrder(i, k);
    sayFollows(i, k);
    if (supply) {
      say(
          i,
          format(
              "Against: it is %d times the supply's %.0f Hz too; but every tone that could be hum is"
                  + " an order of the shaft as well, and other orders are heard.",
              mains.multiple(i), mains.supplyHz(i)));
    }
    sayResonance(i);
    if (!claimed) {
      if (bladePass > BLADES_LIKELY && combLooksLikeBlades()) {
        cause[i] = Cause.BLADE_PASS;
        say(
            i,
            format(
                "Nearly every number of blades that fits the lines makes it a blade-pass line"
                    + " (probability %.2f); which order of the shaft it is depends on their number.",
                bladePass));
      } else {
        cause[i] = Cause.UNKNOWN;
        say(
            i,
            "It belongs to the fan's lines, but which order of the shaft it is depends on the"
                + " number of blades, which isn't known.");
      }
      return;
    }
    order[i] = (double) k;
    if (bladePass > BLADES_LIKELY) {
      cause[i] = Cause.BLADE_PASS;
      say(i, bladesText(k, bladePass));
    } else {
      // As long as it may well be a blade-pass line, its order is known and its cause isn't.
      cause[i] = bladePass > 1.0 - BLADES_LIKELY ? Cause.UNKNOWN : Cause.SHAFT;
      say(i, noBladesText(k));
    }
  }

  /**
   * Whether the comb is likely that of the blades: it is likely a fan at all, and its loudest tone
   * is one of the first two. Where a high multiple is the loudest, the comb may be the shaft's.
   */
  private boolean combLooksLikeBlades() {
    double heard = 0.0;
    for (SpeedCandidate candidate : speed.candidates()) {
      heard += candidate.probability();
    }
    int loudest = -1;
    for (int j : loudestFirst()) {
      if (whole(j)) {
        loudest = j;
        break;
      }
    }
    return heard > SpeedResult.CLAIM_SPEED && loudest >= 0 && Math.rint(ratio[loudest]) <= 2.0;
  }

  /** Whether the shaft explains all that could be hum, and more: then no hum need be there. */
  private boolean shaftExplainsMains(int i) {
    int beyond = 0;
    for (int j = 0; j < tones.size(); j++) {
      if (mains.has(j) && mains.supplyHz(j) == mains.supplyHz(i) && !whole(j)) {
        return false;
      }
      beyond += !mains.has(j) && whole(j) && !disagrees(j) ? 1 : 0;
    }
    return beyond >= 2;
  }

  /** Probability that an order (of the shaft, or of the comb) is a multiple of the blades. */
  private double bladePassProbability(int k) {
    if (claimed && speed.blades() != null) {
      return k % speed.blades() == 0 ? 1.0 : 0.0;
    }
    double all = 0.0;
    double fits = 0.0;
    for (SpeedCandidate candidate : speed.candidates()) {
      double combs = 60.0 * referenceHz / candidate.rpm();
      int orders = (int) Math.rint(combs);
      if (orders < 1 || Math.abs(combs - orders) > 0.02 || (claimed && orders != 1)) {
        continue;
      }
      all += candidate.probability();
      if ((long) k * orders % candidate.blades() == 0) {
        fits += candidate.probability();
      }
    }
    return all > 0.0 ? fits / all : 0.0;
  }

  private void sayOrder(int i, int k) {
    if (claimed) {
      say(
          i,
          format(
              "Its frequency is %s%s: order %d within ±%s; an unrelated line would be as near"
                  + " to a whole order in %s of cases.",
              figure(i, ratio[i]), times(), k, figure(i, tolerance[i]), percent(chance(i))));
    } else {
      say(
          i,
          format(
              "Its frequency is %s%s, a whole multiple within ±%s; an unrelated line would be"
                  + " as near to one in %s of cases.",
              figure(i, ratio[i]), times(), figure(i, tolerance[i]), percent(chance(i))));
    }
  }

  private void sayFollows(int i, int k) {
    LineMotion line = lines[i];
    boolean said = false;
    if (line.slopeFollows()) {
      say(
          i,
          format(
              "It moves with the speed: the slope of its frequency over the speed is %.2f ± %.2f,"
                  + " 1 for an order and 0 for a line that stays (logarithms of both).",
              line.slope(), TWO_SIDED_95 * line.slopeDeviation()));
      said = true;
    }
    if (line.comesWithTheOrder()) {
      say(
          i,
          format(
              "It sounds in %d of %d frames in which order %d passes there and in %d of %d others.",
              line.predictedPresent(),
              line.predicted(),
              k,
              line.elsewherePresent(),
              line.elsewhere()));
      said = true;
    }
    if (!said) {
      say(
          i,
          format(
              "Against: the speed moves too little (%s in all) to see the line move with it.",
              percent(motion.range())));
    }
  }

  private boolean near(ResonanceCrossing resonance, int i) {
    return Math.abs(tones.get(i).frequencyHz() / resonance.frequencyHz() - 1.0) < RESONANCE_REACH;
  }

  private void sayResonance(int i) {
    if (sweep == null) {
      return;
    }
    for (ResonanceCrossing resonance : sweep.resonances()) {
      if (resonance.orders().size() > 1 && near(resonance, i)) {
        say(
            i,
            format(
                "A resonance near %.0f Hz, where %d orders grow loud on their way, makes it"
                    + " louder.",
                resonance.frequencyHz(), resonance.orders().size()));
      }
    }
  }

  /** A tone without a cause of its own where several orders grow loud on their way. */
  private void findResonances() {
    if (sweep == null) {
      return;
    }
    for (int i = 0; i < tones.size(); i++) {
      for (ResonanceCrossing resonance : sweep.resonances()) {
        if (cause[i] == null && resonance.orders().size() > 1 && near(resonance, i)) {
          cause[i] = Cause.RESONANCE;
          say(
              i,
              format(
                  "Orders %s grow louder by up to %.0f dB where they pass %.0f Hz: it sounds when"
                      + " one of them is there.",
                  resonance.orders(), resonance.riseDb(), resonance.frequencyHz()));
        }
      }
    }
  }

  private String bladesText(int k, double probability) {
    if (speed.blades() == null) {
      return format("Every likely number of blades divides %d (probability %.2f).", k, probability);
    }
    int times = k / speed.blades();
    return times == 1
        ? format("%d is the number of blades.", k)
        : format("%d is %d times the number of blades, %d.", k, times, speed.blades());
  }

  private String noBladesText(int k) {
    return speed.blades() == null
        ? format(
            "The number of blades isn't known, so %d may be a multiple of it or not (probability"
                + " %.2f).",
            k, bladePassProbability(k))
        : format("%d isn't a multiple of the %d blades.", k, speed.blades());
  }

  private void sayMains(int i) {
    int k = mains.multiple(i);
    String line =
        format(
            "%.3f Hz is %d times %.4f Hz, and the supply has %.0f Hz within 0.2 %%",
            tones.get(i).frequencyHz(), k, tones.get(i).frequencyHz() / k, mains.supplyHz(i));
    int others = mains.members(i) - 1;
    if (others > 0) {
      say(
          i,
          line
              + format(
                  "; %d other %s multiples of the same %.4f Hz.",
                  others, others == 1 ? "tone is one of the" : "tones are", mains.measuredHz(i)));
    } else {
      double reach = 0.002 * tones.get(i).frequencyHz();
      say(
          i,
          line
              + format(
                  "; an unrelated line would be as near in %s of cases. Against: no other multiple"
                      + " is heard.",
                  percent(2.0 * reach / mains.supplyHz(i))));
    }
  }

  /**
   * Two fans of nearly the same speed: beside several orders of the first lie lines by the same
   * factor away.
   */
  private void findSecondShift() {
    if (!claimed) {
      return;
    }
    double bestAllowed = MOST_SHIFT_DOUBT;
    for (int i = 0; i < tones.size(); i++) {
      int a = partner(i);
      for (int j = i + 1; a >= 0 && j < tones.size(); j++) {
        int b = partner(j);
        if (b < 0 || Math.rint(ratio[a]) == Math.rint(ratio[b])) {
          continue;
        }
        double allowed = 3.0 * Math.hypot(shiftDeviation(i, a), shiftDeviation(j, b)) + 2e-5;
        if (Math.abs(shift(i, a) - shift(j, b)) <= allowed
            && allowed < bestAllowed
            && allowed < 0.3 * Math.abs(shift(i, a))) {
          bestAllowed = allowed;
          secondShift = 0.5 * (shift(i, a) + shift(j, b));
        }
      }
    }
  }

  /** The tone that is the order beside which a tone lies without being it, or −1. */
  private int partner(int i) {
    int k = (int) Math.rint(ratio[i]);
    if (k < 1
        || whole(i)
        || Math.abs(ratio[i] / k - 1.0) > NEAR_FAN
        || lines[i].slopeFollows()
        || mains.has(i)) {
      return -1;
    }
    int best = -1;
    for (int p = 0; p < tones.size(); p++) {
      if (whole(p)
          && (int) Math.rint(ratio[p]) == k
          && (best < 0 || Math.abs(ratio[p] - k) < Math.abs(ratio[best] - k))) {
        best = p;
      }
    }
    return best;
  }

  private double shift(int i, int partner) {
    return tones.get(i).frequencyHz() / tones.get(partner).frequencyHz() - 1.0;
  }

  private double shiftDeviation(int i, int partner) {
    return Math.hypot(
            tones.get(i).frequencyUncertaintyHz(), tones.get(partner).frequencyUncertaintyHz())
        / tones.get(i).frequencyHz();
  }

  private boolean ofSecondFan(int i) {
    int p = Double.isNaN(secondShift) ? -1 : partner(i);
    return p >= 0
        && Math.abs(shift(i, p) - secondShift) <= 3.0 * shiftDeviation(i, p) + MOST_SHIFT_DOUBT;
  }

  private void findDrives() {
    if (!claimed) {
      return;
    }
    for (int c = 0; c < tones.size(); c++) {
      if (cause[c] != null || mains.has(c)) {
        continue;
      }
      List<Integer> sides = new ArrayList<>();
      for (int a = 0; a < c; a++) {
        int m = steps(a, c);
        for (int b = c + 1; m > 0 && b < tones.size(); b++) {
          if (steps(b, c) == m && cause[a] == null && cause[b] == null) {
            sides.add(a);
            sides.add(b);
          }
        }
      }
      for (int s : sides) {
        if (cause[s] == null) {
          cause[s] = Cause.DRIVE;
          say(
              s,
              format(
                  "It lies %d times the shaft's speed from the line at %.1f Hz, with its mirror"
                      + " image on the other side: a sideband of that line.",
                  steps(s, c), tones.get(c).frequencyHz()));
        }
      }
      if (!sides.isEmpty()) {
        cause[c] = Cause.DRIVE;
        say(
            c,
            format(
                "Sidebands stand %d times the shaft's speed below and above it, at %.1f and %.1f"
                    + " Hz: what drives the motor is switched at this frequency.",
                steps(sides.get(0), c),
                tones.get(sides.get(0)).frequencyHz(),
                tones.get(sides.get(1)).frequencyHz()));
        sayStays(c);
      }
    }
  }

  /** Whole number of the shaft's frequencies between two tones, or 0. */
  private int steps(int a, int b) {
    double distance = Math.abs(tones.get(a).frequencyHz() - tones.get(b).frequencyHz());
    double steps = distance / referenceHz;
    double uncertainty =
        3.0
                * Math.hypot(
                    tones.get(a).frequencyUncertaintyHz(), tones.get(b).frequencyUncertaintyHz())
                / referenceHz
            + 3.0 * steps * referenceDeviation
            + 0.01
            + 0.25 * steps * motion.range();
    int whole = (int) Math.rint(steps);
    return whole >= 1 && whole <= 64 && uncertainty < 0.05 && Math.abs(steps - whole) <= uncertainty
        ? whole
        : 0;
  }

  private void byStaying(int i) {
    LineMotion line = lines[i];
    boolean stays = slopeStays(i) || line.soundsElsewhere();
    double f = tones.get(i).frequencyHz();
    if (mains.has(i)) {
      cause[i] = Cause.MAINS;
      sayMains(i);
      sayStays(i);
      sayNoOrder(i);
    } else if (ofSecondFan(i)) {
      int k = (int) Math.rint(ratio[i]);
      cause[i] = Cause.SECOND_FAN;
      say(
          i,
          format(
              "It lies at %.5f times order %d of the shaft, and lines beside other orders lie away"
                  + " by the same factor: order %d of a second fan at %.1f 1/min.",
              1.0 + shift(i, partner(i)), k, k, 60.0 * referenceHz * (1.0 + secondShift)));
    } else if (followsRival(i)) {
      cause[i] = Cause.SECOND_FAN;
    } else if (f >= LOWEST_DRIVE_HZ && f <= HIGHEST_DRIVE_HZ && stays) {
      cause[i] = Cause.DRIVE;
      say(
          i,
          format(
              "It lies within %.0f to %.0f kHz, where the drive of a four-wire fan is switched.",
              LOWEST_DRIVE_HZ / 1000.0, HIGHEST_DRIVE_HZ / 1000.0));
      sayStays(i);
    } else if (stays && line.presentShare() > 0.8) {
      cause[i] = Cause.FIXED;
      sayStays(i);
      sayNoOrder(i);
    }
  }

  /** Whether a tone is a whole multiple of the second comb and moves with it; says so. */
  private boolean followsRival(int i) {
    if (rival == null || rival.known() < FEWEST_RIVAL_FRAMES || slopeStays(i)) {
      return false;
    }
    LineMotion line = new LineMotion(tracks, rival, tones.get(i).frequencyHz());
    int k = (int) Math.rint(line.ratio());
    double allowed = 3.0 * line.ratioDeviation() + OWN_TOLERANCE;
    boolean fits = k >= 1 && allowed < 0.5 * MOST_CHANCE && Math.abs(line.ratio() - k) <= allowed;
    if (!fits || !(line.slopeFollows() || line.comesWithTheOrder())) {
      return false;
    }
    say(
        i,
        format(
            "It is %.4f times the spacing of a second comb of lines, a whole multiple within ±%.4f;"
                + " an unrelated line would be as near to one in %s of cases.",
            line.ratio(), allowed, percent(Math.min(1.0, 2.0 * allowed))));
    if (line.slopeFollows()) {
      say(
          i,
          format(
              "It moves with that comb and not with the first: the slope of its frequency over the"
                  + " second speed is %.2f ± %.2f, 1 for an order (logarithms of both).",
              line.slope(), TWO_SIDED_95 * line.slopeDeviation()));
    } else {
      say(
          i,
          format(
              "It sounds in %d of %d frames in which that comb passes there and in %d of %d others.",
              line.predictedPresent(),
              line.predicted(),
              line.elsewherePresent(),
              line.elsewhere()));
    }
    return true;
  }

  private void sayStays(int i) {
    LineMotion line = lines[i];
    if (slopeStays(i)) {
      say(
          i,
          format(
              "It doesn't move with the speed: the slope of its frequency over the speed is %.2f ±"
                  + " %.2f, 0 for a line that stays and 1 for an order (logarithms of both).",
              line.slope(), TWO_SIDED_95 * line.slopeDeviation()));
    }
    if (line.soundsElsewhere() && line.heardToHz() > 1.005 * line.heardFromHz()) {
      say(
          i,
          format(
              "It stays where it is from %.0f to %.0f 1/min.",
              60.0 * line.heardFromHz(), 60.0 * line.heardToHz()));
    }
  }

  private void sayNoOrder(int i) {
    if (motion.range() < 0.01 && !whole(i) && chance(i) < 0.5) {
      say(
          i,
          format(
              "It is %s%s (±%s), no whole multiple.",
              figure(i, ratio[i]), times(), figure(i, tolerance[i])));
    }
  }

  /**
   * One line that is at one place for a time and at another near by for the rest, while neither
   * place is where an order goes.
   */
  private void findLoads() {
    for (int i = 0; i < tones.size(); i++) {
      if (!wanders(i)) {
        continue;
      }
      for (int j = 0; j < tones.size(); j++) {
        double apart = tones.get(j).frequencyHz() / tones.get(i).frequencyHz() - 1.0;
        if (j == i || !wanders(j) || Math.abs(apart) > 0.08) {
          continue;
        }
        if (others(i, j)) {
          continue;
        }
        boolean before = lines[j].lastS() < lines[i].firstS() + tracks.lengthS();
        boolean after = lines[j].firstS() > lines[i].lastS() - tracks.lengthS();
        if (!before && !after) {
          continue;
        }
        cause[i] = Cause.LOAD;
        say(
            i,
            format(
                "It sounds from %.1f to %.1f s only, and a line at %.0f Hz takes its place %s, while"
                    + " no whole order of the shaft goes there: it follows something else than the"
                    + " speed, as a coil follows the load.",
                lines[i].firstS(),
                lines[i].lastS(),
                tones.get(j).frequencyHz(),
                before ? "before" : "afterwards"));
        break;
      }
    }
    for (int i = 0; i < tones.size(); i++) {
      LineMotion line = lines[i];
      double s = line.slopeDeviation();
      if (cause[i] == null
          && s < 0.1
          && Math.abs(line.slope()) > 4.0 * s + 0.1
          && Math.abs(line.slope() - 1.0) > 4.0 * s + 0.1) {
        cause[i] = Cause.LOAD;
        say(
            i,
            format(
                "It moves, but not as an order: the slope of its frequency over the speed is %.2f ±"
                    + " %.2f, neither 1 (an order) nor 0 (a line that stays).",
                line.slope(), TWO_SIDED_95 * s));
      }
    }
  }

  /**
   * Whether another pair of lines lies apart by the same factor, as the orders of another rotor do
   * that changes its speed.
   */
  private boolean others(int i, int j) {
    double factor = tones.get(j).frequencyHz() / tones.get(i).frequencyHz();
    for (int a = 0; a < tones.size(); a++) {
      for (int b = 0; b < tones.size(); b++) {
        double other = tones.get(b).frequencyHz() / tones.get(a).frequencyHz();
        if (a != i
            && a != j
            && b != i
            && b != j
            && a != b
            && cause[a] == null
            && cause[b] == null
            && Math.abs(other / factor - 1.0) < SAME_FACTOR) {
          return true;
        }
      }
    }
    return false;
  }

  private boolean wanders(int i) {
    LineMotion line = lines[i];
    return (cause[i] == null || cause[i] == Cause.LOAD)
        && line.present() >= 3
        && line.presentShare() < 0.9
        && !line.comesWithTheOrder()
        && !line.slopeFollows();
  }

  private void findMotor() {
    if (!claimed || speed.blades() == null || spectrum == null || motion.range() > 0.005) {
      return;
    }
    int blades = speed.blades();
    for (int i = 0; i < tones.size(); i++) {
      if (cause[i] != Cause.SHAFT || !tones.get(i).level().known()) {
        continue;
      }
      int k = (int) Math.rint(ratio[i]);
      List<String> pairs = MotorOrders.pairs(k);
      int beside = Math.min(k % blades, blades - k % blades);
      if (pairs.isEmpty() || beside <= 1) {
        continue;
      }
      double margin = Double.POSITIVE_INFINITY;
      for (int other = Math.max(1, k - 4); other <= k + 4; other++) {
        if (other != k && Math.min(other % blades, blades - other % blades) > 1) {
          margin = Math.min(margin, tones.get(i).level().value() - levelAt(other));
        }
      }
      if (margin >= MOTOR_MARGIN_DB && !Double.isInfinite(margin)) {
        cause[i] = Cause.MOTOR;
        say(
            i,
            format(
                "It stands at least %.0f dB above the shaft orders beside it, and %d is the least"
                    + " common multiple of %s: the motor's poles pass its slots.",
                Math.floor(margin), k, String.join(" or ", pairs)));
      }
    }
  }

  /** Level of whatever lies at an order, noise and all [dB]. */
  private double levelAt(int k) {
    double f = k * referenceHz;
    double half = 2.0 * spectrum.lineSpacingHz() + 0.5 * motion.range() * f;
    return spectrum.unit().levelOf(ToneRatios.bandMeanSquare(spectrum, f - half, f + half));
  }

  private void open(int i) {
    cause[i] = Cause.UNKNOWN;
    LineMotion line = lines[i];
    if (!whole(i) && chance(i) < 0.5) {
      say(
          i,
          format(
              "It is %s%s (±%s), no whole multiple.",
              figure(i, ratio[i]), times(), figure(i, tolerance[i])));
    } else {
      say(
          i,
          format(
              "A whole multiple of the shaft's speed would lie as near by chance in %s of cases, so"
                  + " its frequency alone says little.",
              percent(chance(i))));
    }
    if (motion.range() < 0.005 && !(line.slopeDeviation() < 0.2)) {
      say(
          i,
          format(
              "The speed moves too little (%s in all) to see whether the line moves with it.",
              percent(motion.range())));
    } else if (line.present() < 6) {
      say(i, "It stands out of too few frames to follow its motion.");
    }
  }

  /** A multiple, with as many digits as its tolerance is worth. */
  private String figure(int i, double value) {
    String pattern = tolerance[i] < 0.01 ? "%.4f" : tolerance[i] < 0.1 ? "%.3f" : "%.2f";
    return format(pattern, value);
  }

  private static String percent(double part) {
    double value = 100.0 * part;
    return String.format(
        Locale.ROOT, value < 0.1 ? "%.3f %%" : value < 10.0 ? "%.1f %%" : "%.0f %%", value);
  }

  private void say(int i, String sentence) {
    evidence.get(i).add(sentence);
  }

  private static String format(String text, Object... values) {
    return String.format(Locale.ROOT, text, values);
  }
}
