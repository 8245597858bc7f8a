package org.whinograph.report.chart;

import java.awt.Color;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.geom.Ellipse2D;
import java.awt.geom.Path2D;
import java.awt.geom.Rectangle2D;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;
import org.whinograph.band.BandLevel;
import org.whinograph.floor.Grade;
import org.whinograph.floor.GradedLevel;
import org.whinograph.floor.GradedLevels;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.report.Excess;
import org.whinograph.report.Words;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.ToneOrigin;
import org.whinograph.tone.Tone;

/**
 * Spectrum, one-third octaves and tones of one recording down one frequency axis, so that a whine
 * stands in one upright line through all three.
 */
public final class FrequencySheet implements Chart {
  private static final FrequencyAxis X = new FrequencyAxis(70.0, 910.0);
  private static final double SPECTRUM_TOP = 106.0;
  private static final double SPECTRUM_BOTTOM = 300.0;
  private static final double BANDS_TOP = 354.0;
  private static final double BANDS_BOTTOM = 540.0;
  private static final double TONES_TOP = 655.0;
  private static final double TONES_BOTTOM = 805.0;
  private static final double LABEL_ROW = 15.0;
  private static final int LABEL_ROWS = 4;
  private static final double WEDGE = 12.0;
  private static final double FOOTNOTE = 849.0;
  private static final double SPECTRUM_SPAN_DB = 90.0;
  private static final double TONES_LOWEST_DB = -40.0;

  private static final double ROOM = 1008.0;
  private static final String NOISE_WORDS = "tone-to-noise ratio";
  private static final String BAND_WORDS = "prominence ratio";

  private final Measurement measurement;
  private final List<Tone> tones;

  /** Orders that only the spectrum that follows the speed finds prominent. */
  private final List<FollowedLine> hidden;

  /**
   * A sheet of one measurement.
   *
   * @param measurement measurement
   */
  public FrequencySheet(Measurement measurement) {
    this.measurement = measurement;
    this.tones =
        measurement.tones() == null
            ? List.of()
            : measurement.tones().tones().stream()
                .filter(tone -> X.holds(tone.frequencyHz()))
                .toList();
    this.hidden =
        Excess.onlyFollowed(measurement).stream()
            .filter(line -> X.holds(line.followed().frequencyHz()))
            .toList();
  }

  @Override
  public int width() {
    return 1040;
  }

  @Override
  public int height() {
    return 875;
  }

  @Override
  public String title() {
    return Captions.title(measurement, "spectrum, one-third octaves and tones");
  }

  @Override
  public String subtitle() {
    return Captions.of(measurement);
  }

  @Override
  public void paint(Graphics2D graphics) {
    Pen pen = new Pen(graphics);
    pen.begin(this, 16.0);
    spectrum(pen);
    bands(pen);
    tones(pen);
    pen.frequencyAxis(X, TONES_BOTTOM);
  }

  private void whines(Pen pen, double top, double bottom) {
    for (Tone tone : tones) {
      if (Boolean.TRUE.equals(tone.prominent())) {
        double x = X.x(tone.frequencyHz());
        pen.line(Palette.PALE_INK, Palette.dashed(0.8f, 1.5f, 3f), x, top, x, bottom);
      }
    }
  }

