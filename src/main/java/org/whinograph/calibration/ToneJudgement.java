package org.whinograph.calibration;

import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.RefusedException;

/**
 * Decides whether the frames of a recording hold one tone that can carry a calibration, and
 * measures it.
 *
 * <p>Time is judged in pieces of a hundredth of a second against the level that most of the tone's
 * energy has. A piece with energy beside the tone is a knock; it's handling noise, and forgiven,
 * within 2 s of either end. A piece in which tone is missing, or is cleanly louder or quieter, is a
 * drop-out or a gain that moves, and is never forgiven.
 */
final class ToneJudgement {
  /** Least length of tone. */
  static final double LEAST_TONE_S = 3.0;

  /** Most deviation from the nominal frequency: that of class 2 of IEC 60942:2003, table 3. */
  static final double FREQUENCY_TOLERANCE = 0.02;

  /**
   * Most fluctuation, and most drift: the fluctuation of class 1 of IEC 60942:2003 (from memory).
   */
  static final double STEADY_DB = 0.1;

  /** Most distortion plus noise: that of class 1 of IEC 60942:2003 (from memory). */
  static final double MOST_DISTORTION = 0.03;

  /** Handling noise is forgiven this long after the tone's start and before its end. */
  private static final double EDGE_S = 2.0;

  /** A pause longer than this parts two placements of the calibrator. */
  private static final double PAUSE_S = 1.0;

  /** A recording that stays below this level is silent. */
  private static final double SILENT_DB = -100;

  /** Below this mean square against the tone a piece holds no tone: −15 dB. */
  private static final double ABSENT = Decibels.toEnergyRatio(-15);

  /** A piece is clean if what it holds beside the tone is at most a tenth of the tone. */
  private static final double CLEAN = 0.1 * 0.1;

  /** Clean pieces within this of the tone's level belong to it. */
  private static final double PIECE_DB = 0.5;

  /** A piece with at least this mean square against the tone lost nothing: a knock adds to it. */
  private static final double NOTHING_LOST = 0.97;

  /** A rise that is first seen above this came suddenly. */
  private static final double SUDDEN_DB = -12;

  /** Longest rise of a tone that came suddenly: a calibrator that is switched on. */
  private static final double SWITCHING_S = 0.25;

  /** The tone begins and ends with this many clean pieces at its level in a row. */
  private static final int STREAK = 5;

  /**
   * A jump of the phase between frames by more than this many radians beyond what a drifting
   * oscillator does: two samples of 1 kHz at 48 kHz are 0.26 rad.
   */
  private static final double PHASE_JUMP = 0.2;

  private enum Piece {
    AT_LEVEL,
    ABSENT,
    LOUDER,
    QUIETER,
    KNOCK,
    LOST
  }

  private final List<ToneFrame> frames;
  private final int frameLength;
  private final long samples;
  private final double sampleRateHz;
  private final double nominalHz;
  private final String name;
  private double toneHz;
  private double toneMeanSquare;
  private Piece[] pieces;

  ToneJudgement(
      List<ToneFrame> frames,
      int frameLength,
      long samples,
      double sampleRateHz,
      double nominalHz,
      String name) {
    this.frames = frames;
    this.frameLength = frameLength;
    this.samples = samples;
    this.sampleRateHz = sampleRateHz;
    this.nominalHz = nominalHz;
    this.name = name;
  }

  ReferenceTone judge() throws RefusedException {
    refuseSilence();
    findTone();
    refuseFrequency();
    refuseIfMostFramesAreBad();
    pieces = classify();
    int[] run = longestRun();
    int first = streakFrom(run[0], run[1]);
    int last = streakBack(run[0], run[1]);
    if (first < 0) {
      throw new RefusedException(
          name
              + say(
                  " holds no stretch of clean tone at %.1f Hz; keep the calibrator and the microphone"
                      + " still and record the tone again.",
                  toneHz));
    }
    int edge = (int) Math.round(EDGE_S / pieceS());
    int from = approach(run[0], first, last);
    int to = approach(run[1], last, first) + 1;
    for (int i = first; i <= last; i++) {
      boolean opening = i < first + edge;
      boolean closing = i > last - edge;
      switch (pieces[i]) {
        case AT_LEVEL -> {}
        case KNOCK -> {
          if (opening && (!closing || i - first < last - i)) {
            from = i + 1;
          } else if (closing) {
            to = Math.min(to, i);
          } else {
            throw new RefusedException(
                name
                    + say(
                        ": a knock or another sound disturbs the tone at %.2f s; keep the calibrator"
                            + " and the microphone still and record the tone again.",
                        at(i)));
          }
        }
        case LOUDER, QUIETER ->
            throw new RefusedException(
                name
                    + say(
                        ": the tone isn't steady, its level is %+.2f dB off at %.2f s (limit %.1f"
                            + " dB); switch off automatic gain and sound enhancements, then record"
                            + " the tone again.",
                        offset(i), at(i), STEADY_DB));
        case ABSENT, LOST ->
            throw new RefusedException(
                name
                    + say(
                        ": the tone drops out at %.2f s; check the cable, the seat of the calibrator"
                            + " and noise suppression, then record the tone again.",
                        at(i)));
      }
    }
    return measure(first, from, to, last + 1);
  }

