#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The command line, case by case, speaking TAP.
#   cli.sh PROGRAM [case...]          run the cases (all when none is named)
#   cli.sh PROGRAM --write case...    write what is expected; read it after
# A case is tests/cli/NAME.cmd with the arguments of one call; beside it .out,
# .err (absent: nothing is expected there) and .code (absent: 0).
program=$(realpath "$1"); shift
# Under a sanitizer: what is no leak of ours.
export LSAN_OPTIONS="${LSAN_OPTIONS:-suppressions=$(realpath "$(dirname "$0")")/lsan.supp:print_suppressions=0}"
cd "$(dirname "$0")/cli" || exit 1
write=
[ "$1" = --write ] && { write=1; shift; }
export NO_COLOR=1 LC_ALL=C SOURCE_DATE_EPOCH=1790000000
scratch=$(mktemp -d); trap 'rm -rf "$scratch"' EXIT
export SCRATCH=$scratch
[ $# -gt 0 ] || set -- $(ls ./*.cmd | sed 's|^\./||; s|\.cmd$||')
n=0 bad=0
for name; do
  name=${name%.cmd}
  eval "\"\$program\" $(cat "$name.cmd")" >"$scratch/out" 2>"$scratch/err" </dev/null
  code=$?
  if [ -n "$write" ]; then
    for x in out err; do
      rm -f "$name.$x"; [ -s "$scratch/$x" ] && cp "$scratch/$x" "$name.$x"
    done
    rm -f "$name.code"; [ $code = 0 ] || echo $code >"$name.code"
    continue
  fi
  want=$(cat "$name.code" 2>/dev/null || echo 0)
  n=$((n + 1)); ok=ok
  for x in out err; do
    touch "$scratch/none"; f=$name.$x; [ -f "$f" ] || f=$scratch/none
    diff -u "$f" "$scratch/$x" >"$scratch/diff" || { ok="not ok"; sed 's/^/# /' "$scratch/diff"; }
  done
  [ "$code" = "$want" ] || { ok="not ok"; echo "# exit code $code, not $want"; }
  [ "$ok" = ok ] || bad=$((bad + 1))
  echo "$ok $n - $name"
done
[ -n "$write" ] && exit 0
echo "1..$n"
[ $bad = 0 ]
