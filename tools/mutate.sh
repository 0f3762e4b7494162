#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Break the code on purpose and see that the tests notice.  Each patch in
# tests/mutations/ opens with
#
#   # suite: <the meson test that must fall>
#   # falls: <part of its TAP line that then says "not ok">
#
# The tree is copied to a scratch folder; there each named suite must
# first pass whole, then fall in the named line with the patch applied.
#
#   tools/mutate.sh [NAME...]   try all patches, or these
#   tools/mutate.sh --table     print the table of tests/README.md
#   tools/mutate.sh --write     put it there
set -u
# Debian's own tools first: its python3 has numpy and jsonschema.
export PATH=/usr/bin:$PATH
cd "$(dirname "$0")/.." || exit 1
head_of() { sed -n "s/^# $2: *//p" "$1" | head -n 1; }
cell() { sed 's/|/\\|/g; s/^[[:space:]]*//' | cut -c 1-90; }
first() { # first removed or added line of a patch: first - FILE
  grep "^$1" "$2" | grep -vE '^(---|\+\+\+)( |$)' |
    grep -vE '^[-+][[:space:]]*$' | head -n 1 | cut -c 2- | cell
}

table() {
  echo '| mutation | file | was | becomes | suite | check that falls |'
  echo '|---|---|---|---|---|---|'
  for p in tests/mutations/*.patch; do
    [ -f "$p" ] || continue
    file=$(sed -n 's|^+++ b/\([^[:space:]]*\).*|\1|p' "$p" | head -n 1)
    was=$(first - "$p") now=$(first + "$p")
    printf '| %s | %s | %s | %s | %s | %s |\n' "$(basename "$p" .patch)" \
      "$file" "${was:+\`$was\`}" "${now:+\`$now\`}" \
      "$(head_of "$p" suite)" "$(head_of "$p" falls | cell)"
  done
}
case ${1:-} in
--table)
  table
  exit 0 ;;
--write)
  readme=tests/README.md
  {
    sed '/^<!-- mutations -->$/q' $readme
    table
    sed -n '/^<!-- end of mutations -->$/,$p' $readme
  } >$readme.new && mv $readme.new $readme
  exit 0 ;;
esac

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
git ls-files -zco --exclude-standard | xargs -0 cp --parents -t "$scratch" 2>/dev/null
here=$(pwd)
cd "$scratch" || exit 1
# What npm installed is not part of the tree, but some suites want it.
for d in web bench; do
  [ ! -d "$here/$d/node_modules" ] || ln -s "$here/$d/node_modules" $d/
done
meson setup b --buildtype=debugoptimized -Dwerror=false >setup.log 2>&1 || {
  tail -n 5 setup.log
  exit 1
}

# The lines that a suite printed in its last run.
lines() {
  python3 -c 'import json, sys
for line in open("b/meson-logs/testlog.json", errors="replace"):
    print(json.loads(line).get("stdout", ""))' 2>/dev/null
}
run() { # run SUITE: 0 passed, 1 failed, 2 did not build
  rm -f b/meson-logs/testlog.json
  meson test -C b --num-processes 1 "$1" >run.log 2>&1 && return 0
  [ -s b/meson-logs/testlog.json ] && return 1
  return 2
}

caught=0 missed=0
printf '%-30s%-14s%s\n' mutation suite result
for p in "$here"/tests/mutations/*.patch; do
  [ -f "$p" ] || continue
  name=$(basename "$p" .patch)
  [ $# -eq 0 ] || case " $* " in *" $name "*) ;; *) continue ;; esac
  suite=$(head_of "$p" suite) falls=$(head_of "$p" falls)
  result=
  if [ -z "$suite" ] || [ -z "$falls" ]; then
    result='MISSED: the head names no suite or no check'
  elif [ ! -f "sound-$suite" ] && ! run "$suite"; then
    result='MISSED: the suite does not pass unbroken'
  elif touch "sound-$suite" && ! patch -p1 -s -f <"$p" >patch.log 2>&1; then
    result="MISSED: the patch does not apply"
    # half a patch must not spoil the next one
    git -C "$here" ls-files -zco --exclude-standard | (cd "$here" && xargs -0 cp --parents -t \
      "$scratch" 2>/dev/null)
  else
    run "$suite"
    rc=$?
    if [ $rc -eq 0 ]; then result='MISSED: every check still passes'
    elif [ $rc -eq 2 ]; then result='MISSED: it does not build'
    elif lines | grep '^not ok' | grep -qF -- "$falls"; then
      result="caught: $falls"
    else
      result="MISSED: not \"$falls\", but $(lines | grep '^not ok' |
        head -n 1)"
    fi
    patch -p1 -s -f -R <"$p" >patch.log 2>&1
  fi
  case $result in caught*) caught=$((caught + 1)) ;; *)
    missed=$((missed + 1)) ;;
  esac
  printf '%-30s%-14s%s\n' "$name" "$suite" "$result"
done
echo "$caught caught, $missed missed"
[ $missed -eq 0 ]