  private void refuseSilence() throws RefusedException {
    if (samples == 0) {
      throw new RefusedException(name + " holds no samples; record the calibrator's tone again.");
    }
    if (frames.isEmpty()) {
      throw new RefusedException(
          name
              + say(
                  " lasts %.2f s; a calibration needs at least %.0f s of tone.",
                  samples / sampleRateHz, LEAST_TONE_S));
    }
    double loudest = 0;
    for (ToneFrame frame : frames) {
      loudest = Math.max(loudest, frame.meanSquare());
    }
    double level = LevelUnit.FULL_SCALE.levelOf(loudest);
    if (level < SILENT_DB) {
      throw new RefusedException(
          name
              + (loudest == 0
                  ? " is silent, every sample is the same"
                  : say(" is silent, at most %.0f dB re full scale", level))
              + "; check that the right input was recorded and isn't muted.");
    }
  }

  /** Frequency and level that hold half of the energy of all tonal frames. */
  private void findTone() throws RefusedException {
    List<ToneFrame> tonal = frames.stream().filter(ToneFrame::tonal).toList();
    if (tonal.isEmpty()) {
      throw new RefusedException(
          name
              + say(
                  " holds no tone that stands out of its noise; record the calibrator at %.0f Hz"
                      + " fitted on the microphone.",
                  nominalHz));
    }
    toneHz = energyMedian(tonal, true);
    double amplitude =
        energyMedian(tonal.stream().filter(frame -> near(frame.frequencyHz())).toList(), false);
    toneMeanSquare = amplitude * amplitude / 2;
  }

  private boolean near(double frequencyHz) {
    return Math.abs(frequencyHz - toneHz) <= Math.max(0.005 * toneHz, 2);
  }

  private static double energyMedian(List<ToneFrame> frames, boolean ofFrequency) {
    double[][] pairs = new double[frames.size()][];
    double total = 0;
    for (int i = 0; i < pairs.length; i++) {
      ToneFrame frame = frames.get(i);
      double energy = frame.amplitude() * frame.amplitude();
      pairs[i] = new double[] {ofFrequency ? frame.frequencyHz() : frame.amplitude(), energy};
      total += energy;
    }
    Arrays.sort(pairs, (a, b) -> Double.compare(a[0], b[0]));
    double sum = 0;
    for (double[] pair : pairs) {
      sum += pair[1];
      if (sum >= total / 2) {
        return pair[0];
      }
    }
    return pairs[pairs.length - 1][0];
  }

  private void refuseFrequency() throws RefusedException {
    if (Math.abs(toneHz / nominalHz - 1) > FREQUENCY_TOLERANCE) {
      throw new RefusedException(
          name
              + say(
                  ": the tone is at %.1f Hz, %+.1f %% off the calibrator's %.0f Hz (limit %.0f %%);"
                      + " give its frequency with --frequency, or check the recording's sample"
                      + " rate.",
                  toneHz, 100 * (toneHz / nominalHz - 1), nominalHz, 100 * FREQUENCY_TOLERANCE));
    }
  }

  /** Faults that spoil the tone throughout would otherwise look like endless handling noise. */
  private void refuseIfMostFramesAreBad() throws RefusedException {
    int all = 0;
    int clipped = 0;
    double[] distortions = new double[frames.size()];
    for (ToneFrame frame : frames) {
      if (frame.tonal()
          && near(frame.frequencyHz())
          && Math.abs(levelOver(frame.amplitude() * frame.amplitude() / 2)) < 1) {
        clipped += frame.flatTopped() || frame.overloaded() ? 1 : 0;
        distortions[all++] = Math.sqrt(frame.distortionMeanSquare() * 2) / frame.amplitude();
      }
    }
    if (clipped > all / 2) {
      throw clipped(seconds((long) all * frameLength), Double.NaN);
    }
    Arrays.sort(distortions, 0, all);
    refuseDistortion(distortions[all / 2]);
  }

