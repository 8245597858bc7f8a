/** Discrete tones: finding them, and their tone-to-noise and prominence ratios after ECMA-418-1. */
package org.whinograph.tone;
