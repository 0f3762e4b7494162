# SPDX-License-Identifier: GPL-3.0-or-later
"""The drawing of the sample piece: eelgrass, fish, seeds.

Everything is in mm about a motif's anchor, x around and y up the wall, as the
painter sees it.  A stroke is a few places that the brush passes; between them
runs a natural cubic spline over their distances, cut into nibs at even steps.  Width
and coat weight change along it as a loaded brush lays them: set down, pressed,
drawn out, running dry.
"""
import math


def r2(x):
    return round(x, 2) + 0.0


def spline(knots, values):
    """Second derivatives of the natural cubic spline through values."""
    n = len(knots)
    m, c, d = [0.0] * n, [0.0] * n, [0.0] * n
    for i in range(1, n - 1):
        h0, h1 = knots[i] - knots[i - 1], knots[i + 1] - knots[i]
        pivot = 2 * (h0 + h1) - h0 * c[i - 1]
        rise = ((values[i + 1] - values[i]) / h1
                - (values[i] - values[i - 1]) / h0)
        c[i] = h1 / pivot
        d[i] = (6 * rise - h0 * d[i - 1]) / pivot
    for i in range(n - 2, 0, -1):
        m[i] = d[i] - c[i] * m[i + 1]
    return m


def lengths(points):
    along = [0.0]
    for a, b in zip(points, points[1:]):
        along.append(along[-1] + math.hypot(b[0] - a[0], b[1] - a[1]))
    return along


def curve(places, steps):
    """Points at even steps of length along a smooth curve through places,
    and its length [mm]."""
    knots = lengths(places)
    xs, ys = zip(*places)
    fine = []
    bend_x, bend_y = spline(knots, xs), spline(knots, ys)
    for i, (p, q) in enumerate(zip(knots, knots[1:])):
        h = q - p
        for k in range(40):
            u = k / 40
            v = 1 - u
            at = [v * z[i] + u * z[i + 1] + h * h / 6
                  * ((v ** 3 - v) * m[i] + (u ** 3 - u) * m[i + 1])
                  for z, m in ((xs, bend_x), (ys, bend_y))]
            fine.append(tuple(at))
    fine.append(tuple(places[-1]))
    along = lengths(fine)
    out, k = [], 0
    for i in range(steps + 1):
        want = along[-1] * i / steps
        while k < len(along) - 2 and along[k + 1] < want:
            k += 1
        f = (want - along[k]) / (along[k + 1] - along[k])
        out.append(tuple(a + f * (b - a) for a, b in zip(fine[k], fine[k + 1])))
    return out, along[-1]


def swell(t, belly, root, tip):
    """Width along a stroke: root at 0, 1 at the belly, tip at 1."""
    if t < belly:
        u = t / belly
        return root + (1 - root) * math.sin(math.pi / 2 * u)
    u = (t - belly) / (1 - belly)
    return tip + (1 - tip) * math.cos(math.pi / 2 * u) ** 0.85


def dry_out(t):
    """Coat weight along a stroke: the brush is full, and empties."""
    return 1.08 - 0.36 * t ** 1.4


def brush_for(kind, width):
    """Which brush is in the hand."""
    if kind == "sgraffito":
        return "brush-needle"
    if width < 1:
        return "brush-liner"
    return "brush-small" if width < 2.5 else "brush-round"


class Hand:
    """Draws marks and gives each an id of its own."""

    def __init__(self, name):
        self.name, self.marks = name, []

    def add(self, kind, **fields):
        mark = {"id": "%s-%d" % (self.name, len(self.marks) + 1), "kind": kind}
        mark.update(fields)
        self.marks.append(mark)
        return mark

    def stroke(self, slip, places, width, coat, belly=0.4, root=0.35, tip=0.1,
               steps=None, dries=True, kind="stroke", **more):
        points, length = curve(places, 40)
        steps = steps or max(8, min(28, round(length / 2.2)))
        points, _ = curve(places, steps)
        path = []
        for i, (x, y) in enumerate(points):
            t = i / steps
            nib = {"x_mm": r2(x), "y_mm": r2(y),
                   "width_mm": r2(width * swell(t, belly, root, tip))}
            if coat is not None:
                nib["coat_g_m2"] = round(coat * (dry_out(t) if dries else 1), 1)
            path.append(nib)
        if slip:
            more["slip"] = slip
        return self.add(kind, brush=brush_for(kind, width), path=path, **more)

    def scratch(self, places, width=0.55, **more):
        return self.stroke(None, places, width, None, belly=0.5, root=0.6,
                           tip=0.5, steps=6, kind="sgraffito", edge_mm=0.2,
                           **more)

    def dot(self, slip, x, y, width, **more):
        return self.add("dot", slip=slip, brush="brush-small", x_mm=r2(x), y_mm=r2(y),
                        width_mm=r2(width), **more)

    def dab(self, slip, x, y, width, length, turn, **more):
        return self.add("dab", slip=slip, brush="brush-small", x_mm=r2(x), y_mm=r2(y),
                        width_mm=r2(width), length_mm=r2(length),
                        turn_deg=r2(turn), **more)


