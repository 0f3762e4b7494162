#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The slips that come with the program are what `learn` says of their tiles.

  made_tiles.py PROGRAM SOURCE

The tiles are made anew from the measured pigments and learned from anew; the
tables must come out again.  What they are held to: the table's own digits (a
unit of the last, since a fit may stop a hair elsewhere under another
compiler); and the truth that the tiles were made with.  Speaks TAP.
"""
import csv
import json
import math
import os
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
program, source = sys.argv[1:3]
sys.path.insert(0, os.path.join(source, "tools"))

import made_tiles as made  # noqa: E402

count = failed = 0


def check(ok, words, more=""):
    global count, failed
    count += 1
    failed += not ok
    print(("" if ok else "not ") + "ok %d - %s" % (count, words))
    if not ok and more:
        print("# " + more)


def table(folder, name):
    with open(os.path.join(folder, name), encoding="utf-8") as f:
        return list(csv.DictReader(x for x in f if not x.startswith("#")))


def unit(text, digits):
    """One unit of the last of so many significant digits."""
    x = float(text)
    return 10.0 ** (math.floor(math.log10(abs(x))) - digits + 1) if x else 1e-9


def apart(ours, again, columns):
    """Rows that differ by more than a unit of the last printed digit."""
    bad = []
    for a, b in zip(ours, again):
        for name, digits in columns.items():
            step = unit(a[name], digits) if digits else 0.1
            if abs(float(a[name]) - float(b[name])) > 1.001 * step:
                bad.append((a.get("slip", a.get("id")), name, a[name], b[name]))
    return bad


def again():
    scratch = tempfile.mkdtemp()
    run = subprocess.run([sys.executable,
                          os.path.join(source, "tools/made_tiles.py"), program,
                          scratch], capture_output=True, text=True, check=False)
    check(run.returncode == 0, "the tiles are made and learned from",
          run.stderr.strip()[-200:])
    if run.returncode:
        return None
    data = os.path.join(source, "data")
    ours = [table(data, n) for n in ("made_optics.csv", "made_slips.csv")]
    new = [table(scratch, n) for n in ("made_optics.csv", "made_slips.csv")]
    words = ("id", "name", "powders", "coat_g_m2", "litre_weight_g")
    check(len(ours[0]) == len(new[0]) and len(ours[1]) == len(new[1]) and
          all(a[w] == b[w] for a, b in zip(ours[1], new[1]) for w in words),
          "the same slips in the same order")
    bad = apart(ours[0], new[0], {
        "absorption_m2_g": 4, "scattering_m2_g": 4,
        "absorption_error_percent": 2, "scattering_error_percent": 2})
    check(not bad, "K, S and their errors come out as the table has them: "
          "else run tools/made_tiles.py", str(bad[:3]))
    bad = apart(ours[1], new[1], {
        "uncertainty_percent": 2, "left_out_de00": 0, "worst_de00": 0,
        "eats_g_m2": 0, "eats_error_g_m2": 0})
    check(not bad, "so does how far to trust them", str(bad[:3]))
    return ours


def true(ours):
    """Against what the tiles were made with.  A standard error holds the truth
    within 1.645 of itself nine times in ten; of one slip all wavelengths lean
    the same way (coats are off together), so slips are counted, by the median
    of their wavelengths: of 13 slips with two numbers each, 26, fewer than 20
    come about once in 100 (binomial, p = 0.9)."""
    ratio, inside = made.ratios(), 0
    for slip in made.SLIPS:
        K, S = made.truth(slip, ratio)
        rows = [r for r in ours[0] if r["slip"] == slip[1]]
        for truth, key in ((K, "absorption"), (S, "scattering")):
            off = sorted(abs(math.log(float(r[key + "_m2_g"]) / t)) /
                         (float(r[key + "_error_percent"]) / 100)
                         for r, t in zip(rows, truth))
            inside += off[len(off) // 2] < 1.645
    check(inside >= 20, "the stated errors hold the truth: %d of 26" % inside)
    off = [(float(r["eats_g_m2"]) - made.EATEN) / float(r["eats_error_g_m2"])
           for r in ours[1]]
    # Chi squared of 13: above 27.7 once in 100.
    check(sum(x * x for x in off) < 27.7,
          "what the glaze eats is found again: chi squared %.1f of 13" %
          sum(x * x for x in off))


def endless_glaze():
    """The maker's own boundary: k1 and k2 of index 1.5 as printed in
    tests/ref/fresnel_diffuse.csv (Walsh; k1 at 8 degrees), five digits."""
    black, white = made.glazed(0.0, 0.0), made.glazed(1.0, 0.0)
    check(abs(black - 0.0400) < 5e-5, "black under a glaze: its shine, %.5f" %
          black)
    # R = 1 inside: k1 + (1 - k1)(1 - k2)/(1 - k2) = 1, whatever k2.
    check(abs(white - 1) < 2e-5, "a perfect white loses nothing: %.6f" % white)
    half = made.glazed(0.5, 0.0)
    want = 0.04 + 0.96 * (1 - 0.5963) * 0.5 / (1 - 0.5963 * 0.5)
    check(abs(half - want) < 1e-4, "Saunderson's half: %.5f" % half)


def marks():
    run = subprocess.run([program, "slips", "-", "--json"], input="{}",
                         capture_output=True, text=True, check=False)
    out = json.loads(run.stdout)["slips"]
    check(len(out) == len(made.SLIPS) and
          all(x["mark"] == made.MARK and x["slip"]["invented"] and
              x["slip"]["optics_from"].startswith(made.MARK) for x in out),
          "each of the %d says what it is" % len(out))
    with open(os.path.join(source, "data/tide-line.json"),
              encoding="utf-8") as f:
        sample = json.load(f)["slips"]
    own = {x["slip"]["id"]: x["slip"] for x in out}
    check(all(s[k] == own[s["id"]][k] for s in sample for k in
              ("absorption_m2_g", "scattering_m2_g", "uncertainty_percent",
               "optics_from", "tiles_read_by")),
          "the sample's slips are copies of them")


ours = again()
if ours:
    true(ours)
endless_glaze()
marks()
print("1..%d" % count)
sys.exit(1 if failed else 0)
