#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A table becomes C; a bad row fails the build and says where.  Speaks TAP.
#
#   csv2c.sh CSV2C
set -u
csv2c=$1
n=0 bad=0
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
# A sanitizer's finding is not to be taken for a refusal.
export ASAN_OPTIONS=exitcode=99 UBSAN_OPTIONS=exitcode=99:halt_on_error=1
say() {
  n=$((n + 1))
  if [ "$1" = 0 ]; then echo "ok $n - $2"; else
    bad=1
    echo "not ok $n - $2"
    sed 's/^/# /' "$tmp/err"
  fi
}
refuse() { # refuse TEXT WORDS: exit code 1 for $tmp/in, the words on stderr
  "$csv2c" t <"$tmp/in" >"$tmp/out" 2>"$tmp/err"
  rc=$?
  [ $rc -eq 1 ] && grep -qF -- "$2" "$tmp/err"
  say $? "refused: $1"
}
compile() { # does the table in $tmp/in become C that says this when run?
  "$csv2c" t <"$tmp/in" >"$tmp/t.h" 2>"$tmp/err" &&
    printf '#include <stdio.h>\n#include "t.h"\n%s\n' "$1" >"$tmp/t.c" &&
    cc -std=c17 -Wall -Wextra -Werror -I"$tmp" -o "$tmp/t" "$tmp/t.c" \
      2>"$tmp/err" && "$tmp/t" >"$tmp/out" 2>"$tmp/err"
}
src='# source: invented'

printf '%s\nx,y\n1,2.5\n-3e2,\n' "$src" >"$tmp/in"
compile \
  'int main(void){printf("%g %g %g %d %d\n",t[0][0],t[0][1],t[1][0],isnan(t[1][1])!=0,(int)t_count);return 0;}'
say $? 'a table of numbers becomes C that compiles'
[ "$(cat "$tmp/out")" = '1 2.5 -300 1 2' ]
say $? 'its numbers are the ones written, an empty cell is NAN'
printf '\357\273\277%s\r\n# text: name, why\r\nname,1st x,why\r\n"a ""b"", c",4,d\\e\r\n' \
  "$src" >"$tmp/in"
compile \
  'int main(void){printf("%s|%g|%s\n",t[0].name,t[0]._1st_x,t[0].why);return 0;}'
say $? 'words, quotes, a byte order mark and CRLF are understood'
[ "$(cat "$tmp/out")" = 'a "b", c|4|d\e' ]
say $? 'its words are the ones written'

printf '%s\nx,y\n1,2\n3\n' "$src" >"$tmp/in"
refuse 'a row too short' 'line 4'
printf '%s\nx,y\n1,2,3\n' "$src" >"$tmp/in"
refuse 'a row too long' 'line 3'
printf '%s\nx\nten\n' "$src" >"$tmp/in"
refuse 'a word where a number belongs' \
  '"ten" csv2c: t: line 3'
printf '%s\nx\n1,5\n' "$src" >"$tmp/in"
refuse 'a decimal comma' 'line 3'
printf '%s\nx\nnan\n' "$src" >"$tmp/in"
refuse 'nan' 'line 3'
printf '%s\nx\ninf\n' "$src" >"$tmp/in"
refuse 'infinity' 'line 3'
printf '%s\nx\n1e999\n' "$src" >"$tmp/in"
refuse 'a number out of range' 'line 3'
printf '%s\nx\n0x10\n' "$src" >"$tmp/in"
refuse 'a hexadecimal number' 'line 3'
printf '%s\n# text: x\nx\n"open\n' "$src" >"$tmp/in"
refuse 'an open quote' 'line 4'
printf '%s\n# text: x\nx\n"a"b\n' "$src" >"$tmp/in"
refuse 'text after a quote' 'line 4'
printf '%s\n# text: z\nx\n1\n' "$src" >"$tmp/in"
refuse 'a text column that is not there' '"z"'
printf '%s\nx,x\n1,2\n' "$src" >"$tmp/in"
refuse 'two columns of one name' 'line 2'
printf '%s\nx,\n1,2\n' "$src" >"$tmp/in"
refuse 'a column without a name' 'line 2'
printf '%s\nx\n' "$src" >"$tmp/in"
refuse 'a table without rows' 'no rows'
printf '' >"$tmp/in"
refuse 'nothing at all' 'no rows'
printf 'x\n1\n' >"$tmp/in"
refuse 'a table that names no source' 'no note names'
printf '%s\nx\n1\0002\n' "$src" >"$tmp/in"
refuse 'a zero byte' 'line 3'
printf '%s\n# text: x\nx\na\001b\n' "$src" >"$tmp/in"
refuse 'a control byte' 'line 4'
{ printf '%s\nx' "$src"; i=0; while [ $i -lt 200 ]; do printf ',c%d' $i
  i=$((i + 1)); done; printf '\n1\n'; } >"$tmp/in"
refuse '201 columns' 'too many cells'
{ printf '%s\nx\n' "$src"; head -c 70000 /dev/zero | tr '\0' 1; echo; } >"$tmp/in"
refuse 'a line of 70,000 digits' 'too long'

# Broken at every place: a cut or a changed byte never ends in a crash.
printf '%s\n# text: a\na,b\n"q ""r""",1.5\ns,-2e3\n' "$src" >"$tmp/good"
size=$(wc -c <"$tmp/good") i=0 : >"$tmp/err"
crash=0
while [ "$i" -lt "$size" ]; do
  head -c "$i" "$tmp/good" | "$csv2c" t >/dev/null 2>"$tmp/one"
  [ $? -le 1 ] && ! grep -q runtime.error "$tmp/one" || { crash=1; cat "$tmp/one" >>"$tmp/err"; }
  for byte in '"' ',' '\n' '\0' '\377' '#'; do
    { head -c "$i" "$tmp/good"; printf "$byte"
      tail -c +"$((i + 2))" "$tmp/good"; } | "$csv2c" t >/dev/null 2>"$tmp/one"
    [ $? -le 1 ] && ! grep -q runtime.error "$tmp/one" || { crash=1; cat "$tmp/one" >>"$tmp/err"; }
  done
  i=$((i + 1))
done
[ $crash -eq 0 ]
say $? "$((size * 7)) broken tables: refused or read, never a crash"

echo "1..$n"
exit $bad
