#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Tiles of `learn` from an instrument's file, and that file as colours: TAP.

    learn_file.py PROGRAM SOURCE-ROOT

Invented tiles, seeded.  What is learnt must be the same, number for number,
whether the readings stand in the document, in a table written by Python's csv
module, or in exchange text.  Then what a file may say against the document,
and files far too large.
"""
import csv
import io
import json
import os
import random
import subprocess
import sys
import tempfile
import time

import numpy as np

PROGRAM = sys.argv[1]
NM = range(380, 731, 10)
random.seed(20261126)
count = failed = 0


def check(truth, words, why=""):
    global count, failed
    count += 1
    failed += not truth
    print("%sok %d - %s" % ("" if truth else "not ", count, words))
    if not truth:
        print("# " + str(why)[:1500].replace("\n", "\n# "))


def reading(coat, ground):
    """A yellow slip that covers its ground as it thickens: invented."""
    out = []
    for w in NM:
        below = 0.75 if ground == "white" else 0.08 + 0.3 * (w > 560)
        deep = 0.55 / (1 + 2.718281828 ** (-(w - 520) / 20)) + 0.06
        share = 2.718281828 ** (-coat / 90)
        out.append(round(deep + (below - deep) * share, 4))
    return out


TILES = {"%s %g" % (g, c): (g, c, reading(c, g))
         for g in ("body", "white") for c in (0, 60, 160)}


def document(own, **more):
    tiles = []
    for name, (ground, coat, r) in TILES.items():
        t = {"name": name, "ground": ground, "coat_g_m2": coat}
        if own:
            t["reflectance"] = r
        tiles.append(t)
    return {"slip": "yellow (invented)", "tiles": tiles, **more}


def run(doc, *args, operation="learn"):
    p = subprocess.run([PROGRAM, operation, "-", "--json", *args],
                       input=json.dumps(doc), capture_output=True, text=True,
                       check=False)
    return (json.loads(p.stdout) if p.returncode in (0, 1) else None,
            p.returncode, p.stderr)


def table(percent, separator, first=380, last=730, lineterminator="\n"):
    text = io.StringIO()
    out = csv.writer(text, delimiter=separator, lineterminator=lineterminator)
    out.writerow(["nm"] + list(TILES))
    for i, w in enumerate(NM):
        if first <= w <= last:
            out.writerow([w] + [("%.2f" % (100 * t[2][i]) if percent else
                                 "%.4f" % t[2][i]).replace(
                ".", "," if separator == ";" else ".")
                for t in TILES.values()])
    return text.getvalue()


def exchange(keywords=(), lab=False):
    fields = (["LAB_L", "LAB_A", "LAB_B"] if lab else
              ["SPECTRAL_NM%d" % w for w in NM])
    lines = ["CGATS.17", *keywords, "NUMBER_OF_FIELDS %d" % (len(fields) + 2),
             "BEGIN_DATA_FORMAT", "SAMPLE_ID SAMPLE_NAME " + " ".join(fields),
             "END_DATA_FORMAT", "NUMBER_OF_SETS %d" % len(TILES), "BEGIN_DATA"]
    for i, (name, (_, coat, r)) in enumerate(TILES.items()):
        v = ([60 - coat / 40, 5, 20 + coat / 20] if lab else r)
        lines.append("%d \"%s\" " % (i + 1, name) +
                     " ".join("%.4f" % x for x in v))
    return "\n".join(lines + ["END_DATA", ""])


KEYS = ["slip", "grounds", "tiles", "left_out_delta_e00", "geometry",
        "scatter"]


def learnt(d):
    return {k: d.get(k) for k in KEYS}


# Percent with two decimals and fractions with four are the same decimals, but
# dividing by 100 may round: the same to 1e-12 then, else to the last digit.
def near(a, b, tol=1e-9):
    if isinstance(a, dict):
        return a.keys() == b.keys() and all(near(a[k], b[k], tol) for k in a)
    if isinstance(a, list):
        return len(a) == len(b) and all(near(x, y, tol) for x, y in zip(a, b))
    if isinstance(a, float) or isinstance(b, float):
        return abs(a - b) <= tol * max(1, abs(a))
    return a == b


own, code, err = run(document(True, geometry="45_0"))
check(own is not None, "readings in the document", err)
for words, text in [("a table", table(False, ",")),
                    ("a table with CR LF", table(False, "\t", 380, 730,
                                                 "\r\n")),
                    ("exchange text", exchange())]:
    got, code, err = run(document(False, geometry="45_0", spectra=text))
    check(got is not None and learnt(got) == learnt(own),
          "%s: the same is learnt, to the bit" % words, err)
got, code, err = run(document(False, geometry="45_0", spectra=table(True, ";")))
check(got is not None and near(learnt(got), learnt(own), 1e-6) and
      got["spectra"]["scale"] == "percent" and
      got["spectra"]["scale_by"] == "values", "percent, with commas", err)

# ---- geometry ---------------------------------------------------------------

geo = ['MEASUREMENT_GEOMETRY "45/0"']
got, code, err = run(document(False, spectra=exchange(geo)))
check(got is not None and got["geometry"] == "45_0", "the file's geometry", err)
got, code, err = run(document(False, spectra=exchange(geo), geometry="d8_in"))
check(code == 2 and err.startswith("/geometry"), "another one is refused", err)
doc = document(False, spectra=exchange(geo))
doc["tiles"][1]["geometry"] = "d8_in"
got, code, err = run(doc)
check(code == 2 and err.startswith("/tiles/1/geometry"),
      "a tile against its file", err)
got, code, err = run(document(False, spectra=exchange(
    ['MEASUREMENT_GEOMETRY "d/8"'])))
check(code == 2 and "gloss" in err, "a sphere has to say more", err)
got, code, err = run(document(False, geometry="d8_ex", spectra=exchange(
    ['MEASUREMENT_GEOMETRY "d/8"'])))
check(got is not None and got["geometry"] == "d8_ex", "said, it is taken", err)
got, code, err = run(document(False, spectra=exchange(
    ['MEASUREMENT_GEOMETRY "by the window"'])))
check(code == 2 and "by the window" in err, "words not understood", err)

# ---- L*a*b* -----------------------------------------------------------------

lab = exchange(['WEIGHTING_FUNCTION "ILLUMINANT, D65"'], True)
got, code, err = run(document(False, spectra=lab))
same, _, _ = run({**document(False), "tiles_read_by": "colorimeter",
                  "tiles": [{**t, "lab": [60 - t["coat_g_m2"] / 40, 5,
                                          20 + t["coat_g_m2"] / 20]}
                            for t in document(False)["tiles"]]})
check(got is not None and same is not None and learnt(got) == learnt(same) and
      got["spectra"]["light"] == "D65" and got["trusted_to_delta_e00"] >= 4,
      "L*a*b* are those of a colorimeter", err)
got, code, err = run(document(False, spectra=lab, tiles_read_by="photograph"))
check(code == 2 and err.startswith("/tiles_read_by"), "not of a photograph",
      err)
got, code, err = run(document(False, spectra=exchange([], True)))
check(code == 2 and "light" in err, "under no light told", err)
got, code, err = run(document(False, spectra=exchange([], True),
                              spectra_light="D50"))
check(got is not None and got["spectra"]["light"] == "D50", "told D50", err)

# ---- names ------------------------------------------------------------------

doc = document(False, spectra=table(False, ","))
doc["tiles"][2]["name"] = "body 161"
got, code, err = run(doc)
check(code == 2 and err.startswith("/tiles/2/name") and "body 160" in err,
      "a tile that is not in the file is named, and the nearest sample", err)
doc["tiles"][2]["reflectance"] = TILES["body 160"][2]
got, code, err = run(doc)
check(got is not None and
      got["spectra"]["samples_without_tile"] == ["body 160"] and
      got["spectra"]["tiles_without_sample"] == ["body 161"],
      "samples without a tile, tiles without a sample", err)
got, code, err = run(document(True, spectra=table(False, ",")))
check(code == 2 and "own reading" in err, "a file of no use", err)

# ---- held ends --------------------------------------------------------------
# What is held is trusted less: its K and S have wider errors.

got, code, err = run(document(False, geometry="45_0",
                              spectra=table(False, ",", 400, 700)))
wide = got and got["slip"]["absorption_error_percent"]
tight = own["slip"]["absorption_error_percent"]
check(got is not None and got["spectra"]["held_low"] == 2 and
      got["spectra"]["held_high"] == 3 and wide[0] > 2 * tight[0] and
      wide[35] > 2 * tight[35], "held ends, and their errors", err)
got, code, err = run(document(False, spectra=table(False, ",", 420, 730)))
check(code == 2 and "420 to 730 nm" in err, "too little is refused", err)

# ---- the same file as colours -------------------------------------------------
# `colour` shows what `learn` would take.

REF = os.path.join(sys.argv[2], "tests/ref")


def colours(text, **more):
    return run({"spectra": text, **more}, operation="colour")


got, code, err = colours(exchange(geo))
check(got is not None and got["geometry"] == "45_0" and
      [(r["name"], r["reflectance"]) for r in got["readings"]] ==
      [(name, t[2]) for name, t in TILES.items()] and
      "45 degrees" in got["how_read"][-1], "`colour`: readings as they are", err)
# L*a*b* of 32 measured powders: the sum by numpy over straight samples of the
# observer and of D65 every 10 nm (CIE 15, tests/ref/cie1931_5nm.csv), against
# its own white.  The tables' last digit leaves the ratio to white within
# 36 * 5e-7 * 118 / 1000 = 2.2e-6; for the darkest powder (Y 0.01) that is
# 500 * 2 * 2.2e-6 / (3 * 0.01^(2/3)) = 0.016 in a*.
with open(os.path.join(REF, "cie1931_5nm.csv"), encoding="ascii") as f:
    rows = [r for r in csv.DictReader(x for x in f if x[0] != "#")
            if float(r["nm"]) in NM]
light = np.array([float(r["D65"]) for r in rows])
eyes = np.array([[float(r[k]) for r in rows] for k in ("xbar", "ybar", "zbar")])
with open(os.path.join(REF, "pigment_reflectance_10nm.csv"),
          encoding="utf-8") as f:
    powders = f.read()
got, code, err = colours(powders)
r = np.array([x["reflectance"] for x in got["readings"]])
told = np.loadtxt(io.StringIO(powders), delimiter=",", skiprows=2)[:, 1:].T
ratio = (r * light) @ eyes.T / (eyes @ light)
x, y, z = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio),
                   ratio * (29 / 6) ** 2 / 3 + 4 / 29).T
off = np.abs(np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)]).T -
             [x["lab"] for x in got["readings"]]).max()
check(r.shape == (32, 36) and (r == told).all() and off < 0.016,
      "`colour`: L*a*b* of 32 measured powders", off)
got, code, err = colours(table(True, ";", 400, 700))
check(got is not None and "geometry" not in got and
      got["spectra"]["held_high"] == 3 and
      any("held" in w for w in got["how_read"]) and
      got["readings"][1]["reflectance"][0] == got["readings"][1]["reflectance"][
          2], "`colour`: what is held is said", err)
got, code, err = colours(lab)
check(got is not None and "reflectance" not in got["readings"][0] and
      near(got["readings"][2]["lab"], [60 - 160 / 40, 5, 20 + 160 / 20]),
      "`colour`: L*a*b* as they are", err)
got, code, err = colours(exchange([], True))
check(code == 2 and "light" in err, "`colour`: under no light told", err)
got, code, err = colours(exchange(['MEASUREMENT_GEOMETRY "d/8"']))
check(got is not None and "geometry" not in got and
      "gloss" in got["how_read"][-1], "`colour`: an open geometry is said", err)

# ---- files ------------------------------------------------------------------

with tempfile.TemporaryDirectory() as folder:
    name = os.path.join(folder, "f")
    with open(name, "wb") as f:
        f.write(exchange(['ORIGINATOR "K\u00f6ln (invented)"']).encode(
            "latin-1"))
    got, code, err = run(document(False, geometry="45_0"), "--set",
                         "/spectra=@" + name)
    check(got is not None and learnt(got) == learnt(own),
          "a file in ISO 8859-1", err)
    for size, words in [(200 << 20, "200 MB"), (40 << 20, "40 MB"),
                        (3 << 20, "3 MB")]:
        with open(name, "wb") as f:
            f.truncate(size)
            f.write(b"nm;a\n")
        begin = time.monotonic()
        got, code, err = run(document(False), "--set", "/spectra=@" + name)
        took = time.monotonic() - begin
        check(code == 2 and took < 5, "%s are refused at once" % words,
              (code, took, err))

print("1..%d" % count)
sys.exit(failed > 0)
