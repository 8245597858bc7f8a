/** Frequency weightings A, C and Z and time weightings F and S of IEC 61672-1:2013. */
package org.whinograph.weighting;