# ---- the band ---------------------------------------------------------------
# One cell is 82 mm around and 60 high; y 0 is the lower line, x 0 the middle of
# the eelgrass's root.


def at(y0, places):
    return [(x, y + y0) for x, y in places]


BLADES = [
    # places, width
    ([(2.5, 3.0), (-1.0, 14), (0.6, 28), (8.5, 41.5), (20.5, 49.8), (35, 51.7)],
     4.2),
    ([(-1.5, 3.0), (-6.0, 13), (-9.5, 27), (-8.6, 40), (-2.4, 50.6)], 3.5),
    ([(-5.3, 2.6), (-11, 10), (-19, 15.8), (-28, 16.2), (-35.5, 10.5)], 3.3),
    ([(7.0, 2.8), (11.5, 10.5), (20.5, 18.8), (33, 21.3), (43.8, 15.4)], 3.7),
    ([(4.7, 3.0), (6.2, 11), (10.5, 20.5), (18.5, 29)], 2.7),
]
BACK = [
    ([(0.9, 4), (4.2, 18), (6.4, 31), (5.2, 43), (2.0, 51.4)], 2.4),
]


def eelgrass(y0, coat):
    h = Hand("frond")
    for places, width in BACK:
        h.stroke("green", at(y0, places), width, 0.56 * coat, belly=0.45)
    for places, width in BLADES:
        h.stroke("green", at(y0, places), width, coat, belly=0.40)
    return h.marks


def beside(places, off, to):
    """The same way as far as the share `to`, `off` mm to the right."""
    points, _ = curve(places, 24)
    out = []
    for i in range(2, round(24 * to) + 1):
        (x, y), a, b = points[i], points[i - 1], points[i + 1]
        dx, dy = b[0] - a[0], b[1] - a[1]
        f = off * math.sin(math.pi * min(1, 0.1 + i / 24)) / math.hypot(dx, dy)
        out.append((x + f * dy, y - f * dx))
    return out


def ribs(y0, coat):
    """A fine black line along the shaded side of the large blades."""
    h = Hand("rib")
    for (places, width), side in zip(BLADES[:4], (1, 1, -1, 1)):
        way = beside(at(y0, places), side * 0.30 * width, 0.8)
        h.stroke("black", way, 0.75, coat, belly=0.3, root=0.5, tip=0.12,
                 dries=False, kind="line")
    return h.marks


SPRIG = [(-3.3, 2.8), (-10.0, 14), (-17.0, 25), (-21.4, 37), (-19.6, 48.5)]


def seeds(y0, coat):
    """A flowering stem, its seeds, and some that have come adrift."""
    h = Hand("seed")
    stem = at(y0, SPRIG)
    h.stroke("amber", stem, 1.2, coat, belly=0.3, root=0.6, tip=0.4,
             dries=False)
    points, _ = curve(stem, 40)
    for i, k in enumerate((19, 22, 25, 28, 31, 34, 37)):
        side = 1 if i % 2 else -1
        (x, y), (x1, y1) = points[k], points[k + 1]
        turn = math.degrees(math.atan2(y1 - y, x1 - x)) + side * 34
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        h.dab("amber", x + 2.5 * c, y + 2.5 * s, 1.5 - 0.05 * i, 3.6, turn,
              coat_g_m2=coat)
    for x, y, d in ((51.4, 35.4, 1.5), (52.6, 40.8, 2.0), (50.9, 46.2, 1.4)):
        h.dot("amber", x, y + y0, d, coat_g_m2=coat)
    return h.marks


