#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The room colour gives the same bits natively and as WebAssembly, and the
# module imports nothing.  Speaks TAP.
#
#   same_bits.sh SOURCE-ROOT NATIVE-PROGRAM TABLE-HEADER
set -u
src=$1 native=$2 tables=$(dirname "$3")
command -v clang >/dev/null && command -v node >/dev/null &&
  clang --print-targets | grep -q wasm32 || {
  echo "1..0 # SKIP no clang for wasm32, or no node"
  exit 0
}
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
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
for (let part = 0; part < 6; part++) console.log(e.lh_bits_of_part(part) >>> 0);
JS

"$native" >"$tmp/native" 2>"$tmp/log"
say $? "the native program runs"
for options in "-O2" "-O3 -msimd128"; do
  # shellcheck disable=SC2086
  clang --target=wasm32-wasi $options -std=c17 -ffp-contract=off -DNDEBUG \
    -nostartfiles -Wl,--no-entry -Wl,--export=lh_bits_of_part \
    -Wl,-z,stack-size=1048576 -I"$tables" \
    -I"$src/core/base" -I"$src/core/colour" "$src/tests/colour/bits.c" \
    "$src"/core/colour/*.c "$src/core/base/exact.c" "$src/core/base/arena.c" \
    -o "$tmp/bits.wasm" >"$tmp/log" 2>&1
  say $? "WebAssembly $options: builds"
  node "$tmp/run.js" "$tmp/bits.wasm" >"$tmp/wasm" 2>&1
  r=$?
  cp "$tmp/wasm" "$tmp/log"
  say $r "WebAssembly $options: imports nothing and runs"
  part=0
  for what in "spaces and differences" layers glazes "stacks and ranges" \
    recovery "fast kernels"; do
    part=$((part + 1))
    a=$(sed -n "${part}p" "$tmp/native") b=$(sed -n "${part}p" "$tmp/wasm")
    echo "native $a, WebAssembly $b" >"$tmp/log"
    [ -n "$a" ] && [ "$a" = "$b" ]
    say $? "WebAssembly $options: the same bits: $what"
  done
done
echo "1..$n"
exit $bad
