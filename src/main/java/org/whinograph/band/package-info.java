/** Octave and one-third-octave band levels of IEC 61260-1:2014. */
package org.whinograph.band;
