/**
 * The stream of samples that every file and every microphone becomes, and the few building blocks
 * that all who work on it share.
 */
package org.whinograph.signal;
