package org.whinograph.speed;

/**
 * One reading of the evidence: a shaft speed with the number of blades that goes with it.
 *
 * @param rpm median speed of the shaft over the known frames [1/min]
 * @param blades number of blades
 * @param probability probability of this reading [1]; all candidates together with "no fan heard"
 *     make 1
 */
public record SpeedCandidate(double rpm, int blades, double probability) {}
