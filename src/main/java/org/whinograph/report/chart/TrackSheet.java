package org.whinograph.report.chart;

import java.awt.Color;
import java.awt.Graphics2D;
import java.awt.geom.Path2D;
import java.awt.geom.Point2D;
import java.awt.image.BufferedImage;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.apache.commons.math3.util.KthSelector;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Decibels;
import org.whinograph.report.Words;
import org.whinograph.spectrum.Spectrogram;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.speed.order.TwoFans;

/**
 * The shaft's speed through time with its 95 % interval, above the spectrogram with the line that
 * it was read from: whoever doubts the speed sees whether the line lies on the ink. Not safe for
 * use by several threads.
 */
public final class TrackSheet implements Chart {
  private static final double LEFT = 70.0;
  private static final double RIGHT = 830.0;
  private static final double SPEED_TOP = 96.0;
  private static final double SPEED_BOTTOM = 250.0;
  private static final double SOUND_TOP = 324.0;
  private static final double SOUND_BOTTOM = 638.0;

  /** A smaller span would make nothing look like much, in parts of the speed. */
  private static final double LEAST_SPAN = 0.004;

  /** How far the frequency axis reaches above the line that is followed. */
  private static final double HEADROOM = 2.6;

  private static final double LEAST_TOP_HZ = 1000.0;
  private static final double QUIETEST_PART = 0.3;
  private static final double LOUDEST_PART = 0.999;
  private static final double KEY_WIDTH = 14.0;
  private static final double KEY_HEIGHT = 120.0;

  private final Measurement measurement;
  private final SpeedTrack track;
  private final boolean claimed;

  /** A second fan, or null. */
  private final TwoFans fans;

  private final TimeAxis x;

  /** The spectrogram and its levels, kept since each format draws them. */
  private BufferedImage picture;

  private Scale scale;

  /**
   * A sheet of one measurement.
   *
   * @param measurement measurement in which a fan was heard
   */
  public TrackSheet(Measurement measurement) {
    this.measurement = measurement;
    SpeedResult speed = measurement.speed();
    this.claimed = speed.medianRpm().known();
    this.track = claimed ? speed.track() : speed.comb();
    this.fans = claimed ? measurement.orders().twoFans() : null;
    this.x = TimeAxis.of(measurement, LEFT, RIGHT);
  }

  /**
   * Whether there is anything to draw.
   *
   * @param measurement measurement
   * @return true if a fan was heard and the spectra through time were kept
   */
  public static boolean drawable(Measurement measurement) {
    Spectrogram.Columns columns = measurement.orders().spectrogram();
    return measurement.speed().heard() && columns != null && columns.meanSquare().length > 1;
  }

  @Override
  public int width() {
    return 1040;
  }

  @Override
  public int height() {
    return 694;
  }

  @Override
  public String title() {
    return Captions.title(measurement, "speed of the shaft through time");
  }

  @Override
  public String subtitle() {
    return Captions.of(measurement);
  }

  @Override
  public void paint(Graphics2D graphics) {
    Pen pen = new Pen(graphics);
    pen.begin(this, 16.0);
    speed(pen);
    sound(pen, graphics);
  }

  private void speed(Pen pen) {
    pen.heading(
        claimed ? "Speed" : "Spacing of the lines, as the speed of a shaft with one line a turn",
        ", 1/min, with its 95 % interval" + (fans == null ? "" : "; dotted: a second fan"),
        16.0,
        SPEED_TOP - 22.0,
        1008.0);
    double[] low = known(track.lowRpm());
    double[] high = known(track.highRpm());
    double least = low[(int) (0.01 * (low.length - 1))];
    double greatest = high[(int) (0.99 * (high.length - 1))];
    if (fans != null) {
      double[] second = secondRpm();
      least = Math.min(least, second[0]);
      greatest = Math.max(greatest, second[second.length - 1]);
    }
    double room = Math.max(0.0, LEAST_SPAN * greatest - (greatest - least)) / 2.0;
    ValueAxis y = ValueAxis.round(SPEED_TOP, SPEED_BOTTOM, least - room, greatest + room);
    pen.axis(y, LEFT, RIGHT, "1/min");
    x.rules(pen, SPEED_TOP, SPEED_BOTTOM);
    pen.fill(Palette.EMBER_SHADE, band(track, y));
    if (fans != null && fans.track() != null) {
      pen.fill(Palette.EMBER_SHADE, band(fans.track(), y));
    }
    pen.draw(Palette.EMBER, Palette.solid(1.2f), line(track, y, 1.0));
    x.draw(pen, SPEED_BOTTOM);
    unknown(pen, y);
    EndLabels labels = new EndLabels();
    labels.add("speed", Palette.EMBER, Pen.SMALL_BOLD, RIGHT, y.y(lastKnown(track)));
    if (fans != null) {
      pen.draw(Palette.EMBER, Palette.dashed(1.6f, 2f, 3f), second(y, 1.0));
      double end = fans.track() == null ? fans.secondRpm() : lastKnown(fans.track());
      labels.add("second fan", Palette.EMBER, Pen.SMALL, RIGHT, y.y(end));
    }
    labels.draw(pen, RIGHT + 18.0, 180.0, SPEED_TOP, SPEED_BOTTOM);
  }

