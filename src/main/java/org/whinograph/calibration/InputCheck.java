package org.whinograph.calibration;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.SampleSource;

/**
 * Tests whether a computer alters sound on its way from the microphone: automatic gain, noise
 * suppression, cut bands and poor changes of rate, which no level shows by itself.
 *
 * <p>It wants a recording in which a calibrator is on, off, on again without being moved, and off
 * for a quiet stretch; it finds these stages itself. The tone shows a gain that moves; the noise
 * after it shows a floor that is turned down or up; its spectrum shows walls and holes. Thresholds
 * are judgement, checked by simulation (no source). Memory grows by 0.4 kB for each tenth of a
 * second and ends at an hour. Used by one thread.
 */
public final class InputCheck implements SampleSink {
  private static final int BLOCK = 16_384;
  private static final double LONGEST_S = 3600;

  /** What is asked for must last this long [s]. */
  public static final double STEP_S = 5;

  private static final int STEP_FRAMES = (int) Math.round(STEP_S / ToneFrameAnalyser.FRAME_S);

  /** What rings on after a tone isn't quiet [frames]. */
  private static final int QUIET_AFTER_TONE = 10;

  /** Nor is what goes before one [frames]. */
  private static final int QUIET_BEFORE_TONE = 2;

  private final SampleFormat format;
  private final double nominalHz;
  private final String name;
  private final ToneFrameAnalyser analyser;
  private final InputSpectra spectra;
  private final ImageFinder images;
  private final List<InputFrame> frames = new ArrayList<>();
  private final List<ChannelComparison> comparisons = new ArrayList<>();
  private final double stepOfFormat;
  private final long longest;
  private long samples;
  private final double[][] quiet;
  private int waiting;
  private int waitingFrom;
  private int sinceTone = 1000;
  private double quietSum;
  private long quietSamples;
  private long usedBits;
  private boolean broken;
  private Step step = Step.SWITCH_ON;
  private int stepFrames;
  private double loudestTone;

  /** What a person is asked for while an input is checked live. */
  public enum Step {
    /** Calibrator on. */
    SWITCH_ON("fit the calibrator on the microphone and switch it on"),
    /** Calibrator off. */
    SWITCH_OFF("switch the calibrator off, without moving it"),
    /** Calibrator on again. */
    SWITCH_ON_AGAIN("switch it on again, without moving it"),
    /** Calibrator off and quiet. */
    KEEP_QUIET("switch it off and keep quiet"),
    /** All stages are there. */
    DONE("that is all");

    private final String request;

    Step(String request) {
      this.request = request;
    }

    /**
     * What to do.
     *
     * @return a few words
     */
    public String request() {
      return request;
    }

    /**
     * Whether the calibrator is to sound.
     *
     * @return true if it is
     */
    public boolean wantsTone() {
      return this == SWITCH_ON || this == SWITCH_ON_AGAIN;
    }
  }

  /**
   * Prepares for a recording or an input.
   *
   * @param format how its samples were stored
   * @param nominalHz nominal frequency of the calibrator [Hz], 160 to 1250
   * @param name its name, for messages
   * @throws IllegalArgumentException if the frequency is outside its limits, or the rate below 8
   *     kHz
   */
  public InputCheck(SampleFormat format, double nominalHz, String name) {
    this.format = format;
    this.nominalHz = nominalHz;
    this.name = name;
    this.analyser = ToneFrameAnalyser.ofCalibrator(format, nominalHz, this::take);
    this.spectra = new InputSpectra(analyser.frameLength(), format.sampleRateHz());
    this.quiet = new double[QUIET_BEFORE_TONE][analyser.frameLength()];
    this.images = new ImageFinder(analyser.frameLength(), format.sampleRateHz());
    this.stepOfFormat = Math.pow(2, 1 - Math.min(format.floatingPoint() ? 24 : bits(), 24));
    this.longest = Math.round(LONGEST_S * format.sampleRateHz());
  }

