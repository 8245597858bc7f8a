package org.whinograph.speed;

/**
 * The combs of a segment.
 *
 * @param first the one that is told; null if it isn't heard
 * @param second another that moves on its own; null if there is none
 */
record Combs(Comb first, Comb second) {
  static final Combs NONE = new Combs(null, null);
}
