#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Build the WebAssembly module and compare what a page asks of it with the
# same done natively.  Speaks TAP.
#
#   page.sh SOURCE-ROOT CSV2C LAY-NATIVE PAGE-NATIVE
set -u
src=$1 csv2c=$2
lay=$(realpath "$3")
page=$(realpath "$4")
for tool in clang wasm-ld node; do
  command -v $tool >/dev/null || {
    echo "1..0 # SKIP no $tool"
    exit 0
  }
done
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
if ! "$src/tools/wasm.sh" "$csv2c" "$tmp/module.wasm" >"$tmp/log" 2>&1; then
  echo "not ok 1 - the WebAssembly module builds and imports nothing"
  sed 's/^/# /' "$tmp/log"
  echo "1..1"
  exit 1
fi
node "$src/tests/wasm/page.mjs" "$tmp/module.wasm" "$lay" "$page" "$tmp"