  private RefusedException clipped(double lengthS, double atS) {
    return new RefusedException(
        name
            + (Double.isNaN(atS)
                ? say(": the tone is clipped through most of its %.1f s", lengthS)
                : say(": the tone is clipped at %.2f s", atS))
            + "; lower the input gain and record the tone again.");
  }

  private void refuseDistortion(double ratio) throws RefusedException {
    if (ratio > MOST_DISTORTION) {
      throw new RefusedException(
          name
              + say(
                  ": distortion plus noise of the tone is %.1f %% (limit %.0f %%); check the"
                      + " calibrator's battery and its seat on the microphone, and record in a"
                      + " quieter place.",
                  100 * ratio, 100 * MOST_DISTORTION));
    }
  }

  private Piece[] classify() {
    Piece[] kinds = new Piece[frames.size() * ToneFrame.PIECES];
    for (int i = 0; i < kinds.length; i++) {
      ToneFrame frame = frames.get(i / ToneFrame.PIECES);
      int k = i % ToneFrame.PIECES;
      double energy = frame.pieceMeanSquare()[k] / toneMeanSquare;
      if (energy < ABSENT) {
        kinds[i] = Piece.ABSENT;
      } else if (frame.pieceResidual()[k] > CLEAN * toneMeanSquare || !near(frame.frequencyHz())) {
        kinds[i] = energy >= NOTHING_LOST ? Piece.KNOCK : Piece.LOST;
      } else if (Math.abs(offset(i)) <= PIECE_DB) {
        kinds[i] = Piece.AT_LEVEL;
      } else {
        kinds[i] = offset(i) > 0 ? Piece.LOUDER : Piece.QUIETER;
      }
    }
    return kinds;
  }

  /** The run with most tone at its level; runs are parted by pauses without any tone. */
  private int[] longestRun() throws RefusedException {
    int pause = (int) Math.round(PAUSE_S / pieceS());
    int[] best = {0, -1};
    int most = -1;
    List<int[]> runs = new java.util.ArrayList<>();
    int start = -1;
    int end = -1;
    for (int i = 0; i <= pieces.length; i++) {
      boolean over = i == pieces.length;
      if (start >= 0 && (over || i - end > pause)) {
        runs.add(new int[] {start, end});
        start = -1;
      }
      if (!over && pieces[i] != Piece.ABSENT) {
        start = start < 0 ? i : start;
        end = i;
      }
    }
    for (int[] run : runs) {
      int tone = 0;
      for (int i = run[0]; i <= run[1]; i++) {
        tone += pieces[i] == Piece.AT_LEVEL ? 1 : 0;
      }
      if (tone > most) {
        most = tone;
        best = run;
      }
    }
    for (int[] run : runs) {
      if (run != best) {
        refuseOtherLevel(run, best);
      }
    }
    return best;
  }

  /** Another placement of the calibrator must read the same, or one of the two is wrong. */
  private void refuseOtherLevel(int[] run, int[] best) throws RefusedException {
    double other = cleanMeanSquare(run);
    double level = Decibels.ofEnergyRatio(other / cleanMeanSquare(best));
    if (other > 0 && Math.abs(level) > STEADY_DB) {
      throw new RefusedException(
          name
              + say(
                  " holds the tone twice, at %.1f s and at %.1f s, %.2f dB apart (limit %.1f dB); keep"
                      + " the part that counts, or switch off automatic gain and record again.",
                  at(best[0]), at(run[0]), Math.abs(level), STEADY_DB));
    }
  }

  /** Mean square of the clean tone in a run, without a tenth of a second at its ends [unit²]. */
  private double cleanMeanSquare(int[] run) {
    double sum = 0;
    int count = 0;
    for (int i = run[0] + ToneFrame.PIECES; i <= run[1] - ToneFrame.PIECES; i++) {
      if (pieces[i] == Piece.AT_LEVEL || pieces[i] == Piece.LOUDER || pieces[i] == Piece.QUIETER) {
        double amplitude = pieceAmplitude(i);
        sum += amplitude * amplitude / 2;
        count++;
      }
    }
    return count < PAUSE_S / pieceS() ? 0 : sum / count;
  }

  private int streakFrom(int from, int to) {
    int streak = 0;
    for (int i = from; i <= to; i++) {
      streak = pieces[i] == Piece.AT_LEVEL ? streak + 1 : 0;
      if (streak == STREAK) {
        return i - STREAK + 1;
      }
    }
    return -1;
  }

