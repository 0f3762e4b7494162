#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The fit of bench_learn.c with scipy.optimize.least_squares: the same
readings, unknowns and words known beforehand, in whole arrays; slopes by
differences of groups of columns (jac_sparsity), begun where Kubelka's theory
puts a coat of 100 g/m2."""
import time

import numpy as np
import scipy
from scipy.optimize import least_squares
from scipy.sparse import lil_matrix

nm = np.arange(380.0, 731.0, 10.0)
TILES, W = 12, 36
coat = np.repeat([0.0, 25, 50, 100, 200, 400], 2)
ground = np.arange(TILES) % 2


def draw(root, i):
    return np.fmod(root * (i + 1), 1.0) - 0.5


def fresnel(c, n=1.5):
    t = np.sqrt(1 - (1 - c * c) / n ** 2)
    return (((c - n * t) / (c + n * t)) ** 2 +
            ((n * c - t) / (n * c + t)) ** 2) / 2


mu = (np.arange(200000) + 0.5) / 200000
K1 = fresnel(np.cos(np.radians(8)))
K2 = 1 - (1 - np.mean(2 * mu * fresnel(mu))) / 1.5 ** 2


def seen(R):
    return K1 + (1 - K1) * (1 - K2) * R / (1 - K2 * R)


def over(K, S, X, R):
    a = 1 + K / S
    b = np.sqrt(a * a - 1)
    B = b / np.tanh(b * S * X)
    return (1 - R * (a - B)) / (a - R + B)


def read(K, S, grounds, factor, c, g):
    R = grounds[g]
    out = np.array(R)
    wet = c > 0
    out[wet] = over(K, S, (c * factor)[wet, None], R[wet])
    return seen(out)


S0 = 0.018 * np.sqrt(550 / nm)
K0 = 0.002 + 0.03 * np.exp(-((nm - 600) / 60) ** 2 / 2)
G0 = np.array([0.08 + 0.4 / (1 + np.exp(-(nm - 590) / 25)), np.full(W, 0.85)])
i = np.arange(TILES)
reading = read(K0, S0, G0, 1 + 0.17 * draw(np.sqrt(3.0), i), coat, ground)
reading += 0.01 * draw(np.sqrt(2.0), np.arange(TILES * W)).reshape(TILES, W)


def fit(keep, begin):
    c, g, r, n = coat[keep], ground[keep], reading[keep], len(keep)

    def rows(p):
        q = p[:2 * W].reshape(2, W)
        K, S = np.exp(q)
        R = 1 / (1 + np.exp(-p[2 * W:4 * W].reshape(2, W)))
        f = p[4 * W:]
        return np.concatenate(
            [((read(K, S, R, np.exp(f), c, g) - r) / 0.003).ravel(),
             (np.diff(q, 2) / 0.5).ravel(), f / np.where(c > 0, 0.05, 1)])

    m = lil_matrix((n * W + 2 * (W - 2) + n, 4 * W + n), dtype=int)
    for t in range(n):
        for w in range(W):
            m[t * W + w, [w, W + w, (2 + g[t]) * W + w, 4 * W + t]] = 1
    for k in range(2):
        for w in range(W - 2):
            m[n * W + k * (W - 2) + w, k * W + w:k * W + w + 3] = 1
    for t in range(n):
        m[n * W + 2 * (W - 2) + t, 4 * W + t] = 1
    return least_squares(rows, begin, jac_sparsity=m, x_scale='jac',
                         method='trf', ftol=1e-9, xtol=1e-8)


def whole():
    begin = np.concatenate([np.log(np.full(W, 0.01)), np.log(np.full(W, 0.015)),
                            np.zeros(2 * W + TILES)])
    for k in range(2):
        R = (reading[k] - K1) / ((1 - K1) * (1 - K2) + K2 * (reading[k] - K1))
        begin[(2 + k) * W:(3 + k) * W] = np.log(R / (1 - R))
    all_of = np.arange(TILES)
    best = fit(all_of, begin)
    J = best.jac.toarray()
    np.linalg.inv(J.T @ J)
    for t in range(2, TILES):
        keep = np.delete(all_of, t)
        fit(keep, np.delete(best.x, 4 * W + t))
    return best


took = []
for k in range(2):
    start = time.process_time()
    end = whole()
    took.append(1e3 * (time.process_time() - start))
free = len(end.fun) - len(end.x)
print("| scipy %s, least_squares (trf, sparse slopes) | %.0f (to %.0f) | %.5f |"
      " %.6f | %.6f |" % (scipy.__version__, min(took), max(took),
                          2 * end.cost / free, *np.exp(end.x[[22, W + 22]])))
