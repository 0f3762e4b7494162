#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The sample piece laid natively and as WebAssembly, zone by zone, bit for
# bit.  Speaks TAP.
#
#   wasm_demo.sh SOURCE-ROOT CSV2C NATIVE-PROGRAM FLATTEN-PROGRAM
set -u
flats=$(mktemp -d)
trap 'rm -rf "$flats"' EXIT
if ! "$4" "$1/data/tide-line.json" "$flats" >"$flats/list"; then
  echo "not ok 1 - the sample's zones can be written as flat arrays"
  echo "1..1"
  exit 1
fi
# shellcheck disable=SC2046
sh "$1/tests/wasm/lay.sh" "$1" "$2" "$3" $(cat "$flats/list")
