package org.whinograph.calibration;

/**
 * What a check of an input keeps of a tenth of a second.
 *
 * @param tone the tone in it
 * @param floorDb median of its spectrum lines from 1.8 kHz to 3.8 kHz, where neither hum nor most
 *     of a calibrator's harmonics are [dB re full scale, a line]
 * @param hissDb mean level of its lines from 3.8 kHz to 18 kHz, where a microphone's own noise is
 *     most of what is left [dB re full scale, a line]
 * @param sameSamples longest run of samples that are all the same [frames]
 * @param peakSamples longest run of samples at the greatest absolute value [frames]
 */
record InputFrame(ToneFrame tone, float floorDb, float hissDb, int sameSamples, int peakSamples) {}
