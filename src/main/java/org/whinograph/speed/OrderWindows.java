package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;

/**
 * The windows used last, for all stacks of a recording: to lay one out takes as long as to fill it.
 * One that a slow comb needs is wasted on a fast one, so that there are several.
 *
 * <p>A window is handed out to one stack at a time, which is done with it when it has added its
 * run. Not safe for use by several threads.
 */
final class OrderWindows {
  /** A comb that speeds up takes turns between two. */
  private static final int KEPT = 2;

  private final double rate;
  private final List<OrderWindow> windows = new ArrayList<>();

  /**
   * Starts without any.
   *
   * @param rate rate of the samples [Hz]
   */
  OrderWindows(double rate) {
    this.rate = rate;
  }

  /** Rate of the samples [Hz]. */
  double rate() {
    return rate;
  }

  /**
   * A window with anything in it.
   *
   * @param perCycle values a cycle of the comb, a power of two
   * @param cycles cycles in the window, a power of two, at least 16
   */
  OrderWindow of(int perCycle, int cycles) {
    for (int i = 0; i < windows.size(); i++) {
      OrderWindow window = windows.get(i);
      if (window.perCycle() == perCycle && window.length() == perCycle * cycles) {
        windows.remove(i);
        windows.add(window);
        return window;
      }
    }
    if (windows.size() == KEPT) {
      windows.remove(0);
    }
    OrderWindow window = new OrderWindow(perCycle, cycles, rate);
    windows.add(window);
    return window;
  }
}
