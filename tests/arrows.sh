#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The arrows of the house run down: read every #include, and the few words
# that only one floor may say.  Speaks TAP.
#
#   arrows.sh SOURCE-ROOT
set -u
cd "${1:-.}" || exit 1
n=0 bad=0
say() { # say RESULT TEXT [LINES]
  n=$((n + 1))
  if [ "$1" = 0 ]; then echo "ok $n - $2"; else
    bad=1
    echo "not ok $n - $2"
    [ -z "${3:-}" ] || echo "$3" | sed 's/^/# /'
  fi
}
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT

rooms='core/base core/chem core/slip core/colour core/form core/decor core/fire
core/plan solve piece studio ops cli http'
floor() { # a greater number may include a smaller; core is judged by room
  case $1 in
  core/*) echo 0 ;; solve) echo 1 ;; piece) echo 2 ;; studio) echo 3 ;;
  ops) echo 4 ;; http) echo 5 ;; cli) echo 6 ;; # cli starts the server
  esac
}
may() { # may ROOM use ROOM?
  [ "$1" = "$2" ] && return 0
  case "$1>$2" in
  core/*'>core/base') return 0 ;;
  'core/slip>core/chem' | 'core/decor>core/form') return 0 ;;
  core/*) return 1 ;;
  esac
  [ "$(floor "$1")" -gt "$(floor "$2")" ]
}

# Who owns which header; a table's header is made in the room that names it.
for room in $rooms; do
  [ -d "$room" ] || continue
  find "$room" -name '*.[ch]' -o -name '*.def' | sort |
    while read -r f; do echo "$(basename "$f") $room"; done
done >"$tmp/owned"
dup=$(grep -E '\.(h|def) ' "$tmp/owned" | sort | cut -d' ' -f1 | uniq -d)
[ -z "$dup" ]
say $? 'a header has one name in the whole house' "$dup"

: >"$tmp/wrong"
for room in $rooms; do
  for f in "$room"/*.c; do
    [ ! -f "$f" ] || grep -q "'$(basename "$f")'" "$room/meson.build" ||
      echo "$f" >>"$tmp/wrong"
  done
done
[ ! -s "$tmp/wrong" ]
say $? "every file is named in its room's meson.build" "$(cat "$tmp/wrong")"

for room in $rooms; do
  [ -d "$room" ] || continue
  find "$room" -name '*.[ch]' >"$tmp/files"
  [ -s "$tmp/files" ] || continue
  : >"$tmp/wrong"
  xargs grep -nE '^[[:space:]]*#[[:space:]]*include[[:space:]]*"' \
    <"$tmp/files" /dev/null |
    sed -E 's/^([^:]*:[0-9]+):[^"]*"([^"]*)".*/\1 \2/' |
    while read -r where header; do
      name=$(basename "$header")
      owner=$(grep "^$name " "$tmp/owned" | head -n 1 | cut -d' ' -f2)
      if [ -z "$owner" ]; then
        # not in the tree: made by the build, as its meson.build says
        made=$(grep -lwF "${name%.*}" ./meson.build core/*/meson.build \
          ./*/meson.build 2>/dev/null | sed 's|^\./||; s|/*meson.build$||')
        found=
        for r in ${made:-none}; do
          [ "$r" = none ] || ! may "$room" "$r" || found=1
        done
        [ -n "$found" ] || grep -qwF "'$name'" meson.build ||
          echo "$where: \"$header\" belongs to no room that $room may use"
      elif ! may "$room" "$owner"; then
        echo "$where: $room includes \"$header\" of $owner"
      fi
    done >"$tmp/wrong"
  [ ! -s "$tmp/wrong" ]
  say $? "$room includes only what lies below it" "$(cat "$tmp/wrong")"
done

# only PATTERN WHERE... TEXT: a word that may be said in those rooms alone
only() { # only 'pattern' 'rooms regex' text
  find core solve piece studio ops cli http -name '*.[ch]' 2>/dev/null |
    grep -vE "^($2)/" | xargs grep -nE "$1" /dev/null >"$tmp/wrong"
  [ ! -s "$tmp/wrong" ]
  say $? "$3" "$(cat "$tmp/wrong")"
}
inc='^[[:space:]]*#[[:space:]]*include[[:space:]]*<'
# <stdlib.h> in base/number.c alone, for strtod, which rounds correctly; that
# nothing there allocates is the purity test's to see.  <immintrin.h> in the
# fast kernels: instructions of the processor, which is no library.
find core -name '*.[ch]' | xargs grep -nE "$inc" /dev/null |
  grep -vE '<(assert|float|limits|math|stdbool|stddef|stdint|string)\.h>' |
  grep -v '^core/base/number\.c:.*<stdlib\.h>' |
  grep -v '^core/colour/fast_[a-z0-9]*\.c:.*<immintrin\.h>' >"$tmp/wrong"
[ ! -s "$tmp/wrong" ]
say $? 'core: no stdio, stdlib, time, locale, threads or library' \
  "$(cat "$tmp/wrong")"
only "$inc"'jansson' 'piece|ops' 'JSON is read and written in piece and ops'
only "$inc"'(gsl/|cvode|sundials|glpk)' 'solve' \
  'the numerical libraries live in solve'
only "$inc"'(cairo|pango|png|lcms2|sqlite3|fontconfig|libxml)' 'studio' \
  'drawing, pictures and books live in studio'
only "$inc"'(pthread|threads|stdatomic)' 'ops' 'threads live in ops'
only '(^|[^_[:alnum:]."])(exit|_exit|_Exit|abort|quick_exit) *\(' 'cli' \
  'only cli ends the program'
only '(^|[^_[:alnum:]])(setjmp|longjmp|sigsetjmp|siglongjmp) *\(' 'studio|solve' \
  'nobody jumps (libpng in studio and GLPK in solve ask for it)'
only '(^|[^_[:alnum:]])setlocale *\(' 'cli' 'only cli may set a locale'

echo "1..$n"
exit $bad