  private void spectrum(Pen pen) {
    SpectrumTrace trace =
        measurement.spectrum() == null ? null : new SpectrumTrace(measurement.spectrum(), X);
    if (trace == null || trace.isEmpty()) {
      pen.heading("Spectrum", "", 16.0, SPECTRUM_TOP - 26.0, ROOM);
      missing(pen, SPECTRUM_TOP, SPECTRUM_BOTTOM, "unknown: the recording gives no spectrum");
      return;
    }
    ValueAxis y =
        ValueAxis.round(
            SPECTRUM_TOP,
            SPECTRUM_BOTTOM,
            Math.max(trace.lowest(), trace.highest() - SPECTRUM_SPAN_DB),
            trace.highest());
    String lines =
        ", level in lines "
            + Words.number(measurement.spectrum().lineSpacingHz(), 2)
            + " Hz apart, each "
            + Words.number(
                measurement.spectrum().lineSpacingHz()
                    * measurement.spectrum().noiseBandwidthLines(),
                2)
            + " Hz wide, "
            + Words.unit(measurement.unit());
    pen.heading("Spectrum", lines, 16.0, SPECTRUM_TOP - 26.0, ROOM);
    pen.axis(y, X.left(), X.right(), "dB");
    pen.frequencyRules(X, SPECTRUM_TOP, SPECTRUM_BOTTOM);
    whines(pen, SPECTRUM_TOP, BANDS_BOTTOM);
    pen.draw(Palette.INK, Palette.solid(0.8f), trace.path(y));
    pen.line(Palette.INK, Palette.solid(1f), X.left(), SPECTRUM_BOTTOM, X.right(), SPECTRUM_BOTTOM);
  }

  private static void missing(Pen pen, double top, double bottom, String words) {
    double middle = (top + bottom) / 2.0;
    pen.line(Palette.PALE_INK, Palette.solid(0.7f), X.left(), middle, X.right(), middle);
    pen.text(Pen.TEXT, Palette.PALE_INK, words, X.left(), middle - 6.0, Pen.Anchor.LEFT);
  }

  private void bands(Pen pen) {
    List<BandLevel> bands = measurement.bands().thirdOctaves();
    pen.heading(
        "One-third octaves", ", " + Words.unit(measurement.unit()), 16.0, BANDS_TOP - 26.0, ROOM);
    double[] known =
        bands.stream()
            .map(BandLevel::level)
            .filter(Reading::known)
            .mapToDouble(Reading::value)
            .sorted()
            .toArray();
    if (known.length == 0) {
      missing(pen, BANDS_TOP, BANDS_BOTTOM, "unknown: no band could be measured");
      return;
    }
    double highest =
        bands.stream()
            .map(BandLevel::aWeighted)
            .filter(Reading::known)
            .mapToDouble(Reading::value)
            .reduce(known[known.length - 1], Math::max);
    GradedLevels graded = measurement.graded();
    double lowest = graded == null ? known[0] : Math.min(known[0], lowestBackground(graded));
    ValueAxis y = ValueAxis.round(BANDS_TOP, BANDS_BOTTOM, lowest, highest);
    pen.fill(Palette.SHADE, BandSteps.area(bands, BandLevel::level, X, y));
    pen.axis(y, X.left(), X.right(), "dB");
    pen.frequencyRules(X, BANDS_TOP, BANDS_BOTTOM);
    whines(pen, BANDS_TOP, BANDS_BOTTOM);
    pen.draw(Palette.INK, Palette.solid(1.6f), BandSteps.line(bands, BandLevel::level, X, y));
    pen.draw(
        Palette.INK,
        Palette.dashed(1.1f, 4f, 3f),
        BandSteps.line(bands, BandLevel::aWeighted, X, y));
    if (graded != null) {
      pen.draw(
          Palette.PALE_INK,
          Palette.solid(0.8f),
          BandSteps.line(bands, band -> beneath(graded, band), X, y));
      bounds(pen, graded, y);
    }
    BandSteps.unknown(pen, bands, BandLevel::level, X, y);
    pen.line(Palette.INK, Palette.solid(1f), X.left(), BANDS_BOTTOM, X.right(), BANDS_BOTTOM);
    EndLabels labels = new EndLabels();
    BandSteps.label(labels, "unweighted", Palette.INK, Pen.SMALL, bands, BandLevel::level, X, y);
    BandSteps.label(
        labels, "A-weighted", Palette.INK, Pen.SMALL, bands, BandLevel::aWeighted, X, y);
    if (graded != null) {
      BandSteps.label(
          labels,
          "background",
          Palette.PALE_INK,
          Pen.SMALL,
          bands,
          band -> beneath(graded, band),
          X,
          y);
    }
    labels.draw(pen, X.right() + 16.0, 108.0, BANDS_TOP, BANDS_BOTTOM);
  }

