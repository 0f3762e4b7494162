#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Compile core/base, form, decor and colour into the WebAssembly module that
# the page lays marks with, and fail if the module asks for anything from
# outside.  The rooms are compiled as they stand; tables (CSV) are turned into
# C on the way, as the native build does.
#
#   tools/wasm.sh CSV2C OUT.wasm
#
# CSV2C is the built tools/csv2c.c.  Needs clang, lld, wasi-libc, node.
set -eu
csv2c=$(realpath "$1")
case $2 in /*) out=$2 ;; *) out=$(pwd)/$2 ;; esac
cd "$(dirname "$0")/.."
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT

for name in $(grep -hoE '"[a-z0-9_]+\.h"' core/colour/*.c | tr -d '"' |
  sort -u | sed 's/\.h$//'); do
  [ ! -f "data/$name.csv" ] ||
    "$csv2c" "$name" <"data/$name.csv" >"$tmp/$name.h"
done
exports=
for f in lay relay ready since paint sums measure window shapes hit palette strength reach work bleed colour memo \
  tint resize rings chart place back repeat dab; do
  exports="$exports -Wl,--export=lh_module_$f"
done
# -ffp-contract=off: no multiply-add is contracted, so the bits are the native
# ones.  -fno-math-errno: sqrt is an instruction.
# shellcheck disable=SC2086
clang --target=wasm32-wasi -std=c17 -O2 -msimd128 -ffp-contract=off \
  -fno-math-errno -DNDEBUG -Wall -Wextra -Werror -mexec-model=reactor \
  $exports -Wl,--export=__heap_base -Wl,--strip-all -Wl,-z,stack-size=262144 \
  -Icore/base -Icore/form -Icore/decor -Icore/colour -Icore/wasm -I"$tmp" \
  core/base/*.c core/form/*.c core/decor/*.c core/colour/*.c core/wasm/*.c \
  -o "$tmp/module.wasm"
node -e '
const m = new WebAssembly.Module(require("fs").readFileSync(process.argv[1]));
const wants = WebAssembly.Module.imports(m);
for (const w of wants) console.error("imports " + w.module + "." + w.name);
process.exit(wants.length ? 1 : 0);
' "$tmp/module.wasm"
mv "$tmp/module.wasm" "$out"
