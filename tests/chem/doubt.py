#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""core/chem/doubt.h against numpy's own draws of the same problems.

  doubt.py DOUBT_SAY

Written anew from the header's words, in whole arrays, with numpy's generator
(PCG64, ziggurat).  A quantile q of n draws must lie between numpy's quantiles
q - d and q + d, d four standard errors of the rank in both samples; a share
likewise.  The spread is numpy's by derivatives (central steps of 1e-6).
Speaks TAP.
"""
import subprocess
import sys

import numpy as np

MANY, DRAWS, OXIDES, FLUXES = 200000, 10000, 7, 4
GROUPS = np.array([0, 0, 1, 2, 3, 4, 5])  # alkalis together
count = failed = 0


def check(ok, words):
    global count, failed
    count += 1
    failed += not ok
    print(("" if ok else "not ") + "ok %d - %s" % (count, words))


def read(program):
    cases = []
    out = subprocess.run([program], capture_output=True, text=True, check=True)
    for line in out.stdout.splitlines():
        key, *v = line.split()
        if key == "case":
            cases.append({"head": v, "mol": [], "e": [], "choices": []})
            continue
        v = np.array(v, float)
        if key in ("mol", "e"):
            cases[-1][key].append(v)
        elif key == "grams":
            cases[-1]["choices"].append({"grams": v})
        elif key in ("said", "best", "spread"):
            cases[-1]["choices"][-1][key] = v
        else:
            cases[-1][key] = v
    return cases


def unit(mol, slip):
    return mol.sum(-1, keepdims=True) / 100 if slip else \
        mol[..., :FLUXES].sum(-1, keepdims=True)


def rows(made):
    return np.stack([made[..., GROUPS == r].sum(-1) for r in range(6)], -1)


def off(mol, target, slip):
    """Row by row; a glaze at the scale of least squares."""
    if slip:
        return rows(mol / unit(mol, slip)) - target
    m = rows(mol)
    scale = (m * target).sum(-1, keepdims=True) / (m * m).sum(-1, keepdims=True)
    return scale * m - target


def judge(case):
    name, slip, recipe = case["head"][0], *(x == "1" for x in case["head"][1:])
    mol, sd = np.array(case["mol"]), np.array(case["e"]) / 1.6448536269514722
    rng = np.random.default_rng(int(name))
    true = np.maximum(mol + sd * rng.standard_normal((MANY,) + mol.shape), 0)

    def goal(of):
        if not recipe:
            return case["target"]
        m = np.einsum("j,...ji->...i", case["goal"], of)
        return rows(m / unit(m, slip))
    far = []
    for k, c in enumerate(case["choices"]):
        m = np.einsum("j,dji->di", c["grams"], true)
        far.append(np.linalg.norm(off(m, goal(true), slip), axis=-1))
        figures = [far[-1]] + list((m / unit(m, slip)).T)
        wrong = []
        for f, draws in enumerate(figures):
            for q, said in zip((0.05, 0.5, 0.95), c["said"][3 * f:3 * f + 3]):
                d = 4 * np.sqrt(q * (1 - q) * (1 / MANY + 1 / DRAWS))
                low, high = np.quantile(draws, (q - d, q + d))
                if not low <= said <= high:
                    wrong.append((f, q, said, low, high))
        check(not wrong, "case %s, choice %d: ranges of distance and %d oxides" %
              (name, k + 1, OXIDES))
        for w in wrong:
            print("# figure %d at %g: %.6g, numpy %.6g to %.6g" % w)
        total = 0.0
        for j, i in zip(*np.nonzero(sd)):
            ends = []
            for sign in (-1, 1):
                moved = mol.copy()
                moved[j, i] += sign * 1e-6 * sd[j, i]
                ends.append(off(c["grams"] @ moved, goal(moved), slip))
            total += (((ends[1] - ends[0]) / 2e-6) ** 2).sum()
        # The header's steps are whole deviations: a second order apart.
        check(abs(c["spread"][0] / np.sqrt(total) - 1) < 0.02,
              "case %s, choice %d: spread %.4g, by derivatives %.4g" %
              (name, k + 1, c["spread"][0], np.sqrt(total)))
    winner = np.argmin(np.array(far), axis=0)
    for k, c in enumerate(case["choices"]):
        p = (winner == k).mean()
        d = 4 * np.sqrt(p * (1 - p) * (1 / MANY + 1 / DRAWS)) + 1e-3
        check(abs(c["best"][0] - p) <= d, "case %s, choice %d: best in %.4f, numpy %.4f"
              % (name, k + 1, c["best"][0], p))


for one in read(sys.argv[1]):
    judge(one)
print("1..%d" % count)
sys.exit(failed > 0 or count == 0)
