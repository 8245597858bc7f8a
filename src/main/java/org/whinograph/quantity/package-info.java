/**
 * Levels, energies and what could not be measured. The only place that does decibel arithmetic:
 * energy is summed and averaged, never decibels.
 */
package org.whinograph.quantity;