  private static double lowestBackground(GradedLevels graded) {
    return graded.thirdOctaves().stream()
        .map(GradedLevel::background)
        .filter(Reading::known)
        .mapToDouble(Reading::value)
        .min()
        .orElse(Double.POSITIVE_INFINITY);
  }

  private static Reading beneath(GradedLevels graded, BandLevel band) {
    return graded.thirdOctaves().stream()
        .filter(level -> level.midbandHz() == band.midbandHz())
        .map(GradedLevel::background)
        .findFirst()
        .orElse(Reading.unknown("no background was measured in this band"));
  }

  /** An upper bound: an open mark with a short tail downward, since the truth lies below. */
  private static void bounds(Pen pen, GradedLevels graded, ValueAxis y) {
    for (GradedLevel level : graded.thirdOctaves()) {
      if (level.grade() == Grade.UPPER_BOUND && level.corrected().known()) {
        double x = X.x(level.midbandHz());
        double top = y.y(level.corrected().value());
        pen.draw(
            Palette.INK, Palette.solid(1f), new Ellipse2D.Double(x - 3.0, top - 3.0, 6.0, 6.0));
        pen.line(Palette.INK, Palette.solid(1f), x, top + 3.0, x, top + 11.0);
      }
    }
  }

  private void tones(Pen pen) {
    pen.heading(
        "Tones",
        ", ratio above its limit of prominence (ECMA-418-1)",
        16.0,
        TONES_TOP - 89.0,
        ROOM);
    if (tones.isEmpty() && hidden.isEmpty()) {
      if (measurement.spectrum() == null) {
        missing(pen, TONES_TOP, TONES_BOTTOM, "unknown: the recording gives no spectrum");
      } else {
        double middle = (TONES_TOP + TONES_BOTTOM) / 2.0;
        pen.frequencyRules(X, TONES_TOP, TONES_BOTTOM);
        pen.text(
            Pen.TEXT,
            Palette.INK,
            "No discrete tone was found.",
            X.left(),
            middle,
            Pen.Anchor.LEFT);
      }
      return;
    }
    List<Excess> ranked = Excess.ranked(tones);
    double high = ranked.isEmpty() ? 0.0 : ranked.get(0).aboveLimit();
    for (FollowedLine line : hidden) {
      high = Math.max(high, Excess.of(line).orElseThrow().aboveLimit());
    }
    double least = Math.min(-10.0, Math.max(TONES_LOWEST_DB, lowest() - 3.0));
    ValueAxis y = ValueAxis.round(TONES_TOP, TONES_BOTTOM, least, Math.max(5.0, high));
    pen.axis(y, X.left(), X.right(), "dB");
    pen.frequencyRules(X, TONES_TOP, TONES_BOTTOM);
    double limit = y.y(0.0);
    pen.line(Palette.INK, Palette.dashed(1.2f, 6f, 4f), X.left(), limit, X.right(), limit);
    pen.text(Pen.SMALL, Palette.INK, "limit of", X.right() + 8.0, limit - 2.0, Pen.Anchor.LEFT);
    pen.text(Pen.SMALL, Palette.INK, "prominence", X.right() + 8.0, limit + 11.0, Pen.Anchor.LEFT);
    int unlabelled = names(pen, ranked);
    for (Tone tone : tones) {
      marks(pen, y, tone);
    }
    for (FollowedLine line : hidden) {
      double x = X.x(line.followed().frequencyHz());
      double top = y.y(Excess.of(line).orElseThrow().aboveLimit());
      pen.draw(
          Palette.EMBER, Palette.solid(1.6f), new Ellipse2D.Double(x - 5.0, top - 5.0, 10.0, 10.0));
    }
    explain(pen, y, ranked);
    footnote(pen, unlabelled);
  }

