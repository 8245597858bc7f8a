package org.whinograph.cli;

import java.lang.reflect.Constructor;
import picocli.CommandLine;
import picocli.CommandLine.IFactory;

/** Makes commands: those with a constructor for a {@link Terminal} get it. */
final class CommandFactory implements IFactory {
  private final Terminal terminal;

  CommandFactory(Terminal terminal) {
    this.terminal = terminal;
  }

  @Override
  public <K> K create(Class<K> type) throws Exception {
    for (Constructor<?> constructor : type.getDeclaredConstructors()) {
      Class<?>[] parameters = constructor.getParameterTypes();
      if (parameters.length == 1 && parameters[0] == Terminal.class) {
        return type.cast(constructor.newInstance(terminal));
      }
    }
    return CommandLine.defaultFactory().create(type);
  }
}