  private static double lastKnown(SpeedTrack track) {
    int last = track.frames() - 1;
    while (Double.isNaN(track.rpm()[last])) {
      last--;
    }
    return track.rpm()[last];
  }

  /** What is known of the second fan's speed, in rising order. */
  private double[] secondRpm() {
    return fans.track() == null ? new double[] {fans.secondRpm()} : known(fans.track().rpm());
  }

  /** The second fan: its track, or its one speed where the first is known. */
  private Path2D second(ValueAxis y, double factor) {
    if (fans.track() != null) {
      return line(fans.track(), y, factor);
    }
    Path2D path = new Path2D.Double();
    double value = y.y(factor * fans.secondRpm());
    path.moveTo(place(track, 0), value);
    path.lineTo(place(track, track.frames() - 1), value);
    return path;
  }

  private static double[] known(double[] values) {
    return Arrays.stream(values).filter(value -> !Double.isNaN(value)).sorted().toArray();
  }

  private double place(SpeedTrack track, int frame) {
    return x.x(measurement.recording().startS() + track.timeS()[frame]);
  }

  /** A track; of the frames that share a pixel the slowest and the fastest, in their order. */
  private Path2D line(SpeedTrack track, ValueAxis y, double factor) {
    Path2D path = new Path2D.Double();
    double[] rpm = track.rpm();
    boolean down = false;
    int from = 0;
    while (from < track.frames()) {
      int to = pixelEnd(track, from);
      int slowest = from;
      int fastest = from;
      for (int i = from; i < to; i++) {
        slowest = rpm[i] < rpm[slowest] ? i : slowest;
        fastest = rpm[i] > rpm[fastest] ? i : fastest;
      }
      int first = Math.min(slowest, fastest);
      int last = Math.max(slowest, fastest);
      for (int i = first; i <= last; i += Math.max(1, last - first)) {
        double value = factor * rpm[i];
        if (Double.isNaN(value) || value > y.max() || value < y.min()) {
          down = false;
        } else if (down) {
          path.lineTo(place(track, i), y.y(value));
        } else {
          path.moveTo(place(track, i), y.y(value));
          down = true;
        }
      }
      from = to;
    }
    return path;
  }

  /** End of the frames that share the pixel of one and are as known as it is. */
  private int pixelEnd(SpeedTrack track, int from) {
    int pixel = (int) place(track, from);
    boolean known = !Double.isNaN(track.rpm()[from]);
    int to = from + 1;
    while (to < track.frames()
        && (int) place(track, to) == pixel
        && known != Double.isNaN(track.rpm()[to])) {
      to++;
    }
    return to;
  }

  /** The interval; of the frames that share a pixel from the least bound to the greatest. */
  private Path2D band(SpeedTrack track, ValueAxis y) {
    Path2D path = new Path2D.Double();
    int from = 0;
    while (from < track.frames()) {
      if (Double.isNaN(track.rpm()[from])) {
        from++;
        continue;
      }
      List<Point2D> lower = new ArrayList<>();
      while (from < track.frames() && !Double.isNaN(track.rpm()[from])) {
        int to = pixelEnd(track, from);
        double low = track.lowRpm()[from];
        double high = track.highRpm()[from];
        for (int i = from; i < to; i++) {
          low = Math.min(low, track.lowRpm()[i]);
          high = Math.max(high, track.highRpm()[i]);
        }
        double place = (place(track, from) + place(track, to - 1)) / 2.0;
        if (lower.isEmpty()) {
          path.moveTo(place, y.y(high));
        } else {
          path.lineTo(place, y.y(high));
        }
        lower.add(new Point2D.Double(place, y.y(low)));
        from = to;
      }
      for (int i = lower.size() - 1; i >= 0; i--) {
        path.lineTo(lower.get(i).getX(), lower.get(i).getY());
      }
      path.closePath();
    }
    return path;
  }

