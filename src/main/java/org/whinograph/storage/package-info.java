/** Files that appear whole or not at all. */
package org.whinograph.storage;
