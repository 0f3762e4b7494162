#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The words of `leatherhard book`, one after the other on one book, speaking
# TAP.  All documents are invented.
#   words.sh PROGRAM
program=$(realpath "$1")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 1
export NO_COLOR=1 LC_ALL=C.UTF-8 SOURCE_DATE_EPOCH=1790000000
n=0 bad=0

# say NAME CODE STDOUT STDERR COMMAND...: both texts are patterns of the shell.
say() {
  name=$1 code=$2 out=$3 err=$4
  shift 4
  "$program" "$@" >out 2>err </dev/null
  rc=$?
  n=$((n + 1))
  # shellcheck disable=SC2053
  if [ $rc = "$code" ] && [[ $(cat out) == $out ]] && [[ $(cat err) == $err ]]
  then
    echo "ok $n - $name"
  else
    bad=1
    echo "not ok $n - $name"
    echo "# exit $rc, not $code; wanted \"$out\" and \"$err\", got"
    sed 's/^/# /' out err
  fi
}
b='book s.book'
q='*'

cat >clay.json <<'J'
{"name": "Pit clay (invented)", "formula": "Al2O3.2SiO2.2H2O",
 "price_per_kg": 1.5, "stock_g": 4000, "note": "from the brook"}
J
cat >slip.json <<'J'
{"id": "grey", "name": "Grey slip", "absorption_m2_g": 0.01,
 "scattering_m2_g": 0.01, "litre_weight_g": "1400,5", "coat_g_m2": 80}
J
cat >wrong.json <<'J'
{"id": "green", "absorbtion_m2_g": 0.01}
J
cat >recipe.json <<'J'
{"recipe": {"kind": "slip", "lines": [
  {"material": "Pit clay (invented)", "parts": 100}]}}
J

cat >table.csv <<'J'
name;SiO2;Al2O3;LOI;mesh;price per kg
Fen clay (invented);60,5;25;12,5;200;0,8
Fen sand (invented);99;<0,5;0,2;60;
J
cat >broken.csv <<'J'
name;SiO2
Marsh clay (invented);60
Marsh 1;6o
J
cat >newer.csv <<'J'
name,SiO2,Al2O3,LOI
Fen clay (invented),60.75,25.0,12.25
J
"$program" book t2.book init >/dev/null

