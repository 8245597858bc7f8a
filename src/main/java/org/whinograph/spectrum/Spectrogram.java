package org.whinograph.spectrum;

/**
 * Spectra through time in bounded memory: a recording of any length becomes at most a fixed number
 * of columns. When they are full, neighbours are averaged by energy in pairs and every column
 * stands for twice the time from then on.
 *
 * <p>Lines are averaged by energy in groups to the wanted number of rows. No allocation per frame.
 * Not safe for use by several threads.
 */
public final class Spectrogram implements FrameListener {
  private final float[][] columns;
  private final double[] open;
  private final int linesPerRow;
  private final int rows;
  private final double hopS;
  private final double frameS;
  private final double lineSpacingHz;
  private int full;
  private long framesPerColumn = 1;
  private long inOpen;
  private long openColumn;

  /**
   * Columns of a spectrogram.
   *
   * @param meanSquare mean over time and lines of each line's mean square, scaled as in {@link
   *     Spectrum} [Pa² or (full scale)²; first index the column, second the row; NaN in a column
   *     whose frames were all left out]
   * @param columnS time from one column to the next [s]
   * @param firstS middle of the first column [s from the first sample of the stream]
   * @param rowSpacingHz frequency from one row to the next [Hz]
   * @param firstRowHz middle of the first row [Hz]
   */
  public record Columns(
      float[][] meanSquare,
      double columnS,
      double firstS,
      double rowSpacingHz,
      double firstRowHz) {}

  /**
   * Prepares a spectrogram over the frames of a stream.
   *
   * @param stream the stream, of frames as long as the wanted resolution in time; listened to
   * @param sampleRateHz frames a second [Hz]
   * @param mostRows most rows, at least 1
   * @param mostColumns most columns, even, at least 2
   */
  public Spectrogram(FrameStream stream, double sampleRateHz, int mostRows, int mostColumns) {
    if (mostRows < 1) {
      throw new IllegalArgumentException("mostRows: at least 1, got " + mostRows);
    }
    if (mostColumns < 2 || mostColumns % 2 != 0) {
      throw new IllegalArgumentException("mostColumns: even and at least 2, got " + mostColumns);
    }
    int lines = stream.length() / 2;
    this.linesPerRow = (lines + mostRows - 1) / mostRows;
    this.rows = lines / linesPerRow;
    this.columns = new float[mostColumns][rows];
    this.open = new double[rows];
    this.hopS = stream.hop() / sampleRateHz;
    this.frameS = stream.length() / sampleRateHz;
    this.lineSpacingHz = sampleRateHz / stream.length();
    stream.addListener(this);
  }

  /** {@inheritDoc} */
  @Override
  public void frame(long index, double[] lines) {
    while (index / framesPerColumn > openColumn) {
      close();
    }
    for (int row = 0; row < rows; row++) {
      double sum = 0.0;
      int end = (row + 1) * linesPerRow;
      for (int k = row * linesPerRow; k < end; k++) {
        double re = lines[2 * k];
        double im = k == 0 ? 0.0 : lines[2 * k + 1];
        sum += k == 0 ? 0.5 * re * re : re * re + im * im;
      }
      open[row] += sum;
    }
    inOpen++;
  }

  private void close() {
    float[] column = columns[full++];
    for (int row = 0; row < rows; row++) {
      column[row] = inOpen == 0 ? Float.NaN : (float) (open[row] / (inOpen * linesPerRow));
      open[row] = 0.0;
    }
    inOpen = 0;
    openColumn++;
    if (full == columns.length) {
      halve();
    }
  }

  private void halve() {
    for (int c = 0; c < full / 2; c++) {
      float[] a = columns[2 * c];
      float[] b = columns[2 * c + 1];
      float[] to = columns[c];
      for (int row = 0; row < rows; row++) {
        to[row] = mean(a[row], b[row]);
      }
    }
    full /= 2;
    framesPerColumn *= 2;
    openColumn = full;
  }

  private static float mean(float a, float b) {
    if (Float.isNaN(a)) {
      return b;
    }
    return Float.isNaN(b) ? a : 0.5f * (a + b);
  }

  /**
   * The columns so far; frames of a column that isn't full yet are left out unless it is the only
   * one.
   *
   * @return a copy
   */
  public Columns columns() {
    boolean onlyOpen = full == 0 && inOpen > 0;
    int count = onlyOpen ? 1 : full;
    float[][] copy = new float[count][];
    for (int c = 0; c < full; c++) {
      copy[c] = columns[c].clone();
    }
    long framesInFirst = framesPerColumn;
    if (onlyOpen) {
      copy[0] = new float[rows];
      for (int row = 0; row < rows; row++) {
        copy[0][row] = (float) (open[row] / (inOpen * linesPerRow));
      }
      framesInFirst = inOpen;
    }
    double firstS = 0.5 * (frameS + (framesInFirst - 1) * hopS);
    return new Columns(
        copy,
        framesPerColumn * hopS,
        firstS,
        linesPerRow * lineSpacingHz,
        0.5 * (linesPerRow - 1) * lineSpacingHz);
  }
}
