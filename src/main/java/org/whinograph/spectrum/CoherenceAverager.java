package org.whinograph.spectrum;

/**
 * Averages, line by line, the product of each frame with the conjugate of the frame some frames
 * earlier. Its phase is what a tone turns by between the two: the frequency of a steady tone
 * follows from it far closer than the spacing of lines. Its magnitude against the mean square tells
 * how steady the tone is.
 *
 * <p>Bounded memory, no allocation per frame. Not safe for use by several threads.
 */
public final class CoherenceAverager implements FrameListener {
  private final FrameStream stream;
  private final int lag;
  private final double[] sum;
  private long pairs;

  /**
   * Prepares an average and listens to the stream.
   *
   * @param stream the stream, which must remember at least {@code lag} frames
   * @param lag distance of the two frames, at least 1 [frames]
   */
  public CoherenceAverager(FrameStream stream, int lag) {
    if (lag < 1) {
      throw new IllegalArgumentException("lag: at least 1, got " + lag);
    }
    this.stream = stream;
    this.lag = lag;
    this.sum = new double[stream.length()];
    stream.addListener(this);
  }

  /** {@inheritDoc} */
  @Override
  public void frame(long index, double[] lines) {
    double[] past = stream.earlier(index - lag);
    if (past == null) {
      return;
    }
    for (int i = 2; i < sum.length; i += 2) {
      double re = lines[i];
      double im = lines[i + 1];
      double pastRe = past[i];
      double pastIm = past[i + 1];
      sum[i] += re * pastRe + im * pastIm;
      sum[i + 1] += im * pastRe - re * pastIm;
    }
    pairs++;
  }

  /**
   * Distance of the two frames.
   *
   * @return lag [frames]
   */
  public int lag() {
    return lag;
  }

  /**
   * Distance of the two frames.
   *
   * @return lag · hop [samples]
   */
  public long distanceSamples() {
    return (long) lag * stream.hop();
  }

  /**
   * Pairs averaged so far.
   *
   * @return number of pairs
   */
  public long pairs() {
    return pairs;
  }

  /**
   * Real part of the mean product at a line.
   *
   * @param line line k, 1 to N/2 − 1
   * @return real part [Pa² or (full scale)²]; 0 without pairs
   */
  public double real(int line) {
    return pairs == 0 ? 0.0 : sum[2 * line] / pairs;
  }

  /**
   * Imaginary part of the mean product at a line.
   *
   * @param line line k, 1 to N/2 − 1
   * @return imaginary part [Pa² or (full scale)²]; 0 without pairs
   */
  public double imaginary(int line) {
    return pairs == 0 ? 0.0 : sum[2 * line + 1] / pairs;
  }
}
