package org.whinograph.report.chart;

import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Graphics2D;
import java.awt.geom.Rectangle2D;
import java.util.ArrayList;
import java.util.List;
import org.whinograph.band.BandLevel;
import org.whinograph.comparison.ComparedDevice;
import org.whinograph.comparison.Comparison;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.report.Excess;
import org.whinograph.report.Words;
import org.whinograph.tone.Tone;

/**
 * One-third octaves of several devices over each other, and below them the tones of each on a line
 * of its own, down one frequency axis. Devices differ by dash and by the label at the line's end
 * before they differ by colour.
 */
public final class ComparisonSheet implements Chart {
  private static final FrequencyAxis X = new FrequencyAxis(70.0, 830.0);
  private static final double TOP = 106.0;
  private static final double BOTTOM = 400.0;
  private static final double TONES_TOP = 436.0;
  private static final double LANE = 46.0;
  private static final double WEDGE = 13.0;
  private static final double LABEL_ROOM = 184.0;

  private final Comparison comparison;
  private final int[] places;

  /**
   * A sheet of a comparison.
   *
   * @param comparison comparison
   */
  public ComparisonSheet(Comparison comparison) {
    this.comparison = comparison;
    this.places = new int[comparison.devices().size()];
    int next = 1;
    for (int i = 0; i < places.length; i++) {
      places[i] = i == comparison.reference() ? 0 : next++;
    }
  }

  @Override
  public int width() {
    return 1040;
  }

  @Override
  public int height() {
    return (int) (TONES_TOP + 26.0 + LANE * places.length + 70.0);
  }

  @Override
  public String title() {
    return "One-third octaves and tones of " + places.length + " recordings";
  }

  @Override
  public String subtitle() {
    ComparedDevice base = comparison.devices().get(comparison.reference());
    return caution()
        + "levels in "
        + Words.unit(base.measurement().unit())
        + "; compared with "
        + base.label()
        + " (solid line); no uncertainty stated";
  }

  private String caution() {
    List<String> labels =
        comparison.devices().stream()
            .filter(device -> device.measurement().caution().isPresent())
            .map(ComparedDevice::label)
            .toList();
    return labels.isEmpty() ? "" : Words.FAILED_INPUT + ": " + String.join(", ", labels) + "; ";
  }

  @Override
  public void paint(Graphics2D graphics) {
    Pen pen = new Pen(graphics);
    pen.begin(this, 16.0);
    bands(pen);
    tones(pen);
  }

  private void bands(Pen pen) {
    pen.heading("One-third octaves", ", unweighted" + leftOut(), 16.0, TOP - 26.0, 1008.0);
    double[] known =
        comparison.devices().stream()
            .filter(this::comparable)
            .flatMap(device -> device.measurement().bands().thirdOctaves().stream())
            .map(BandLevel::level)
            .filter(Reading::known)
            .mapToDouble(Reading::value)
            .sorted()
            .toArray();
    ValueAxis y =
        known.length == 0
            ? ValueAxis.round(TOP, BOTTOM, 0.0, 10.0)
            : ValueAxis.round(TOP, BOTTOM, known[0], known[known.length - 1]);
    pen.axis(y, X.left(), X.right(), "dB");
    pen.frequencyRules(X, TOP, BOTTOM);
    EndLabels labels = new EndLabels();
    for (int i : paintOrder()) {
      ComparedDevice device = comparison.devices().get(i);
      if (!comparable(device)) {
        continue;
      }
      List<BandLevel> bands = device.measurement().bands().thirdOctaves();
      pen.draw(
          colour(i),
          Palette.deviceLine(places[i], 2f),
          BandSteps.line(bands, BandLevel::level, X, y));
      BandSteps.label(
          labels, device.label(), colour(i), Pen.SMALL_BOLD, bands, BandLevel::level, X, y);
    }
    labels.draw(pen, X.right() + 20.0, LABEL_ROOM, TOP, BOTTOM);
    pen.line(Palette.INK, Palette.solid(1f), X.left(), BOTTOM, X.right(), BOTTOM);
  }

  /** The device that one compares with is drawn last, on top. */
  private List<Integer> paintOrder() {
    List<Integer> order = new ArrayList<>();
    for (int i = 0; i < places.length; i++) {
      if (places[i] != 0) {
        order.add(i);
      }
    }
    order.add(comparison.reference());
    return order;
  }

  private Color colour(int device) {
    return Palette.device(places[device]);
  }

