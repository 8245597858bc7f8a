/** Live inputs and outputs: the only user of sound lines. */
package org.whinograph.capture;
