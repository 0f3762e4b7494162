#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""solve/linear.h against SciPy's HiGHS (linprog, milp).

  linear.py LINEAR_SAY

Every programme is written anew here, from the words of the header: row by row
in dense matrices, t = 1 where there is no quotient.  The round norm, which
HiGHS has not, is judged from both sides: the recipe keeps to the tolerance, and
nothing is cheaper where the sphere is replaced by planes that touch it at and
around that recipe, which leaves more room than the sphere.  Speaks TAP.  Tolerance 1e-6 of the value: HiGHS
keeps its constraints to 1e-7.
"""
import subprocess
import sys

import numpy as np
from scipy.optimize import LinearConstraint, Bounds, linprog, milp

count = failed = 0


def check(ok, words):
    global count, failed
    count += 1
    failed += not ok
    print(("" if ok else "not ") + "ok %d - %s" % (count, words))


def near(a, b, scale=1.0):
    return abs(a - b) <= 1e-6 * (abs(b) + scale)


def around(u):
    """Unit vectors near u: 40 at each of six angles."""
    rng = np.random.default_rng(1)
    yield u
    for angle in 10.0 ** np.arange(-6, 0):
        for _ in range(40):
            v = u + angle * rng.standard_normal(len(u))
            yield v / np.linalg.norm(v)


class Case:
    def __init__(self, head):
        self.name, self.slip, self.quotient = head[0], head[1] == "1", head[2] == "1"
        self.limits, self.answers = [], []

    def ready(self):
        n, m = len(self.price), len(self.target)
        self.n, self.m = n, m
        self.A = self.weight[:, None] * self.mol.reshape(n, m).T
        self.b = self.weight * self.target
        rows, eq = [], []
        for kind, value, batch, other, of in self.limits:
            one = np.ones(n)
            if kind == 0:
                rows.append(value / 100 * one - of)
            elif kind == 1:
                rows.append(of - value / 100 * one)
            elif kind == 2:
                eq.append(of - value / 100 * one)
            elif kind == 3:
                r = of.copy()
                r[int(other)] -= value
                eq.append(r)
            else:
                rows.append(of - value / batch * one)
        self.ub = np.array(rows).reshape(-1, n)
        self.eq = np.array(eq).reshape(-1, n)

    def rows(self, norm, tolerance, at=None):
        """A_ub v <= 0 and A_eq v = 0 over v = (x, t, s, p, q); s is the
        distance when tolerance is None, else it is held to tolerance t."""
        n, m = self.n, self.m
        w = n + 2 + 2 * m
        ub, eq = [], []

        def row(x=None, t=0.0, s=0.0, p=None, q=None):
            r = np.zeros(w)
            if x is not None:
                r[:n] = x
            r[n], r[n + 1] = t, s
            if p is not None:
                r[n + 2:n + 2 + m] = p
            if q is not None:
                r[n + 2 + m:] = q
            return r
        for i in range(m):
            if norm < 2:  # true of the round norm as well
                ub.append(row(self.A[i], -self.b[i], -1))
                ub.append(row(-self.A[i], self.b[i], -1))
            elif norm == 2:
                e = np.eye(m)[i]
                eq.append(row(self.A[i], -self.b[i], 0, -e, e))
        if norm == 2:
            ub.append(row(None, 0, -1, np.ones(m), np.ones(m)))
        if norm == 0:
            r = self.A @ at - self.b
            for u in around(r / np.linalg.norm(r)):
                ub.append(row(u @ self.A, -u @ self.b, -1))
        if tolerance is not None:
            ub.append(row(None, -tolerance, 1))
        for r in self.ub:
            ub.append(row(r))
        for r in self.eq:
            eq.append(row(r))
        if self.slip:
            eq.append(row(self.fired, -100.0))
        return np.array(ub).reshape(-1, w), np.array(eq).reshape(-1, w)

    def solve(self, norm, tolerance=None, at=None, most=0):
        n, m = self.n, self.m
        ub, eq = self.rows(norm, tolerance, at)
        w = ub.shape[1]
        held = np.zeros(w)
        hold = 1.0
        if tolerance is not None and self.quotient:
            # x about as many grams as make the target
            held[:n], hold = self.per, 200.0
        else:
            held[n] = 1.0
        cost = np.zeros(w)
        if tolerance is None:
            cost[n + 1] = 1.0
        else:
            cost[:n] = self.price / (hold if self.quotient else 1.0)
        eq = np.vstack([eq, held])
        beq = np.zeros(len(eq))
        beq[-1] = hold
        if not most:
            r = linprog(cost, A_ub=ub, b_ub=np.zeros(len(ub)), A_eq=eq,
                        b_eq=beq, bounds=(0, None), method="highs")
            return r.fun if r.status == 0 else None
        big = hold / self.per.min() if tolerance is not None and self.quotient \
            else 4000.0
        z = np.hstack([np.eye(n), np.zeros((n, w - n)), -big * np.eye(n)])
        k = np.hstack([np.zeros(w), np.ones(n)])
        wide = [LinearConstraint(np.hstack([ub, np.zeros((len(ub), n))]), -np.inf, 0),
                LinearConstraint(np.hstack([eq, np.zeros((len(eq), n))]), beq, beq),
                LinearConstraint(z, -np.inf, 0), LinearConstraint(k, -np.inf, most)]
        up = np.full(w + n, np.inf)
        up[w:] = 1
        r = milp(np.hstack([cost, np.zeros(n)]), constraints=wide,
                 integrality=np.hstack([np.zeros(w), np.ones(n)]),
                 bounds=Bounds(0, up), options={"mip_rel_gap": 1e-9})
        return r.fun if r.status == 0 else None


def read(program):
    cases, c = [], None
    out = subprocess.run([program], capture_output=True, text=True, check=True)
    for line in out.stdout.splitlines():
        key, *v = line.split()
        if key == "case":
            c = Case(v)
            cases.append(c)
        elif key == "limit":
            c.limits.append((int(v[0]), float(v[1]), float(v[2]), int(v[3]),
                             np.array(v[4:], float)))
        elif key == "grams":
            c.answers[-1]["x"] = np.array(v, float)
        elif key in ("nearest", "cheapest"):
            names = ("norm", "status", "most", "tolerance", "price", "shadow",
                     "least", "off", "distance")
            c.answers.append(dict(zip(names, map(float, v)), how=key))
        else:
            setattr(c, key, np.array(v, float))
    return cases


def judge(c, a):
    norm, most = int(a["norm"]), int(a["most"])
    x, words = a["x"], "case %s, %s by %s%s" % (
        c.name, a["how"], ("distance", "each", "sum")[int(a["norm"])],
        ", at most %d" % a["most"] if a["most"] else "")
    if a["status"] == 4:
        if norm:
            want = c.solve(norm, None, None, most)
            check(c.solve(norm, a["tolerance"], None, most) is None and
                  near(a["least"], want), words + ": not so near, the least is right")
        else:
            check(a["least"] > a["tolerance"], words + ": not so near")
        return
    r = c.A @ x - c.b
    off = (np.linalg.norm(r), np.abs(r).max(), np.abs(r).sum())[norm]
    total = x.sum()
    kept = (x >= 0).all() and (c.ub @ x <= 1e-9 * total).all() and \
        (np.abs(c.eq @ x) <= 1e-9 * total).all() and \
        (not c.slip or abs(c.fired @ x - 100) <= 1e-7) and \
        (not most or (x > 0).sum() <= most)
    check(a["status"] == 0 and kept and near(a["off"], off, 1e-3), words +
          ": limits are kept to 1e-9")
    if a["how"] == "nearest":
        if norm:
            want = c.solve(norm, None, None, most)
            check(near(off, want), words + ": %.9g, HiGHS %.9g" % (off, want))
        elif not most and off > 1e-6 * np.linalg.norm(c.b):
            want = c.solve(0, None, x)
            check(near(off, want), words + ": the planes say no nearer than %.9g" % off)
        return
    price = c.price @ x / (c.per @ x if c.quotient else 1.0)
    check(off <= a["tolerance"] + 2e-9 * np.linalg.norm(c.b) and
          near(a["price"], price), words + ": within the tolerance")
    if norm:
        want = c.solve(norm, a["tolerance"], None, most)
        check(near(price, want), words + ": %.9g, HiGHS %.9g" % (price, want))
        if not most and want and a["tolerance"]:
            d = 1e-4 * a["tolerance"]
            up, down = (c.solve(norm, a["tolerance"] + e) for e in (d, -d))
            if up is None or down is None:
                return
            lo, hi = (up - want) / d, (want - down) / d
            slack = 1e-2 * abs(lo) + 1e-2 * abs(hi) + 1e-5 * want / d * 1e-3
            check(min(lo, hi) - slack <= a["shadow"] <= max(lo, hi) + slack,
                  words + ": the shadow price %.6g is the slope" % a["shadow"])
    elif not most:
        want = c.solve(0, a["tolerance"], x)
        check(near(price, want), words + ": %.9g, and the planes no cheaper" % price)


for case in read(sys.argv[1]):
    case.ready()
    for one in case.answers:
        judge(case, one)
print("1..%d" % count)
sys.exit(failed > 0)
