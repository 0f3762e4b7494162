#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# One build under the address and undefined sanitizers, every suite, fuzz
# corpora replayed.  Ends with the plain line "N passed, N failed".
#
#   BUILD=folder   where to build (build-check)
#   SLOW=1         only the suites marked slow, which are left out otherwise:
#                  `make check` is to take less than ten minutes
set -u
# Debian's own tools first: its python3 has numpy and jsonschema.
export PATH=/usr/bin:$PATH
cd "$(dirname "$0")/.." || exit 1
root=$(pwd)
build=${BUILD:-build-check}
started=$(date +%s)
log=$(mktemp)
trap 'rm -f "$log"' EXIT

# Leaks in our own code fail a test; see tests/lsan.supp for what does not.
export ASAN_OPTIONS="detect_leaks=1:strict_string_checks=1:detect_stack_use_after_return=1${ASAN_OPTIONS:+:$ASAN_OPTIONS}"
export LSAN_OPTIONS="suppressions=$root/tests/lsan.supp:print_suppressions=0"
export UBSAN_OPTIONS="halt_on_error=1:print_stacktrace=1"

# Configured anew each time: a suite or fuzz target may have been added.
again=
[ ! -f "$build/build.ninja" ] || again=--reconfigure
meson setup "$build" $again --buildtype=debugoptimized \
  -Db_sanitize=address,undefined >"$log" 2>&1 || {
  tail -n 20 "$log"
  echo '0 passed, 1 failed'
  exit 1
}

# What does not build counts as failed; the rest is tested all the same.
built=0
ninja -C "$build" -k 0 >"$build/build.log" 2>&1 || {
  grep -E 'error|FAILED|ERROR' "$build/build.log" | grep -vE '^(cc|gcc|clang) ' |
    head -n 40
  built=$(grep -c '^FAILED' "$build/build.log")
  [ "$built" -gt 0 ] || built=1
  # Meson refuses to start when a program is missing: name those that are.
  # shellcheck disable=SC2046
  set -- "$@" $(meson introspect "$build" --tests | python3 -c '
import json, os, sys
for t in json.load(sys.stdin):
    if all(os.path.exists(c) for c in t["cmd"] if c.startswith("/")):
        print(t["name"])')
}
rm -f "$build/meson-logs/testlog.json"
if [ -n "${SLOW:-}" ]; then set -- --suite slow; else set -- "$@" --no-suite slow; fi
meson test -C "$build" --no-rebuild --num-processes 2 --timeout-multiplier 4 "$@" \
  >"$build/test.log" 2>&1 </dev/null
[ -f "$build/meson-logs/testlog.json" ] || tail -n 20 "$build/test.log"
python3 tools/tally.py "$build/meson-logs/testlog.json" --built "$built" \
  >"$build/tally.log"
rc=$?
sed '$d' "$build/tally.log"
echo "$(($(date +%s) - started)) s in all"
tail -n 1 "$build/tally.log"
exit $rc