  /** Gaps are ruled finely, as all that is unknown. */
  private void unknown(Pen pen, ValueAxis y) {
    double middle = y.y((y.min() + y.max()) / 2.0);
    int from = 0;
    while (from < track.frames()) {
      int to = from;
      while (to < track.frames() && Double.isNaN(track.rpm()[to])) {
        to++;
      }
      if (to - from > 1) {
        double end = place(track, to - 1);
        pen.line(Palette.PALE_INK, Palette.solid(0.7f), place(track, from), middle, end, middle);
      }
      from = Math.max(to, from + 1);
    }
  }

  /** The line of the fan that is drawn over the spectrogram, as a multiple of the track. */
  private int order() {
    Integer blades = measurement.speed().blades();
    return !claimed ? 1 : blades != null ? blades : Math.max(1, measurement.speed().combOrder());
  }

  private void sound(Pen pen, Graphics2D graphics) {
    Spectrogram.Columns columns = measurement.orders().spectrogram();
    int order = order();
    String lines =
        claimed
            ? ", dashed: order " + order + " of the shaft, by the speed above"
            : ", dashed: the spacing above, as a frequency";
    SpeedTrack second = measurement.speed().rival();
    lines += second == null ? "" : "; dotted: the spacing of a second comb of lines";
    pen.heading("Spectrogram", lines, 16.0, SOUND_TOP - 22.0, 1008.0);
    double[] speeds = known(track.rpm());
    double highest = speeds[speeds.length - 1] / 60.0 * order;
    double nyquist = columns.firstRowHz() + columns.rowSpacingHz() * columns.meanSquare()[0].length;
    double top = Math.min(nyquist, Math.max(LEAST_TOP_HZ, HEADROOM * highest));
    ValueAxis y = frequencyAxis(top);
    if (picture == null) {
      scale = scale(columns, y.max());
      picture = image(columns, y, scale);
    }
    graphics.drawImage(
        picture,
        (int) LEFT,
        (int) SOUND_TOP,
        (int) (RIGHT - LEFT),
        (int) (SOUND_BOTTOM - SOUND_TOP),
        null);
    for (int i = 0; i < y.ticks(); i++) {
      double place = y.y(y.tick(i));
      pen.line(Palette.INK, Palette.solid(1f), LEFT - 4.0, place, LEFT, place);
      String number = Words.number(y.tick(i), 0);
      pen.text(Pen.SMALL, Palette.PALE_INK, number, LEFT - 8.0, place + 4.0, Pen.Anchor.RIGHT);
    }
    pen.text(Pen.SMALL, Palette.PALE_INK, "Hz", LEFT - 8.0, SOUND_TOP - 9.0, Pen.Anchor.RIGHT);
    Path2D path = line(track, y, order / 60.0);
    pen.draw(Palette.PAPER, Palette.dashed(3.4f, 8f, 9f), path);
    pen.draw(Palette.EMBER, Palette.dashed(1.8f, 8f, 9f), path);
    if (second != null) {
      Path2D beside = line(second, y, 1.0 / 60.0);
      pen.draw(Palette.PAPER, Palette.solid(3.4f), beside);
      pen.draw(Palette.EMBER, Palette.dashed(1.8f, 2f, 3f), beside);
    }
    x.draw(pen, SOUND_BOTTOM);
    key(pen, scale);
  }

  private static ValueAxis frequencyAxis(double top) {
    for (double step : new double[] {100, 200, 500, 1000, 2000, 5000}) {
      if (top / step <= 9.0) {
        return new ValueAxis(
            SOUND_TOP, SOUND_BOTTOM, 0.0, Math.max(step, Math.floor(top / step) * step), step);
      }
    }
    return new ValueAxis(SOUND_TOP, SOUND_BOTTOM, 0.0, top, top);
  }

  /** Levels that paper and ink stand for [dB in the unit of the chain]. */
  private record Scale(double paper, double ink) {
    Color colour(double level) {
      double part = Math.max(0.0, Math.min(1.0, (level - paper) / (ink - paper)));
      return new Color(
          mixed(Palette.PAPER.getRed(), Palette.INK.getRed(), part),
          mixed(Palette.PAPER.getGreen(), Palette.INK.getGreen(), part),
          mixed(Palette.PAPER.getBlue(), Palette.INK.getBlue(), part));
    }

    private static int mixed(int paper, int ink, double part) {
      return (int) Math.rint(paper + part * (ink - paper));
    }
  }

  private double level(float meanSquare) {
    return measurement.unit().levelOf(meanSquare);
  }

