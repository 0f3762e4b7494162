# SPDX-License-Identifier: GPL-3.0-or-later
"""Line tiles: the bleed and its range beside scipy.stats, and whether ranges
hold what they say.

    bleed.py LEATHERHARD        speaks TAP
"""
import json
import subprocess
import sys

import numpy as np
from scipy import stats

PROGRAM = sys.argv[1]
count = failed = 0


def check(good, words, note=""):
    global count, failed
    count += 1
    failed += not good
    print("%sok %d - %s" % ("" if good else "not ", count, words))
    if not good:
        print("# %s" % (note,))


def ask(painted, fired, shrinkage, **more):
    lines = [{"name": str(i), "painted_mm": p, "fired_mm": f}
             for i, (p, f) in enumerate(zip(painted, fired))]
    done = subprocess.run([PROGRAM, "bleed", "-", "--json"],
                          input=json.dumps({"lines": lines,
                                            "shrinkage_percent": shrinkage,
                                            **more}),
                          capture_output=True, text=True)
    if done.returncode:
        return done.stderr
    return json.loads(done.stdout)


def each(painted, fired, shrinkage):
    return (np.array(fired) / (1 - shrinkage / 100) - np.array(painted)) / 2


# Of itself: mean, standard error and t's interval are scipy's.
draw = np.random.default_rng(5)
for n in (2, 3, 5, 12):
    painted = draw.uniform(1, 4, n).round(2)
    fired = ((painted + 2 * draw.normal(0.3, 0.15, n)) * 0.94).round(3)
    r = ask(painted.tolist(), fired.tolist(), 6, shrinkage_error_percent=0,
            reading_error_mm=0)
    x = each(painted, fired, 6)
    low, high = stats.t.interval(0.9, n - 1, x.mean(), stats.sem(x))
    # The program prints to a hundredth of a micrometre.
    check(abs(r["bleed_mm"] - x.mean()) < 6e-6 and
          abs(r["standard_error_mm"] - stats.sem(x)) < 6e-6,
          "%d lines: mean and standard error are scipy's" % n, r)
    check(abs(r["bleed_mm_range"][0] - low) < 6e-6 and
          abs(r["bleed_mm_range"][1] - high) < 6e-6,
          "%d lines: the range is scipy's t interval" % n, (r, low, high))
    check(abs(stats.norm.ppf(0.95) * r["bleed_error_mm"] - (high - low) / 2) <
          3e-5, "%d lines: bleed_error_mm has that 90 %% range" % n, r)

# The shrinkage's own error, by a difference quotient.
r = ask([2, 2, 2], [2.4, 2.5, 2.6], 6, reading_error_mm=0)
x = each([2, 2, 2], [2.4, 2.5, 2.6], 6)
slope = (each([2], [2.5], 6.001)[0] - each([2], [2.5], 5.999)[0]) / 0.002
want = np.hypot(stats.t.ppf(0.95, 2) * stats.sem(x),
                stats.norm.ppf(0.95) * 0.3 * slope)
check(abs((r["bleed_mm_range"][1] - r["bleed_mm_range"][0]) / 2 - want) < 3e-5,
      "the error of the shrinkage widens it by as much as it should", (r, want))
# Lines that agree by chance are not trusted further than they are read.
r = ask([2, 2, 2], [2.5, 2.5, 2.5], 0, shrinkage_error_percent=0,
        reading_error_mm=0.1)
want = stats.t.ppf(0.95, 2) * 0.1 * np.sqrt(2) / 2 / np.sqrt(3)
check(r["scatter_mm"] == 0 and
      abs(r["bleed_mm_range"][1] - r["bleed_mm"] - want) < 3e-5,
      "lines that agree to the last: the reading's error stands", (r, want))

# Made-up tiles: the range holds the truth nine times in ten.
held = sets = 0
for seed in range(240):
    draw = np.random.default_rng(seed)
    truth, shrink = draw.normal(0.2, 0.2), 6 + draw.normal(0, 0.3)
    painted = draw.uniform(1.5, 4, 5)
    leather = painted + 2 * (truth + draw.normal(0, 0.06, 5))
    if leather.min() < 0.1:
        continue
    r = ask(painted.tolist(), (leather * (1 - shrink / 100)).tolist(), 6,
            reading_error_mm=0)
    sets += 1
    held += r["bleed_mm_range"][0] <= truth <= r["bleed_mm_range"][1]
# 240 sets: two standard errors of 90 % are 3.9 %.
check(0.86 <= held / sets <= 0.94,
      "%d made-up tiles: the 90 %% ranges hold in %.0f %%" %
      (sets, 100 * held / sets))

# What stands apart: Grubbs, worked out here from scipy's t.
for out in (0.0, 0.05, 0.5, -0.6):
    fired = [2.5, 2.6, 2.55, 2.5, 2.58, 2.53 + 2 * out, 2.56]
    r = ask([2] * 7, fired, 5)
    x = each([2] * 7, fired, 5)
    n, t = 7, stats.t.ppf(1 - 0.05 / 14, 5)
    # The program never trusts lines further than they are read.
    sd = max(x.std(ddof=1), 0.05 * np.hypot(1, 1 / 0.95) / 2)
    g = (n - 1) / np.sqrt(n) * np.sqrt(t * t / (n - 2 + t * t))
    want = np.abs(x - x.mean()) > g * sd
    check([q["outlier"] for q in r["lines"]] == want.tolist() and
          want.any() == (abs(out) > 0.2),
          "a line %.2f mm off: %s" % (out, "named" if want.any() else "not "
                                      "named"), (r, want))

r = ask([3, 3, 3], [2.5, 2.55, 2.45], 6)
check(r["draws_back"] and r["bleed_mm"] < 0 and not r["may_not_move"],
      "lines that drew back: less than nothing, and said", r)
for why, args in (("one line", ([2], [2.5], 6)), ("a line of no width",
                  ([0, 2], [2, 2], 6)), ("no bleed", ([2, 2], [22, 22], 6)),
                  ("a shrinkage of 50", ([2, 2], [2, 2], 50))):
    r = ask(*args)
    check(isinstance(r, str) and r.startswith("/"), "refused: %s" % why, r)

print("1..%d" % count)
sys.exit(failed > 0)