  /**
   * Checks a recording whose first channel is the one to measure with.
   *
   * @param channels its channels in order; read side by side to their end, not closed
   * @param nominalHz nominal frequency of the calibrator [Hz], 160 to 1250
   * @return what was found
   * @throws RefusedException if a source is damaged, or too short or long to tell
   * @throws IllegalArgumentException if there is no channel, or the frequency is outside its limits
   */
  public static InputCheckResult check(List<SampleSource> channels, double nominalHz)
      throws RefusedException {
    return check(channels, 1, nominalHz);
  }

  /**
   * Checks a recording.
   *
   * @param channels its channels in order; read side by side to their end, not closed
   * @param measured which of them is the one to measure with, from 1
   * @param nominalHz nominal frequency of the calibrator [Hz], 160 to 1250
   * @return what was found
   * @throws RefusedException if a source is damaged, or too short or long to tell
   * @throws IllegalArgumentException if there is no such channel, or the frequency is outside its
   *     limits
   */
  public static InputCheckResult check(List<SampleSource> channels, int measured, double nominalHz)
      throws RefusedException {
    if (measured < 1 || measured > channels.size()) {
      throw new IllegalArgumentException(
          "measured: 1 to the " + channels.size() + " channels, got " + measured);
    }
    SampleSource main = channels.get(measured - 1);
    InputCheck check = new InputCheck(main.format(), nominalHz, main.name());
    double[][] side = new double[channels.size()][BLOCK];
    for (SampleBlock block = main.read(BLOCK); block != null; block = main.read(BLOCK)) {
      check.accept(block);
      System.arraycopy(block.samples(), 0, side[measured - 1], 0, block.length());
      for (int i = 0; i < channels.size(); i++) {
        if (i != measured - 1) {
          int got = fill(channels.get(i), side[i], block.length());
          Arrays.fill(side[i], got, block.length(), 0);
        }
      }
      check.compare(side, measured, block.length());
    }
    return check.finish();
  }

  private static int fill(SampleSource source, double[] into, int wanted) throws RefusedException {
    int got = 0;
    while (got < wanted) {
      SampleBlock block = source.read(wanted - got);
      if (block == null) {
        break;
      }
      System.arraycopy(block.samples(), 0, into, got, block.length());
      got += block.length();
    }
    return got;
  }

  @Override
  public void accept(SampleBlock block) {
    samples += block.length();
    if (samples > longest) {
      return;
    }
    double full = Math.pow(2, bits() - 1.0);
    for (int i = 0; i < block.length(); i++) {
      double steps = block.samples()[i] * full;
      usedBits |= (long) steps;
      broken |= steps != Math.rint(steps);
    }
    analyser.accept(block);
  }

  /**
   * What comes next while an input is checked live.
   *
   * @return the step; the next comes once what is asked for has lasted for 5 s
   */
  public Step step() {
    return step;
  }

  /**
   * For how long what is asked for has lasted.
   *
   * @return length [s], up to {@value #STEP_S}
   */
  public double stepS() {
    return stepFrames * frameS();
  }

  /**
   * Takes the same stretch of all channels, to find copies. It needn't go with what {@link #accept}
   * takes; memory doesn't grow.
   *
   * @param channels samples of the channels in order [parts of full scale, at least {@code count}
   *     each]
   * @param measured which of them is the one to measure with, from 1
   * @param count how many samples of each
   */
  public void compare(double[][] channels, int measured, int count) {
    while (comparisons.size() < channels.length) {
      comparisons.add(new ChannelComparison(measured, comparisons.size() + 1));
    }
    for (int i = 0; i < channels.length; i++) {
      if (i != measured - 1) {
        comparisons.get(i).add(channels[measured - 1], channels[i], count);
      }
    }
  }