  /** Whether a device's levels have the unit of the one that one compares with. */
  private boolean comparable(ComparedDevice device) {
    return device.measurement().unit()
        == comparison.devices().get(comparison.reference()).measurement().unit();
  }

  private String leftOut() {
    List<String> labels =
        comparison.devices().stream()
            .filter(device -> !comparable(device))
            .map(ComparedDevice::label)
            .toList();
    if (labels.isEmpty()) {
      return "";
    }
    boolean calibrated =
        comparison.devices().get(comparison.reference()).measurement().unit().calibrated();
    return "; left out, being "
        + (calibrated ? "not calibrated: " : "calibrated: ")
        + String.join(", ", labels);
  }

  private void tones(Pen pen) {
    pen.heading(
        "Tones",
        ", with their ratio above the limit of prominence (ECMA-418-1) where prominent",
        16.0,
        TONES_TOP,
        1008.0);
    double bottom = TONES_TOP + 26.0 + LANE * places.length;
    pen.frequencyRules(X, TONES_TOP + 12.0, bottom);
    for (int i = 0; i < places.length; i++) {
      lane(pen, i, TONES_TOP + 12.0 + LANE * (i + 1));
    }
    pen.frequencyAxis(X, bottom);
    pen.text(
        Pen.SMALL,
        Palette.PALE_INK,
        "Large wedge: prominent tone. Small wedge: tone below its limit of prominence, or without a"
            + " verdict."
            + (anyHidden() ? " Hollow: prominent only when followed along the speed." : ""),
        16.0,
        bottom + 50.0,
        Pen.Anchor.LEFT);
  }

  private void lane(Pen pen, int device, double y) {
    Color colour = colour(device);
    BasicStroke stroke = Palette.deviceLine(places[device], 1.4f);
    pen.line(colour, stroke, X.left(), y, X.right(), y);
    pen.text(
        Pen.SMALL_BOLD,
        colour,
        pen.fitted(Pen.SMALL_BOLD, comparison.devices().get(device).label(), LABEL_ROOM),
        X.right() + 20.0,
        y + 4.0,
        Pen.Anchor.LEFT);
    Measurement measurement = comparison.devices().get(device).measurement();
    List<Tone> tones =
        measurement.lines().stream().filter(tone -> X.holds(tone.frequencyHz())).toList();
    for (Tone tone : tones) {
      boolean prominent = Boolean.TRUE.equals(tone.prominent());
      pen.wedge(
          colour, X.x(tone.frequencyHz()), y, prominent ? WEDGE : WEDGE * 0.55, Pen.Filling.HALF);
    }
    List<FollowedLine> hidden = hidden(measurement);
    for (FollowedLine line : hidden) {
      pen.wedge(colour, X.x(line.followed().frequencyHz()), y, WEDGE, Pen.Filling.NONE);
    }
    ToneLabels rows = new ToneLabels(2, X.left(), X.right());
    for (Excess excess : Excess.ranked(tones)) {
      if (Boolean.TRUE.equals(excess.tone().prominent())) {
        Tone tone = excess.tone();
        name(pen, rows, X.x(tone.frequencyHz()), Captions.nameWithExcess(tone), y);
      }
    }
    for (FollowedLine line : hidden) {
      name(pen, rows, X.x(line.followed().frequencyHz()), Captions.nameWithExcess(line), y);
    }
  }

  /** Tones that only the spectrum that follows the speed finds prominent. */
  private static List<FollowedLine> hidden(Measurement measurement) {
    return Excess.onlyFollowed(measurement).stream()
        .filter(line -> X.holds(line.followed().frequencyHz()))
        .toList();
  }

  private boolean anyHidden() {
    return comparison.devices().stream()
        .anyMatch(device -> !hidden(device.measurement()).isEmpty());
  }

  private static void name(Pen pen, ToneLabels rows, double x, String text, double y) {
    double width = pen.width(Pen.SMALL, text);
    ToneLabels.Place place = rows.place(x, width);
    if (place.row() < 0) {
      return;
    }
    double baseline = y - WEDGE - 3.0 - 13.0 * place.row();
    pen.fill(
        Palette.PAPER,
        new Rectangle2D.Double(place.x() - width / 2.0 - 1.0, baseline - 10.0, width + 2.0, 12.0));
    pen.text(Pen.SMALL, Palette.INK, text, place.x(), baseline, Pen.Anchor.MIDDLE);
  }
}
