package org.whinograph.speed;

import java.util.List;
import org.apache.commons.math3.util.ArithmeticUtils;

/**
 * Whether all that stands out of a stack is the hum of one mains. Stacked over a recording even
 * faint multiples stand out, of which too few are heard in any segment to be known as hum there.
 *
 * <p>A fan whose shaft turns as fast as a mains, within {@value MainsHum#MOST_OFF_NOMINAL_HZ} Hz,
 * and as steadily can't be told from it. Speeds from 600 to 60000 1/min are seldom so near: hum is
 * in most rooms.
 *
 * <p>Immutable.
 */
final class StackedHum {
  /** Lines without which it isn't told from others (judgement). */
  private static final int FEWEST_LINES = 4;

  /** Of so many lines one may be something else's (judgement). */
  private static final int LINES_AN_OTHER = 8;

  /** How far a line may be off its place, and what one place errs by (judgement) [Hz]. */
  private static final double OFF_HZ = 0.12;

  private static final double PLACE_HZ = 0.1;

  /** Lines of the stack, by rising frequency [Hz]. */
  private final double[] lineHz;

  /**
   * Prepares.
   *
   * @param lines lines that stand out of the stack, by rising order
   * @param spacingHz spacing of the comb [Hz]
   */
  StackedHum(List<StackedLines.Line> lines, double spacingHz) {
    this.lineHz = lines.stream().mapToDouble(line -> line.order() * spacingHz).toArray();
  }

  /** Whether the lines are whole multiples of a frequency that a mains may have. */
  boolean isAll() {
    boolean all = false;
    for (double nominal : MainsHum.NOMINAL_HZ) {
      for (int first = 0; first <= lineHz.length / LINES_AN_OTHER; first++) {
        all |= isAll(nominal, first);
      }
    }
    return all;
  }

  /** Whether they are multiples of such a frequency near a nominal one, by one of the first. */
  private boolean isAll(double nominal, int first) {
    if (lineHz.length < FEWEST_LINES) {
      return false;
    }
    double line = lineHz[first];
    boolean all = false;
    int last = (int) ((line + OFF_HZ) / (nominal - MainsHum.MOST_OFF_NOMINAL_HZ));
    for (int k = last; k >= 1 && isNear(line / k, nominal, OFF_HZ / k); k--) {
      all |= isAll(nominal, first, k);
    }
    return all;
  }

  private boolean isAll(double nominal, int first, int multiple) {
    double squares = multiple * (double) multiple;
    double places = multiple * lineHz[first];
    int count = 1;
    int divisor = multiple;
    for (int i = first + 1; i < lineHz.length; i++) {
      double hz = places / squares;
      double k = Math.rint(lineHz[i] / hz);
      double allowed = OFF_HZ + k * PLACE_HZ / Math.sqrt(squares);
      if (Math.abs(lineHz[i] - k * hz) < allowed) {
        // The quotient of both sums is the frequency by least squares.
        places += k * lineHz[i];
        squares += k * k;
        divisor = ArithmeticUtils.gcd(divisor, (int) k);
        count++;
      }
    }
    int others = lineHz.length - count;
    return count >= FEWEST_LINES
        && others <= lineHz.length / LINES_AN_OTHER
        && divisor <= 2
        && isNear(places / squares, nominal, PLACE_HZ / Math.sqrt(squares));
  }

  private static boolean isNear(double hz, double nominal, double errsBy) {
    return Math.abs(hz - nominal) < MainsHum.MOST_OFF_NOMINAL_HZ + errsBy;
  }
}
