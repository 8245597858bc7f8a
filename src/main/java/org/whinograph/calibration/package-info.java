/**
 * From parts of full scale to pascals: the reference tone (IEC 60942), the microphone's response,
 * and the checks that a calibration can be trusted.
 */
package org.whinograph.calibration;
