#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Fuzz every parser for a while, from its kept corpus, under the sanitizers.
#
#   FUZZ_SECONDS=n   for each target (60)
#   tools/fuzz.sh [NAME...]   these targets only
#
# What is found stays in build-fuzz/found/.  A finding belongs into
# tests/fuzz/corpus/NAME/ together with the mend, so that it is replayed.
set -u
# Debian's own tools first: its python3 has numpy and jsonschema.
export PATH=/usr/bin:$PATH
cd "$(dirname "$0")/.." || exit 1
build=${BUILD:-build-fuzz}
seconds=${FUZZ_SECONDS:-60}

[ -f "$build/build.ninja" ] ||
  CC=clang meson setup "$build" --buildtype=debugoptimized -Dfuzz=true \
    -Db_sanitize=address,undefined -Db_lundef=false >/dev/null || exit 1
meson setup "$build" --reconfigure >/dev/null || exit 1
if ! ls tests/fuzz/fuzz_*.c >/dev/null 2>&1; then
  echo 'no fuzz target yet'
  exit 0
fi
ninja -C "$build" fuzzers >"$build/build.log" 2>&1 || {
  grep -E 'error|FAILED' "$build/build.log" | head
  echo 'fuzz: the targets did not build'
  exit 1
}

rc=0
mkdir -p "$build/found"
printf '%-10s%9s%12s%10s  %s\n' target seconds runs edges result
for exe in "$build"/tests/fuzz/fuzz_*; do
  [ -f "$exe" ] && [ -x "$exe" ] || continue
  name=${exe##*/fuzz_}
  [ $# -eq 0 ] || case " $* " in *" $name "*) ;; *) continue ;; esac
  grown=$build/corpus-$name
  mkdir -p "$grown" "tests/fuzz/corpus/$name"
  result='nothing found'
  dict=
  [ ! -f "tests/fuzz/$name.dict" ] || dict="-dict=tests/fuzz/$name.dict"
  # shellcheck disable=SC2086
  ASAN_OPTIONS=detect_leaks=1 \
  LSAN_OPTIONS="suppressions=$PWD/tests/lsan.supp:print_suppressions=0" \
  UBSAN_OPTIONS=halt_on_error=1:print_stacktrace=1 \
    "$exe" -max_total_time="$seconds" -timeout=10 -rss_limit_mb=4096 \
    -print_final_stats=1 -artifact_prefix="$build/found/$name-" $dict \
    "$grown" "tests/fuzz/corpus/$name" >"$build/$name.log" 2>&1 || {
    result="FOUND, see $build/$name.log"
    rc=1
  }
  runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$build/$name.log")
  edges=$(sed -n 's/.* cov: \([0-9]*\) .*/\1/p' "$build/$name.log" | tail -n 1)
  printf '%-10s%9s%12s%10s  %s\n' "$name" "$seconds" "${runs:--}" \
    "${edges:--}" "$result"
done
exit $rc
