# SPDX-License-Identifier: GPL-3.0-or-later
"""A coat that bleeds, beside scipy's convolutions.

    bleed.py BLEED_SAY          speaks TAP

On a cylinder the steps are scipy.ndimage.convolve1d, wrapped round and ending
at the edges, and together nearly scipy.ndimage.gaussian_filter.  On a cone the
scale has a closed form: r grows evenly up the wall, so the chart's height is
R/sin(a) ln(r/r0) and the scale r/R.
"""
import math
import os
import subprocess
import sys
import tempfile

import numpy as np
from scipy import ndimage

SAY = sys.argv[1]
TENTH = 1.2815515655446004  # scipy.stats.norm.ppf(0.9)
count = failed = 0


def check(good, words, note=""):
    global count, failed
    count += 1
    failed += not good
    print("%sok %d - %s" % ("" if good else "not ", count, words))
    if not good:
        print("# %s" % (note,))


def say(r0, r1, length, low, high, pixel, mm, seed):
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "map")
        subprocess.run([SAY] + [repr(float(x)) for x in
                                (r0, r1, length, low, high, pixel, mm, seed)] +
                       [path], check=True)
        with open(path, "rb") as f:
            head = np.frombuffer(f.read(32))
            rest = np.frombuffer(f.read(), np.float32).astype(float)
    nx, ny = int(head[0]), int(head[1])
    was, now = rest.reshape(2, ny, nx)
    return was, now, head[2], head[3]


# Rounding of single precision: eight operations a step each way.
def rounding(steps, most):
    return 16 * steps * 2.0 ** -24 * most


for k, mm in enumerate((0.1, 0.3, 0.8, 2.0)):
    was, now, h, _ = say(40, 40, 60, 10, 50, 0.2, mm, k)
    sigma = mm / TENTH / h
    steps = math.ceil(2 * sigma ** 2)
    r = sigma ** 2 / (2 * steps)
    want = was
    for _ in range(steps):
        want = ndimage.convolve1d(want, [r, 1 - 2 * r, r], axis=1, mode="wrap")
        want = ndimage.convolve1d(want, [r, 1 - 2 * r, r], axis=0,
                                  mode="nearest")
    off = abs(now - want).max()
    check(off <= rounding(steps, was.max()),
          "cylinder, %.1f mm: as scipy convolves, %d steps" % (mm, steps), off)
    check(abs(now.sum() / was.sum() - 1) <= rounding(steps, 1),
          "cylinder, %.1f mm: the mass stays" % mm, now.sum() / was.sum())
    # The fourth cumulant of n steps is -1/n of Gauss's variance squared (at
    # rate 1/4); the kernels differ by 1/(24 n) of the integral of |He4| times
    # the bell, 2.8, each way; scipy cuts its bell at 4 sigma, 6e-5.
    if steps > 10:
        bell = ndimage.gaussian_filter(was, sigma, mode=("reflect", "wrap"))
        off = abs(now - bell).max()
        bound = (2 * 2.8 / 24 / steps + 3e-4) * was.max()
        check(off <= bound, "cylinder, %.1f mm: a Gaussian blur" % mm,
              (off, bound))

for k, (r0, r1, mm) in enumerate(((30, 60, 0.5), (70, 40, 1.0))):
    was, now, h, radius = say(r0, r1, 60, 5, 55, 0.25, mm, 7 + k)
    ny = was.shape[0]
    rise = (r1 - r0) / 60
    low = r0 + 5 * rise
    y = np.minimum((np.arange(ny) + 0.5) * h,
                   radius / rise * math.log((r0 + 55 * rise) / low))
    scale = low * np.exp(y * rise / radius) / radius
    least = min(low, r0 + 55 * rise) / radius
    sigma = mm / TENTH
    steps = math.ceil(2 * (sigma / (least * h)) ** 2)
    r = (sigma / (scale * h)) ** 2 / (2 * steps)
    want = was
    for _ in range(steps):
        want = want + r[:, None] * (np.roll(want, 1, 1) - 2 * want +
                                    np.roll(want, -1, 1))
        wide = np.pad(want, ((1, 1), (0, 0)), mode="edge")
        want = want + r[:, None] * (wide[2:] - 2 * want + wide[:-2])
    off = abs(now - want).max()
    # The chart's own scale is good to 1e-5 (tests/form).
    check(off <= rounding(steps, was.max()) + 1e-4 * was.max(),
          "cone %d to %d: by the scale of the closed form" % (r0, r1), off)
    mass = (now * scale[:, None] ** 2).sum() / (was * scale[:, None] ** 2).sum()
    check(abs(mass - 1) <= rounding(steps, 1) + 1e-5,
          "cone %d to %d: the mass on the pot stays" % (r0, r1), mass)

print("1..%d" % count)
sys.exit(failed > 0)
