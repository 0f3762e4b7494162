#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Install the Debian packages named in packages.txt that are missing, and the
# npm packages of the page and of the benchmarks as their lockfiles pin them.  Does nothing, and needs no
# network, when all are there.
set -eu
here=$(dirname "$0")
command -v dpkg-query >/dev/null 2>&1 || {
  echo "This is not Debian: see $here/packages.txt for what is needed." >&2
  exit 0
}
missing=
for p in $(sed 's/#.*//' "$here/packages.txt"); do
  case $p in
  nodejs) command -v node >/dev/null 2>&1 && continue ;;
  npm) command -v npm >/dev/null 2>&1 && continue ;;
  esac
  s=$(dpkg-query -W -f='${db:Status-Status}' "$p" 2>/dev/null || true)
  [ "$s" = installed ] || missing="$missing $p"
done
if [ -n "$missing" ]; then
  echo "installing:$missing"
  as=
  if [ "$(id -u)" != 0 ]; then
    command -v sudo >/dev/null 2>&1 || {
      echo "Only root can install them: run this once as root, $0" >&2
      exit 1
    }
    as=sudo
  fi
  export DEBIAN_FRONTEND=noninteractive
  $as apt-get -qq -o DPkg::Lock::Timeout=500 update
  # shellcheck disable=SC2086
  $as apt-get -qq -y --no-install-recommends -o DPkg::Lock::Timeout=500 \
    install $missing >/dev/null
fi
for folder in web bench; do # bench: culori, for a test and a benchmark
  at=$here/../$folder
  [ -f "$at/package-lock.json" ] || continue
  ! cmp -s "$at/package-lock.json" "$at/node_modules/.installed" || continue
  echo "installing: the npm packages of $folder/"
  if (cd "$at" && npm ci --no-audit --no-fund --loglevel=error); then
    cp "$at/package-lock.json" "$at/node_modules/.installed"
  elif [ $folder = web ]; then
    echo "They cannot be had now: leatherhard is built without its page." >&2
  else
    echo "They cannot be had now: a test of colours is left out." >&2
  fi
done
