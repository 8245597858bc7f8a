/**
 * What the speed of the shaft explains: which order of it a tone is, what else a tone may come
 * from, and what the sound is like when the spectrum turns with the fan.
 */
package org.whinograph.speed.order;