  private double lowest() {
    return tones.stream()
        .flatMap(
            tone ->
                Stream.of(
                    above(tone.toneToNoise(), tone.toneToNoiseLimit()),
                    above(tone.prominence(), tone.prominenceLimit())))
        .flatMap(Optional::stream)
        .mapToDouble(Double::doubleValue)
        .min()
        .orElse(0.0);
  }

  /** A label above the panel, its texts from the fullest to the shortest. */
  private record Label(double hz, boolean prominent, List<String> texts) {}

  private List<Label> labels(List<Excess> ranked) {
    List<Label> labels = new ArrayList<>();
    for (FollowedLine line : hidden) {
      String text = Captions.nameWithExcess(line);
      labels.add(
          new Label(
              line.followed().frequencyHz(),
              true,
              line.order() == null
                  ? List.of(text)
                  : List.of(text + ", order " + Words.number(line.order(), 0), text)));
    }
    List<Tone> order = new ArrayList<>(ranked.stream().map(Excess::tone).toList());
    tones.stream().filter(tone -> !order.contains(tone)).forEach(order::add);
    for (Tone tone : order) {
      labels.add(new Label(tone.frequencyHz(), Boolean.TRUE.equals(tone.prominent()), names(tone)));
    }
    return labels;
  }

  /** Writes the frequencies above the panel; returns how many found no room. */
  private int names(Pen pen, List<Excess> ranked) {
    ToneLabels places = new ToneLabels(LABEL_ROWS, X.left(), X.right());
    int unlabelled = 0;
    List<Runnable> texts = new ArrayList<>();
    for (Label label : labels(ranked)) {
      Font font = label.prominent() ? Pen.SMALL_BOLD : Pen.SMALL;
      Color colour = label.prominent() ? Palette.INK : Palette.PALE_INK;
      double x = X.x(label.hz());
      String fitting = null;
      ToneLabels.Place found = null;
      for (String name : label.texts()) {
        found = places.place(x, pen.width(font, name));
        fitting = name;
        if (found.row() >= 0) {
          break;
        }
      }
      if (found.row() < 0) {
        unlabelled++;
        continue;
      }
      String text = fitting;
      ToneLabels.Place place = found;
      double width = pen.width(font, text);
      double baseline = TONES_TOP - 12.0 - place.row() * LABEL_ROW;
      pen.line(Palette.PALE_INK, Palette.solid(0.6f), x, baseline + 3.0, x, TONES_BOTTOM - WEDGE);
      texts.add(
          () -> {
            pen.fill(
                Palette.PAPER,
                new Rectangle2D.Double(
                    place.x() - width / 2.0 - 2.0, baseline - 10.0, width + 4.0, 13.0));
            pen.text(font, colour, text, place.x(), baseline, Pen.Anchor.MIDDLE);
          });
    }
    texts.forEach(Runnable::run);
    return unlabelled;
  }

  private void marks(Pen pen, ValueAxis y, Tone tone) {
    double x = X.x(tone.frequencyHz());
    above(tone.toneToNoise(), tone.toneToNoiseLimit())
        .filter(value -> value >= y.min())
        .ifPresent(
            value -> pen.fill(Palette.INK, new Ellipse2D.Double(x - 4.0, y.y(value) - 4.0, 8, 8)));
    above(tone.prominence(), tone.prominenceLimit())
        .filter(value -> value >= y.min())
        .ifPresent(
            value -> {
              Path2D diamond = diamond(x, y.y(value));
              pen.fill(Palette.PAPER, diamond);
              pen.draw(Palette.INK, Palette.solid(1.3f), diamond);
            });
    switch (filling(tone)) {
      case WHOLE -> pen.wedge(Palette.EMBER, x, TONES_BOTTOM, WEDGE, Pen.Filling.WHOLE);
      case NONE -> pen.wedge(Palette.SLATE, x, TONES_BOTTOM, WEDGE, Pen.Filling.NONE);
      default -> pen.wedge(Palette.INK, x, TONES_BOTTOM, WEDGE, Pen.Filling.HALF);
    }
  }

