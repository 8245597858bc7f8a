package org.whinograph.measurement;

import java.util.List;
import org.whinograph.band.BandResult;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.level.LevelResult;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.Warning;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.order.OrderResult;
import org.whinograph.tone.ToneResult;

/**
 * All that was measured of one recording. Immutable.
 *
 * @param recording the recording
 * @param calibration the calibration that was used, or null
 * @param calibrationFile name of its file, or null
 * @param responseFile name of the microphone's response that was taken out, or null
 * @param unit what every level refers to
 * @param levels levels of the whole recording and through time
 * @param bands octave and one-third-octave band levels
 * @param spectrum the averaged spectrum that the tones come from, or null if the recording is too
 *     short for one
 * @param tones the discrete tones
 * @param speed the shaft's speed, as far as the sound tells it
 * @param orders what that speed explains: where the tones come from and how they read when followed
 * @param warnings what the reader must know, in the order of the chain
 */
public record Measurement(
    RecordingInfo recording,
    CalibrationRecord calibration,
    String calibrationFile,
    String responseFile,
    LevelUnit unit,
    LevelResult levels,
    BandResult bands,
    Spectrum spectrum,
    ToneResult tones,
    SpeedResult speed,
    OrderResult orders,
    List<Warning> warnings) {
  /** Freezes the list. {@inheritDoc} */
  public Measurement {
    warnings = List.copyOf(warnings);
  }
}
