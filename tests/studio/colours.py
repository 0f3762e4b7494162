#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The colour pages, read back from the PDF with poppler's tools.

  colours.py PROGRAM PIECE [many]

With a third word: of very many slips, which takes longer.  Speaks TAP.  Poppler renders the page at 254 dpi, ten pixels to the
millimetre: chips are measured there, their colours against what the operation
`shade` says of the same stack, the brackets against the operation `window`.
"""
import copy
import json
import os
import re
import sys

sys.dont_write_bytecode = True

from pdf_page import (check, done, overlaps, program, run,  # noqa: E402
                      scratch, sheets, text_of, words_of)

sample = sys.argv[2]
ONLY = '/ask/only=["colours"]'
MARK = "Invented from measured powders: make your own tiles."
MM = 10  # pixels


def ask(op, document, *sets):
    flags = [x for s in sets for x in ("--set", s)]
    path = os.path.join(scratch, "ask.json")
    with open(path, "w", encoding="utf-8") as f:
        json.dump(document, f)
    r = run(program, op, path, "--json", *flags)
    if r.returncode not in (0, 1):
        print("# " + r.stderr.decode())
    return json.loads(r.stdout)


def colour_page(pdf, page):
    """The page at 10 pixels a mm: width, height, RGB bytes."""
    out = os.path.join(scratch, "colours")
    run("pdftoppm", "-r", "254", "-f", str(page), "-l", str(page),
        "-singlefile", pdf, out)
    with open(out + ".ppm", "rb") as f:
        data = f.read()
    head = re.match(rb"P6\s+(\d+)\s+(\d+)\s+255\s", data)
    return int(head[1]), int(head[2]), data[head.end():]


class Page:
    """Words and pixels of one page."""

    def __init__(self, pdf, number):
        self.text = text_of(pdf, number)
        _, _, self.words = words_of(pdf)[number - 1]
        self.width, self.height, self.data = colour_page(pdf, number)

    def at(self, x, y):
        i = 3 * (int(y) * self.width + int(x))
        return tuple(self.data[i:i + 3])

    def strips(self):
        """Rows of seven weights: [[(weight, middle, top)]], in pixels."""
        scale = 254 / 72
        units = [w for w in self.words if w[4].startswith("g/m")]
        found = []
        for w in self.words:
            if not re.fullmatch(r"\d+", w[4]) or w[3] - w[1] < 17.5:
                continue
            near = [u for u in units if 0 < u[0] - w[2] < 5 and
                    w[1] < (u[1] + u[3]) / 2 < w[3]]
            if near:
                found.append((int(w[4]), (w[0] + near[0][2]) / 2 * scale,
                              w[1] * scale))
        found.sort(key=lambda v: (round(v[2] / 20), v[1]))
        return [found[i:i + 7] for i in range(0, len(found), 7)]

    def chip(self, middle, top):
        """What stands above a weight: its colour, its box, that of the empty
        square below it: (rgb, (x0, y0, x1, y1), (x0, y0, x1, y1))."""
        x = int(middle) + 55  # beside the words in the first empty square
        y, run_of = int(top), 0
        while run_of < 8 * MM:  # down to the white of the empty square
            y -= 1
            run_of = run_of + 1 if min(self.at(x, y)) > 250 else 0
        low = y + run_of
        while min(self.at(x, y)) > 250:
            y -= 1
        high = y + 1
        rgb = self.at(x, y - 30)
        chip_top = y
        while self.at(x, chip_top - 1) == self.at(x, y - 30) or \
                chip_top > y - 30:
            chip_top -= 1

        def side(row):
            a = b = int(x)
            here = self.at(x, row)
            while self.at(a - 1, row) == here:
                a -= 1
            while self.at(b + 1, row) == here:
                b += 1
            return a, b + 1
        a, b = side(y - 30)
        c, d = side(high + 30)
        return rgb, (a, chip_top, b, y + 1), (c, high, d, low)


def stack_of(piece, slip, grams, *below):
    own = {s["id"]: s for s in piece["slips"]}
    g = piece["glaze"]
    sure = max(own[i]["uncertainty_percent"] for i in
               (slip,) + tuple(b for b, _ in below))
    return {"stack_top_first": [
        {"slip": own[i], "coat_g_m2": x} for i, x in ((slip, grams),) + below],
        "substrate": {"reflectance": piece["body"]["reflectance"]},
        "glaze": {k: g[k] for k in ("index", "eats_g_m2", "dissolved_share")},
        "geometry": "d8_ex",
        "uncertainty": {"absorption_percent": sure,
                        "scattering_percent": sure}}


def said_byte(v):
    return round(255 * min(max(v, 0), 1))


def one_strip(piece, page, strip, slip, *below):
    """Seven chips of one slip against shade, the bracket against window."""
    weights = [w for w, _, _ in strip]
    check(len(strip) == 7 and weights == sorted(set(weights)),
          "%s: seven chips from thin to thick: %s" % (slip, weights))
    worst, sizes, chips = 0, [], []
    for w, middle, top in strip:
        rgb, box, empty = page.chip(middle, top)
        want = ask("shade", stack_of(piece, slip, w, *below))["srgb"]
        worst = max(worst, *(abs(a - said_byte(b)) for a, b in zip(rgb, want)))
        sizes.append((box[2] - box[0], box[3] - box[1], empty[2] - empty[0],
                      empty[3] - empty[1]))
        chips.append(box)
    # cairo writes six digits of a colour; poppler rounds to a byte.
    check(worst <= 1, "%s: chips as shade has them, within a step of 255: %d" %
          (slip, worst))
    flat = [v for s in sizes for v in s]
    # Frames are 0.2 mm, two pixels, and may eat one on either side.
    check(max(flat) - min(flat) <= 6 and min(flat) >= 14 * MM,
          "%s: squares, the empty one of the same size: %.1f to %.1f mm" %
          (slip, min(flat) / MM, max(flat) / MM))
    off = [abs((b[0] + b[2]) / 2 - m) for b, (_, m, _) in zip(chips, strip)]
    check(max(off[1:-1]) <= 3, "%s: each weight stands below its chip" % slip)
    own = next(s for s in piece["slips"] if s["id"] == slip)
    best = own["window"]["best_g_m2"]
    w = ask("window", piece, "/ask/slip=" + slip, "/ask/geometry=d8_ex")
    ends = [round(w["least_g_m2"])] + \
        ([] if w["no_upper_end"] else [round(w["most_g_m2"])])
    check(set(ends + [round(best)]) <= set(weights),
          "%s: the ends of its window and its best are among them" % slip)
    # The ends are turned up: at half their height only they are dark.
    y = int(max(b[3] for b in chips)) + sizes[0][3]
    rows = range(y + 14, y + 34)
    dark = [x for x in range(page.width) if
            sum(max(page.at(x, r)) < 100 for r in rows) >= 14]
    starts = [x for x in dark if x - 1 not in dark]
    # 0.5 mm wide; the chip's weight is the end to half a gram, which on the
    # narrowest step (8 % a chip) is a fifth of 25 mm at worst.
    middles = [m for v, m, _ in strip if v in ends]
    check(len(starts) == len(ends) and
          all(abs(s + 2.5 - m) < 50 for s, m in zip(starts, middles)),
          "%s: the bracket ends below those chips: %s" % (slip, starts))
    shade = ask("shade", stack_of(piece, slip, best, *below))
    said = re.search(r"Nine in ten fire within dE00 ([\d.]+) of the chip at "
                     "%d," % best, page.text)
    check(said and abs(float(said[1]) - shade["range"]["delta_e00"]) <= 0.051,
          "%s: nine in ten, as shade says: %s" % (slip, said and said[1]))
    check("The %s side is safer" % w["safer_side"] in
          " ".join(page.text.split()),
          "%s: the safer side as window says" % slip)


def of_sample(piece):
    pdf, out = sheets(piece, "colours", ONLY)
    pages = int(out["pages"])
    whole = text_of(pdf)
    check(pages == 3 and "pan reads" not in whole and "verdict" not in whole,
          "the colour pages alone: %d" % pages)
    again, _ = sheets(piece, "again", ONLY)
    check(open(pdf, "rb").read() == open(again, "rb").read(),
          "same input, same bytes")
    check(not overlaps(words_of(pdf)), "nothing overlaps or leaves the margin "
          "%s" % overlaps(words_of(pdf))[:3])
    for k in range(1, pages + 1):
        text = text_of(pdf, k)
        check(MARK in text and "Judge by daylight" in text and
              "printer's colours are not the kiln's" in text,
              "page %d says what its colours are, and how to judge" % k)
    check(whole.count("date") >= 6 and whole.count("firing") >= 6 and
          whole.count("lay your") == 6, "six strips, each with room to write")
    check("over Copper green, " in whole and ", on White ground, " in whole,
          "a slip over a slip has a strip of its own")
    check(re.search(r"Learning error: K and S to 3\.5 %", whole) is not None,
          "the learning error is said")
    first, second = Page(pdf, 1), Page(pdf, 2)
    one_strip(piece, first, first.strips()[1], "blue", ("white", 220))
    one_strip(piece, second, second.strips()[0], "green", ("white", 220))
    letter, more = sheets(piece, "letter", ONLY, "/ask/paper=letter")
    check(not overlaps(words_of(letter)) and more["pages"] == 3,
          "nothing overlaps on Letter %s" % overlaps(words_of(letter))[:3])
    page = Page(letter, 1)
    boxes = [page.chip(m, y) for _, m, y in page.strips()[1]]
    sides = [v for _, b, e in boxes for v in
             (b[2] - b[0], b[3] - b[1], e[2] - e[0], e[3] - e[1])]
    check(max(sides) - min(sides) <= 6 and min(sides) >= 14 * MM,
          "on Letter they are squares as well: %.1f to %.1f mm" %
          (min(sides) / MM, max(sides) / MM))


def chosen(piece):
    """Parts by name."""
    pdf, out = sheets(piece, "two", '/ask/only=["colours","verdict"]',
                      "/ask/pixel_mm=1")
    text = text_of(pdf)
    check("The verdict" in text and "Judge by daylight" in text and
          "pan reads" not in text, "two parts of the sheets, no others")
    path = os.path.join(scratch, "two.json")
    r = run(program, "sheets", path, "--out", path + ".pdf", "--set",
            '/ask/only=["colors"]')
    check(r.returncode == 2 and b'"colours"' in r.stderr and
          b"/ask/only/0" in r.stderr, "a part that is none is refused")
    bare = copy.deepcopy(piece)
    bare["painting"] = []
    pdf, out = sheets(bare, "bare", ONLY, "/ask/pixel_mm=1")
    check(out["pages"] == 1 and "Nothing is painted" in text_of(pdf),
          "an unpainted pot has no colours to show, and the page says so")


def many(piece):
    """Twenty-four slips with long names, some the potter's own."""
    slips = ask("slips", {})["slips"]
    piece = {
        "format": "leatherhard.piece", "version": 1, "name": "Many",
        "form": {"outside": [{"diameter_mm": 100, "height_mm": 0},
                             {"diameter_mm": 100, "height_mm": 90}]},
        "body": {"reflectance": 0.3}, "glaze": piece["glaze"],
        "glaze_g_m2": 600, "slips": [],
        "zones": [{"id": "z%d" % i, "from_mm": 5 + 27 * i,
                   "to_mm": 30 + 27 * i} for i in range(3)],
        "painting": [{"id": "g%d" % i, "zone": "z%d" % i,
                      "mark": {"id": "m-g%d" % i, "kind": "fill", "slip": "s0",
                               "whole_zone": True, "coats": 2}}
                     for i in range(3)]}
    del piece["glaze"]["invented"]
    for k in range(24):
        s = copy.deepcopy(slips[k % len(slips)]["slip"])
        s.update(id="s%d" % k, ground=k == 0, name="Slip %d " % k +
                 ("with a name that goes on and on" * (1 + k % 4)))
        if k == 5:
            s["tiles_read_by"] = "photograph"
        if k == 6:
            s.update(invented=False, optics_from="tiles of the spring",
                     name="Mine")
            del s["tiles_read_by"]
        piece["slips"].append(s)
        if k:
            piece["painting"].append(
                {"id": "p%d" % k, "zone": "z%d" % (k % 3), "up_mm": 12,
                 "turns": k / 40, "mark": {
                     "id": "m%d" % k, "kind": "dot", "slip": "s%d" % k,
                     "width_mm": 20}})
    for paper in ("a4", "letter"):
        pdf, out = sheets(piece, "many-" + paper, ONLY, "/ask/paper=" + paper,
                          "/ask/pixel_mm=1")
        text = text_of(pdf)
        check(all(re.search(r"\bSlip %d with" % k, text) for k in range(24)
                  if k != 6), "24 slips have their strips (%s)" % paper)
        bad = overlaps(words_of(pdf))
        check(not bad, "long names keep to their place (%s) %s" %
              (paper, bad[:3]))
    pages = [text_of(pdf, k) for k in range(1, int(out["pages"]) + 1)]
    check("invented colours" in pages[0] and "invented example" not in text,
          "a potter's own piece is no example, but its colours are marked")
    mine = next(t for t in pages if t.lstrip().startswith("Mine"))
    check("make your own tiles" not in mine.split("Slip 7")[0],
          "a slip from one's own tiles is not marked")
    photo = " ".join(" ".join(pages).split("photographs", 1)[1].split())
    said = re.search(r"within dE00 (\d) of the best.*? within dE00 ([\d.]+) "
                     r"of the chip at \d+, ([\d.]+) at \d+, ([\d.]+) at",
                     photo)
    check("so no better than dE00 4" in photo and said and said[1] == "6" and
          min(float(said[i]) for i in (2, 3, 4)) >= 4,
          "from photographs nothing is trusted to better than dE00 4")


def main():
    with open(sample, encoding="utf-8") as f:
        piece = json.load(f)
    if len(sys.argv) > 3:
        many(piece)
    else:
        of_sample(piece)
        chosen(piece)
    return done()


sys.exit(main())