def fish(coat):
    h = Hand("fish")
    body = [(-17, -0.6), (-10, 1.0), (-2, 1.6), (6, 0.6), (12.5, -1.6)]
    h.stroke("blue", body, 10.6, 0.36 * coat, belly=0.42, root=0.14,
             tip=0.16, steps=14, dries=False)
    back = [(-12, 3.1), (-6, 4.6), (1, 4.4), (7, 2.4), (12.5, -1.2)]
    h.stroke("blue", back, 4.6, 0.85 * coat, belly=0.4, root=0.2, tip=0.3)
    h.stroke("blue", [(12, -1.4), (15.5, 1.2), (20, 5.2)], 3.6, 0.9 * coat,
             belly=0.55, root=0.4, tip=0.12)
    h.stroke("blue", [(12, -1.8), (15.2, -4.2), (18.6, -8.6)], 3.2, 0.9 * coat,
             belly=0.55, root=0.4, tip=0.12)
    h.stroke("blue", [(-4.5, 6.4), (0, 9.2), (6.5, 8.2)], 2.6, 0.7 * coat,
             belly=0.4, root=0.3, tip=0.1)
    h.stroke("blue", [(-6.5, -1.2), (-3.6, -3.2), (0.6, -3.6)], 2.2,
             0.75 * coat, belly=0.5, root=0.25, tip=0.15)
    h.stroke("blue", [(0.5, -4.0), (3.2, -6.0), (6.6, -6.6)], 1.8, 0.7 * coat,
             belly=0.5, root=0.3, tip=0.12)
    return h.marks


def eye(coat):
    h = Hand("eye")
    h.dot("black", -12.6, 1.2, 1.7, coat_g_m2=coat)
    return h.marks


def gill():
    h = Hand("gill")
    h.scratch([(-8.9, 4.9), (-7.6, 1.9), (-8.4, -1.4)], 0.7)
    h.scratch([(-4.5, 4.6), (-3.4, 2.9), (-3.7, 1.2)])
    h.scratch([(-0.8, 4.9), (0.3, 3.1), (0.0, 1.4)])
    h.scratch([(2.8, 4.4), (3.8, 2.8), (3.5, 1.3)])
    return h.marks


def fry(coat):
    """A small fish, its back darker than its belly; it swims to the right."""
    h = Hand("fry")
    h.stroke("blue", [(6.8, -0.1), (1.5, 0.4), (-4.2, -0.2)], 4.0, 0.45 * coat,
             belly=0.38, root=0.2, tip=0.2, dries=False)
    h.stroke("blue", [(4.0, 1.1), (0.2, 1.4), (-4.0, 0.1)], 1.7, 0.8 * coat,
             belly=0.4, root=0.2, tip=0.4)
    h.stroke("blue", [(-3.8, 0.0), (-5.8, 1.2), (-7.8, 2.9)], 1.5, 0.8 * coat,
             belly=0.5)
    h.stroke("blue", [(-3.8, -0.2), (-5.4, -1.4), (-7.0, -3.1)], 1.4,
             0.8 * coat, belly=0.5)
    return h.marks


def fry_eye(coat):
    h = Hand("fry-eye")
    h.dot("black", 5.0, 0.1, 0.9, coat_g_m2=coat)
    return h.marks


# ---- the well ---------------------------------------------------------------
# Places as (mm from the middle, degrees around), about an anchor at a radius.


WELL_ANCHOR = 24


def polar(places):
    return [(r * math.sin(math.radians(p)), r * math.cos(math.radians(p))
             - WELL_ANCHOR) for r, p in places]


def whorl(coat):
    h = Hand("whorl")
    h.stroke("green", polar([(8.5, -20), (17, -14), (25, 2), (31, 22)]),
             2.4, 0.5 * coat)
    h.stroke("green", polar([(8, 4), (16, 8), (24, 22), (31, 40),
                                     (36.5, 58)]), 3.8, coat)
    return h.marks


def kernel(coat):
    h = Hand("kernel")
    for r, p, d in ((4.6, 0, 2.2), (20.5, -24, 1.5), (25.5, -20, 1.9),
                    (30, -14, 1.4)):
        (x, y), = polar([(r, p)])
        h.dot("amber", x, y, d, coat_g_m2=coat)
    return h.marks
