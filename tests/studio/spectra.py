#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Files of spectra against Python's csv module and scipy: TAP.

    spectra.py SPECTRA_SAY

Invented spectra, seeded.  Tables are written by Python's csv writer in many
dialects; exchange text by the rules of CGATS.17 / ISO 28178 as publicly
described (keywords, data format, data sets).  Readings at our own wavelengths
must come back figure for figure; those at others are held against scipy:
Sprague's curve is the piecewise fifth-degree polynomial with the slopes and
second derivatives of the fourth-degree polynomial through five readings.
"""
import csv
import io
import random
import subprocess
import sys

import numpy as np
from scipy.interpolate import BPoly, lagrange

SAY = sys.argv[1]
OURS = np.arange(380, 731, 10)
random.seed(20261126)
count = failed = 0


def check(truth, words, why=""):
    global count, failed
    count += 1
    failed += not truth
    print("%sok %d - %s" % ("" if truth else "not ", count, words))
    if not truth:
        print("# " + str(why)[:1500].replace("\n", "\n# "))


def read(data, scale=-1, light=-1):
    if isinstance(data, str):
        data = data.encode()
    p = subprocess.run([SAY, str(scale), str(light)], input=data,
                       stdout=subprocess.PIPE)
    lines = p.stdout.decode().split("\n")
    if p.returncode:
        return None, lines
    keys = ["count", "exchange", "lab", "scale", "by", "geometry", "way",
            "low", "high", "passed_over", "first", "step", "n"]
    about = dict(zip(keys, map(float, lines[0].split())))
    samples = {}
    for i in range(1, len(lines) - 1, 3):
        numbers = lines[i + 2].split()
        samples[lines[i]] = (lines[i + 1], int(numbers[0]),
                             np.array(numbers[1:], float))
    return about, samples


def spectrum(nm, kind):
    """Smooth, between 0 and 1; as an invented pigment reads."""
    x = (np.asarray(nm, float) - 380) / 350
    a, b, c = kind
    return (0.5 + 0.3 * np.sin(2 * np.pi * (a * x + b)) +
            0.15 * np.tanh(12 * (x - c)))


def kind():
    return (random.uniform(0.3, 1.4), random.random(), random.random())


def names(n):
    parts = ["tile", "Löss", 'the "grey" one', "a, b", "c; d", "10 % cobalt",
             "Nr. 7", "長石", "no. #3"]
    return ["%s %d" % (random.choice(parts), i) for i in range(n)]


# ---- Sprague, by scipy ----------------------------------------------------

def fourth(x, y):
    """Slope and bend at the middle of the fourth degree through five."""
    p = lagrange(x - x[2], y)
    return p.deriv()(0), p.deriv(2)(0)


def outer(y):
    """The two readings beyond each end that CIE 167:2005 adds (from memory):
    weights in 209ths of the six readings there."""
    far = np.array([884, -1960, 3033, -2648, 1080, -180]) / 209
    near = np.array([508, -540, 488, -367, 144, -24]) / 209
    return np.concatenate([[far @ y[:6], near @ y[:6]], y,
                           [near @ y[:-7:-1], far @ y[:-7:-1]]])


def sprague(nm, y, at):
    step = nm[1] - nm[0]
    full = outer(y)
    t = np.arange(len(full), dtype=float)
    rows = []
    for i in range(2, len(full) - 2):
        rows.append([full[i], *fourth(t[i - 2:i + 3], full[i - 2:i + 3])])
    curve = BPoly.from_derivatives(np.arange(len(y), dtype=float), rows)
    return curve((np.clip(at, nm[0], nm[-1]) - nm[0]) / step)


def averaged(nm, y, at):
    """A triangle 10 nm wide at half height, on the readings where 10 is a
    multiple of the step, else on the curve at every nm; even on both sides."""
    step = nm[1] - nm[0]
    whole = abs(10 / step - round(10 / step)) < 1e-9
    out = []
    for w in np.clip(at, nm[0], nm[-1]):
        half = min(10, w - nm[0], nm[-1] - w)
        d = step if whole else 1.0
        k = np.arange(-np.floor(half / d + 1e-9), np.floor(half / d + 1e-9) + 1)
        weight = np.ones(1) if half < d else 1 - abs(k * d) / half
        v = np.interp(w + k * d, nm, y) if whole else sprague(nm, y, w + k * d)
        out.append((weight @ v) / weight.sum())
    return np.array(out)


# ---- tables ---------------------------------------------------------------

def number(v, comma):
    return v.replace(".", ",") if comma else v


for case in range(60):
    separator = random.choice(",;\t")
    comma = separator != "," or random.random() < 0.3
    percent = random.random() < 0.5
    first = random.choice([360, 380, 390, 400])
    last = random.choice([700, 720, 730, 750, 780])
    nm = np.arange(first, last + 1, 10)
    across = random.random() < 0.5
    if random.random() < 0.3:
        nm = nm[::-1]
    told = {n: ["%.6f" % (v * (100 if percent else 1))
                for v in spectrum(nm, kind())]
            for n in names(random.randint(1, 5))}
    head = random.choice(["%d", "%d nm", "nm%d", "R%d", "SPECTRAL_NM%d"])
    if across:
        rows = [[random.choice(["name", "Sample", "", "SAMPLE_ID"])] +
                [head % w for w in nm]]
        rows += [[n] + [number(v, comma) for v in r] for n, r in told.items()]
    else:
        rows = [[random.choice(["nm", "wavelength", "Wavelength (nm)", ""])] +
                list(told)]
        rows += [[random.choice(["%d", "%d.0"]) % w] +
                 [number(r[i], comma) for r in told.values()]
                 for i, w in enumerate(nm)]
        if percent and random.random() < 0.4:
            rows.insert(1, ["nm"] + ["%"] * len(told))
    text = io.StringIO()
    csv.writer(text, delimiter=separator,
               quoting=random.choice([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
               lineterminator=random.choice(["\n", "\r\n", "\r"])).writerows(
        rows)
    data = ("\ufeff" if random.random() < 0.3 else "") + text.getvalue()
    about, got = read(data)
    if about is None:
        check(False, "table %d is read" % case, "%s\n%s" % (got, data))
        continue
    nm = [int(w) for w in nm]
    bad = []
    for n, r in told.items():
        for i, w in enumerate(OURS):
            held = min(max(int(w), min(nm)), max(nm))
            want = float(r[nm.index(held)])
            want = want / 100 if percent else want
            if n not in got or got[n][2][i] != want:
                bad.append((n, int(w), want))
    check(not bad and list(got) == list(told) and about["scale"] == percent and
          about["low"] == sum(w < min(nm) for w in OURS) and
          about["high"] == sum(w > max(nm) for w in OURS) and
          about["way"] == 0,
          "table %d: %s, %s, %d to %d nm" % (case, "across" if across else
                                             "down", repr(separator), first,
                                             last), (bad[:3], about, data))

# ---- other wavelengths ----------------------------------------------------
# Both sides are double; what they do differs by rounding alone: 1e-12.

for first, last, step in [(380, 730, 20), (360, 740, 20), (400, 700, 20),
                          (385, 735, 10), (378, 738, 12), (380, 731, 6.75),
                          (380, 730, 5), (400, 700, 5), (380, 730, 1),
                          (360, 780, 2), (380, 730, 2.5), (380, 730, 10 / 3),
                          (382, 730, 4), (381, 729, 3), (350, 1100, 2)]:
    n = int(round((last - first) / step)) + 1
    nm = first + step * np.arange(n)
    k = kind()
    y = np.array([float("%.9f" % v) for v in spectrum(nm, k)])
    text = "nm;a\n" + "".join("%.12g;%.9f\n" % (w, v) for w, v in zip(nm, y))
    about, got = read(text)
    if about is None:
        check(False, "every %g nm from %d is read" % (step, first), got)
        continue
    fine = step <= 5
    want = averaged(nm, y, OURS) if fine else sprague(nm, y, OURS)
    off = abs(got["a"][2] - want).max()
    check(about["way"] == (1 if fine else 2) and off < 1e-12,
          "every %g nm from %d to %d as scipy %s" %
          (step, first, last, "averages" if fine else "draws"), (about, off))

# Grids as instruments print them, to one decimal.
nm = 380 + 10 / 3 * np.arange(106)
k = kind()
text = "nm;a\n" + "".join("%.1f;%.9f\n" % (w, v)
                          for w, v in zip(nm, spectrum(nm, k)))
about, got = read(text)
check(about is not None and
      abs(got["a"][2][1:-1] -
          averaged(nm, spectrum(nm, k), OURS)[1:-1]).max() < 1e-4,
      "wavelengths printed to 0.1 nm", got)

# ---- exchange text --------------------------------------------------------

def quote(s):
    return '"%s"' % s.replace('"', '""')


def exchange(told, nm, style, percent):
    """A table by CGATS.17: keywords, format, sets; fields in any order."""
    fields = {"SAMPLE_ID": [str(i + 1) for i in range(len(told))],
              "SAMPLE_NAME": [quote(n) for n in told]}
    if random.random() < 0.5:
        fields["CMYK_C"] = ["0"] * len(told)
    if style == "pairs":
        unit = "SPECTRAL_PCT" if percent else "SPECTRAL_DEC"
        order = list(fields) + ["SPECTRAL_NM", unit] * len(nm)
    else:
        order = list(fields) + [style % w for w in nm]
        if random.random() < 0.5:
            order = order[len(fields):] + order[:len(fields)]
    out = ["NUMBER_OF_FIELDS %d" % len(order), "BEGIN_DATA_FORMAT"]
    for i in range(0, len(order), 9):
        out.append("\t".join(order[i:i + 9]))
    out += ["END_DATA_FORMAT", "NUMBER_OF_SETS %d" % len(told), "BEGIN_DATA"]
    for i, r in enumerate(told.values()):
        row, k = [], 0
        for f in order:
            if f in fields:
                row.append(fields[f][i])
            elif f == "SPECTRAL_NM":
                row.append("%d" % nm[k])
            else:
                row.append(r[k])
                k += 1
        out.append(random.choice("\t ").join(row) +
                   random.choice(["", "  # read twice"]))
    return out + ["END_DATA"]


for case in range(40):
    nm = np.arange(random.choice([380, 400]), random.choice([701, 731, 781]), 10)
    percent = random.random() < 0.5
    style = random.choice(["SPECTRAL_NM%d", "NM_%d", "SPECTRAL_%d", "nm%d",
                           "SPECTRAL_NM_%d", "R_%d nm".replace(" ", ""),
                           "pairs", "pairs"])
    told = {n: ["%.4f" % (v * (100 if percent else 1))
                for v in spectrum(nm, kind())]
            for n in names(random.randint(1, 6))}
    lines = ["CGATS.17", 'ORIGINATOR "invented"', "# a remark",
             'KEYWORD "WHIM"', 'WHIM "of no matter"',
             'MEASUREMENT_GEOMETRY "%s"' % random.choice(["45/0", "0:45"]), ""]
    tables = random.randint(1, 2)
    lines += exchange(told, nm, style, percent)
    if tables == 2:
        lines += ["", 'TABLE_NAME "colorants"', "BEGIN_DATA_FORMAT",
                  "SAMPLE_ID CMYK_C", "END_DATA_FORMAT", "BEGIN_DATA", "1 0",
                  "END_DATA"]
    text = random.choice(["\n", "\r\n"]).join(lines) + "\n"
    about, got = read(text)
    if about is None:
        check(False, "exchange %d is read" % case, "%s\n%s" % (got, text))
        continue
    nm = [int(w) for w in nm]
    bad = []
    for n, r in told.items():
        for i, w in enumerate(OURS):
            want = float(r[nm.index(min(max(int(w), nm[0]), nm[-1]))])
            want = want / 100 if percent else want
            if n not in got or got[n][2][i] != want:
                bad.append((n, int(w), want))
    check(not bad and list(got) == list(told) and about["exchange"] and
          about["scale"] == percent and about["geometry"] == 2 and
          about["passed_over"] == tables - 1,
          "exchange %d: %s" % (case, style), (bad[:3], about, text))

print("1..%d" % count)
sys.exit(failed > 0)
