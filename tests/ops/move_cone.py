#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A glaze moved to another peak, against SciPy: TAP.

    move_cone.py PROGRAM SOURCE

The model (Fluegel 2007) is read from data/ and worked out here a second time,
in Python; for every set of at most four of the stock's materials SciPy's
SLSQP finds the recipe nearest to the old formula that has the old viscosity
at the new peak.  The operation's recipes must have that viscosity, be as near
as SciPy's for the same materials, and its first must be the best of all sets.
Materials are theoretical minerals; molar weights from data/atomic_weights.csv.
"""
import csv
import itertools
import json
import subprocess
import sys

import numpy as np
from scipy.optimize import minimize, nnls

PROGRAM, SOURCE = sys.argv[1], sys.argv[2]
count = failed = 0


def check(truth, words, why=""):
    global count, failed
    count += 1
    failed += not truth
    print("%sok %d - %s" % ("" if truth else "not ", count, words))
    if not truth:
        print("# " + str(why)[:600].replace("\n", "\n# "))
    return truth


def table(name):
    with open("%s/data/%s.csv" % (SOURCE, name), encoding="utf-8") as f:
        return list(csv.DictReader(x for x in f if not x.startswith("#")))


TERMS = table("fluegel2007")
LIMITS = {r["component"]: r for r in table("fluegel2007_limits")}
OXIDES = ["K2O", "Na2O", "CaO", "MgO", "ZnO", "B2O3", "Al2O3", "SiO2"]
FLUX = ["K2O", "Na2O", "CaO", "MgO", "ZnO"]
# Moles of oxides in one of the mineral, and its formula.
MINERALS = {
    "potash feldspar": ({"K2O": 1, "Al2O3": 1, "SiO2": 6}, "KAlSi3O8", 2),
    "soda feldspar": ({"Na2O": 1, "Al2O3": 1, "SiO2": 6}, "NaAlSi3O8", 2),
    "whiting": ({"CaO": 1}, "CaCO3", 1),
    "kaolin": ({"Al2O3": 1, "SiO2": 2}, "Al2Si2O9H4", 1),
    "quartz": ({"SiO2": 1}, "SiO2", 1),
    "colemanite": ({"CaO": 2, "B2O3": 3}, "Ca2B6O16H10", 1),
    "talc": ({"MgO": 3, "SiO2": 4}, "Mg3Si4O12H2", 1),
    "zinc oxide": ({"ZnO": 1}, "ZnO", 1),
}
WEIGHT = {}
for row in table("atomic_weights"):
    WEIGHT[row["element"]] = float(row["weight"])


def molar(formula):
    total, i = 0.0, 0
    while i < len(formula):
        j = i + 1
        while j < len(formula) and formula[j].islower():
            j += 1
        k = j
        while k < len(formula) and formula[k].isdigit():
            k += 1
        total += WEIGHT[formula[i:j]] * int(formula[j:k] or 1)
        i = k
    return total


def moles(name, grams):
    oxides, formula, units = MINERALS[name]
    n = grams / (molar(formula) * units)
    return np.array([n * oxides.get(o, 0) for o in OXIDES])


# Each term once: which level, its coefficient, the places of its oxides.
TERM = [(["1.5", "6.6", "12.0"].index("%.1f" % float(r["level"])),
         float(r["coefficient"]), [OXIDES.index(o) for o in r["term"].split("*")]
         if r["term"] != "Constant" else [])
        for r in TERMS
        if r["term"] == "Constant" or all(o in OXIDES
                                          for o in r["term"].split("*"))]


def temperatures(mol):
    p = 100 * mol / max(mol.sum(), 1e-30)
    t = [0.0, 0.0, 0.0]
    for at, product, places in TERM:
        for o in places:
            product *= p[o]
        t[at] += product
    return t


def level(mol, t_c):
    """log10 = A + B/(T - T0): three linear equations in A, T0, B - A T0."""
    t = np.array(temperatures(mol))
    lv = np.array([1.5, 6.6, 12.0])
    a, t0, c = np.linalg.solve(np.array([t, lv, np.ones(3)]).T, lv * t)
    return a + (c + a * t0) / (t_c - t0)


def inside(mol):
    if not mol.sum() > 0:
        return False
    p = dict(zip(OXIDES, 100 * mol / mol.sum()))
    for o in OXIDES:
        for way in ("thin", "soft", "stiff"):
            if p[o] > float(LIMITS[o]["most_" + way]) + 0.005:
                return False
            if p[o] < float(LIMITS[o]["least_" + way]) - 0.005:
                return False
    return True


def unity(mol):
    return mol / sum(m for o, m in zip(OXIDES, mol) if o in FLUX)


def best_of(names, target, want, t_c):
    """The nearest recipe of all these materials; None when there is none."""
    columns = np.array([moles(n, 100.0) for n in names]).T
    start = nnls(columns, target)[0]
    for first in (start, start + 0.1 * start.mean() + 0.01):
        r = minimize(lambda x: ((columns @ x - target) ** 2).sum(), first,
                     jac=lambda x: 2 * columns.T @ (columns @ x - target),
                     bounds=[(0, None)] * len(names), method="SLSQP",
                     constraints={"type": "eq", "fun": lambda x:
                                  level(columns @ x, t_c) - want},
                     options={"ftol": 1e-15, "maxiter": 500})
        mol = columns @ r.x
        if not np.isfinite(r.fun) or abs(level(mol, t_c) - want) > 1e-7:
            continue
        if min(r.x) < 1e-5 * sum(r.x) or not inside(mol):
            continue
        return np.sqrt(r.fun)
    return None


def job(old, from_c, to_c, most, every_set):
    stock = list(MINERALS)
    document = {"recipe": {"lines": [{"material": k, "parts": v}
                                     for k, v in old.items()]},
                "from_c": from_c, "to_c": to_c, "stock": stock,
                "most_materials": most, "choices": 6,
                "model": "fluegel2007"}
    done = subprocess.run([PROGRAM, "move_cone", "-", "--json"],
                          input=json.dumps(document), capture_output=True,
                          text=True, encoding="utf-8")
    words = "%g to %g C" % (from_c, to_c)
    if not check(done.returncode == 0, words + ": answered", done.stderr):
        return
    got = json.loads(done.stdout)["choices"]
    before = sum(moles(k, v) for k, v in old.items())
    target, want = unity(before), level(before, from_c)
    same = worst = 0.0
    for c in got:
        mol = sum(moles(x["material"], x["parts"]) for x in c["lines"])
        same = max(same, abs(level(mol, to_c) - want))
        mine = best_of([x["material"] for x in c["lines"]], target, want, to_c)
        worst = max(worst, abs(c["distance"] - mine) if mine else 0.0)
    # The program says its numbers to 15 digits; the search keeps 1e-9.
    check(same < 1e-7, words + ": each has the old viscosity", same)
    check(worst < 1e-5, words + ": each as near as SciPy makes it", worst)
    if not every_set:
        return
    every = []
    for n in range(1, most + 1):
        for names in itertools.combinations(stock, n):
            far = best_of(names, target, want, to_c)
            if far is not None:
                every.append(far)
    every.sort()
    mine = [c["distance"] for c in got]
    # SLSQP stops at about 1e-6 of the distance.
    check(len(every) >= len(mine) and every and
          abs(mine[0] - every[0]) < 1e-5,
          words + ": the first is the best of all sets", (mine, every[:6]))
    check(all(abs(a - b) < 1e-4 for a, b in zip(mine, every)),
          words + ": and so are the others", (mine, every[:6]))


job({"potash feldspar": 40, "whiting": 18, "kaolin": 10, "quartz": 32},
    1280, 1220, 4, True)
job({"potash feldspar": 25, "soda feldspar": 20, "whiting": 12, "talc": 6,
     "kaolin": 10, "quartz": 20, "colemanite": 7}, 1220, 1250, 7, False)
print("1..%d" % count)
sys.exit(failed > 0)
