#!/usr/bin/env bash
# Compares the CPU time of a whole analysis with that of a peer, a command that does the like, on the
# same file and in turn, so that both meet the same machine. Prints each run, then the medians, their
# ratio, and the peak resident memory. Times differ from machine to machine: read the ratio.
#
#   src/test/scripts/whole-job.sh [-n RUNS] [-s SECONDS] [-f FILE] [-j JAVA-OPTIONS] [PEER-COMMAND...]
#
#   -n  runs of each, 3 by default
#   -s  length of the recording to make if no file is given, 3600 s by default
#   -f  the recording to measure
#   -j  options for java, such as -Xmx128m
#   PEER-COMMAND gets the file as its last argument; without one only the analysis is measured.
set -euo pipefail
cd "$(dirname "$0")/../../.."

runs=3
seconds=3600
file=
java_options=
usage() { sed -n '2,13s/^# \{0,1\}//p' "$0"; }
while getopts 'n:s:f:j:h' option; do
  case $option in
    n) runs=$OPTARG ;;
    s) seconds=$OPTARG ;;
    f) file=$OPTARG ;;
    j) java_options=$OPTARG ;;
    h) usage; exit 0 ;;
    *) usage >&2; exit 2 ;;
  esac
done
shift $((OPTIND - 1))

[ -x /usr/bin/time ] || { echo 'whole-job: /usr/bin/time is missing; install the package time' >&2; exit 1; }
[ -f target/whinograph.jar ] || { echo 'whole-job: target/whinograph.jar is missing; run mvn package' >&2; exit 1; }

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
if [ -z "$file" ]; then
  [ -d target/test-classes ] || { echo 'whole-job: target/test-classes is missing; run mvn package' >&2; exit 1; }
  file=$work/recording.wav
  echo "Writing $seconds s of an invented fan, seed 1"
  java -cp 'target/test-classes:target/classes:target/lib/*' \
    org.whinograph.benchmark.LongRecording "$file" "$seconds" 1
fi

# timed NAME COMMAND...: appends "cpu-seconds wall-seconds peak-MiB" to NAME's list and prints it.
timed() {
  local name=$1
  shift
  if ! /usr/bin/time -v -o "$work/time" "$@" >"$work/out" 2>"$work/err"; then
    cat "$work/err" >&2
    echo "whole-job: failed: $*" >&2
    exit 1
  fi
  awk -v name="$name" -v list="$work/$name" -F': ' '
    /User time/ { cpu += $NF }
    /System time/ { cpu += $NF }
    /Elapsed/ { n = split($NF, part, ":"); wall = 0; for (i = 1; i <= n; i++) wall = 60 * wall + part[i] }
    /Maximum resident/ { memory = $NF / 1024 }
    END {
      printf "%-9s %9.2f s CPU %9.2f s elapsed %8.1f MiB at most\n", name, cpu, wall, memory
      printf "%.3f %.3f %.1f\n", cpu, wall, memory >> list
    }' "$work/time"
}

median() { cut -d' ' -f"$2" "$work/$1" | sort -n | awk '{ v[NR] = $1 } END { print (v[int((NR + 1) / 2)] + v[int((NR + 2) / 2)]) / 2 }'; }
most() { cut -d' ' -f"$2" "$work/$1" | sort -n | tail -n 1; }

for ((run = 1; run <= runs; run++)); do
  # shellcheck disable=SC2086 -- several options stand in one argument
  timed analyse java $java_options -jar target/whinograph.jar analyse --quiet "$file"
  if [ $# -gt 0 ]; then
    timed peer "$@" "$file"
  fi
done

echo
printf 'analyse: median %s s CPU, %s s elapsed, at most %s MiB resident\n' \
  "$(median analyse 1)" "$(median analyse 2)" "$(most analyse 3)"
if [ $# -gt 0 ]; then
  printf 'peer:    median %s s CPU, %s s elapsed, at most %s MiB resident\n' \
    "$(median peer 1)" "$(median peer 2)" "$(most peer 3)"
  awk -v a="$(median analyse 1)" -v p="$(median peer 1)" \
    'BEGIN { printf "CPU of analyse / CPU of peer: %.3f (1/%.1f)\n", a / p, p / a }'
fi
