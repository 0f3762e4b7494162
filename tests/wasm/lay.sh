#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Build the WebAssembly module and compare what it lays with what the native
# program lays, bit for bit.  Speaks TAP.
#
#   lay.sh SOURCE-ROOT CSV2C NATIVE-PROGRAM [IN.flat...]
set -u
src=$1 csv2c=$2
native=$(realpath "$3")
shift 3
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
node "$src/tests/wasm/lay.mjs" "$tmp/module.wasm" "$native" "$tmp" "$@"
