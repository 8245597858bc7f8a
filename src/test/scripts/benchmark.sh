#!/usr/bin/env bash
# Runs the JMH benchmarks whose names match, all by default; arguments are JMH's.
#
#   src/test/scripts/benchmark.sh CoreBenchmark -p stage=all
set -euo pipefail
cd "$(dirname "$0")/../../.."
mvn -B -ntp -q test-compile
path=$(mktemp)
trap 'rm -f "$path"' EXIT
mvn -B -ntp -q dependency:build-classpath -Dmdep.includeScope=test -Dmdep.outputFile="$path"
java -cp "target/test-classes:target/classes:$(cat "$path")" org.openjdk.jmh.Main "$@"
