#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The working sheets, read back from the PDF with poppler's tools.

  sheets.py PROGRAM PIECE TALL

Speaks TAP.  Oracles: poppler (pdfinfo, pdffonts, pdftotext, pdftoppm) reads
what cairo wrote; sizes are measured on the rendered page at 254 dpi, which is
ten pixels to the millimetre.
"""
import copy
import json
import os
import re
import sys

sys.dont_write_bytecode = True

from pdf_page import (check, done, env, grey_page, longest_dark,  # noqa: E402
                      overlaps, page_with, program, run, scratch, sheets,
                      text_of, words_of)

sample, mug_file = sys.argv[2:4]


def basics(piece):
    pdf, out = sheets(piece, "sample")
    pages = int(out.get("pages", 0))
    info = run("pdfinfo", pdf).stdout.decode()
    check("Pages:           %d\n" % pages in info, "as many pages as said")
    check("(A4)" in info, "A4 by poppler's reckoning")
    fonts = run("pdffonts", pdf).stdout.decode().splitlines()[2:]
    check(fonts and all(re.search(r"yes +yes", f) for f in fonts),
          "every font is embedded, and only what is used of it")
    check(any("Vollkorn" in f for f in fonts) and
          any("Lato" in f for f in fonts), "the house's two typefaces")
    again, _ = sheets(piece, "again")
    same = open(pdf, "rb").read() == open(again, "rb").read()
    check(same, "same input, same bytes")
    later, _ = sheets(piece, "later", environment=dict(
        env, SOURCE_DATE_EPOCH="1890000000"))
    check("22 November 2029" in text_of(later), "the date is the epoch's")
    check("21 September 2026" in text_of(pdf), "and so it is in the sample")
    bad = overlaps(words_of(pdf))
    check(not bad, "nothing overlaps or leaves the margin %s" % bad[:3])
    feet = [text_of(pdf, k) for k in range(1, pages + 1)]
    check(all("%d of %d" % (k + 1, pages) in t for k, t in enumerate(feet)),
          "page numbers on every page")
    check(all("invented example" in t for t in feet),
          "an invented piece says so on every page")
    mark = "invented from measured powders: make your own tiles."
    marked = [t for t in feet if "pan reads" in t] + feet[:1]
    check(len(marked) == 6 and all(mark in " ".join(t.split()) for t in marked),
          "title page and mixing pages say what their colours are")
    check(sum("Judge by daylight" in t for t in feet) == 3,
          "the colour pages are among them")
    letter, _ = sheets(piece, "letter", "/ask/paper=letter")
    check("Letter" in run("pdfinfo", letter).stdout.decode().title(),
          "Letter by poppler's reckoning")
    bad = overlaps(words_of(letter))
    check(not bad, "nothing overlaps on Letter %s" % bad[:3])
    return pdf, pages


def mixing(piece, pdf, pages):
    """Grams, running totals and water of each page against `coverage`."""
    path = os.path.join(scratch, "sample.json")
    cover = json.loads(run(program, "coverage", path, "--json").stdout)
    for use in cover["slips"]:
        slip = next(s for s in piece["slips"] if s["id"] == use["slip"])
        if use["dry_g"] <= 0 or "recipe" not in slip:
            continue
        name = slip.get("name", slip["id"])
        mixes = [k for k in range(1, pages + 1)
                 if text_of(pdf, k).lstrip().startswith(name)]
        text = "".join(text_of(pdf, k) for k in mixes)
        rows = re.findall(r"(\d+\.\d) +(\d+\.\d) *$", text, re.M)
        lines = slip["recipe"]["lines"] + slip["recipe"].get("additions", [])
        check(len(rows) == len(lines), "%s: a row for each material" % name)
        total = 0.0
        good = True
        for grams, reads in rows:
            total += float(grams)
            good = good and abs(total - float(reads)) < 0.05
        check(good and rows, "%s: the pan reads the running total" % name)
        mix = dict({"waste_percent": 15, "residue_g": 10},
                   **piece.get("mixing", {}))
        need = max(mix.get("least_g", 0), use["dry_g"] * piece["pots"] *
                   (1 + mix["waste_percent"] / 100) + mix["residue_g"])
        check(need - 0.05 <= total <= need * 1.03 + 1,
              "%s: %.1f g weighed for %.1f g wanted" % (name, total, need))
        # Brongniart: W = (P - 1000) S/(S - 1) dry in a litre of P.
        P, S = slip["litre_weight_g"], slip.get("solids_density", 2.6)
        litres = total / ((P - 1000) * S / (S - 1))
        water = litres * P - total
        said = re.search(r"(\d+) +ml water", text)
        check(said is not None and abs(float(said[1]) - water) <= 0.5 + 1e-6,
              "%s: water by Brongniart, %.2f ml" % (name, water))
        check("%.1f" % (P / 10) in text, "%s: what 100 ml weighs" % name)


def true_size():
    """On a cylinder: a rule of 100 mm, a dot of 40 mm, a line of 30 mm."""
    piece = {
        "format": "leatherhard.piece", "version": 1, "name": "Measure",
        "form": {"outside": [{"diameter_mm": 100, "height_mm": 0},
                             {"diameter_mm": 100, "height_mm": 90}]},
        "body": {"reflectance": 0.6},
        "slips": [{"id": "k", "name": "Black", "absorption_m2_g": 10,
                   "scattering_m2_g": 0.01, "litre_weight_g": 1500,
                   "coat_g_m2": 300}],
        "zones": [{"id": "wall", "from_mm": 10, "to_mm": 80}],
        "painting": [
            {"id": "p1", "zone": "wall", "turns": 0.15, "up_mm": 35,
             "mark": {"id": "m1", "kind": "dot", "slip": "k",
                      "width_mm": 40}}]}
    pdf, out = sheets(piece, "measure")
    k = page_with(pdf, int(out["pages"]), "at true size")
    width, height, data = grey_page(pdf, k)
    # Above the first strip stand the words and the rule; the footer's rule,
    # the strips' frames and the dot lie below.
    runs = [longest_dark(width, height, data, [y]) for y in range(250, 900)]
    rule = min(runs, key=lambda r: abs(r[0] - 1000))
    check(abs(rule[0] - 1000) <= 4, "the check rule is 100 mm: %d px" % rule[0])
    rows = range(rule[1] + 40, height - 300)
    dot = max((longest_dark(width, height, data, [y]) for y in rows
               if longest_dark(width, height, data, [y])[0] < 1000),
              default=(0, 0))
    check(abs(dot[0] - 400) <= 4, "a dot of 40 mm is 40 mm: %d px" % dot[0])
    check("invented" not in text_of(pdf), "a real piece is not called invented")


def long_names(piece):
    piece = copy.deepcopy(piece)
    piece["name"] = "A piece with a name that goes on " * 3
    slip = piece["slips"][0]
    slip["name"] = "Ground" + "x" * 60 + " for a very long afternoon by the sea"
    slip["note"] = "A note of many words. " * 20
    slip["recipe"] = {"kind": "slip", "lines": [
        {"material": "silica" if i else "kaolin", "parts": 10 + i}
        for i in range(30)]}
    pdf, out = sheets(piece, "long")
    check(out.get("pages", 0) > 0, "long names and thirty lines are drawn")
    bad = overlaps(words_of(pdf))
    check(not bad, "long names wrap and do not overlap %s" % bad[:3])
    check(text_of(pdf).count("pan reads") >= 2, "a long table goes on overleaf")


def title_page(mug):
    """A tall pot's picture once covered the verdict and the footer."""
    for paper in ("a4", "letter"):
        pdf, _ = sheets(mug, "tall-" + paper, "/ask/paper=" + paper)
        first = text_of(pdf, 1)
        check("checks ok" in first and first.count("caution") >= 4,
              "a tall pot leaves room for its verdict (%s)" % paper)
        bad = overlaps(words_of(pdf))
        check(not bad, "nothing overlaps below a tall pot %s" % bad[:3])
        width, height, data = grey_page(pdf, 1)
        # 17 mm from the lower edge stands the footer's rule; no picture
        # reaches the 4 mm above it.
        rows = range(height - 210, height - 175)
        check(all(min(data[y * width:(y + 1) * width]) == 255 for y in rows),
              "white paper above the footer (%s)" % paper)
    mug = copy.deepcopy(mug)
    mug["name"] = "A very long name " * 40
    mug["slips"][0]["name"] = "Longer" * 100
    pdf, _ = sheets(mug, "longest")
    bad = overlaps(words_of(pdf))
    check(not bad, "a name of 680 letters keeps to its place %s" % bad[:3])


