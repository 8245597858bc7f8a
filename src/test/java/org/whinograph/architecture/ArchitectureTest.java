package org.whinograph.architecture;

import static com.tngtech.archunit.base.DescribedPredicate.not;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAPackage;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAnyPackage;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static com.tngtech.archunit.library.dependencies.SlicesRuleDefinition.slices;

import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.junit.AnalyzeClasses;
import com.tngtech.archunit.junit.ArchTest;
import com.tngtech.archunit.lang.ArchCondition;
import com.tngtech.archunit.lang.ArchRule;
import com.tngtech.archunit.lang.ConditionEvents;
import com.tngtech.archunit.lang.SimpleConditionEvent;
import java.util.Map;
import java.util.Set;

/** The package map of DEVELOPERS.md, held by the build. */
@AnalyzeClasses(packages = "org.whinograph", importOptions = ImportOption.DoNotIncludeTests.class)
class ArchitectureTest {
  private static final String ROOT = "org.whinograph.";

  /** What each package may use of the project, beside itself; cli and desktop may use all. */
  private static final Map<String, Set<String>> MAY_USE =
      Map.ofEntries(
          Map.entry("quantity", Set.of()),
          Map.entry("signal", Set.of("quantity")),
          Map.entry("storage", Set.of("signal")),
          Map.entry("audiofile", Set.of("quantity", "signal", "storage")),
          Map.entry("capture", Set.of("quantity", "signal", "storage", "audiofile")),
          Map.entry("calibration", Set.of("quantity", "signal", "storage", "audiofile")),
          Map.entry("weighting", Set.of("quantity", "signal")),
          Map.entry("level", Set.of("quantity", "signal", "weighting")),
          Map.entry("band", Set.of("quantity", "signal", "weighting")),
          Map.entry("floor", Set.of("quantity", "signal", "weighting", "level", "band")),
          Map.entry("spectrum", Set.of("quantity", "signal")),
          Map.entry("tone", Set.of("quantity", "signal", "spectrum", "band")),
          Map.entry("speed", Set.of("quantity", "signal", "spectrum", "tone")),
          Map.entry("loudness", Set.of("quantity", "signal", "band")),
          Map.entry("timeline", Set.of("quantity", "signal")),
          Map.entry(
              "measurement",
              Set.of(
                  "quantity",
                  "signal",
                  "audiofile",
                  "calibration",
                  "weighting",
                  "level",
                  "band",
                  "floor",
                  "spectrum",
                  "tone",
                  "speed",
                  "loudness",
                  "timeline")),
          Map.entry(
              "series",
              Set.of("quantity", "signal", "audiofile", "calibration", "timeline", "measurement")),
          Map.entry(
              "comparison",
              Set.of(
                  "quantity",
                  "signal",
                  "level",
                  "band",
                  "floor",
                  "tone",
                  "speed",
                  "measurement",
                  "series")),
          Map.entry(
              "report",
              Set.of(
                  "storage",
                  "quantity",
                  "signal",
                  "calibration",
                  "level",
                  "band",
                  "floor",
                  "spectrum",
                  "tone",
                  "speed",
                  "loudness",
                  "timeline",
                  "measurement",
                  "series",
                  "comparison")),
          Map.entry(
              "rehearsal",
              Set.of(
                  "storage",
                  "quantity",
                  "signal",
                  "audiofile",
                  "calibration",
                  "weighting",
                  "level",
                  "band",
                  "floor",
                  "spectrum",
                  "tone",
                  "speed",
                  "measurement")));

  @ArchTest
  static final ArchRule noCyclesBetweenPackages =
      slices().matching("org.whinograph.(*)..").should().beFreeOfCycles();

  @ArchTest
  static final ArchRule packagesUseOnlyWhatStandsLeftOfThem =
      classes()
          .that(not(resideInAnyPackage(ROOT + "cli..", ROOT + "desktop..")))
          .should(
              new ArchCondition<>("use only packages upstream of their own") {
                @Override
                public void check(JavaClass item, ConditionEvents events) {
                  String home = roomOf(item.getPackageName());
                  Set<String> allowed = MAY_USE.get(home);
                  if (allowed == null) {
                    events.add(
                        SimpleConditionEvent.violated(
                            item, home + " isn't in the package map of DEVELOPERS.md"));
                    return;
                  }
                  item.getDirectDependenciesFromSelf()
                      .forEach(
                          dependency -> {
                            String target = dependency.getTargetClass().getPackageName();
                            if (!target.startsWith(ROOT)) {
                              return;
                            }
                            String room = roomOf(target);
                            if (!room.equals(home) && !allowed.contains(room)) {
                              events.add(
                                  SimpleConditionEvent.violated(item, dependency.getDescription()));
                            }
                          });
                }
              });

  @ArchTest
  static final ArchRule javafxOnlyInDesktop =
      noClasses()
          .that(not(resideInAPackage(ROOT + "desktop..")))
          .should()
          .dependOnClassesThat()
          .resideInAPackage("javafx..");

  @ArchTest
  static final ArchRule soundLinesOnlyInCapture =
      noClasses()
          .that(not(resideInAPackage(ROOT + "capture..")))
          .should()
          .dependOnClassesThat()
          .resideInAPackage("javax.sound..");

  @ArchTest
  static final ArchRule standardStreamsOnlyInCli =
      noClasses()
          .that(not(resideInAPackage(ROOT + "cli..")))
          .should()
          .accessField(System.class, "out")
          .orShould()
          .accessField(System.class, "err");

  @ArchTest
  static final ArchRule wallClockOnlyBehindAnInjectedClock =
      noClasses()
          .that(not(resideInAPackage(ROOT + "cli..")))
          .should()
          .callMethod(System.class, "currentTimeMillis")
          .orShould()
          .callMethod(System.class, "nanoTime")
          .orShould()
          .callMethod(java.time.Instant.class, "now")
          .orShould()
          .callMethod(java.time.LocalDateTime.class, "now")
          .orShould()
          .callMethod(java.time.ZonedDateTime.class, "now");

  private static String roomOf(String packageName) {
    String rest = packageName.substring(ROOT.length());
    int dot = rest.indexOf('.');
    return dot < 0 ? rest : rest.substring(0, dot);
  }
}
