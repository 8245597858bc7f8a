package org.whinograph.rehearsal;

import java.util.Objects;

/**
 * One tone of a device. Its frequency at any moment is {@code frequencyHz + order · n + loadHz ·
 * load}, where n is the speed of its fan [1/s]: orders, fixed lines, sidebands around a drive line
 * and coils that follow the load are all of this kind. Its phase is the integral of that frequency.
 *
 * <p>Its level at any moment is {@code levelDb + slopeDbPerDecade · lg(n / reference speed) +
 * loadDb · load}; below a twentieth of the reference speed a line with an order fades with the
 * speed to nothing.
 *
 * @param cause where it comes from
 * @param fan index of the fan whose speed counts, from 0
 * @param order multiple of the shaft's frequency that goes into its frequency [1], 0 for none
 * @param frequencyHz part of its frequency that is fixed [Hz]
 * @param loadHz part of its frequency that is proportional to the load [Hz at load 1]
 * @param levelDb level at the reference speed of its fan and at load 0 [dB re 20 µPa]
 * @param slopeDbPerDecade rise of the level with the speed [dB a decade of speed]
 * @param loadDb rise of the level with the load [dB at load 1]
 * @param onS when it starts [s]; it rises within 20 ms, and falls within 20 ms before its end
 * @param offS when it ends [s]
 */
public record Line(
    LineCause cause,
    int fan,
    double order,
    double frequencyHz,
    double loadHz,
    double levelDb,
    double slopeDbPerDecade,
    double loadDb,
    double onS,
    double offS) {
  /** Rise of rotor tones with the speed: the sixth-power law, 60 dB a decade (Huang, JASA 2003). */
  private static final double SIXTH_POWER = 60.0;

  /** Checks the components. {@inheritDoc} */
  public Line {
    Objects.requireNonNull(cause, "cause");
    if (fan < 0) {
      throw new IllegalArgumentException("fan: at least 0, got " + fan);
    }
    if (!Double.isFinite(order)
        || !Double.isFinite(frequencyHz)
        || !Double.isFinite(loadHz)
        || !Double.isFinite(levelDb)
        || !Double.isFinite(slopeDbPerDecade)
        || !Double.isFinite(loadDb)) {
      throw new IllegalArgumentException(
          "order, frequencyHz, loadHz, levelDb, slopeDbPerDecade, loadDb: finite, got "
              + order
              + ", "
              + frequencyHz
              + ", "
              + loadHz
              + ", "
              + levelDb
              + ", "
              + slopeDbPerDecade
              + ", "
              + loadDb);
    }
    if (!(onS < offS)) {
      throw new IllegalArgumentException(
          "onS, offS: on before off, got " + onS + " s, " + offS + " s");
    }
  }

  /**
   * A shaft order of a fan, rising by 60 dB a decade of speed.
   *
   * @param cause where it comes from
   * @param fan index of the fan, from 0
   * @param order multiple of the shaft's frequency
   * @param levelDb level at the fan's reference speed [dB re 20 µPa]
   * @return the line
   */
  public static Line order(LineCause cause, int fan, double order, double levelDb) {
    return new Line(
        cause, fan, order, 0, 0, levelDb, SIXTH_POWER, 0, -Double.MAX_VALUE, Double.MAX_VALUE);
  }

  /**
   * A line of constant frequency and level.
   *
   * @param cause where it comes from
   * @param frequencyHz frequency [Hz]
   * @param levelDb level [dB re 20 µPa]
   * @return the line
   */
  public static Line fixed(LineCause cause, double frequencyHz, double levelDb) {
    return new Line(
        cause, 0, 0, frequencyHz, 0, levelDb, 0, 0, -Double.MAX_VALUE, Double.MAX_VALUE);
  }

  /**
   * A sideband of a fixed line, a multiple of a shaft's frequency away from it.
   *
   * @param cause where it comes from
   * @param frequencyHz frequency of the fixed line [Hz]
   * @param fan index of the fan, from 0
   * @param order distance in multiples of the shaft's frequency, negative below the line
   * @param levelDb level [dB re 20 µPa]
   * @return the line
   */
  public static Line sideband(
      LineCause cause, double frequencyHz, int fan, double order, double levelDb) {
    return new Line(
        cause, fan, order, frequencyHz, 0, levelDb, 0, 0, -Double.MAX_VALUE, Double.MAX_VALUE);
  }

  /**
   * A line whose frequency and level follow the load.
   *
   * @param frequencyHz frequency at load 0 [Hz]
   * @param loadHz change of frequency from load 0 to 1 [Hz]
   * @param levelDb level at load 0 [dB re 20 µPa]
   * @param loadDb change of level from load 0 to 1 [dB]
   * @return the line
   */
  public static Line load(double frequencyHz, double loadHz, double levelDb, double loadDb) {
    return new Line(
        LineCause.LOAD,
        0,
        0,
        frequencyHz,
        loadHz,
        levelDb,
        0,
        loadDb,
        -Double.MAX_VALUE,
        Double.MAX_VALUE);
  }

  /**
   * The same with another rise of level with speed.
   *
   * @param dbPerDecade rise [dB a decade of speed]
   * @return the line
   */
  public Line withSlope(double dbPerDecade) {
    return new Line(
        cause, fan, order, frequencyHz, loadHz, levelDb, dbPerDecade, loadDb, onS, offS);
  }

  /**
   * The same at another level.
   *
   * @param db level [dB re 20 µPa]
   * @return the line
   */
  public Line withLevel(double db) {
    return new Line(
        cause, fan, order, frequencyHz, loadHz, db, slopeDbPerDecade, loadDb, onS, offS);
  }

  /**
   * The same for a part of the recording only.
   *
   * @param fromS start [s]
   * @param toS end [s]
   * @return the line
   */
  public Line between(double fromS, double toS) {
    return new Line(
        cause, fan, order, frequencyHz, loadHz, levelDb, slopeDbPerDecade, loadDb, fromS, toS);
  }
}
