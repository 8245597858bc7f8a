/**
 * The shaft speed of a fan out of its sound alone: which comb of lines moves as one, how fast the
 * shaft behind it turns, how many blades it carries, and how sure of that one may be.
 */
package org.whinograph.speed;
