#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The sample piece is what its generator writes, from the measured pigments as
# published.  Speaks TAP.
#
#   tide_line.sh SOURCE
set -u
cd "$1" || exit 1
n=0 bad=0
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
say() {
  if [ "$1" = 0 ]; then ok=ok; else ok="not ok" bad=1; sed 's/^/# /' "$tmp/why"; fi
  n=$((n + 1))
  echo "$ok $n - $2"
}

python3 tools/tide_line.py - >"$tmp/one" 2>"$tmp/why"
say $? 'the generator runs'
cmp "$tmp/one" data/tide-line.json >"$tmp/why" 2>&1
say $? 'running the generator gives the committed bytes'
PYTHONHASHSEED=7 LC_ALL=C TZ=UTC+9 python3 tools/tide_line.py "$tmp/two" \
  2>"$tmp/why" && cmp "$tmp/one" "$tmp/two" >"$tmp/why" 2>&1
say $? 'and again, with another seed, locale and clock'
[ ! -e tools/__pycache__ ]
say $? 'it leaves nothing behind'

python3 - >"$tmp/why" 2>&1 <<'END'
import csv
def table(name):
    with open(name, encoding="utf-8") as f:
        return list(csv.DictReader(x for x in f if not x.startswith("#")))
ours = table("data/pigments_usgs.csv")
full = table("tests/ref/pigment_reflectance_10nm.csv")
assert len(ours) == len(full) == 36
for a, b in zip(ours, full):
    for name in a:
        assert a[name] == b[name], (a["nm"], name, a[name], b[name])
END
say $? 'its pigments are those of the U.S. Geological Survey, digit for digit'

# Kubelka and Munk's K/S of an endless coat against the published table, from
# K/S 0.001 to 1000.  There: the table's reflectances carry at least 14 digits,
# of which (1 - R)^2 loses two at most: 1e-12 of the value.  Back: four roundings
# of numbers near 1 + K/S, 4 x 2.3e-16 (1 + K/S), and the table's own digits.
python3 - >"$tmp/why" 2>&1 <<'END'
import csv, sys
sys.dont_write_bytecode = True
sys.path.insert(0, "tools")
import made_tiles as optics
with open("tests/ref/km_endless.csv", encoding="utf-8") as f:
    rows = list(csv.DictReader(x for x in f if not x.startswith("#")))
seen = 0
for row in rows:
    k, r = float(row["K_over_S"]), float(row["Rinf"])
    if 1e-3 <= k <= 1e3:
        seen += 1
        got, = optics.endless_ratio([r])
        assert abs(got - k) <= 1e-12 * k, (k, r, got)
        back, = optics.endless_reflectance([k])
        assert abs(back - r) <= 9.2e-16 * (1 + k) + 1e-14 * r, (k, r, back)
assert seen == 13, seen
END
say $? 'K/S of an endless coat as Kubelka and Munk have it, both ways'

python3 - >"$tmp/why" 2>&1 <<'END'
import json
d = json.load(open("data/tide-line.json", encoding="utf-8"))
for what in [d, d["body"], d["glaze"]] + d["slips"]:
    assert what["invented"] is True, what.get("id")
for s in d["slips"]:
    assert s["optics_from"].startswith(
        "invented from measured powders: make your own tiles"), s["id"]
assert d["pots"] == 6 and len(d["slips"]) == 5
END
say $? 'everything in it says that it is invented'
echo "1..$n"
[ $bad = 0 ]