  private int streakBack(int from, int to) {
    int streak = 0;
    for (int i = to; i >= from; i--) {
      streak = pieces[i] == Piece.AT_LEVEL ? streak + 1 : 0;
      if (streak == STREAK) {
        return i + STREAK - 1;
      }
    }
    return -1;
  }

  /**
   * Judges what lies between an end of the run and the tone: noise, or a tone that comes up out of
   * nothing as when a calibrator is fitted or switched on; but not a tone that is there at once and
   * moves to its level, as a gain control makes it.
   *
   * @param outer the end of the run
   * @param inner where clean tone at its level begins, seen from there
   * @param far where it ends
   * @return where the tone counts from: after a rise out of nothing, once it has settled
   */
  private int approach(int outer, int inner, int far) throws RefusedException {
    int towards = inner < far ? 1 : -1;
    int loudest = -1;
    int quieter = 0;
    int outermost = -1;
    for (int i = outer; i != inner; i += towards) {
      if (pieces[i] == Piece.LOUDER && (loudest < 0 || offset(i) > offset(loudest))) {
        loudest = i;
      } else if (pieces[i] == Piece.QUIETER) {
        quieter++;
        outermost = outermost < 0 ? i : outermost;
      }
    }
    if (loudest >= 0) {
      throw ride(loudest);
    }
    boolean sudden = quieter > 0 && offset(outermost) > SUDDEN_DB && cleanOnset(outermost, towards);
    if (quieter * pieceS() > EDGE_S || (sudden && quieter * pieceS() > SWITCHING_S)) {
      throw ride(outermost);
    }
    int settled = inner;
    if (quieter > STREAK) {
      while (settled != far
          && offset(settled) < -STEADY_DB / 2
          && Math.abs(settled - outermost) * pieceS() <= EDGE_S) {
        settled += towards;
      }
    }
    return settled;
  }

  /** Whether the tone is there within two pieces of nothing, without handling noise around it. */
  private boolean cleanOnset(int piece, int towards) {
    for (int back = 1; back <= 3; back++) {
      int i = piece - back * towards;
      if (i < 0 || i >= pieces.length || pieces[i] == Piece.ABSENT) {
        return true;
      }
    }
    return false;
  }

  private RefusedException ride(int piece) {
    return new RefusedException(
        name
            + say(
                ": the tone isn't steady over its whole length, at %.2f s it is %+.2f dB off its later"
                    + " or earlier level (limit %.1f dB); switch off automatic gain and sound"
                    + " enhancements, then record the tone again.",
                at(piece), offset(piece), STEADY_DB));
  }

  private ReferenceTone measure(int first, int from, int to, int end) throws RefusedException {
    double toneS = (to - from) * pieceS();
    // The pieces in which it starts and ends are lost to the grid.
    if (toneS + 2 * pieceS() < LEAST_TONE_S - 1e-9) {
      throw new RefusedException(
          name
              + say(
                  " holds %.1f s of steady tone from %.2f s on (at least %.0f s); record the tone for"
                      + " ten seconds or more.",
                  Math.max(0, toneS), at(from), LEAST_TONE_S));
    }
    int start = (from + ToneFrame.PIECES - 1) / ToneFrame.PIECES;
    int stop = to / ToneFrame.PIECES;
    List<ToneFrame> used = frames.subList(start, stop);
    double energy = 0;
    double squares = 0;
    double distortion = 0;
    double greatest = 0;
    double least = Double.POSITIVE_INFINITY;
    double peak = 0;
    for (int i = 0; i < used.size(); i++) {
      ToneFrame frame = used.get(i);
      double atS = seconds((start + i) * (long) frameLength);
      if (frame.flatTopped() || frame.overloaded()) {
        throw clipped(0, atS);
      }
      if (frame.lost()) {
        throw lost(atS);
      }
      double square = frame.amplitude() * frame.amplitude() / 2;
      energy += square;
      squares += square * square;
      distortion += frame.distortionMeanSquare();
      greatest = Math.max(greatest, square);
      least = Math.min(least, square);
      peak = Math.max(peak, frame.peak());
    }
    double frequency = frequency(used, start);
    int n = used.size();
    double mean = energy / n;
    double ratio = Math.sqrt(distortion / energy);
    refuseDistortion(ratio);
    double fluctuation = Decibels.ofEnergyRatio(greatest / least) / 2;
    double drift = drift(used);
    refuseUnsteady(used, start, fluctuation, drift);
    double spread = Math.sqrt(Math.max(0, squares / n - mean * mean) / (n - 1)) / mean;
    return new ReferenceTone(
        LevelUnit.FULL_SCALE.levelOf(mean),
        frequency,
        fluctuation,
        drift,
        ratio,
        Decibels.ofEnergyRatio(1 + spread),
        at(from),
        toneS,
        (from - first) * pieceS(),
        (end - to) * pieceS(),
        peak);
  }