  /**
   * Ends the check.
   *
   * @return what was found
   * @throws RefusedException if the recording is too short or long to tell
   */
  public InputCheckResult finish() throws RefusedException {
    if (samples > longest || frames.size() < 30) {
      throw new RefusedException(
          String.format(
              Locale.ROOT,
              "%s lasts %.1f s; record the calibrator on, off, on again and off, 5 s each, in less"
                  + " than an hour.",
              name,
              samples / format.sampleRateHz()));
    }
    InputStages stages = new InputStages(frames, frameS(), nominalHz);
    List<InputFinding> findings = new ArrayList<>();
    comparisons.forEach(comparison -> comparison.finding().ifPresent(findings::add));
    GainJudgement gain = new GainJudgement(frames, frameS(), stages);
    gain.automaticGain().ifPresent(findings::add);
    gain.noiseSuppression(spectra).ifPresent(findings::add);
    bandLimit().ifPresent(findings::add);
    digitalSilence().ifPresent(findings::add);
    stages.toneHz().stream().boxed().findFirst().flatMap(images::finding).ifPresent(findings::add);
    clipping(stages).ifPresent(findings::add);
    coarseSamples().ifPresent(findings::add);
    offset().ifPresent(findings::add);
    hum().ifPresent(findings::add);
    findings.sort(
        Comparator.comparing((InputFinding finding) -> !finding.kind().alters())
            .thenComparing(finding -> -Math.abs(finding.effect().value())));
    return verdict(stages, findings, gain.figures());
  }

  private InputCheckResult verdict(
      InputStages stages, List<InputFinding> findings, List<InputFigure> figures) {
    Optional<String> missing = stages.missing();
    InputCheckResult.Verdict verdict;
    String reason;
    if (!findings.isEmpty() && findings.get(0).kind().alters()) {
      verdict = InputCheckResult.Verdict.NOT_TO_BE_TRUSTED;
      reason = "The input alters the sound: " + findings.get(0).evidence() + ".";
    } else if (missing.isPresent()) {
      verdict = InputCheckResult.Verdict.NOT_DECIDED;
      reason = missing.get();
    } else {
      verdict = InputCheckResult.Verdict.TRUSTED;
      reason =
          "Nothing was found that alters the sound: the tone came back at the same level, and the"
              + " noise after it kept its level and its band.";
    }
    return new InputCheckResult(name, format, stages.stages(), findings, figures, verdict, reason);
  }

  private void take(ToneFrame tone) {
    double[] block = analyser.samples();
    countQuiet(tone, block);
    double floor = spectra.transform(block);
    float hiss = (float) spectra.hissDb();
    guide(tone);
    images.add(tone, block);
    int same = 1;
    int longestSame = 1;
    int peak = 0;
    int longestPeak = 0;
    for (int i = 0; i < block.length; i++) {
      same = i > 0 && block[i] == block[i - 1] ? same + 1 : 1;
      longestSame = Math.max(longestSame, same);
      peak = Math.abs(block[i]) >= tone.peak() - 0.5 * stepOfFormat ? peak + 1 : 0;
      longestPeak = Math.max(longestPeak, peak);
    }
    double floorDb = LevelUnit.FULL_SCALE.levelOf(floor + 1e-30);
    frames.add(new InputFrame(tone, (float) floorDb, hiss, longestSame, longestPeak));
  }

  /**
   * A tone that begins at a frame's end is no tone there yet, but its onset would pass for noise:
   * so a frame counts as quiet only once the next ones were quiet too.
   */
  private void countQuiet(ToneFrame tone, double[] block) {
    boolean sounds = tone.tonal() && tone.frequencyHz() > InputStages.LOWEST_TONE_HZ;
    sinceTone = sounds ? 0 : sinceTone + 1;
    if (sinceTone <= QUIET_AFTER_TONE) {
      waiting = 0;
      return;
    }
    double[] oldest = quiet[waitingFrom];
    if (waiting == quiet.length) {
      spectra.transform(oldest);
      spectra.addQuiet(oldest);
      for (double x : oldest) {
        quietSum += x;
      }
      quietSamples += oldest.length;
      waiting--;
    }
    System.arraycopy(block, 0, oldest, 0, block.length);
    waitingFrom = (waitingFrom + 1) % quiet.length;
    waiting++;
  }

