package org.whinograph.report.chart;

import java.awt.Graphics2D;

/** A chart that paints itself. Painting changes nothing in the chart. */
public interface Chart {
  /**
   * Width of the drawing.
   *
   * @return width [px at scale 1]
   */
  int width();

  /**
   * Height of the drawing.
   *
   * @return height [px at scale 1]
   */
  int height();

  /**
   * What the chart shows.
   *
   * @return title in one line
   */
  String title();

  /**
   * What the levels refer to, and of what recording.
   *
   * @return subtitle in one line
   */
  String subtitle();

  /**
   * Paints the chart.
   *
   * @param graphics where to, at scale 1, origin at the top left
   */
  void paint(Graphics2D graphics);
}
