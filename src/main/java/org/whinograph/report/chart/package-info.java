/**
 * Charts. Each is painted once, on any {@link java.awt.Graphics2D}, so that the picture and the
 * vector file are the same drawing.
 */
package org.whinograph.report.chart;
