#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Made-up test tiles out of measured powders, and what `learn` says of them.

    made_tiles.py PROGRAM           writes data/made_optics.csv, made_slips.csv
    made_tiles.py PROGRAM FOLDER    ... into another folder
    made_tiles.py PROGRAM FOLDER SLIP ...   only these (for a test)
    made_tiles.py --tiles SLIP      one slip's tiles, a document of `learn`

No tile was fired.  These are slips to begin with until there are tiles of
one's own: they behave as slips do (white covers red-brown, copper is pale when
thin and nearly black when thick, cobalt forgives), and their numbers come to
the program as a potter's would, through tiles and `learn`.  Each step is an
assumption:

1. A measured powder is taken as endless: K/S = (1 - R)^2 / (2 R) (Kubelka and
   Munk 1931), with the reflectances of data/pigments_usgs.csv as they stand,
   in air and without correction for the surface.
2. Raw pigments stand in for what the fire makes of oxides; which for which is
   said in SLIPS.  Lead-tin yellow stands in for a yellow stain of zircon: in
   optics alone, nobody is to weigh it.
3. An oxide that dissolves in the fired slip absorbs, but no longer scatters.
   So a pigment adds its K/S times a strength [m2 per g of dry slip] to K and
   nothing to S; only the base scatters.  Strengths are judgements, set so that
   each slip is right about where a potter would lay it.
4. Fired and full of glaze a base scatters S [m2/g] at 550 nm: the white ground
   0.045, so that about 200 g/m2 hide the body; slips with zircon 0.02; those
   with more frit, in which the oxide dissolves, 0.0024 to 0.008.  S falls with
   the square root of the wavelength.  (judgements)
5. K and S of base and pigments add up (two-constant mixing).
6. A tile is one coat by Kubelka and Munk's two fluxes over a ground, under a
   clear glaze of index 1.5 that eats 8 g/m2 of the slip and keeps half of that
   colour (judgements), read in diffuse light at 8 degrees, shine included, by
   Williams and Clapper (1953).
7. Grounds: a red body, and a white ground of 220 g/m2 on it; the white itself
   lies on the red body and on a white one (raw kaolin).
8. Six coats, from a third of the usual one to four times it, on both grounds,
   each ground alone.  A coat is off by 5 % (lognormal), a reading by 0.003
   at each wavelength, one standard deviation; the same ones every time.

