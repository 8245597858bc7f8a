/** Windows, discrete Fourier spectra averaged by energy, and the frames of a spectrogram. */
package org.whinograph.spectrum;
