/** Devices side by side, and their differences. */
package org.whinograph.comparison;
