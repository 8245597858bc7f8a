package org.whinograph.measurement;

/**
 * The recording that was measured.
 *
 * @param file name of the file or input
 * @param sha256 SHA-256 of the file in hexadecimal, or null for a live input
 * @param sampleRateHz frames a second [Hz]
 * @param bitDepth valid bits of a sample
 * @param floatingPoint whether samples are floating point
 * @param channels channels in the file
 * @param channel the channel that was measured, from 1
 * @param startS where the measured stretch begins on the recording's clock [s]; 0 unless an excerpt
 *     was asked for
 * @param durationS length that was measured [s]
 * @param overloadSamples samples at full scale in runs that mean overload
 * @param lostSamples samples that the recording lost
 */
public record RecordingInfo(
    String file,
    String sha256,
    double sampleRateHz,
    int bitDepth,
    boolean floatingPoint,
    int channels,
    int channel,
    double startS,
    double durationS,
    long overloadSamples,
    long lostSamples) {}
