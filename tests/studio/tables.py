#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Suppliers' tables against Python's own csv module: TAP.

    tables.py PROGRAM

Invented analyses, seeded, are written by Python's csv writer in many
dialects (separator, quoting, line ends, byte order mark, decimal sign, order
of columns) and read by `leatherhard materials`.  What comes back must be what
went in, figure for figure.
"""
import csv
import io
import json
import random
import subprocess
import sys

PROGRAM = sys.argv[1]
OXIDES = ["SiO2", "Al2O3", "Fe2O3", "TiO2", "CaO", "MgO", "K2O", "Na2O",
          "ZrO2", "B2O3", "LOI"]
random.seed(20261125)
count = failed = 0


def check(truth, words, why=""):
    global count, failed
    count += 1
    failed += not truth
    print("%sok %d - %s" % ("" if truth else "not ", count, words))
    if not truth:
        print("# " + str(why)[:1000].replace("\n", "\n# "))


def names(n):
    parts = ["clay", "Löss", 'the "grey" one', "a, b", "c; d", "feldspar",
             " x ", "Nr. 7", "長石"]
    return ["%s %d (invented)" % (random.choice(parts).strip(), i)
            for i in range(n)]


for case in range(40):
    separator = random.choice(",;\t")
    comma = separator != "," or random.random() < 0.5
    oxides = random.sample(OXIDES, random.randint(3, len(OXIDES)))
    rows, want = [], []
    for name in names(random.randint(1, 6)):
        told = {o: round(random.uniform(0.01, 60), random.choice([0, 1, 2]))
                or 0.5 for o in oxides if random.random() < 0.8}
        if not told:
            told = {oxides[0]: 50.0}
        cells = {o: str(told[o]).replace(".", "," if comma else ".")
                 if o in told else random.choice(["", "-"]) for o in oxides}
        want.append({"name": name, "analysis": told})
        rows.append([name] + [cells[o] for o in oxides])
    order = list(range(len(oxides) + 1))
    random.shuffle(order)
    text = io.StringIO()
    out = csv.writer(text, delimiter=separator,
                     quoting=random.choice([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
                     lineterminator=random.choice(["\n", "\r\n", "\r"]))
    heading = ["name"] + [o.lower() if random.random() < 0.3 else o
                          for o in oxides]
    for row in [heading] + rows:
        out.writerow([row[i] for i in order])
    table = random.choice(["", "\ufeff"]) + text.getvalue()
    done = subprocess.run([PROGRAM, "materials", "-", "--json"],
                          input=json.dumps({"table": table}),
                          capture_output=True, text=True, encoding="utf-8")
    got = json.loads(done.stdout)["materials"] if done.returncode == 0 else None
    check(got == want, "table %d comes back as it was written" % (case + 1),
          (done.stderr, table, got))
print("1..%d" % count)
sys.exit(failed > 0)
