# SPDX-License-Identifier: GPL-3.0-or-later
"""The search's continuous part beside scipy.optimize.nnls.  Speaks TAP.

search_scipy.py PROGRAM   the program that tells problems and answers

A slip's sum of shares is held by one row of great weight (1e5 times a mole
per cent): an approximation, so the shares it gives are scaled to one and the
distance worked out from them; off by no more than the square of 1e-5.
"""
import json
import subprocess
import sys

import numpy as np
from scipy.optimize import nnls

HEAVY = 1e5
cases = [json.loads(line) for line in
         subprocess.run([sys.argv[1]], check=True, capture_output=True,
                        text=True).stdout.splitlines()]


def nearest(case, which):
    """Distance and grams of the least sum over these materials."""
    w = np.array(case["weight"])
    t = np.array(case["target"])
    mol = np.array(case["mol"]).reshape(-1, len(t))[which]
    if not case["slip"]:
        grams, off = nnls((mol * w).T, t * w, maxiter=10000)
        return off, grams
    unit = 100.0 / mol.sum(axis=1)
    col = ((mol.T * unit).T - t) * w
    a = np.vstack([col.T, HEAVY * np.ones(len(which))])
    share, _ = nnls(a, np.append(np.zeros(len(t)), HEAVY), maxiter=10000)
    share /= share.sum()
    return np.linalg.norm(share @ col), share * unit


floor = over = grams = distance = made = 0.0
listed = 0
for case in cases:
    n = len(case["mol"]) // len(case["target"])
    scale = np.linalg.norm(np.array(case["weight"]) * case["target"])
    best, _ = nearest(case, np.arange(n))
    floor = max(floor, (best - case["floor"]) / scale)
    over = max(over, (case["floor"] - best) / scale)
    for c in case["choices"]:
        off, g = nearest(case, np.array(c["material"]))
        distance = max(distance, abs(off - c["distance"]) / scale)
        grams = max(grams, np.abs(g - c["grams"]).max() / np.sum(g))
        mol = np.array(case["mol"]).reshape(n, -1)[c["material"]]
        made = max(made, np.abs(mol.T @ c["grams"] - c["made"]).max())
        listed += 1


def check(k, good, what):
    print(f"{'' if good else 'not '}ok {k} - {what}")
    return good


# Columns may be within 1e-5 of one another: amounts are good to 1e-16 / 1e-10
# and the heavy row; a floor is the root of a value good to 1e-14.
ok = [check(1, listed >= 400, f"{listed} recipes told"),
      check(2, over <= 1e-9, f"no floor is over what all can do ({over:.1e})"),
      check(3, floor <= 1e-5, f"nor under it by much ({floor:.1e})"),
      check(4, distance <= 1e-8, f"distances agree ({distance:.1e})"),
      check(5, grams <= 1e-5, f"amounts agree ({grams:.1e})"),
      check(6, made <= 1e-9, f"what is made is what it says ({made:.1e})")]
print("1..6")
sys.exit(0 if all(ok) else 1)