  /** Greatest difference between levels of one second [dB]. */
  private static double drift(List<ToneFrame> used) {
    int second = (int) Math.round(1 / ToneFrameAnalyser.FRAME_S);
    double greatest = 0;
    double least = Double.POSITIVE_INFINITY;
    for (int i = 0; i + second <= used.size(); i++) {
      double sum = 0;
      for (ToneFrame frame : used.subList(i, i + second)) {
        sum += frame.amplitude() * frame.amplitude();
      }
      greatest = Math.max(greatest, sum);
      least = Math.min(least, sum);
    }
    return Decibels.ofEnergyRatio(greatest / least);
  }

  private void refuseUnsteady(List<ToneFrame> used, int start, double fluctuation, double drift)
      throws RefusedException {
    if (fluctuation <= STEADY_DB && drift <= STEADY_DB) {
      return;
    }
    int highest = 0;
    int lowest = 0;
    for (int i = 1; i < used.size(); i++) {
      highest = used.get(i).amplitude() > used.get(highest).amplitude() ? i : highest;
      lowest = used.get(i).amplitude() < used.get(lowest).amplitude() ? i : lowest;
    }
    throw new RefusedException(
        name
            + say(
                ": the tone isn't steady over its whole length, it moves by %.2f dB between %.1f s and"
                    + " %.1f s (fluctuation %.2f dB, drift %.2f dB, limit %.1f dB each); switch off"
                    + " automatic gain, keep the calibrator still and record the tone again.",
                2 * fluctuation,
                seconds((start + (long) Math.min(highest, lowest)) * frameLength),
                seconds((start + (long) Math.max(highest, lowest)) * frameLength),
                fluctuation,
                drift,
                STEADY_DB));
  }

  /** Slope of the unwrapped phase by least squares [Hz]; jumps of the phase are lost samples. */
  private double frequency(List<ToneFrame> used, int start) throws RefusedException {
    double frameS = frameLength / sampleRateHz;
    double[] phase = new double[used.size()];
    double turn = 2 * Math.PI * toneHz * frameS;
    for (int i = 0; i < phase.length; i++) {
      double expected = i == 0 ? 0 : phase[i - 1] + (i > 1 ? phase[i - 1] - phase[i - 2] : 0);
      double found = used.get(i).phase() - turn * i;
      phase[i] = found + 2 * Math.PI * Math.rint((expected - found) / (2 * Math.PI));
      if (i > 1 && Math.abs(phase[i] - 2 * phase[i - 1] + phase[i - 2]) > PHASE_JUMP) {
        throw lost(seconds((start + (long) i) * frameLength));
      }
    }
    double middle = (phase.length - 1) / 2.0;
    double over = 0;
    double under = 0;
    for (int i = 0; i < phase.length; i++) {
      over += (i - middle) * phase[i];
      under += (i - middle) * (i - middle);
    }
    return toneHz + over / under / (2 * Math.PI * frameS);
  }

  private RefusedException lost(double atS) {
    return new RefusedException(
        name
            + say(
                ": samples were lost at %.2f s, the tone breaks off there and goes on at another"
                    + " phase; close other programs and record the tone again.",
                atS));
  }

  private double pieceAmplitude(int piece) {
    return frames.get(piece / ToneFrame.PIECES).pieceAmplitude()[piece % ToneFrame.PIECES];
  }

  private double offset(int piece) {
    double amplitude = pieceAmplitude(piece);
    return levelOver(amplitude * amplitude / 2);
  }

  private double levelOver(double meanSquare) {
    return Decibels.ofEnergyRatio(meanSquare / toneMeanSquare);
  }

  private double pieceS() {
    return frameLength / sampleRateHz / ToneFrame.PIECES;
  }

  private double at(int piece) {
    return piece * pieceS();
  }

  private double seconds(long samples) {
    return samples / sampleRateHz;
  }

  private static String say(String pattern, Object... values) {
    return String.format(Locale.ROOT, pattern, values);
  }
}
