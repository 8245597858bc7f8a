package org.whinograph.comparison;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;

/**
 * Short names for recordings: the file's name without its ending, with as many folders before it as
 * it takes to tell them apart.
 */
final class Labels {
  private Labels() {}

  static List<String> of(List<String> files) {
    List<String[]> parts = files.stream().map(file -> stem(file).split("[/\\\\]+", -1)).toList();
    int longest = parts.stream().mapToInt(path -> path.length).max().orElse(1);
    for (int depth = 1; depth < longest; depth++) {
      List<String> names = names(parts, depth);
      if (new HashSet<>(names).size() == names.size()) {
        return names;
      }
    }
    return numbered(names(parts, longest));
  }

  private static String stem(String file) {
    int slash = Math.max(file.lastIndexOf('/'), file.lastIndexOf('\\'));
    int dot = file.lastIndexOf('.');
    return dot > slash + 1 ? file.substring(0, dot) : file;
  }

  private static List<String> names(List<String[]> parts, int depth) {
    List<String> names = new ArrayList<>();
    for (String[] path : parts) {
      int from = Math.max(0, path.length - depth);
      names.add(String.join("/", List.of(path).subList(from, path.length)));
    }
    return names;
  }

  private static List<String> numbered(List<String> names) {
    Set<String> taken = new HashSet<>();
    List<String> distinct = new ArrayList<>();
    for (String name : names) {
      String label = name;
      for (int i = 2; !taken.add(label); i++) {
        label = name + " (" + i + ")";
      }
      distinct.add(label);
    }
    return distinct;
  }
}
