# SPDX-License-Identifier: GPL-3.0-or-later
"""What the tests of sheets share: a PDF read back with poppler's tools."""
import json
import os
import re
import subprocess
import sys
import tempfile

program = sys.argv[1]
scratch = tempfile.mkdtemp()
env = dict(os.environ, SOURCE_DATE_EPOCH="1790000000", NO_COLOR="1")
count = failed = 0


def check(ok, words):
    global count, failed
    count += 1
    failed += not ok
    print(("" if ok else "not ") + "ok %d - %s" % (count, words))


def run(*args, **kw):
    return subprocess.run(args, capture_output=True, env=kw.get("env", env),
                          check=False)


def sheets(piece, name, *sets, environment=env):
    path = os.path.join(scratch, name)
    with open(path + ".json", "w", encoding="utf-8") as f:
        json.dump(piece, f)
    flags = [x for s in sets for x in ("--set", s)]
    r = run(program, "sheets", path + ".json", "--json", "--out",
            path + ".pdf", *flags, env=environment)
    if r.returncode not in (0, 1):
        print("# " + r.stderr.decode())
    return path + ".pdf", (json.loads(r.stdout) if r.stdout else {})


def text_of(pdf, page=None):
    where = ["-f", str(page), "-l", str(page)] if page else []
    return run("pdftotext", "-layout", *where, pdf, "-").stdout.decode()


def words_of(pdf):
    """Word boxes, page by page: (width, height, [(x0, y0, x1, y1, word)])."""
    html = run("pdftotext", "-bbox", pdf, "-").stdout.decode()
    pages = []
    for part in html.split("<page ")[1:]:
        size = [float(v) for v in re.findall(r'"([\d.]+)"', part)[:2]]
        boxes = re.findall(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" '
                           r'xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>',
                           part)
        pages.append((size[0], size[1],
                      [tuple(map(float, b[:4])) + (b[4],) for b in boxes]))
    return pages


def overlaps(pages):
    """Pairs of words whose boxes share more than a third of the smaller.

    Boxes are the font's ascent and descent, which lines set close may share
    by a little; ink that collides shares far more.
    """
    bad = []
    for width, height, boxes in pages:
        for i, a in enumerate(boxes):
            if a[0] < 20 or a[1] < 20 or a[2] > width - 20 or \
                    a[3] > height - 20:
                bad.append(("margin", a[4]))
            for b in boxes[i + 1:]:
                w = min(a[2], b[2]) - max(a[0], b[0])
                h = min(a[3], b[3]) - max(a[1], b[1])
                if w <= 0 or h <= 0:
                    continue
                small = min((a[2] - a[0]) * (a[3] - a[1]),
                            (b[2] - b[0]) * (b[3] - b[1]))
                if w * h > small / 3:
                    bad.append((a[4], b[4]))
    return bad


def grey_page(pdf, page):
    """The page at 10 pixels a mm: width, height, bytes."""
    out = os.path.join(scratch, "page")
    run("pdftoppm", "-gray", "-r", "254", "-f", str(page), "-l", str(page),
        "-singlefile", pdf, out)
    with open(out + ".pgm", "rb") as f:
        data = f.read()
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", data)
    return int(head[1]), int(head[2]), data[head.end():]


def longest_dark(width, height, data, rows):
    """The longest run of dark pixels in any of the rows: (length, row)."""
    best = (0, 0)
    for y in rows:
        row = data[y * width:(y + 1) * width]
        for m in re.finditer(rb"[\x00-\x60]+", row):
            best = max(best, (m.end() - m.start(), y))
    return best


def page_with(pdf, pages, words):
    for k in range(1, pages + 1):
        if words in text_of(pdf, k):
            return k
    return 0


def done():
    """The plan, and the exit code."""
    print("1..%d" % count)
    return 1 if failed else 0
