#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Too much in, and nowhere to put it out: speaks TAP.
#   big_input.sh PROGRAM
# 200 MB of JSON and 100,000 marks are refused at once and in little memory;
# full disks, read-only folders and devices leave nothing half-written.
program=$(realpath "$1")
here=$(realpath "$(dirname "$0")")
export NO_COLOR=1 LC_ALL=C SOURCE_DATE_EPOCH=1790000000
export LSAN_OPTIONS="${LSAN_OPTIONS:-suppressions=$here/lsan.supp:print_suppressions=0}"
scratch=$(mktemp -d)
mounted=
leave() { [ -z "$mounted" ] || umount "$mounted"; rm -rf "$scratch"; }
trap leave EXIT
cd "$scratch" || exit 1
n=0 bad=0

check() { # check TRUTH WORDS
  n=$((n + 1))
  if [ "$1" = 0 ]; then echo "ok $n - $2"; else
    echo "not ok $n - $2"; bad=$((bad + 1))
    sed 's/^/# /' err out 2>/dev/null | head -n 10
  fi
}
skip() { n=$((n + 1)); echo "ok $n - $1 # SKIP $2"; }
yes_if() { "$@" && echo 0 || echo 1; }

# run CODE WORDS WHAT ARGS...: exit code, nothing on standard output, a fault
# with WHAT in it and advice behind it, in less than 10 s.
run() {
  local want=$1 words=$2 what=$3 begun; shift 3
  begun=$(date +%s)
  "$program" "$@" >out 2>err; local code=$?
  check "$(yes_if [ "$code" = "$want" ])" "$words: exit code $want (is $code)"
  check "$(yes_if [ ! -s out ])" "$words: nothing on standard output"
  check "$(yes_if grep -q -- "$what" err)" "$words: says \"$what\""
  check "$(yes_if [ "$(wc -l <err)" = 2 ])" "$words: and what to do"
  check "$(yes_if [ $(($(date +%s) - begun)) -lt 10 ])" "$words: within 10 s"
}

# Peak memory of a run in kB, by the kernel's own count.
peak() {
  python3 -c '
import resource, subprocess, sys
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL,
               stderr=subprocess.DEVNULL, stdin=sys.stdin)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)' "$@"
}

