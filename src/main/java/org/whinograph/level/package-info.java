/** Equivalent, maximum, minimum, peak and percentile levels of IEC 61672-1:2013. */
package org.whinograph.level;
