/** Tables, charts, summaries and files of what was measured. This package computes nothing. */
package org.whinograph.report;
