#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Bundle the page's engine and set it beside the native program.  Speaks TAP.
#
#   engine.sh SOURCE-ROOT CSV2C LEATHERHARD LAY-NATIVE FLATTEN-PROGRAM
set -u
src=$(realpath "$1") csv2c=$2
lh=$(realpath "$3")
lay=$(realpath "$4")
flatten=$(realpath "$5")
esbuild=$src/web/node_modules/.bin/esbuild
for tool in clang wasm-ld node "$esbuild"; do
  command -v "$tool" >/dev/null || {
    echo "1..0 # SKIP no $tool"
    exit 0
  }
done
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
mkdir "$tmp/flats"
if ! {
  "$src/tools/wasm.sh" "$csv2c" "$tmp/module.wasm" &&
    "$esbuild" "$src/web/src/core/engine.ts" --bundle --format=esm \
      --platform=node --log-level=warning --outfile="$tmp/engine.mjs" &&
    "$flatten" "$src/data/tide-line.json" "$tmp/flats"
} >"$tmp/log" 2>&1; then
  echo "not ok 1 - module and engine are built"
  sed 's/^/# /' "$tmp/log"
  echo "1..1"
  exit 1
fi
node "$src/tests/wasm/engine.mjs" "$tmp/engine.mjs" "$tmp/module.wasm" \
  "$lh" "$lay" "$src/data/tide-line.json" "$tmp/flats" "$tmp"
