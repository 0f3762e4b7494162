#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Core is pure: its release objects hold no state (.data and .bss empty;
# .data.rel.ro, constants that need an address, is allowed) and call nothing
# but the symbols of purity_symbols.txt and each other.  The objects are
# compiled here, without sanitizers, by each compiler there is, and with only
# the include paths that the room is allowed.  Speaks TAP.
#
#   purity.sh SOURCE-ROOT BUILD-ROOT
set -u
src=$(cd "${1:-.}" && pwd) || exit 1
bld=$(cd "${2:-build-check}" && pwd) || exit 1
n=0 bad=0
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
say() {
  n=$((n + 1))
  if [ "$1" = 0 ]; then echo "ok $n - $2"; else
    bad=1
    echo "not ok $n - $2"
    sed 's/^/# /' "$tmp/wrong"
  fi
}
paths() { # the include paths of a room
  set -- base "$1" "$(case $1 in slip) echo chem ;; decor) echo form ;; esac)"
  for r in "$@"; do
    [ -z "$r" ] || printf -- '-I%s/core/%s -I%s/core/%s ' \
      "$src" "$r" "$bld" "$r"
  done
}

# symbol rooms reason
grep -vE '^[[:space:]]*(#|$)' "$src/tests/purity_symbols.txt" >"$tmp/list"

for cc in gcc clang; do
  command -v $cc >/dev/null 2>&1 || continue
  mkdir "$tmp/$cc"
  : >"$tmp/wrong"
  for f in "$src"/core/*/*.c; do
    room=$(basename "$(dirname "$f")")
    grep -q "'$(basename "$f")'" "$(dirname "$f")/meson.build" || continue
    # shellcheck disable=SC2046
    $cc -std=c17 -O2 -ffp-contract=off -D_POSIX_C_SOURCE=200809L \
      $(paths "$room") -c "$f" -o "$tmp/$cc/$room-$(basename "$f" .c).o" \
      2>>"$tmp/wrong" || echo "$f" >>"$tmp/failed"
  done
  [ ! -s "$tmp/failed" ]
  say $? "$cc: core compiles as release objects"
  rm -f "$tmp/failed"
  set -- "$tmp/$cc"/*.o
  [ -e "$1" ] || continue

  # .data .bss .tdata .tbss and their like; COMMON shows in nm as C
  for o in "$@"; do
    size -A -d "$o" | awk -v o="$(basename "$o")" '
      $1 ~ /^\.(t?data|t?bss|init_array|fini_array|ctors|dtors)/ &&
      $1 !~ /^\.data\.rel\.ro/ && $2 > 0 { print o ": " $1 " holds " $2 }'
    nm "$o" | awk -v o="$(basename "$o")" '
      $(NF-1) == "C" { print o ": common " $NF }'
  done >"$tmp/wrong"
  [ ! -s "$tmp/wrong" ]
  say $? "$cc: no state: .data and .bss are empty in $# objects"

  nm -A --defined-only -g "$@" | awk '{ print $NF }' | sort -u >"$tmp/own"
  for o in "$@"; do
    base=$(basename "$o")
    nm -u "$o" | awk -v o="$base" '{ print $NF, o }'
  done | sort -u | while read -r sym o; do
    grep -qxF "$sym" "$tmp/own" && continue
    room=${o%%-*}
    awk -v s="$sym" -v r="$room" '
      $1 == s && ($2 == "all" || ("," $2 ",") ~ ("," r ",")) { found = 1 }
      END { exit !found }' "$tmp/list" || echo "$o calls $sym"
  done >"$tmp/wrong"
  [ ! -s "$tmp/wrong" ]
  say $? "$cc: only named symbols are called"

  # A public name carries the house's prefix, or it could clash when linked.
  grep -v '^lh_' "$tmp/own" >"$tmp/wrong"
  [ ! -s "$tmp/wrong" ]
  say $? "$cc: every public name opens with lh_"
done
echo "1..$n"
exit $bad