Standard library only; the same tiles every time.
"""
import csv
import json
import math
import os
import random
import subprocess
import sys

WAVES = range(380, 731, 10)
DATA = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "data")
MARK = "invented from measured powders: make your own tiles"
INDEX, EATEN, SHARE, GLAZE = 1.5, 8.0, 0.5, 600.0
READING, COAT = 0.003, 0.05
PARTS = (0.35, 0.6, 1.0, 1.6, 2.5, 4.0)

# name, id, base's S at 550 nm, [(strength, pigment)], one coat [g/m2], litre
# weight [g/l], which measured powders in words.
SLIPS = (
    ("white ground", "white", 0.045, (), 110, 1480,
     "kaolin and a trace of ochre"),
    ("cobalt blue", "blue", 0.006,
     ((0.00091, "cobalt_aluminate_blue"), (0.00046, "cobalt_violet"),
      (0.000032, "iron_oxide_black")), 80, 1420,
     "cobalt blue, cobalt violet and a trace of iron black"),
    ("copper green", "green", 0.0024,
     ((0.0040, "copper_carbonate_green"), (0.00025, "hydrated_chromium_green"),
      (0.000075, "yellow_ochre"), (0.000108, "iron_oxide_black")), 75, 1420,
     "malachite, viridian and traces of ochre and iron black"),
    ("iron amber", "amber", 0.006,
     ((0.0009, "yellow_ochre"), (0.00066, "raw_sienna")), 80, 1420,
     "yellow ochre and raw sienna"),
    ("black line", "black", 0.006,
     ((0.00108, "iron_oxide_black"), (0.0004, "burnt_sienna")), 70, 1400,
     "iron black and burnt sienna"),
    ("manganese violet", "violet", 0.004,
     ((0.0008, "manganese_violet"), (0.00012, "cobalt_violet")), 110, 1420,
     "manganese violet and a little cobalt violet"),
    ("chrome green", "chrome", 0.008,
     ((0.0018, "chromium_oxide_green"),), 80, 1420,
     "oxide of chromium"),
    ("sky blue", "sky", 0.02,
     ((0.0016, "cobalt_stannate_blue"),), 90, 1440,
     "cerulean blue"),
    ("ochre yellow", "ochre", 0.012,
     ((0.0007, "yellow_ochre"),), 90, 1440,
     "yellow ochre"),
    ("primrose yellow", "primrose", 0.02,
     ((0.0070, "lead_tin_yellow"),), 110, 1440,
     "lead-tin yellow, standing in for a stain of zircon"),
    ("iron red", "red", 0.006,
     ((0.0010, "iron_oxide_red"),), 90, 1440,
     "red iron oxide"),
    ("coral pink", "pink", 0.03,
     ((0.00022, "iron_oxide_red"),), 110, 1460,
     "a little red iron oxide in white"),
    ("umber brown", "brown", 0.006,
     ((0.00055, "burnt_umber"),), 80, 1420,
     "burnt umber"),
)


# ---- slips ------------------------------------------------------------------


def read_table(name, folder=DATA):
    with open(os.path.join(folder, name), encoding="utf-8") as f:
        return list(csv.DictReader(x for x in f if not x.startswith("#")))


def endless_ratio(reflectance):
    """K/S of an endless coat."""
    return [(1 - r) ** 2 / (2 * r) for r in reflectance]


def endless_reflectance(ratio):
    """The way back."""
    return [1 + x - (x * x + 2 * x) ** 0.5 for x in ratio]


def ratios():
    """K/S of each column of the table of pigments, 36 numbers each."""
    rows = read_table("pigments_usgs.csv")
    assert [int(r["nm"]) for r in rows] == list(WAVES)
    return {name: endless_ratio([float(r[name]) for r in rows])
            for name in rows[0] if name != "nm"}


def truth(slip, ratio):
    """K and S that the tiles of a slip are made with. [m2/g]"""
    # Half of raw kaolin's yellow cast burns away (judgement); a trace of ochre
    # keeps the white warm.
    white = [0.55 * k + 0.0003 * o
             for k, o in zip(ratio["kaolinite_kga1"], ratio["yellow_ochre"])]
    S = [slip[2] * (550 / nm) ** 0.5 for nm in WAVES]
    K = [s * k + sum(strength * ratio[name][i] for strength, name in slip[3])
         for i, (s, k) in enumerate(zip(S, white))]
    return K, S


def body(ratio):
    """Internal reflectance of the red body: iron red and burnt sienna, let down
    with white clay until an endless layer is a warm red-brown (judgement)."""
    return endless_reflectance([
        0.038 * a + 0.062 * b + 0.6 * k for a, b, k in
        zip(ratio["iron_oxide_red"], ratio["burnt_sienna"],
            ratio["kaolinite_kga1"])])


# ---- tiles ------------------------------------------------------------------


def over(K, S, coat, ground):
    """Reflectance of a coat over a ground (Kubelka 1948, eq. 21)."""
    a = 1 + K / S
    b = math.sqrt(a * a - 1)
    if b * S * coat > 300:
        return a - b
    both = b / math.tanh(b * S * coat)
    return (1 - ground * (a - both)) / (a - ground + both)


def fresnel(n, cosine):
    """From air, unpolarised."""
    inside = math.sqrt(1 - (1 - cosine * cosine) / (n * n))
    s = (cosine - n * inside) / (cosine + n * inside)
    p = (n * cosine - inside) / (n * cosine + inside)
    return (s * s + p * p) / 2


def simpson(f, low, high, n=96):
    step = (high - low) / n
    return step / 3 * sum((1 if i in (0, n) else 4 if i % 2 else 2) *
                          f(low + i * step) for i in range(n + 1))


# Williams and Clapper's integrals; nu is the cosine in air, mu in the glaze,
# mu dmu = nu dnu / n^2.  Beyond the critical angle all light comes back.
NODES = [(nu, math.sqrt(1 - (1 - nu * nu) / INDEX ** 2), fresnel(INDEX, nu))
         for nu in (i / 96 for i in range(97))]


def glazed(R, tau):
    """What is read of an internal reflectance under an optical depth."""
    def inner(each):
        return sum((1 if i in (0, 96) else 4 if i % 2 else 2) *
                   2 * nu / INDEX ** 2 * each(mu, r)
                   for i, (nu, mu, r) in enumerate(NODES)) / 288
    out = inner(lambda mu, r: (1 - r) * math.exp(-tau / mu))
    back = inner(lambda mu, r: r * math.exp(-2 * tau / mu))
    edge = math.sqrt(1 - 1 / INDEX ** 2)
    back += edge ** 2 if tau == 0 else simpson(
        lambda mu: 2 * mu * math.exp(-2 * tau / mu) if mu else 0, 0, edge)
    sine = math.sin(math.radians(8))
    k1 = fresnel(INDEX, math.cos(math.radians(8)))
    enter = (1 - k1) * math.exp(-tau / math.sqrt(1 - (sine / INDEX) ** 2))
    return k1 + enter * out * R / (1 - back * R)


def readings(K, S, coat, ground):
    """A tile without noise; coat 0 is the ground alone."""
    eaten = min(coat, EATEN)
    return [glazed(over(k, s, coat - eaten, g) if coat > eaten else g,
                   SHARE * k * eaten / 2)
            for k, s, g in zip(K, S, ground)]


def grounds(slip, ratio):
    red = body(ratio)
    if slip[1] == "white":
        return (("red body", red), ("white body",
                                    endless_reflectance(ratio["kaolinite_kga1"])))
    K, S = truth(SLIPS[0], ratio)
    return (("red body", red), ("white ground",
                                [over(k, s, 220, r)
                                 for k, s, r in zip(K, S, red)]))


def normal(draw):
    """Box and Muller's: the same numbers wherever Python runs."""
    return (math.sqrt(-2 * math.log(1 - draw.random())) *
            math.cos(2 * math.pi * draw.random()))


