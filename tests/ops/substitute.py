#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The operation `substitute` from end to end: TAP.

    substitute.py PROGRAM SOURCE

Seger's cones (tests/ref/chem_seger_cones.csv) and Binns's matt glaze (The
Potter's Craft, chapter on glaze calculation) come back as their batches.  The
ranking is held against every set of materials, each solved by numpy's least
squares; molar weights from CIAAW's abridged table (tests/ref/chem_ciaaw.csv).
The stocks are made up, from a fixed seed.
"""
import csv
import itertools
import json
import os
import re
import subprocess
import sys
import tempfile
import time

import numpy
import scipy.optimize

PROGRAM, SOURCE = (os.path.abspath(p) for p in sys.argv[1:3])
# What pango and fontconfig keep is no leak of ours.
os.environ.setdefault(
    "LSAN_OPTIONS", "suppressions=%s/tests/lsan.supp:print_suppressions=0"
    % SOURCE)
FLUX = "Li2O Na2O K2O MgO CaO SrO BaO ZnO PbO".split()
count = failed = 0


def check(truth, words, why=""):
    global count, failed
    count += 1
    failed += not truth
    print("%sok %d - %s" % ("" if truth else "not ", count, words))
    if not truth:
        print("\n".join("# " + line for line in str(why).splitlines()[:6]))


def rows(name):
    with open(os.path.join(SOURCE, "tests", "ref", name)) as f:
        return list(csv.DictReader(
            line for line in f if not line.startswith("#")))


def ask(document):
    got = subprocess.run([PROGRAM, "substitute", "-", "--json"],
                         input=json.dumps(document), capture_output=True,
                         text=True)
    if got.returncode != 0:
        return {"refused": got.stderr, "choices": []}
    return json.loads(got.stdout)


weights = {}
for row in rows("chem_ciaaw.csv"):
    values = list(row.values())
    symbol = next(v for v in values if re.fullmatch("[A-Z][a-z]?", v or ""))
    weights[symbol] = float(next(v for v in values
                                 if re.fullmatch(r"\d+(\.\d+)?", v or "")
                                 and "." in v))


def molar(oxide):
    return sum(weights[e] * float(n or 1)
               for e, n in re.findall(r"([A-Z][a-z]?)(\d*)", oxide))


# ---- batches of old books ---------------------------------------------------

# Equivalent weights of the old sums were rounded to whole numbers, each off
# by at most half: 0.5/60 is the largest share, and a part of the whole
# carries it twice.
SHARE = 2 * 0.5 / 60

for cone in rows("chem_seger_cones.csv"):
    if not cone["feldspar"]:
        continue
    unity = {k: float(cone[k]) for k in ("K2O", "CaO", "Fe2O3", "Al2O3",
                                         "SiO2") if float(cone[k]) > 0}
    got = ask({"target": {"unity": unity}, "choices": 2,
               "stock": ["potash feldspar", "whiting", "kaolin", "quartz",
                         "red iron oxide"]})
    lines = {x["material"]: x["parts"]
             for x in got["choices"][0]["lines"]} if got["choices"] else {}
    batch = {"potash feldspar": "feldspar", "whiting": "marble",
             "quartz": "quartz", "kaolin": "kaolin", "red iron oxide": "iron"}
    total = sum(float(cone[v]) for v in batch.values())
    off = {m: abs(lines.get(m, 0) - 100 * float(cone[v]) / total)
           - 0.5 / total - SHARE * 100 * float(cone[v]) / total
           for m, v in batch.items()}
    check(lines and max(off.values()) <= 0 and
          got["choices"][0]["distance"] < 1e-9 and got["proof"] == "optimal",
          "Seger cone %s comes back as its batch" % cone["cone"], (lines, got))

# Printed in whole parts, products cut or rounded: each may be one part off.
# White lead is Binns's, as PbO in 258; kaolin with and without its water.
binns = {"white lead": 129, "whiting": 35, "potash feldspar": 83,
         "calcined kaolin": 33, "kaolin": 13, "quartz": 14}
got = ask({
    "target": {"unity": {"PbO": .5, "CaO": .35, "K2O": .15, "Al2O3": .35,
                         "SiO2": 1.54}},
    "stock": list(binns), "choices": 1,
    "limits": [{"material": "calcined kaolin", "ratio_to": "kaolin",
                "ratio": 33 / 13}]})
lines = {x["material"]: x["parts"]
         for x in got["choices"][0]["lines"]} if got["choices"] else {}
total = sum(binns.values())
# One part off in a line, and the sum off by as much in each of six.
check(lines and all(abs(lines.get(m, 0) * total / 100 - g) <=
                    1 + 6 * g / total + SHARE * g
                    for m, g in binns.items()),
      "Binns's matt glaze comes back as its batch", (lines, binns))
check(lines and any("lead" in c["why"]
                    for c in got["choices"][0]["cautions"]),
      "and its lead is cautioned about")

# ---- every set of materials -------------------------------------------------

OXIDES = "SiO2 Al2O3 CaO MgO K2O Na2O ZnO B2O3 Fe2O3".split()
random = numpy.random.default_rng(20261125)


def stock_of(n):
    """Analyses of made-up materials, each of one to four oxides."""
    made = []
    for i in range(n):
        some = random.choice(len(OXIDES), random.integers(1, 5), replace=False)
        share = random.dirichlet(numpy.ones(len(some)))
        loss = random.choice([0, 12.5, 40])
        analysis = {OXIDES[o]: round(float(p * (100 - loss)), 2)
                    for o, p in zip(some, share)}
        made.append({"name": "m%d" % i,
                     "analysis": {**analysis, "LOI": float(loss)}})
    return made


def moles(material):
    a = material["analysis"]
    return numpy.array([a.get(o, 0) / 100 / molar(o) for o in OXIDES])


def every(columns, target, most, slip):
    """Distances of all sets that need each of their materials, ascending."""
    best = []
    for k in range(1, most + 1):
        for of in itertools.combinations(range(len(columns)), k):
            a = numpy.array([columns[j] for j in of]).T
            # Materials that can replace one another need not all be there.
            if numpy.linalg.svd(a / numpy.linalg.norm(a, axis=0),
                                compute_uv=False)[-1] < 1e-5:
                continue
            if slip:  # the sum is 100: one unknown is put in from the rest
                a = a / a.sum(0) * 100
                b = target - a[:, -1]
                d = a[:, :-1] - a[:, -1:]
                y = numpy.linalg.lstsq(d, b, rcond=None)[0]
                x = numpy.append(y, 1 - y.sum())
            else:
                x = numpy.linalg.lstsq(a, target, rcond=None)[0]
            if x.min() > 1e-9:
                best.append((numpy.linalg.norm(a @ x - target), of))
    return sorted(best)


for trial in range(16):
    slip = trial % 2 == 1
    stock = stock_of(9)
    columns = [moles(m) for m in stock]
    while True:
        parts = random.dirichlet(numpy.ones(4)) * 100
        of = random.choice(9, 4, replace=False)
        made = sum(p * columns[j] for p, j in zip(parts, of))
        if made[[OXIDES.index(o) for o in OXIDES if o in FLUX]].sum() > 1e-3:
            break
    gone = "m%d" % of[0]
    lines = [{"material": "m%d" % j, "parts": round(float(p), 3)}
             for p, j in zip(parts, of)]
    made = sum(x["parts"] * columns[int(x["material"][1:])] for x in lines)
    flux = sum(made[OXIDES.index(o)] for o in OXIDES if o in FLUX)
    target = made / made.sum() * 100 if slip else made / flux
    document = {
        "target": {"recipe": {"kind": "slip" if slip else "glaze",
                              "lines": lines}},
        "materials": stock, "stock": [m["name"] for m in stock],
        "without": [gone], "most_materials": 4, "choices": 10,
        "like_for_like": False}
    got = ask(document)
    left = [j for j in range(9) if j != of[0]]
    want = every([columns[j] for j in left], target, 4, slip)[:10]
    have = [c["distance"] for c in got["choices"]]
    scale = numpy.linalg.norm(target)
    check(len(have) == len(want) and
          all(abs(a - b[0]) < 1e-6 * scale for a, b in zip(have, want)),
          "%s %d: the %d nearest of all sets, in order"
          % ("slip" if slip else "glaze", trial, len(want)),
          (have, [w[0] for w in want], got.get("refused")))
    sets = [frozenset(x["material"] for x in c["lines"])
            for c in got["choices"]]
    check(have == sorted(have) and len(set(sets)) == len(sets) and
          all(len(s) <= 4 and gone not in s for s in sets) and
          all(abs(sum(x["parts"] for x in c["lines"]) - 100) < 1e-9
              for c in got["choices"]),
          "they ascend, differ, add to 100 and do without %s" % gone)
    if trial >= 4:
        continue
    again = dict(document, stock=document["stock"][::-1],
                 materials=stock[::-1],
                 target={"recipe": {
                     "kind": document["target"]["recipe"]["kind"],
                     "lines": [dict(x, parts=x["parts"] * 7)
                               for x in lines[::-1]]}})
    other = ask(again)
    check(all(abs(a - b["distance"]) < 1e-9 * scale
              for a, b in zip(have, other["choices"])),
          "neither order nor scale changes them")
    most = ask(dict(document, limits=[{"material": "m%d" % left[0],
                                       "least_percent": 12.5}]))
    share = [sum(x["parts"] for x in c["lines"]
                 if x["material"] == "m%d" % left[0]) for c in most["choices"]]
    check(share and min(share) >= 12.5 - 1e-7 and
          most["choices"][0]["distance"] >= have[0] - 1e-9 * scale,
          "a limit holds and makes nothing nearer", (share, most))
    more = ask(dict(document, without=[]))
    check(more["choices"][0]["distance"] < 1e-6 * scale,
          "with %s again the recipe itself comes back" % gone, more)

# ---- a slip's classes -------------------------------------------------------

slip = json.load(open(os.path.join(SOURCE, "tests", "cli",
                                   "substitute_slip.json")))
got = ask(slip)
clays = ("white stoneware clay (invented)", "bentonite")
share = [sum(x["parts"] for x in c["lines"] if x["material"] in clays)
         for c in got["choices"]]
# 50 of 102 parts are plastic clay, give or take five points.
check(share and all(abs(x - 5000 / 102) <= 5 + 1e-7 for x in share),
      "a plastic clay for a plastic clay", share)
check(all(c["additions"][0]["material"] == "blue stain (invented)" and
          abs(c["additions"][0]["percent"] - 800 / 102) < 1e-9
          for c in got["choices"]), "the stain is carried over")
check(all("expansion" not in c["change"] and "viscosity" not in c["change"]
          and len(c["change"]["bars"]) == 2 for c in got["choices"]),
      "no expansion of a slip, but bars")
# ---- the page, read back by poppler -----------------------------------------

with tempfile.TemporaryDirectory() as folder:
    pdf = os.path.join(folder, "page.pdf")
    made = subprocess.run([PROGRAM, "substitute_sheet", "-", "--json", "--out",
                           pdf], input=json.dumps(slip), capture_output=True,
                          text=True)
    check(made.returncode == 0 and json.loads(made.stdout)["pages"] >= 1,
          "a page is drawn", made.stderr)
    text = subprocess.run(["pdftotext", "-layout", pdf, "-"],
                          capture_output=True, text=True).stdout
    said = [line.split() for line in text.splitlines()]
    check(all(any("%.2f" % x["parts"] in line and
                  x["material"].split()[0] == line[0] for line in said if line)
              for x in got["choices"][0]["lines"]),
          "with every line of the nearest recipe", text)
    check(any(line[:2] == ["ball", "clay"] and "50.0" in line
              for line in said), "and the old one beside it", text)
    check("(H372)" in text and "harms the lungs" in text,
          "with the silica that it has weighed", text)
    fonts = subprocess.run(["pdffonts", pdf], capture_output=True,
                           text=True).stdout.splitlines()[2:]
    check(fonts and all(" yes yes" in line for line in fonts),
          "its fonts are in it", fonts)

# ---- how sure ---------------------------------------------------------------

example = json.load(open(os.path.join(SOURCE, "tests", "cli",
                                      "substitute_example.json")))
got, again = ask(example), ask(example)
other = ask(dict(example, seed=7))
best = [c["sure"]["best_percent"] for c in got["choices"]]
# One of the listed is the nearest in each draw.
check(abs(sum(best) - 100) < 1e-9, "shares of the draws add to 100", best)
check(got == again and got != other, "the same seed, the same answer")
check(all(lo <= c["unity"][o] * 1.0001 and hi >= c["unity"][o] * .9999
          for c in got["choices"] if "sure" in c
          for o, (lo, hi) in c["sure"]["unity_range"].items()
          if o == "SiO2"), "the range of the silica holds what is printed")
wide = ask(dict(example, analysis_percent=10))
check(wide["choices"][0]["sure"]["distance_range"][1] >
      got["choices"][0]["sure"]["distance_range"][1],
      "worse analyses, a wider range")

# ---- the cheapest, against scipy's own minimiser ----------------------------

price = {"soda feldspar": 2.4, "whiting": .9, "wollastonite": 2.1,
         "kaolin": 1.3, "quartz": 1.0}
moles_of = {"soda feldspar": {"alkali": 1, "Al2O3": 1, "SiO2": 6},
            "whiting": {"CaO": 1}, "wollastonite": {"CaO": 1, "SiO2": 1},
            "kaolin": {"Al2O3": 1, "SiO2": 2}, "quartz": {"SiO2": 1}}
weight = {
    "soda feldspar": molar("Na2O") + molar("Al2O3") + 6 * molar("SiO2"),
    "whiting": molar("CaO") + molar("CO2"),
    "wollastonite": molar("CaO") + molar("SiO2"),
    "kaolin": molar("Al2O3") + 2 * molar("SiO2") + 2 * molar("H2O"),
    "quartz": molar("SiO2")}
aim = {"alkali": .3, "CaO": .7, "Al2O3": .5, "SiO2": 4.}
a = numpy.array([[moles_of[m].get(o, 0) / weight[m] for m in price]
                 for o in aim])
b, cost = numpy.array(list(aim.values())), numpy.array(list(price.values()))
got = ask({"target": {"unity": {"K2O": .3, "CaO": .7, "Al2O3": .5,
                                "SiO2": 4.}},
           "materials": [{"name": m, "price_per_kg": p}
                         for m, p in price.items()],
           "stock": list(price), "choices": 1, "tolerance": .08,
           "groups": [{"oxides": ["Na2O", "K2O"]}], "cheapest": True})
best = min((scipy.optimize.minimize(
    lambda x: cost @ x / x.sum(), x0, bounds=[(0, None)] * 5,
    constraints={"type": "ineq",
                 "fun": lambda x: .08 ** 2 - ((a @ x - b) ** 2).sum()},
    method="SLSQP", options={"ftol": 1e-13, "maxiter": 500})
    for x0 in (scipy.optimize.nnls(a, b)[0],
               numpy.array([157., 70, 0, 52, 120]))
    ), key=lambda r: r.fun if r.success else numpy.inf)
# SLSQP keeps its constraint and its price to about 1e-7.
check(abs(got["cheapest"]["cost_per_kg"] - best.fun) < 1e-5,
      "the cheapest costs what scipy's costs",
      (got["cheapest"], best.fun, best.x))
# The tangent planes settle to 1e-9 of the target's length (linear.h).
check(got["cheapest"]["distance"] <= .08 + 1e-9 * numpy.linalg.norm(b),
      "and is near enough", got["cheapest"])
table = [(r["distance"], r["materials"], r["cost_per_kg"])
         for r in got["none_beats"]]
check(table and not any(
    all(x <= y for x, y in zip(one, other)) and one != other
    for one in table for other in table), "none on the table is beaten", table)
curve = got["price_curve"]
check(len(curve) > 1 and all(
    p["largest_error"] < q["largest_error"] and
    p["price_percent_of_nearest"] >= q["price_percent_of_nearest"]
    for p, q in zip(curve, curve[1:])), "a wider tolerance is never dearer",
    curve)

# ---- stopped ----------------------------------------------------------------

# Ten materials of one oxide each, and a target of them all: many sets.
ten = "K2O Na2O CaO MgO ZnO Al2O3 SiO2 B2O3 TiO2 Fe2O3".split()
document = {
    "target": {"unity": {o: 1 + i / 10 for i, o in enumerate(ten)}},
    "materials": [{"name": a + b, "formula": a + "." + b}
                  for a, b in itertools.combinations(ten, 2)],
    "stock": [a + b for a, b in itertools.combinations(ten, 2)],
    "most_materials": 4, "choices": 20}
whole, part = ask(dict(document, visits=0)), ask(dict(document, visits=7))
check(whole["proof"] == "optimal" and whole["gap"] == 0, "proven", whole)
check(part["proof"] != "optimal" and part["proof"] <=
      whole["choices"][0]["distance"] + 1e-9 and
      (not part["choices"] or part["choices"][0]["distance"] - part["gap"] <=
       whole["choices"][0]["distance"] + 1e-9),
      "stopped early it says how far off it can be",
      (part["proof"], whole["choices"][0]["distance"]))
# ---- with a book, and called off --------------------------------------------

sys.path.insert(0, os.path.join(SOURCE, "tests", "http"))
from house import Server  # noqa: E402

server = Server(PROGRAM, "--book", os.path.join(tempfile.mkdtemp(), "a.book"))


def post(path, doc, **headers):
    return server.ask("POST", path, json.dumps(doc).encode(), headers)


for kind, doc in (
        ("material", {"name": "old shed clay", "class": "plastic clay",
                      "analysis": {"SiO2": 60, "Al2O3": 25, "K2O": 2,
                                   "LOI": 9}}),
        ("material", {"name": "grey sand", "class": "silica",
                      "formula": "SiO2"}),
        ("slip", {"id": "s1", "name": "a slip", "litre_weight_g": 1450,
                  "coat_g_m2": 100, "absorption_m2_g": 0.01,
                  "scattering_m2_g": 0.1, "recipe": {"kind": "slip", "lines": [
                      {"material": "old shed clay", "parts": 50},
                      {"material": "kaolin", "parts": 50}]}}),
        ("tile", {"name": "1", "slip": "s1"})):
    check(post("/api/book/" + kind, doc).status == 201, "a %s is kept" % kind)
got = post("/api/substitute", {
    "target": {"recipe": {"kind": "slip", "lines": [
        {"material": "ball clay", "parts": 40},
        {"material": "kaolin", "parts": 30},
        {"material": "quartz", "parts": 30}]}},
    "without": ["ball clay", "quartz"], "choices": 1}).json()["choices"][0]
check({x["material"] for x in got["lines"]} ==
      {"old shed clay", "kaolin", "grey sand"},
      "the stock of the book takes their place", got["lines"])
check(got["change"]["never_on_a_tile"] == ["grey sand"],
      "the sand was never on a tile", got["change"]["never_on_a_tile"])
many = stock_of(120)
long = {"target": {"unity": {o: 1 + i / 7 for i, o in enumerate(OXIDES)}},
        "materials": many, "stock": [m["name"] for m in many],
        "most_materials": 9, "choices": 50, "visits": 0}
job = post("/api/substitute", long, Prefer="respond-async")
check(job.status == 202, "a long search is a job", job.status)
time.sleep(0.5)
running = server.ask("GET", job["Location"]).json()
check(running["state"] == "running", "that goes on", running)
server.ask("DELETE", job["Location"])
began = time.time()
while running["state"] == "running" and time.time() - began < 10:
    time.sleep(0.1)
    running = server.ask("GET", job["Location"]).json()
check(running["state"] == "cancelled", "called off, it stops", running)
began = time.time()
short = post("/api/thin", {"litre_weight_g": 1600, "volume_ml": 100,
                           "target_litre_weight_g": 1400})
check(short.status == 200 and time.time() - began < 5,
      "and keeps nobody waiting")
server.stop()
print("1..%d" % count)
sys.exit(1 if failed else 0)
