package org.whinograph.report.chart;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class EndLabelsTest {
  @Test
  void labelsWithRoomStayWhereTheyAre() {
    assertArrayEquals(
        new double[] {10.0, 30.0, 90.0},
        EndLabels.apart(new double[] {10.0, 30.0, 90.0}, 15.0, 0.0, 100.0),
        1e-9);
  }

  @Test
  void crowdedLabelsMoveApartAboutTheirMiddle() {
    assertArrayEquals(
        new double[] {35.0, 50.0, 65.0},
        EndLabels.apart(new double[] {50.0, 50.0, 50.0}, 15.0, 0.0, 100.0),
        1e-9);
    assertArrayEquals(
        new double[] {70.0, 85.0, 100.0},
        EndLabels.apart(new double[] {99.0, 99.0, 100.0}, 15.0, 0.0, 100.0),
        1e-9);
  }

  @Test
  void neverCloserThanTheGapAndNeverOutside() {
    SplittableRandom random = new SplittableRandom(3);
    for (int run = 0; run < 500; run++) {
      double[] wanted = random.doubles(random.nextInt(1, 12), 0.0, 300.0).sorted().toArray();
      double[] places = EndLabels.apart(wanted, 15.0, 0.0, 300.0);
      assertEquals(wanted.length, places.length);
      for (int i = 0; i < places.length; i++) {
        double place = places[i];
        assertTrue(place >= -1e-9 && place <= 300.0 + 1e-9, () -> Arrays.toString(places));
        if (i > 0) {
          assertTrue(place - places[i - 1] >= 15.0 - 1e-9, () -> Arrays.toString(places));
        }
      }
    }
  }

  @Test
  void labelsOfTonesNeverOverlapInARow() {
    ToneLabels labels = new ToneLabels(2, 0.0, 100.0);
    assertEquals(new ToneLabels.Place(50.0, 0), labels.place(50.0, 40.0));
    assertEquals(new ToneLabels.Place(60.0, 1), labels.place(60.0, 40.0));
    assertEquals(-1, labels.place(55.0, 40.0).row());
    assertEquals(new ToneLabels.Place(10.0, 0), labels.place(2.0, 20.0));
  }
}
