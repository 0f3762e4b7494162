#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The exact picture with numpy: the pixels of bench_picture.c, written from
the models' papers alone, in double precision and whole arrays.

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


def main():
    w = np.arange(36)
    K = [0.002 + 0.02 * (1 + np.sin(0.17 * w + 2.1 * k)) for k in range(LAYERS)]
    S = [0.03 + 0.01 * k for k in range(LAYERS)]
    body = 0.1 + 0.3 * w / 35
    m = observer()
    total = np.zeros(3)
    start = time.perf_counter()
    tt, k2 = glaze(1.5, 0.05)
    rgb = np.empty((HIGH * WIDE, 3), np.uint8)
    for first in range(0, HIGH * WIDE, ROWS * WIDE):
        i = np.arange(first, first + ROWS * WIDE) + 1.0
        R = np.broadcast_to(body, (len(i), 36))
        for k in reversed(range(LAYERS)):
            X = i * np.sqrt((2.0, 3.0, 5.0)[k])
            X = 150 * (X - np.floor(X))
            a = 1 + K[k] / S[k]
            b = np.sqrt(a * a - 1)
            bcoth = b / np.tanh(np.maximum(1e-12, np.outer(S[k] * X, b)))
            R = (1 - R * (a - bcoth)) / (a - R + bcoth)
        linear = np.clip((tt * R / (1 - k2 * R)) @ m.T, 0, 1)
        v = np.where(linear <= 0.0031308, 12.92 * linear,
                     1.055 * linear**(1 / 2.4) - 0.055)
        rgb[first:first + len(i)] = 255 * v + 0.5
    took = 1e3 * (time.perf_counter() - start)
    total = rgb.mean(axis=0)
    print(f'| numpy {np.__version__}, whole arrays | {took:.0f} | '
          f'{total[0]:.3f} {total[1]:.3f} {total[2]:.3f} |')
    ours = os.path.join('..', os.environ.get('BUILD', 'build-bench'), 'bench',
                        'bench_picture')
    if os.path.exists(ours):
        ms = float(subprocess.run([ours, 'ms'], stdout=subprocess.PIPE,
                                  check=True).stdout)
        print(f"| numpy's time over ours | {took / ms:.2f} | |")


main()
