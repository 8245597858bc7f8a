/** Commands: thin words around the library, and the only user of standard output. */
package org.whinograph.cli;
