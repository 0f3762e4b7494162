#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# `make check`, and all that takes longer: both compilers, debug and release,
# warnings as errors; valgrind; cppcheck; the house format; each fuzz target
# for a while; the mutations; same input, same bytes.
#
#   FUZZ_SECONDS=n  for each target (60)
#   tools/check-all.sh [STEP...]  these steps only
#
# Ends with a table, then "N passed, N failed" over checks and steps.
set -u
# Debian's own tools first: its python3 has numpy and jsonschema.
export PATH=/usr/bin:$PATH
cd "$(dirname "$0")/.." || exit 1
log=build-all
mkdir -p $log
table=$log/table
: >$table
passed=0 failed=0
steps=$*

step() { # step NAME COMMAND...
  name=$1
  shift
  [ -z "$steps" ] || case " $steps " in *" $name "*) ;; *) return ;; esac
  echo "== $name"
  from=$(date +%s)
  "$@" >"$log/$name.log" 2>&1
  rc=$?
  took=$(($(date +%s) - from))
  last=$(tail -n 1 "$log/$name.log")
  p=0 f=0
  if echo "$last" | grep -qE '^[0-9]+ passed, [0-9]+ failed$'; then
    p=${last%% passed*}
    f=${last##*, }
    f=${f%% failed*}
  elif [ $rc -eq 0 ]; then p=1; fi
  [ $rc -eq 0 ] || [ "$f" -gt 0 ] || f=1
  passed=$((passed + p)) failed=$((failed + f))
  word=ok
  if [ "$f" -gt 0 ]; then
    word=FAILED
    grep -vE '^(\[[0-9]+/|ninja: )' "$log/$name.log" | tail -n 40 |
      sed 's/^/  /'
  fi
  printf '%-16s%8s s  %-7s %s\n' "$name" $took $word "$last" >>$table
}

# Every test but the browser's, which are the page's and not the compiler's.
both() { # both COMPILER TYPE: build everything and run the tests
  b=$log/$1-$2
  [ -f "$b/build.ninja" ] ||
    CC=$1 meson setup "$b" --buildtype="$2" >"$b.setup" 2>&1 ||
    { cat "$b.setup"; return 1; }
  meson setup "$b" --reconfigure >"$b.setup" 2>&1 || return 1
  ninja -C "$b" -k 0 || return 1
  rm -f "$b/meson-logs/testlog.json"
  meson test -C "$b" --no-rebuild --num-processes 2 --no-suite page \
    </dev/null >/dev/null 2>&1
  python3 tools/tally.py "$b/meson-logs/testlog.json"
}

# Only our own programs, not the shell's and node's suites; not base-exact,
# whose oracle is long double, which valgrind rounds to double; and not the
# slow ones, which would take hours: they run what the others run, more often.
memcheck() {
  b=$log/gcc-debug
  [ -f "$b/build.ninja" ] || both gcc debug >/dev/null
  ninja -C "$b" || return 1
  rm -f "$b"/meson-logs/testlog-valgrind.json
  # shellcheck disable=SC2046
  meson test -C "$b" --no-rebuild --num-processes 2 --timeout-multiplier 20 \
    --wrapper 'valgrind -q --error-exitcode=99 --leak-check=full
    --errors-for-leak-kinds=definite --trace-children=no' \
    $(meson introspect "$b" --tests | python3 -c '
import json, sys
for t in json.load(sys.stdin):
    slow = any(x.endswith("slow") for x in t["suite"])
    if "/build-all/" in t["cmd"][0] and t["name"] != "base-exact" and not slow:
        print(t["name"])') </dev/null >/dev/null 2>&1
  python3 tools/tally.py "$b/meson-logs/testlog-valgrind.json"
}

# The program in full; the tests and benchmarks without questions of style.
static() {
  includes=$(for d in core/* piece studio ops http cli tests bench; do
    [ ! -d "$d" ] || echo "-I $d"; done)
  # shellcheck disable=SC2046,SC2086
  set -- --quiet --std=c11 --language=c --inline-suppr --error-exitcode=1 \
    --force --suppressions-list=tools/cppcheck.txt \
    -D_POSIX_C_SOURCE=200809L $includes
  n=$(git ls-files '*.c' | wc -l)
  rc=0
  # shellcheck disable=SC2046
  cppcheck --enable=warning,style,performance,portability "$@" \
    $(git ls-files '*.c' | grep -vE '^(tests|bench)/') || rc=1
  # shellcheck disable=SC2046
  cppcheck --enable=warning,performance,portability "$@" \
    $(git ls-files '*.c' | grep -E '^(tests|bench)/') || rc=1
  [ $rc -eq 0 ] && echo "cppcheck: clean over $n files"
}

format() {
  n=$(git ls-files '*.c' '*.h' | wc -l)
  git ls-files '*.c' '*.h' | xargs clang-format-14 --dry-run -Werror 2>&1 |
    grep -oE '^[^ ]+: error' | sort -u >$log/format.list
  cut -d: -f1 $log/format.list | uniq -c
  [ ! -s $log/format.list ] &&
    echo "clang-format: $n files as they should be"
}

# Two runs, other folder, other day of the clock's zone: the same bytes.
bytes() {
  b=$log/gcc-release
  [ -x "$b/cli/leatherhard" ] || { echo 'leatherhard is not built'; return 1; }
  rm -rf $log/bytes-1 $log/bytes-2
  SOURCE_DATE_EPOCH=1767225600 TZ=UTC LC_ALL=C \
    "$b/cli/leatherhard" demo $log/bytes-1 >$log/bytes-1.txt || return 1
  sleep 2
  SOURCE_DATE_EPOCH=1767225600 TZ=Asia/Tokyo LC_ALL=C.UTF-8 \
    "$b/cli/leatherhard" demo $log/bytes-2 >$log/bytes-2.txt || return 1
  for f in piece.json picture-band.png picture-side.png picture-above.png \
    sheets.pdf; do
    cmp "$log/bytes-1/$f" "$log/bytes-2/$f" || return 1
  done
  echo 'five files, the same bytes twice'
}

manual() {
  page=$log/gcc-release/cli/leatherhard.1
  [ -f "$page" ] || { echo 'the man page is not built'; return 1; }
  mandoc -T lint -W warning "$page" && echo 'mandoc: nothing to say'
}

# tests/README.md lists every mutation as it is.
listed() {
  sed -n '/^<!-- mutations -->$/,/^<!-- end of mutations -->$/p' \
    tests/README.md | grep -v '^<!--' >$log/table.is
  tools/mutate.sh --table >$log/table.should
  diff $log/table.is $log/table.should && echo 'the table is up to date'
}

step check tools/check.sh
step slow env SLOW=1 tools/check.sh
step gcc-debug both gcc debug
step gcc-release both gcc release
step clang-debug both clang debug
step clang-release both clang release
step valgrind memcheck
step cppcheck static
step format format
step bytes bytes
step manual manual
step mutations tools/mutate.sh
step listed listed
step fuzz tools/fuzz.sh
echo
cat $table
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
