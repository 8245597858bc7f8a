package org.whinograph.calibration;

/**
 * A reference tone as it was found in a recording, before a sound pressure level is given to it.
 *
 * @param levelDb level of the tone [dB re full scale, in which a full-scale sine has 0 dB]
 * @param frequencyHz its frequency, from the slope of its phase over the whole tone [Hz]
 * @param fluctuationDb half the difference between the greatest and the least level of a tenth of a
 *     second over the whole tone [dB]
 * @param driftDb difference between the greatest and the least level of one second [dB]
 * @param distortionPlusNoise rms of all that isn't the tone, from 30 Hz to 20 kHz or half the rate,
 *     over the tone's rms [1]
 * @param repeatabilityDb standard deviation of the mean of the levels of a tenth of a second [dB]
 * @param fromS where the tone that was used begins in the recording [s]
 * @param toneS its length [s]
 * @param trimmedBeforeS tone with handling noise that was left out before it [s]
 * @param trimmedAfterS tone with handling noise that was left out after it [s]
 * @param peak greatest absolute sample of the tone [parts of full scale]
 */
public record ReferenceTone(
    double levelDb,
    double frequencyHz,
    double fluctuationDb,
    double driftDb,
    double distortionPlusNoise,
    double repeatabilityDb,
    double fromS,
    double toneS,
    double trimmedBeforeS,
    double trimmedAfterS,
    double peak) {}
