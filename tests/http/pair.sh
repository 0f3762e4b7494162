#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Run pair.mjs; skip, and say why, where it cannot.  TAP.
#
#   pair.sh LEATHERHARD SOURCE-ROOT
skip() {
  echo "1..0 # SKIP $1"
  exit 0
}
command -v node >/dev/null || skip 'no node'
[ -d "$2/web/node_modules/playwright-core" ] || skip 'no npm packages: npm ci'
CHROMIUM=${CHROMIUM:-$(command -v chromium || command -v chromium-browser)}
[ -n "$CHROMIUM" ] || skip 'no chromium'
export CHROMIUM
exec node "$(dirname "$0")/pair.mjs" "$@"