  private void guide(ToneFrame tone) {
    boolean calibrator =
        tone.tonal() && Math.abs(tone.frequencyHz() / nominalHz - 1) < InputStages.NEAR_NOMINAL;
    loudestTone = calibrator ? Math.max(loudestTone, tone.amplitude()) : loudestTone;
    boolean on = calibrator && tone.amplitude() > InputStages.FAINT * loudestTone;
    stepFrames = on == step.wantsTone() ? stepFrames + 1 : 0;
    if (step != Step.DONE && stepFrames == STEP_FRAMES) {
      step =
          switch (step) {
            case SWITCH_ON -> Step.SWITCH_OFF;
            case SWITCH_OFF -> Step.SWITCH_ON_AGAIN;
            case SWITCH_ON_AGAIN -> Step.KEEP_QUIET;
            case KEEP_QUIET, DONE -> Step.DONE;
          };
      stepFrames = 0;
    }
  }

  /** A wall: the noise falls by 12 dB within some hundred hertz and stays down. */
  private Optional<InputFinding> bandLimit() {
    if (spectra.count() < 10) {
      return Optional.empty();
    }
    double cell = 250;
    double nyquist = format.sampleRateHz() / 2;
    int cells = (int) (0.96 * nyquist / cell);
    double[] levels = new double[cells];
    for (int i = 0; i < cells; i++) {
      levels[i] = spectra.meanLevel(spectra.line(i * cell), spectra.line((i + 1) * cell));
    }
    double most = 0;
    int wall = -1;
    for (int i = 8; i + 3 < cells && i * cell < Math.min(18_000, 0.82 * nyquist); i++) {
      double below = median(levels, i - 4, i);
      double above = median(levels, i + 1, Math.min(cells, i + 4));
      double highest = Double.NEGATIVE_INFINITY;
      for (int k = i + 2; k < cells; k++) {
        highest = Math.max(highest, levels[k]);
      }
      double fall = below - above;
      if (fall > most && fall >= 12 && below - highest >= 9) {
        most = fall;
        wall = i;
      }
    }
    if (wall < 0) {
      return Optional.empty();
    }
    return Optional.of(
        new InputFinding(
            InputFinding.Kind.BAND_LIMIT,
            String.format(
                Locale.ROOT,
                "the noise ends in a wall at %.1f kHz, it falls by %.0f dB there and nothing comes up"
                    + " to %.1f kHz",
                (wall + 0.5) * cell / 1000,
                most,
                cells * cell / 1000),
            Reading.of(-most)));
  }

  private Optional<InputFinding> digitalSilence() {
    int least = (int) Math.round(0.01 * format.sampleRateHz());
    int silent = 0;
    int first = -1;
    for (int i = 0; i < frames.size(); i++) {
      if (frames.get(i).sameSamples() >= least) {
        silent++;
        first = first < 0 ? i : first;
      }
    }
    if (silent == 0) {
      return Optional.empty();
    }
    return Optional.of(
        new InputFinding(
            InputFinding.Kind.DIGITAL_SILENCE,
            String.format(
                Locale.ROOT,
                "samples stand still for 10 ms and longer in %.1f s of %.1f s, first at %.1f s, which"
                    + " no microphone does",
                silent * frameS(),
                frames.size() * frameS(),
                first * frameS()),
            Reading.unknown("what was there is gone")));
  }

