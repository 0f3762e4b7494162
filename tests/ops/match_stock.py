# SPDX-License-Identifier: GPL-3.0-or-later
"""`match` with the stains of a book: what it finds by itself, by name, and
what it refuses.  The answer from the book is the one that the same stains
give when they stand in the document.

  match_stock.py PROGRAM"""
import json
import os
import subprocess
import sys
import tempfile

PROGRAM = sys.argv[1]
FOLDER = tempfile.TemporaryDirectory()
BOOK = os.path.join(FOLDER.name, "a.book")
lines = failed = 0


def check(good, words, why=""):
    global lines, failed
    lines += 1
    failed += not good
    print(f"{'ok' if good else 'not ok'} {lines} - {words}")
    if not good:
        print("\n".join("# " + x for x in str(why).splitlines()[:12]))


def run(*words, document=None):
    p = subprocess.run([PROGRAM, *words], text=True, capture_output=True,
                       input=document and json.dumps(document))
    return p


def match(document, book=True):
    p = run("match", "-", "--json", *(["--book", BOOK] if book else []),
            document=document)
    return p.returncode, (json.loads(p.stdout) if p.stdout else None), p.stderr


def keep(material):
    path = os.path.join(FOLDER.name, "m.json")
    with open(path, "w") as f:
        json.dump(material, f)
    return run("book", BOOK, "add", "material", path)


# Invented stains: a step in K, up or down, at another place each.
def step(low, high, at, wide=4):
    return [low + (high - low) / (1 + 2.718 ** ((i - at) / wide))
            for i in range(36)]


stains = [
    {"name": "yellow (invented)", "absorption_m2_g": step(0.02, 0.9, 12),
     "scattering_m2_g": 0.05, "price_per_kg": 40, "most_percent": 5},
    {"name": "blue (invented)", "absorption_m2_g": step(1.5, 0.2, 15),
     "scattering_m2_g": 0.05, "price_per_kg": 90, "stock_g": 250},
    {"name": "grey (invented)", "absorption_m2_g": 2.5,
     "scattering_m2_g": 0.05},
]
ask = {"target": {"lab": [55, -9, 17]},
       "base": {"absorption_m2_g": 0.0003, "scattering_m2_g": 0.02,
                "coat_g_m2": 90},
       "glaze": {"index": 1.5}, "choices": 5}

p = run("book", BOOK, "init")
check(p.returncode == 0, "a book", p.stderr)
code, out, why = match(ask)
check(code == 2 and "no material of the book has K and S" in why,
      "an empty stock: refused, and what to keep", why)
for m in stains:
    p = keep({**m, "class": "stain", "formula": "ZrO2.SiO2"})
    check(p.returncode == 0, f"{m['name']} is kept", p.stderr)
keep({"name": "plain clay", "formula": "Al2O3.2SiO2.2H2O"})

_, want, why = match({**ask, "stains": stains}, book=False)
code, got, why = match(ask)
check(code == 0, "stains of the book are found by themselves", why)


def told(r):
    """Choices, each with its additions in the order of names."""
    return r and [(sorted((x["stain"], round(x["percent"], 6))
                          for x in c["additions"]), round(c["delta_e00"], 6))
                  for c in r["choices"]]


check(got and told(got) == told(want),
      "the same blends as of stains in the document",
      f"{told(got)}\n{told(want)}")
check(got and any(x["stain"].startswith("yellow") and x["percent"] > 4
                  for c in got["choices"] for x in c["additions"]),
      "yellow is wanted", told(got))
check(all(x["percent"] <= 5 + 1e-9 for c in got["choices"]
          for x in c["additions"] if x["stain"].startswith("yellow")),
      "and never past the most that the book says", told(got))

code, got, why = match({**ask, "stock": ["blue (invented)"]})
check(code == 0 and {x["stain"] for c in got["choices"]
                     for x in c["additions"]} <= {"blue (invented)"},
      "named ones alone", why)
code, got, why = match({**ask, "stains": stains[:1],
                        "stock": ["blue (invented)"]})
_, want, _ = match({**ask, "stains": stains[:2]}, book=False)
check(code == 0 and told(got) == told(want), "and beside those of the document",
      why)
code, got, why = match({**ask, "stains": [{**stains[0], "most_percent": 3}],
                        "stock": ["yellow (invented)"]})
check(code == 0 and all(x["percent"] <= 3 + 1e-9 for c in got["choices"]
                        for x in c["additions"]),
      "of two of one name the document's is taken", why)

for words, stock, book, say in (
        ("a name that is not there", ["orange"], True,
         'no material "orange" is in the book'),
        ("one without K and S", ["plain clay"], True,
         '"plain clay" has no absorption_m2_g'),
        ("no book at all", ["blue (invented)"], False, "no book is open"),
        ("an empty list", [], True, "no stain stands there")):
    code, out, why = match({**ask, "stock": stock}, book)
    check(code == 2 and out is None and say in why, f"refused: {words}", why)
keep({"name": "half (invented)", "formula": "ZrO2", "absorption_m2_g": 1})
code, out, why = match(ask)
check(code == 2 and '"half (invented)" has no scattering_m2_g' in why,
      "K without S in the book: refused by name", why)
p = keep({"name": "less than none", "formula": "ZrO2", "absorption_m2_g": -1,
          "scattering_m2_g": 1})
check(p.returncode == 2 and "/absorption_m2_g" in p.stderr,
      "and a K below nothing is not kept", p.stderr)
print(f"1..{lines}")
sys.exit(failed > 0)
