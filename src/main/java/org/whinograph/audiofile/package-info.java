/** WAV and RF64 files, read and written as streams. */
package org.whinograph.audiofile;