  private Scale scale(Spectrogram.Columns columns, double topHz) {
    float[][] cells = columns.meanSquare();
    int rows = (int) Math.min(cells[0].length, topHz / columns.rowSpacingHz());
    double[] values = new double[cells.length * rows];
    int n = 0;
    for (float[] column : cells) {
      for (int row = 0; row < rows; row++) {
        if (column[row] > 0f) {
          values[n++] = column[row];
        }
      }
    }
    if (n == 0) {
      return new Scale(-1.0, 0.0);
    }
    KthSelector selector = new KthSelector();
    double[] all = Arrays.copyOf(values, n);
    double paper = level((float) selector.select(all, null, (int) (QUIETEST_PART * (n - 1))));
    double ink = level((float) selector.select(all, null, (int) (LOUDEST_PART * (n - 1))));
    return new Scale(paper, Math.max(ink, paper + Decibels.ofEnergyRatio(2.0)));
  }

  private BufferedImage image(Spectrogram.Columns columns, ValueAxis y, Scale scale) {
    int width = (int) (RIGHT - LEFT);
    int height = (int) (SOUND_BOTTOM - SOUND_TOP);
    BufferedImage image = new BufferedImage(width, height, BufferedImage.TYPE_INT_RGB);
    float[][] cells = columns.meanSquare();
    double start = measurement.recording().startS();
    int[] colours = new int[height];
    int painted = Integer.MIN_VALUE;
    for (int px = 0; px < width; px++) {
      double seconds = x.seconds(LEFT + px + 0.5) - start;
      int c = (int) Math.rint((seconds - columns.firstS()) / columns.columnS());
      // Several pixels show the same column.
      if (c != painted) {
        painted = c;
        if (c >= -1 && c <= cells.length) {
          colour(columns, cells[Math.max(0, Math.min(cells.length - 1, c))], y, scale, colours);
        } else {
          Arrays.fill(colours, Palette.PAPER.getRGB());
        }
      }
      image.setRGB(px, 0, 1, height, colours, 0, 1);
    }
    return image;
  }

  /** Colours of a column of the spectrogram, from the highest frequency down. */
  private void colour(
      Spectrogram.Columns columns, float[] column, ValueAxis y, Scale scale, int[] colours) {
    for (int py = 0; py < colours.length; py++) {
      double high = y.max() * (1.0 - (double) py / colours.length);
      double low = y.max() * (1.0 - (py + 1.0) / colours.length);
      colours[py] = scale.colour(loudest(columns, column, low, high)).getRGB();
    }
  }

  /** The loudest row of a pixel, so that no thin line is lost. */
  private double loudest(Spectrogram.Columns columns, float[] column, double lowHz, double highHz) {
    // The rows whose middles lie in the pixel, or else the one that its middle lies in.
    int from = (int) Math.ceil((lowHz - columns.firstRowHz()) / columns.rowSpacingHz());
    int to = (int) Math.ceil((highHz - columns.firstRowHz()) / columns.rowSpacingHz()) - 1;
    if (to < from) {
      from =
          (int) Math.rint(((lowHz + highHz) / 2 - columns.firstRowHz()) / columns.rowSpacingHz());
      to = from;
    }
    from = Math.max(0, Math.min(column.length - 1, from));
    to = Math.max(from, Math.min(column.length - 1, to));
    float most = 0f;
    for (int row = from; row <= to; row++) {
      most = column[row] > most ? column[row] : most;
    }
    return level(most);
  }

  private void key(Pen pen, Scale scale) {
    double left = RIGHT + 22.0;
    double bottom = SOUND_TOP + 30.0 + KEY_HEIGHT;
    pen.text(
        Pen.SMALL, Palette.PALE_INK, "level of a line,", left, SOUND_TOP + 4.0, Pen.Anchor.LEFT);
    pen.text(
        Pen.SMALL,
        Palette.PALE_INK,
        Words.unit(measurement.unit()),
        left,
        SOUND_TOP + 18.0,
        Pen.Anchor.LEFT);
    for (int i = 0; i < (int) KEY_HEIGHT; i++) {
      double level = scale.paper() + (scale.ink() - scale.paper()) * i / KEY_HEIGHT;
      pen.line(
          scale.colour(level), Palette.solid(1.5f), left, bottom - i, left + KEY_WIDTH, bottom - i);
    }
    double textLeft = left + KEY_WIDTH + 6.0;
    pen.text(
        Pen.SMALL,
        Palette.PALE_INK,
        Words.number(scale.ink(), 0) + " and more",
        textLeft,
        bottom - KEY_HEIGHT + 8.0,
        Pen.Anchor.LEFT);
    pen.text(
        Pen.SMALL,
        Palette.PALE_INK,
        Words.number(scale.paper(), 0) + " and less",
        textLeft,
        bottom,
        Pen.Anchor.LEFT);
  }
}