# shellcheck disable=SC2086
{
say 'no book yet' 2 '' 's.book: cannot find it*init*' $b check
say 'init' 0 '*s.book is begun.' '' $b init
say 'init twice' 2 '' 's.book: there is something*' $b init
say 'add a slip' 0 '*grey is saved: revision 1.' '' $b add slip slip.json
say 'add it twice' 2 '' '/id: "grey" is in the book already*' \
  $b add slip slip.json
say 'add what is wrong' 2 '' \
  '/absorbtion_m2_g: *nearest is "absorption_m2_g"*' $b add slip wrong.json
say 'add a kind that is none' 2 '' 'slipp: *nearest is slip*' \
  $b add slipp slip.json
say 'add a file that is not there' 2 '' 'none.json: cannot read it*' \
  $b add slip none.json
say 'add a material' 0 '*material-* is saved: revision 1.' '' \
  $b add material clay.json
say 'a table of a supplier' 0 '*2 materials*2 new, 0 with a new revision*' '' \
  book t2.book stock table.csv mesh
say 'the same table again' 0 '*0 new, 0 with a new revision, 2 as they were.' \
  '' book t2.book stock table.csv mesh
say 'a column that is none of ours' 2 '' 'table.csv:1:21: *"mesh"*leave the column out*' \
  book t2.book stock table.csv
say 'a line that cannot be read, and nothing is kept' 2 '' \
  'broken.csv:3:9: SiO2 of this line, "6o"*' book t2.book stock broken.csv
say 'nothing of it' 0 '*Nothing found.' '' book t2.book search marsh
say 'another analysis of one' 0 '*0 new, 1 with a new revision, 0 as*' '' \
  book t2.book stock newer.csv
id=$("$program" book t2.book search fen clay --json |
  sed -n 's/.*"id": "\(.*\)".*/\1/p')
say 'its price stays' 0 '*"LOI": 12.25*"price_per_kg": 0.8*' '' \
  book t2.book read "$id"
say 'list all, the newest first' 0 '*Pit clay*Grey slip*' '' $b list
say 'list a kind' 0 '*slip*Grey slip*grey' '' $b list slip
say 'list a kind without any' 0 '*Nothing found.' '' $b list tile
say 'search by a note' 0 '*Pit clay (invented)*' '' $b search broo
say 'search two words' 0 '*Pit clay (invented)*' '' $b search pit brook
say 'search in vain' 0 '*Nothing found.' '' $b search pit cobalt
say 'search for nothing' 2 '' 'search: there is no word*' $b search '"*"'
say 'search as JSON' 0 '*"kind": "slip",*"revision": 1*' '' \
  $b search grey --json
say 'read' 0 '*"litre_weight_g": "1400,5"*' '' $b read grey
say 'read what is not there' 2 '' 'gray: there is no such record*' $b read gray
say 'read a revision that is not there' 2 '' 'grey: there is no revision 7*' \
  $b read grey 7
say 'read a revision that is none' 2 '' 'seven: this is no revision*' \
  $b read grey seven
say 'hide' 0 '*grey is saved: revision 2.' '' $b hide grey
say 'hidden, it is in no list' 0 '*Nothing found.' '' $b list slip
say 'hide again' 0 '*grey is so already: revision 2.' '' $b hide grey
say 'unhide' 0 '*grey is saved: revision 3.' '' $b unhide grey
say 'restore the first' 0 '*grey is so already: revision 3.' '' \
  $b restore grey 1
say 'history' 0 '*3*2026-09-21T14:13:20Z*show*2*hide*1*new*command line*' '' \
  $b history grey
say 'history as JSON' 0 '*"act": "show"*"hidden": true*' '' \
  $b history grey --json
say 'check' 0 '*ok*whole*records: 2, revisions: 4, pictures: 0*' '' $b check
say 'check as JSON' 0 '*"findings": \[\],*"revisions": 4*' '' $b check --json
say 'rebuild' 0 '*worked out anew.' '' $b rebuild
say 'backup' 0 '*t.book is a copy of s.book.' '' $b backup t.book
say 'backup over a file' 2 '' 't.book: there is something*' $b backup t.book
say 'the backup checks' 0 '*ok*whole*' '' book t.book check
say 'export' 0 '*whole/dir holds all of s.book.' '' $b export whole/dir
say 'export into what is there' 2 '' 'whole/dir: there is something*' \
  $b export whole/dir
say 'import' 0 '*u.book is made from whole/dir.' '' book u.book import whole/dir
say 'export again' 0 "$q" '' book u.book export again
say 'import over a book' 2 '' 'u.book: there is something*' \
  book u.book import whole/dir
say 'import from nowhere' 2 '' 'nowhere/about.jsonl: cannot read it*' \
  book v.book import nowhere
say 'no word' 2 '' 'book: it is not said what to do with it*' book s.book
say 'no book' 2 '' 'book: it is not said which book*' book
say 'a word that is none' 2 '' 'chekc: no such word; *"check"*' $b chekc
say 'too few words' 2 '' 'read: too few words behind it*read ID*' $b read
say 'too many words' 2 '' 'check: too many words behind it*' $b check it
say 'help' 0 '*use: leatherhard book FILE WORD*import*' '' help book
say 'a material of the stock' 0 '*Al2O3*' '' formula recipe.json --book s.book
say 'without the book it is not known' 2 '' \
  '/recipe/lines/0/material: no material "Pit clay (invented)"*' \
  formula recipe.json
say 'a book that is none' 2 '' 'clay.json: this file is no book*' \
  formula recipe.json --book clay.json
}
n=$((n + 1))
if diff -r whole/dir again >diff; then
  echo "ok $n - both exports are the same to the byte"
else
  bad=1
  echo "not ok $n - both exports are the same to the byte"
  sed 's/^/# /' diff
fi
printf 'x' | dd of=s.book bs=1 seek=5000 conv=notrunc 2>/dev/null
dd if=/dev/zero of=s.book bs=4096 seek=3 count=4 conv=notrunc 2>/dev/null
"$program" book s.book check >out 2>err
rc=$?
n=$((n + 1))
if [ $rc = 1 ] || { [ $rc = 3 ] && grep -q 'damaged' err; }; then
  echo "ok $n - a file that was written over is found out: $rc"
else
  bad=1
  echo "not ok $n - a file that was written over is found out: $rc"
  sed 's/^/# /' out err
fi
echo "1..$n"
exit $bad