  private ToneOrigin origin(Tone tone) {
    return measurement.orders().origins().get(measurement.tones().tones().indexOf(tone));
  }

  private Pen.Filling filling(Tone tone) {
    ToneOrigin origin = origin(tone);
    if (origin.cause().turnsWithTheFan() || origin.order() != null) {
      return Pen.Filling.WHOLE;
    }
    return origin.cause() == Cause.UNKNOWN ? Pen.Filling.HALF : Pen.Filling.NONE;
  }

  /** Names of a tone from the fullest to the shortest. */
  private List<String> names(Tone tone) {
    Double order = origin(tone).order();
    String full = Captions.nameWithExcess(tone);
    return order == null
        ? List.of(full, Captions.name(tone))
        : List.of(full + ", order " + Words.number(order, 0), full, Captions.name(tone));
  }

  private static Path2D diamond(double x, double y) {
    Path2D path = new Path2D.Double();
    path.moveTo(x, y - 5.0);
    path.lineTo(x + 5.0, y);
    path.lineTo(x, y + 5.0);
    path.lineTo(x - 5.0, y);
    path.closePath();
    return path;
  }

  private static Optional<Double> above(Reading ratio, Reading limit) {
    return ratio.known() && limit.known()
        ? Optional.of(ratio.value() - limit.value())
        : Optional.empty();
  }

  /** Names the two marks beside those of the most prominent tone that has room beside it. */
  private void explain(Pen pen, ValueAxis y, List<Excess> ranked) {
    double room = pen.width(Pen.SMALL, NOISE_WORDS) + 24.0;
    for (Excess excess : ranked) {
      Optional<Double> noise = above(excess.tone().toneToNoise(), excess.tone().toneToNoiseLimit());
      Optional<Double> bands = above(excess.tone().prominence(), excess.tone().prominenceLimit());
      double x = X.x(excess.tone().frequencyHz());
      boolean toTheRight = free(x, x + room);
      if (noise.isPresent() && bands.isPresent() && (toTheRight || free(x - room, x))) {
        Pen.Anchor anchor = toTheRight ? Pen.Anchor.LEFT : Pen.Anchor.RIGHT;
        double start = toTheRight ? x + 10.0 : x - 10.0;
        double first = y.y(noise.get());
        double second = y.y(bands.get());
        if (Math.abs(first - second) < 13.0) {
          double middle = (first + second) / 2.0;
          double shift = first <= second ? 6.5 : -6.5;
          first = middle - shift;
          second = middle + shift;
        }
        pen.text(Pen.SMALL, Palette.INK, NOISE_WORDS, start, first + 4.0, anchor);
        pen.text(Pen.SMALL, Palette.INK, BAND_WORDS, start, second + 4.0, anchor);
        return;
      }
    }
  }

  private boolean free(double from, double to) {
    return from >= X.left()
        && to <= X.right()
        && tones.stream()
            .mapToDouble(tone -> X.x(tone.frequencyHz()))
            .noneMatch(x -> x > from + 0.01 && x < to - 0.01);
  }

  private void footnote(Pen pen, int unlabelled) {
    String marks =
        "Dot: tone-to-noise ratio. Diamond: prominence ratio. Bold: prominent. Wedge filled: turns"
            + " with the fan; open: something else; half: cause not known.";
    pen.text(Pen.SMALL, Palette.PALE_INK, marks, 16.0, FOOTNOTE, Pen.Anchor.LEFT);
    String more =
        (measurement.graded() == null ? "" : "Open mark with a tail: upper bound. ")
            + (hidden.isEmpty()
                ? ""
                : "Ring: prominent only when followed along the speed, by the higher ratio. ")
            + (unlabelled == 0
                ? ""
                : unlabelled
                    + (unlabelled == 1 ? " tone" : " tones")
                    + " without a label: see the table of tones.");
    pen.text(Pen.SMALL, Palette.PALE_INK, more.strip(), 16.0, FOOTNOTE + 15.0, Pen.Anchor.LEFT);
  }
}
