#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A room of core gives the same bits natively and as WebAssembly, and the
# module imports nothing.  Speaks TAP.
#
#   same_bits.sh SOURCE-ROOT ROOM NATIVE-PROGRAM "OPTIONS|..." [TABLE-HEADER]
#
# The native program prints a line a part: its bits, a tab, what it is.  It
# and the module are made of the same tests/ROOM/bits.c, the room, and what it
# takes of base; the module with each of the options in turn.
set -u
src=$1 room=$2 native=$3 all=$4
tables=$src
[ $# -lt 5 ] || tables=$(dirname "$5")
command -v clang >/dev/null && command -v node >/dev/null &&
  clang --print-targets | grep -q wasm32 || {
  echo "1..0 # SKIP no clang for wasm32, or no node"
  exit 0
}
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
tab=$(printf '\t')
n=0 bad=0
say() {
  n=$((n + 1))
  if [ "$1" = 0 ]; then echo "ok $n - $2"; else
    bad=1
    echo "not ok $n - $2"
    sed 's/^/# /' "$tmp/log"
  fi
}
cat >"$tmp/run.js" <<'JS'
const m = new WebAssembly.Module(require('fs').readFileSync(process.argv[2]));
const wants = WebAssembly.Module.imports(m);
if (wants.length > 0) {
  console.log('imports ' + JSON.stringify(wants));
  process.exit(1);
}
const e = new WebAssembly.Instance(m, {}).exports;
for (let part = 0; part < Number(process.argv[3]); part++)
  console.log(e.lh_bits_of_part(part) >>> 0);
JS

"$native" >"$tmp/native" 2>"$tmp/log" && [ -s "$tmp/native" ]
say $? "the native program runs"
parts=$(wc -l <"$tmp/native")
while [ -n "$all" ]; do
  options=${all%%|*}
  case $all in *"|"*) all=${all#*|} ;; *) all= ;; esac
  # shellcheck disable=SC2086
  clang --target=wasm32-wasi $options -std=c17 -ffp-contract=off -DNDEBUG \
    -nostartfiles -Wl,--no-entry -Wl,--export=lh_bits_of_part \
    -Wl,-z,stack-size=1048576 -I"$tables" -I"$src/core/base" \
    -I"$src/core/$room" "$src/tests/$room/bits.c" "$src/core/$room"/*.c \
    "$src/core/base/exact.c" "$src/core/base/arena.c" \
    -o "$tmp/bits.wasm" >"$tmp/log" 2>&1
  say $? "WebAssembly $options: builds"
  node "$tmp/run.js" "$tmp/bits.wasm" "$parts" >"$tmp/wasm" 2>&1
  r=$?
  cp "$tmp/wasm" "$tmp/log"
  say $r "WebAssembly $options: imports nothing and runs"
  part=0
  while IFS=$tab read -r a what; do
    part=$((part + 1))
    b=$(sed -n "${part}p" "$tmp/wasm")
    echo "native $a, WebAssembly $b" >"$tmp/log"
    [ -n "$a" ] && [ "$a" = "$b" ]
    say $? "WebAssembly $options: the same bits: $what"
  done <"$tmp/native"
done
echo "1..$n"
exit $bad
