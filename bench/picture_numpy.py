#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The exact picture with numpy: the pixels of bench_picture.c, written from
the models' papers alone, in whole arrays: in double precision as printed, and
in single precision with one exponential a layer and wavelength.

P. Kubelka (1948), J. Opt. Soc. Am. 38, 448-457, for a layer over a ground;
F. C. Williams, F. R. Clapper (1953), J. Opt. Soc. Am. 43, 595-599, for the
glaze; IEC 61966-2-1 for sRGB.
"""
import os
import subprocess
import time

import numpy as np

WIDE, HIGH, LAYERS, ROWS = 1920, 1080, 3, 20


def fresnel(n, mu):
    """From inside the glaze, unpolarised; 1 beyond the critical angle."""
    sin2 = (1 - mu**2) * n**2
    t = np.sqrt(np.maximum(0, 1 - sin2))
    rs = ((n * mu - t) / (n * mu + t))**2
    rp = ((mu - n * t) / (mu + n * t))**2
    return np.where(sin2 >= 1, 1.0, (rs + rp) / 2)


def glaze(n, tau):
    """Tin Tout and k2, diffuse light in, seen at 8 degrees, shine left out."""
    critical = np.sqrt(1 - 1 / n**2)
    x, w = np.polynomial.legendre.leggauss(400)
    out = back = 0
    for low, high in ((0, critical), (critical, 1)):
        # Squared steps crowd the points towards the critical angle.
        if high < 1:
            mu, dmu = high - (high - low) * ((1 - x) / 2)**2, None
            dmu = (high - low) * (1 - x) / 2 * w
        else:
            mu = low + (high - low) * ((1 + x) / 2)**2
            dmu = (high - low) * (1 + x) / 2 * w
        r = fresnel(n, mu)
        out += np.sum(2 * (1 - r) * np.exp(-tau / mu) * mu * dmu)
        back += np.sum(2 * r * np.exp(-2 * tau / mu) * mu * dmu)
    inside = np.sqrt(1 - (np.sin(np.radians(8)) / n)**2)
    enter = (1 - fresnel(n, inside)) * np.exp(-tau / inside)
    return enter * out, back


def observer():
    """Rows of the CIE 1931 observer under D65, and sRGB's matrix."""
    rows = [line.split(',') for line in open('../data/cie1931_10nm.csv')
            if not line.startswith('#')]
    at = {name.strip(): i for i, name in enumerate(rows[0])}
    t = {k: np.array([float(r[at[k]]) for r in rows[1:37]])
         for k in ('xbar', 'ybar', 'zbar', 'D65')}
    m = np.array([t[k] * t['D65'] for k in ('xbar', 'ybar', 'zbar')])
    m /= m[1].sum()
    white = np.array([0.3127 / 0.329, 1, (1 - 0.3127 - 0.329) / 0.329])
    m *= (white / m.sum(axis=1))[:, None]
    p = np.array([[0.64, 0.30, 0.15], [0.33, 0.60, 0.06], [0.03, 0.10, 0.79]])
    return np.linalg.inv(p * np.linalg.solve(p, white)) @ m


def coats():
    i = np.arange(HIGH * WIDE) + 1.0
    for root in (2.0, 3.0, 5.0):
        X = i * np.sqrt(root)
        yield (150 * (X - np.floor(X))).astype(np.float32)


def encode(linear, t):
    v = np.where(linear <= t(0.0031308), t(12.92) * linear,
                 t(1.055) * linear**t(1 / 2.4) - t(0.055))
    return t(255) * v + t(0.5)


def double(X, K, S, body, tt, k2, m, rgb, rows):
    for first in range(0, HIGH * WIDE, rows * WIDE):
        here = slice(first, first + rows * WIDE)
        R = np.broadcast_to(body, (rows * WIDE, 36))
        for k in reversed(range(LAYERS)):
            a = 1 + K[k] / S[k]
            b = np.sqrt(a * a - 1)
            x = np.maximum(1e-12, np.outer(S[k] * X[k][here], b))
            bcoth = b / np.tanh(x)
            R = (1 - R * (a - bcoth)) / (a - R + bcoth)
        linear = np.clip((tt * R / (1 - k2 * R)) @ m.T, 0, 1)
        rgb[here] = encode(linear, float)


def single(X, K, S, body, tt, k2, m, rgb, rows):
    """R from the two fixed points r and 1/r of a layer: one exponential."""
    f = np.float32
    G = [np.sqrt(k * (k + 2 * s)) for k, s in zip(K, S)]
    r = [(s / (k + s + g)).astype(f) for k, s, g in zip(K, S, G)]
    depth = [(-2 * g).astype(f) for g in G]
    body, m, tt, k2 = body.astype(f), m.astype(f), f(tt), f(k2)
    for first in range(0, HIGH * WIDE, rows * WIDE):
        here = slice(first, first + rows * WIDE)
        R = np.broadcast_to(body, (rows * WIDE, 36))
        for k in reversed(range(LAYERS)):
            v = (R - r[k]) * np.exp(np.outer(X[k][here], depth[k]))
            u = 1 - r[k] * R
            R = (r[k] * u + v) / (u + r[k] * v)
        linear = np.clip((tt * R / (1 - k2 * R)) @ m.T, 0, 1)
        rgb[here] = encode(linear, f)


def main():
    w = np.arange(36)
    K = [0.002 + 0.02 * (1 + np.sin(0.17 * w + 2.1 * k)) for k in range(LAYERS)]
    S = [0.03 + 0.01 * k for k in range(LAYERS)]
    body = 0.1 + 0.3 * w / 35
    m = observer()
    tt, k2 = glaze(1.5, 0.05)
    X = list(coats())
    rgb = np.empty((HIGH * WIDE, 3), np.uint8)
    for name, way, sizes in (('double, tanh', double, (20,)),
                             ('single, one exp', single, (1, 4, 20))):
        best = 1e9
        for rows in sizes:  # rows of pixels at once: whatever is fastest
            for _ in range(2):
                start = time.perf_counter()
                way(X, K, S, body, tt, k2, m, rgb, rows)
                best = min(best, 1e3 * (time.perf_counter() - start))
        mean = rgb.mean(axis=0)
        print(f'| numpy {np.__version__}, {name} | {best:.0f} | | '
              f'{mean[0]:.3f} {mean[1]:.3f} {mean[2]:.3f} |')
    ours = os.path.join('..', os.environ.get('BUILD', 'build-bench'), 'bench',
                        'bench_picture')
    if os.path.exists(ours):
        ms = float(subprocess.run([ours, 'ms'], stdout=subprocess.PIPE,
                                  check=True).stdout)
        print(f"| numpy's single over ours | {best / ms:.1f} | | |")


main()