# ---- too large -------------------------------------------------------------
python3 -c '
import sys
row = "{\"id\": \"m\", \"kind\": \"dot\", \"slip\": \"white\"},\n" * 1000
sys.stdout.write("{\"format\": \"leatherhard.piece\", \"painting\": [\n")
for _ in range(200 * 1024 * 1024 // len(row) + 1): sys.stdout.write(row)
sys.stdout.write("{}]}")' >big.json
check "$(yes_if [ "$(stat -c %s big.json)" -gt $((200 * 1024 * 1024)) ])" \
  "200 MB of JSON are there"
run 2 "200 MB from a file" "32 MB" piece big.json
run 2 "200 MB from a pipe" "32 MB" piece - < <(cat big.json)
# Little beside the program itself for a file; from a pipe the pieces read so
# far: 64 kB to 32 MB, doubling, are 64 MB.
least=$(peak "$program" --version)
file=$(peak "$program" piece big.json)
pipe=$(peak "$program" piece - < <(cat big.json))
check "$(yes_if [ $((file - least)) -lt 8192 ])" \
  "of 200 MB in a file nothing is kept ($file kB, $least without)"
check "$(yes_if [ $((pipe - least)) -lt $((80 * 1024)) ])" \
  "of 200 MB in a pipe no more than is taken ($pipe kB, $least without)"

head -c 33554432 /dev/zero | tr '\0' '[' >deep.json
run 2 "32 MB of brackets" "64 deep" piece deep.json
head -c 33554432 /dev/zero | tr '\0' ' ' >blank.json
run 2 "32 MB of nothing" "the document ends too early" piece blank.json

# ---- 100,000 marks ---------------------------------------------------------
python3 - "$here/piece/v1-cylinder.json" <<'PY'
import json, sys
piece = json.load(open(sys.argv[1]))
dot = {"kind": "dot", "slip": "violet", "width_mm": 1}
piece["painting"] = [{"id": "e%d" % i, "zone": "wall", "turns": i / 1e5,
                      "mark": dict(dot, id="m%d" % i)} for i in range(100000)]
json.dump(piece, open("marks.json", "w"))
piece["painting"] = piece["painting"][:1]
piece["motifs"][0]["marks"] = [dict(dot, id="n%d" % i) for i in range(100000)]
json.dump(piece, open("motif.json", "w"))
PY
run 2 "100,000 entries" "100000, more than the 20000" piece marks.json
run 2 "a motif of 100,000 marks" "100000, more than the 20000" coverage \
  motif.json
check "$(yes_if [ "$(peak "$program" piece marks.json)" -lt $((400 * 1024)) ])" \
  "100,000 entries are read in less than 400 MB"

# ---- nowhere to put it -----------------------------------------------------
picture=(picture "$here/piece/v1-cylinder.json" --set /ask/pixel_mm=1
  --set /ask/width_px=200)
run 3 "/dev/full as --out" "No space left" "${picture[@]}" --out /dev/full
for to in "thin $here/cli/thin_example.json" "help" "help man" "thin --schema" \
  "--version" "thin $here/cli/thin_example.json --json"; do
  # shellcheck disable=SC2086
  "$program" $to >/dev/full 2>err; code=$?
  : >out
  check "$(yes_if [ $code = 3 ])" "$to into a full device: exit code 3"
  check "$(yes_if grep -q "standard output" err)" "$to: says so"
done
"$program" thin "$here/cli/thin_example.json" >&- 2>err
check "$(yes_if [ $? = 3 ])" "standard output closed: exit code 3"
run 3 "--out below a file" "Not a directory" "${picture[@]}" \
  --out "$here/cli.sh/a.png"

disk=$scratch/disk
mkdir disk
if mount -t tmpfs -o size=32k tmpfs disk 2>mount.err; then
  mounted=$disk
  echo "the old one" >disk/old.png
  cat /dev/zero >disk/filler 2>/dev/null
  run 3 "a full disk" "No space left" "${picture[@]}" --out disk/old.png
  check "$(yes_if [ "$(cat disk/old.png)" = "the old one" ])" \
    "a full disk: the old file is as it was"
  check "$(yes_if [ "$(ls -A disk | tr '\n' ' ')" = "filler old.png " ])" \
    "a full disk: nothing is left behind"
  run 3 "a full disk, a new file" "No space left" "${picture[@]}" \
    --out disk/new.png
  check "$(yes_if [ "$(ls -A disk | tr '\n' ' ')" = "filler old.png " ])" \
    "a full disk, a new file: nothing is left behind"
  if mount -o remount,ro disk 2>mount.err; then
    run 3 "a disk that is read-only" "Read-only" "${picture[@]}" \
      --out disk/old.png
    check "$(yes_if [ "$(cat disk/old.png)" = "the old one" ])" \
      "a disk that is read-only: the old file is as it was"
  else
    skip "a disk that is read-only" "cannot remount here"
  fi
  umount disk && mounted=
else
  skip "a full disk" "no small disk can be mounted here: $(head -n 1 mount.err)"
fi

mkdir shut && echo "the old one" >shut/old.png && chmod 500 shut
if [ "$(id -u)" = 0 ]; then
  skip "a folder without leave to write" "root may write anywhere"
else
  run 3 "a folder without leave to write" "Permission denied" "${picture[@]}" \
    --out shut/old.png
fi
chmod 700 shut
check "$(yes_if [ "$(cat shut/old.png)" = "the old one" ])" "the old file stands"

# A limit on the size of files stands in for a full disk everywhere.
(
  ulimit -f 1
  trap '' XFSZ
  exec "$program" "${picture[@]}" --out shut/old.png >out 2>err
)
check "$(yes_if [ $? = 3 ])" "a file that may not grow: exit code 3"
check "$(yes_if [ "$(cat shut/old.png)" = "the old one" ])" \
  "a file that may not grow: the old file is as it was"
check "$(yes_if [ "$(ls -A shut)" = old.png ])" \
  "a file that may not grow: nothing is left behind"

# And where all is well the new one takes its place.
"$program" "${picture[@]}" --out shut/old.png >out 2>err
check "$(yes_if [ "$(head -c 4 shut/old.png | tail -c 3)" = PNG ])" "the new one is whole"
check "$(yes_if [ "$(ls -A shut)" = old.png ])" "and alone"

echo "1..$n"
[ $bad = 0 ]
