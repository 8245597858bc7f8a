/**
 * What lies beneath a measurement: the microphone's own noise, the rounding of samples and the
 * background, band by band, and what may be said of a device above them (ISO 3744).
 */
package org.whinograph.floor;
