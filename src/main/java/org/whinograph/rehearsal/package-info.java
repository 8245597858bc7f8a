/**
 * Devices of known truth: simulated fans as a microphone would hear them, sample by sample, with
 * what there is to find stated analytically beside them, and the rehearsal of the whole measurement
 * on such a device.
 *
 * <p>Nothing here measures. Levels, densities and speeds of the truth follow from the description
 * of the device by formula, so that an error of the measuring code can't hide in its own check.
 */
package org.whinograph.rehearsal;
