package org.whinograph.level;

import org.whinograph.quantity.Reading;

/**
 * Levels of one recording [dB in the unit of the chain]; quantities and symbols of IEC
 * 61672-1:2013, clause 3.
 *
 * @param laeq time-averaged A-weighted level L_Aeq
 * @param lceq time-averaged C-weighted level L_Ceq
 * @param lzeq time-averaged Z-weighted level L_Zeq
 * @param lafMax maximum of the A- and F-weighted level
 * @param lafMin minimum of it, once the averaging has settled
 * @param lasMax maximum of the A- and S-weighted level
 * @param lasMin minimum of it, once the averaging has settled
 * @param lcPeak C-weighted peak level
 * @param lzPeak Z-weighted peak level
 * @param la10 level that the A- and F-weighted level exceeds for 10 % of the time
 * @param la50 the same for 50 %
 * @param la90 the same for 90 %
 * @param lae A-weighted sound exposure level: energy of the whole recording referred to 1 s
 * @param history levels through time
 */
public record LevelResult(
    Reading laeq,
    Reading lceq,
    Reading lzeq,
    Reading lafMax,
    Reading lafMin,
    Reading lasMax,
    Reading lasMin,
    Reading lcPeak,
    Reading lzPeak,
    Reading la10,
    Reading la50,
    Reading la90,
    Reading lae,
    LevelHistory history) {}
