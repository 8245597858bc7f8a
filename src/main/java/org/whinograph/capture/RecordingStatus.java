package org.whinograph.capture;

/**
 * How a recording stands.
 *
 * @param frames length so far [frames]
 * @param overloadSamples samples at full scale in runs that mean overload
 * @param lostSamples samples that were lost, zeros in the file
 * @param freeBytes room on the disk [bytes], −1 if the system doesn't tell
 * @param freeSeconds how much longer the room lasts [s], −1 if unknown
 */
public record RecordingStatus(
    long frames, long overloadSamples, long lostSamples, long freeBytes, double freeSeconds) {}
