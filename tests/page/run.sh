#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Run one of the page's suites; skip, and say why, where it cannot.  TAP.
#
#   run.sh SUITE LEATHERHARD DIST SOURCE-ROOT SHOTS
set -u
suite=$1
shift
here=$(dirname "$0")
web=$3/web
skip() {
  echo "1..0 # SKIP $1"
  exit 0
}
command -v node >/dev/null || skip 'no node'
[ -d "$web/node_modules/playwright-core" ] || skip 'no npm packages: npm ci'
case $suite in
types)
  echo 1..1
  if says=$(cd "$web" && node node_modules/typescript/bin/tsc --noEmit 2>&1); then
    echo 'ok 1 - the page is soundly typed'
  else
    echo 'not ok 1 - the page is soundly typed'
    echo "$says" | sed 's/^/# /'
  fi
  exit 0
  ;;
plain) ;;
*)
  [ -f "$2/app.js" ] || skip 'the page was not built'
  CHROMIUM=${CHROMIUM:-$(command -v chromium || command -v chromium-browser)}
  [ -n "$CHROMIUM" ] || skip 'no chromium'
  export CHROMIUM
  ;;
esac
exec node "$here/$suite.mjs" "$@"