  /** Crests that end at one and the same value below full scale. */
  private Optional<InputFinding> clipping(InputStages stages) {
    double peak = 0;
    for (InputFrame frame : frames) {
      peak = Math.max(peak, frame.tone().peak());
    }
    int run = (int) Math.ceil(4 * Math.max(1, format.sampleRateHz() / 48_000));
    int clipped = 0;
    for (int i = 0; i < frames.size(); i++) {
      InputFrame frame = frames.get(i);
      boolean flat = stages.on(i) ? frame.tone().flatTopped() : frame.peakSamples() >= run;
      clipped += flat && frame.tone().peak() > peak * (1 - 1e-3) ? 1 : 0;
    }
    if (clipped < 2 || peak < 0.03 || peak > 0.99) {
      return Optional.empty();
    }
    double level = Decibels.ofAmplitudeRatio(peak);
    return Optional.of(
        new InputFinding(
            InputFinding.Kind.CLIPPING,
            String.format(
                Locale.ROOT,
                "crests are cut off at %.1f dB re full scale in %.1f s",
                level,
                clipped * frameS()),
            Reading.of(level)));
  }

  private Optional<InputFinding> coarseSamples() {
    if (broken || usedBits == 0) {
      return Optional.empty();
    }
    int idle = Long.numberOfTrailingZeros(usedBits);
    int carrying = bits() - idle;
    if (idle < 4 || bits() < 20) {
      return Optional.empty();
    }
    double step = Math.pow(2, 1.0 - carrying);
    double floor = LevelUnit.FULL_SCALE.levelOf(step * step / 12);
    return Optional.of(
        new InputFinding(
            InputFinding.Kind.COARSE_SAMPLES,
            String.format(
                Locale.ROOT,
                "of %d bits only %d are used, so that rounding leaves a floor of %.1f dB re full"
                    + " scale",
                bits(),
                carrying,
                floor),
            Reading.of(floor)));
  }

  private Optional<InputFinding> offset() {
    double mean = quietSamples == 0 ? 0 : quietSum / quietSamples;
    double level = LevelUnit.FULL_SCALE.levelOf(mean * mean + 1e-30);
    if (level < -60) {
      return Optional.empty();
    }
    return Optional.of(
        new InputFinding(
            InputFinding.Kind.OFFSET,
            String.format(
                Locale.ROOT,
                "there is a constant part of %.2f %% of full scale (%.1f dB), which unweighted levels"
                    + " and peaks count",
                100 * mean,
                level),
            Reading.of(level)));
  }

  private Optional<InputFinding> hum() {
    if (spectra.count() < 10) {
      return Optional.empty();
    }
    double strongest = 0;
    InputFinding finding = null;
    for (int mains = 50; mains <= 60; mains += 10) {
      double energy = 0;
      int lines = 0;
      for (int k = 1; k <= 6; k++) {
        int line = spectra.line((double) k * mains);
        double[] around = new double[6];
        for (int j = 0; j < 3; j++) {
          around[j] = spectra.meanLevel(line + 3 + j, line + 4 + j);
          around[j + 3] = spectra.meanLevel(Math.max(1, line - 3 - j), Math.max(2, line - 2 - j));
        }
        double level = spectra.meanLevel(Math.max(1, line - 1), line + 2);
        // Three lines of plain noise lie 4.8 dB above the median of one.
        if (level - median(around, 0, 6) > 4.8 + 10) {
          energy += Decibels.toEnergyRatio(level);
          lines++;
        }
      }
      if (lines >= 2 && energy > strongest) {
        strongest = energy;
        double level = Decibels.ofEnergyRatio(energy);
        finding =
            new InputFinding(
                InputFinding.Kind.HUM,
                String.format(
                    Locale.ROOT,
                    "with the calibrator off there is hum at %d Hz and multiples, together %.1f dB re"
                        + " full scale",
                    mains,
                    level),
                Reading.of(level));
      }
    }
    return Optional.ofNullable(finding);
  }

  private static double median(double[] values, int from, int to) {
    double[] part = Arrays.copyOfRange(values, from, to);
    Arrays.sort(part);
    int middle = part.length / 2;
    return part.length % 2 == 1 ? part[middle] : (part[middle - 1] + part[middle]) / 2;
  }

  private int bits() {
    return format.floatingPoint() ? 24 : Math.min(32, format.bitDepth());
  }

  private double frameS() {
    return analyser.frameLength() / format.sampleRateHz();
  }
}