def large_disc(plate):
    """A disc wider than the paper is as large as the page says."""
    plate = copy.deepcopy(plate)
    plate["form"].update(
        outside=[{"diameter_mm": 200, "height_mm": 0},
                 {"diameter_mm": 320, "height_mm": 30}],
        inside=[{"diameter_mm": 0, "height_mm": 8},
                {"diameter_mm": 190, "height_mm": 8},
                {"diameter_mm": 316, "height_mm": 34}])
    plate["zones"] = [{"id": "wall", "name": "Well", "kind": "disc",
                       "face": "inside", "from_mm": 0, "to_mm": 95}]
    plate["painting"] = plate["painting"][:2]
    plate["painting"][1].update(
        up_mm=55, repeat={"way": "rosette", "count": 8})
    pdf, out = sheets(plate, "plate")
    k = page_with(pdf, int(out["pages"]), "Well, drawn smaller")
    found = re.search(r"drawn at (\d+) % of true size", text_of(pdf, k))
    check(found, "what is too large says how large it is drawn")
    if not found:
        return
    width, height, data = grey_page(pdf, k)
    # The disc is flat to its edge, 190 mm across; the page prints whole per
    # cent, half of which is 0.95 mm; the edge's own line 0.2 mm.
    wide = max(len(row.strip(b"\xff")) for row in
               (data[y * width:(y + 1) * width]
                for y in range(1000, height - 300)))
    check(abs(wide / 10 - 190 * int(found[1]) / 100) <= 1.2,
          "and is: %.1f mm at %s %%" % (wide / 10, found[1]))
    check("Thinner, the body shows." in text_of(pdf),
          "the potter's reason stands as a sentence")


def main():
    with open(sample, encoding="utf-8") as f:
        piece = json.load(f)
    pdf, pages = basics(piece)
    mixing(piece, pdf, pages)
    true_size()
    long_names(piece)
    with open(mug_file, encoding="utf-8") as f:
        mug = json.load(f)
    title_page(mug)
    large_disc(mug)
    return done()


sys.exit(main())
