/**
 * A plan and a source in, one immutable measurement out. This package alone fixes the order of the
 * chain.
 */
package org.whinograph.measurement;
