#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Run every benchmark on a release build and print Markdown: the machine, the
# date, then each program's own table.  Beside bench_X there may be X_numpy.py,
# which does the same work with numpy, and X_NAME.mjs, with a package of npm that
# bench/package-lock.json pins.  docs/benchmarks.md keeps the results.
#
#   tools/bench.sh [NAME...]   all of them, or these: ciede2000 lay ... page
set -u
# Debian's own tools first: its python3 has numpy and jsonschema.
export PATH=/usr/bin:$PATH
cd "$(dirname "$0")/.." || exit 1
build=${BUILD:-build-bench}
[ -f "$build/build.ninja" ] ||
  meson setup "$build" --buildtype=release >/dev/null || exit 1

at=$(cd "$build" && pwd)
say() { printf -- '- %s: %s\n' "$1" "$2"; }
say date "$(date -u +%Y-%m-%d)"
say processor "$(sed -n 's/^model name[^:]*: *//p' /proc/cpuinfo | head -n 1), \
$(nproc) at hand"
say memory "$(awk '/MemTotal/ { printf "%.1f GB", $2 / 1e6 }' /proc/meminfo)"
say system "$(. /etc/os-release && echo "$PRETTY_NAME"), Linux $(uname -r | cut -d- -f1)"
say compiler "$(gcc --version | head -n 1), release build"
say numpy "$(python3 -c 'import numpy, sys; print(numpy.__version__, "on Python", sys.version.split()[0])' 2>/dev/null || echo 'not here')"

rc=0
wanted() { # wanted NAME ASKED...: asked for, or nothing in particular is
  name=$1
  shift
  [ $# -eq 0 ] && return 0
  for x; do [ "$x" = "$name" ] && return 0; done
  return 1
}
for c in bench/bench_*.c; do
  [ -f "$c" ] || { echo; echo 'No benchmark yet.'; break; }
  name=$(basename "$c" .c)
  short=${name#bench_}
  wanted "$short" "$@" || continue
  name=bench_$short
  printf '\n## %s\n\n' "$short"
  if ninja -C "$build" "bench/$name" cli/leatherhard >"$build/build.log" 2>&1; then
    (cd bench && "$at/bench/$name") || { echo "$name failed"; rc=1; }
  else
    echo "$name does not build:"
    grep -E 'error|FAILED' "$build/build.log" | head -n 5
    rc=1
  fi
  py=bench/${short}_numpy.py
  if [ -f "$py" ]; then # its rows go on in the program's table
    (cd bench && python3 "$(basename "$py")") || { echo "$py failed"; rc=1; }
  fi
  for js in bench/"${short}"_*.mjs; do # likewise, with a package of npm
    [ -f "$js" ] && command -v npm >/dev/null || continue
    (cd bench && { [ -d node_modules ] || npm ci --silent >/dev/null; } &&
      node "$(basename "$js")") || { echo "$js failed"; rc=1; }
  done
done

# The page's worker: in node, then in a real browser where there is one.
page() {
  printf '\n## page\n\n'
  command -v node >/dev/null || { echo 'No node.'; return; }
  if ! ninja -C "$build" web/page.stamp cli/leatherhard >"$build/build.log" 2>&1
  then
    echo 'The page does not build.'
    rc=1
    return
  fi
  [ -f "$build/web/dist/core.wasm" ] || { echo 'No page was built.'; return; }
  node bench/page_stroke.mjs "$build/web/dist/core.wasm" || rc=1
  CHROMIUM=${CHROMIUM:-$(command -v chromium || command -v chromium-browser)}
  [ -n "$CHROMIUM" ] || { echo 'No chromium.'; return; }
  export CHROMIUM
  echo
  node bench/page_browser.mjs "$build/cli/leatherhard" "$build/web/dist" . ||
    rc=1
}
if wanted page "$@"; then page; fi
exit $rc