def tiles(slip, ratio):
    """The tiles of one slip, a document of `learn`."""
    draw = random.Random(slip[1])
    K, S = truth(slip, ratio)
    out = []
    for ground, R in grounds(slip, ratio):
        for part in (0,) + PARTS:
            coat = float("%.3g" % (part * slip[4]))
            lies = coat * math.exp(COAT * normal(draw))
            out.append({
                "name": "%s, %g g/m2" % (ground, coat), "ground": ground,
                "coat_g_m2": coat, "glaze_g_m2": GLAZE,
                "reflectance": [round(max(r + READING * normal(draw), 0), 5)
                                for r in readings(K, S, lies, R)]})
    return {"slip": slip[0], "tiles": out, "geometry": "d8_in",
            "glaze": {"index": INDEX, "absorption_m2_g": 0,
                      "dissolving": "learn"}}


# ---- what comes out ---------------------------------------------------------


def learn(program, document):
    run = subprocess.run([program, "learn", "-", "--json"],
                         input=json.dumps(document), capture_output=True,
                         text=True, check=False)
    if run.returncode != 0:
        raise SystemExit(run.stderr)
    return json.loads(run.stdout)


def sure(errors):
    """How sure K and S are in one number [%]: the quadratic mean of the two
    medians over the wavelengths (judgement)."""
    k, s = (sorted(errors[key])[len(WAVES) // 2] for key in
            ("absorption_error_percent", "scattering_error_percent"))
    return math.sqrt((k * k + s * s) / 2)


OPTICS_HEAD = """\
# source:   invented: no tile was fired. What `learn` says of tiles made up from
#           data/pigments_usgs.csv (measured powders, U.S. Geological Survey,
#           public domain) over the assumptions listed in tools/made_tiles.py,
#           which writes this table; docs/tiles.md tells them too.
# accuracy: %s
"""
OPTICS = ("absorption_m2_g", "scattering_m2_g", "absorption_error_percent",
          "scattering_error_percent")


def significant(x, digits):
    return "%.*g" % (digits, x)


def optics_table(found):
    yield OPTICS_HEAD % ("one standard error of each K and S stands beside it; "
                         "K and S\n#           in m2 per g of dry slip, under a "
                         "clear glaze that eats 8 g/m2") + "# text: slip\n"
    yield "slip,nm,%s\n" % ",".join(OPTICS)
    for slip, r in found:
        for i, nm in enumerate(WAVES):
            yield "%s,%d,%s\n" % (slip[1], nm, ",".join(
                significant(r["slip"][key][i], 4 if key.endswith("g") else 2)
                for key in OPTICS))


def slips_table(found):
    yield OPTICS_HEAD % (
        "uncertainty_percent: one standard error of K and S together, in one\n"
        "#           number (judgement); left_out: how tiles left out of the "
        "fit were\n#           missed, dE00, the mean and the worst; coat and "
        "litre weight are judgements")
    yield "# text: id, name, powders\n"
    yield ("id,name,powders,coat_g_m2,litre_weight_g,uncertainty_percent,"
           "left_out_de00,worst_de00,eats_g_m2,eats_error_g_m2\n")
    for slip, r in found:
        yield '%s,%s,"%s",%d,%d,%s,%.1f,%.1f,%.1f,%.1f\n' % (
            slip[1], slip[0], slip[6], slip[4], slip[5],
            significant(sure(r["slip"]), 2), r["left_out_delta_e00"],
            r["left_out_worst_delta_e00"], r["glaze"]["eats_g_m2"],
            r["glaze"]["eats_error_g_m2"])


def main():
    ratio = ratios()
    if sys.argv[1:2] == ["--tiles"]:
        slip = next(s for s in SLIPS if sys.argv[2] in s[:2])
        json.dump(tiles(slip, ratio), sys.stdout, indent=1)
        return
    program, folder = sys.argv[1], (sys.argv[2:3] or [DATA])[0]
    wanted = [s for s in SLIPS if not sys.argv[3:] or s[1] in sys.argv[3:]]
    found = [(s, learn(program, tiles(s, ratio))) for s in wanted]
    for name, table in (("made_optics.csv", optics_table),
                        ("made_slips.csv", slips_table)):
        with open(os.path.join(folder, name), "w", encoding="utf-8",
                  newline="\n") as f:
            f.writelines(table(found))


if __name__ == "__main__":
    main()
