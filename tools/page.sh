#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Build the page and the core's module into a folder beside STAMP.
#
#   tools/page.sh CSV2C STAMP DEPFILE
#
# The page's packages come from the lockfile, once (npm ci; needs the network
# the first time).  Where they cannot be had, the program is built without the
# page and says so: the command line and the server's own pages are all there.
set -eu
csv2c=$(realpath "$1")
stamp=$(realpath -m "$2") dep=$(realpath -m "$3")
out=$(dirname "$stamp")/dist
cd "$(dirname "$0")/.."

# For ninja: what the page is made of; a folder stands for files that come.
{
  printf '%s: ' "$2"
  find "$PWD/web/src" "$PWD/web/css" core/base core/form \
    core/decor core/colour core/wasm -type d -o -name '*.[ch]' -o \
    -name '*.ts' -o -name '*.tsx' -o -name '*.css' -o -name '*.csv' |
    sed "s|^core|$PWD/core|; s| |\\\\ |g" | tr '\n' ' '
  for f in web/build.mjs web/index.html web/icon.svg web/manifest.webmanifest \
    web/package-lock.json data/cvd_machado2009.csv data/tide-line.json \
    tools/page.sh tools/wasm.sh; do
    printf ' %s' "$PWD/$f"
  done
  echo
} >"$dep"

without() {
  echo "leatherhard is built without its page: $1" >&2
  rm -rf "$out"
  mkdir -p "$out"
  touch "$stamp"
  exit 0
}
for tool in node npm clang wasm-ld; do
  command -v $tool >/dev/null || without "there is no $tool (tools/install.sh)"
done

# Two builds at a time must not both fetch.
exec 9<web/package-lock.json
flock 9
have=web/node_modules/.installed # as tools/install.sh keeps it
if ! cmp -s web/package-lock.json $have; then
  (cd web && npm ci --no-audit --no-fund --loglevel=error) >&2 ||
    without "npm ci failed; its message stands above"
  cp web/package-lock.json $have
fi
exec 9<&-

tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
tools/wasm.sh "$csv2c" "$tmp/core.wasm"
node web/build.mjs --out "$out" --wasm "$tmp/core.wasm"
touch "$stamp"
