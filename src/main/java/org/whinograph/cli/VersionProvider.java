package org.whinograph.cli;

import picocli.CommandLine.IVersionProvider;

/** The version that the jar's manifest states. */
final class VersionProvider implements IVersionProvider {
  @Override
  public String[] getVersion() {
    String version = VersionProvider.class.getPackage().getImplementationVersion();
    return new String[] {
      "whinograph " + (version == null ? "(built from source)" : version),
      "Copyright the Whinograph authors. Licence GPL-3.0-or-later. No warranty."
    };
  }
}
