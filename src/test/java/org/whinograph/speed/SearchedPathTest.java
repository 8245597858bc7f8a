package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** Paths with faults that a shaft can't make, over likelihoods made up for each. */
class SearchedPathTest {
  private static final int CELLS = 1200;
  private static final int FRAMES = 80;
  private static final int CELL = 400;
  private static final int OCTAVE = CombSearch.CELLS_PER_OCTAVE;

  private final float[][] emission = new float[FRAMES][CELLS];
  private final double[] off = new double[FRAMES];
  private final int[] path = new int[FRAMES];
  private final boolean[] joined = new boolean[FRAMES];

  SearchedPathTest() {
    for (float[] row : emission) {
      Arrays.fill(row, 1e-9f);
    }
    Arrays.fill(off, 1e-6);
    Arrays.fill(joined, 1, FRAMES, true);
    Arrays.fill(path, CELL);
  }

  private void heard(int from, int to, int cell, double likelihood) {
    for (int t = from; t < to; t++) {
      emission[t][cell] = (float) likelihood;
    }
  }

  private void leaps(int from, int to, int cell) {
    Arrays.fill(path, from, to, cell);
    joined[from] = false;
    if (to < FRAMES) {
      joined[to] = false;
    }
  }

  private SearchedPath searched() {
    return new SearchedPath(emission, off, CELLS, path, joined);
  }

  private static int[] all(int cell) {
    int[] result = new int[FRAMES];
    Arrays.fill(result, cell);
    return result;
  }

  @Test
  void aLeapToTheOctaveIsUndoneWhereTheCombIsStillThere() {
    heard(0, FRAMES, CELL, 1.0);
    heard(50, FRAMES, CELL + OCTAVE, 0.9);
    leaps(50, FRAMES, CELL + OCTAVE);
    searched().keepOneMultiple();
    assertArrayEquals(all(CELL), path);
  }

  /** Nothing is left on the old comb and nothing was on the new one: the shaft did step. */
  @Test
  void aStepToTwiceTheSpeedStays() {
    heard(0, 50, CELL, 1.0);
    heard(50, FRAMES, CELL + OCTAVE, 1.0);
    leaps(50, FRAMES, CELL + OCTAVE);
    int[] before = path.clone();
    searched().keepOneMultiple();
    assertArrayEquals(before, path);
  }

  /** Three quarters of a comb have its third line as their fourth, and hardly any evidence else. */
  @Test
  void oneLineInCommonMakesNoMultiple() {
    int fourThirds = (int) Math.round(OCTAVE * Math.log(4.0 / 3.0) / Math.log(2.0));
    for (double inCommon : new double[] {1e-5, 0.9}) {
      Arrays.fill(path, CELL);
      heard(0, 50, CELL, 1.0);
      heard(0, 50, CELL - fourThirds, inCommon);
      heard(50, FRAMES, CELL - fourThirds, 1.0);
      leaps(50, FRAMES, CELL - fourThirds);
      int[] before = path.clone();
      searched().keepOneMultiple();
      assertArrayEquals(inCommon < 0.5 ? before : all(CELL - fourThirds), path);
    }
  }

  @Test
  void aVisitToAnotherLineIsUndone() {
    heard(0, FRAMES, CELL, 0.8);
    heard(30, 45, CELL + 90, 1.0);
    leaps(30, 45, CELL + 90);
    searched().keepOneComb();
    assertArrayEquals(all(CELL), path);
  }

  /** Where the comb isn't heard meanwhile, what the path found may be the fan. */
  @Test
  void aVisitStaysWhereTheCombIsNotHeard() {
    heard(0, 30, CELL, 1.0);
    heard(45, FRAMES, CELL, 1.0);
    heard(30, 45, CELL + 90, 1.0);
    leaps(30, 45, CELL + 90);
    int[] before = path.clone();
    searched().keepOneComb();
    assertArrayEquals(before, path);
  }

  /** The first cells after the leap lie a semitone's half beside the octave. */
  @Test
  void aLeapThatSettlesOnTheOctaveIsUndone() {
    heard(0, FRAMES, CELL, 1.0);
    heard(50, FRAMES, CELL + OCTAVE, 0.9);
    leaps(50, FRAMES, CELL + OCTAVE);
    Arrays.fill(path, 50, 52, CELL + OCTAVE - 11);
    searched().keepOneMultiple();
    assertEquals(CELL, path[FRAMES - 1]);
  }

  /** Three frames of a voice in which nothing is heard of the comb. */
  @Test
  void aMomentIsBridged() {
    leaps(30, 33, CELL + 300);
    SearchedPath searched = searched();
    assertEquals(2, searched.changes());
    searched.bridgeMoments();
    assertArrayEquals(all(CELL), path);
    assertEquals(0, searched.changes());
  }

  @Test
  void whatLastsOrDoesNotComeBackIsNoMoment() {
    leaps(30, 40, CELL + 300);
    leaps(60, 62, CELL + 200);
    Arrays.fill(path, 62, FRAMES, CELL + 20);
    int[] before = path.clone();
    searched().bridgeMoments();
    assertArrayEquals(before, path);
  }

  @Test
  void leapsAndStepsBetweenRestsAreCounted() {
    heard(0, FRAMES, CELL, 1.0);
    assertEquals(0, searched().changes());
    Arrays.fill(path, 40, FRAMES, CELL + 10);
    assertEquals(1, searched().changes());
    leaps(60, 70, CELL + 300);
    assertEquals(3, searched().changes());
  }
}
