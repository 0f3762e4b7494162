# SPDX-License-Identifier: GPL-3.0-or-later
"""Made-up optical numbers of the sample piece, out of measured pigments.

No tile was fired.  The numbers are made so that the sample has slips that
behave as slips do: white covers red-brown, copper is pale when thin and nearly
black when thick, cobalt forgives.  Each step is an assumption:

1. A measured powder is taken as endless: K/S = (1 - R)^2 / (2 R) (Kubelka and
   Munk 1931), with the reflectances of data/pigments_usgs.csv as they stand,
   in air and without correction for the surface.
2. Raw pigments stand in for what the fire makes of oxides: cobalt blue and
   cobalt violet for cobalt in clay, malachite and viridian together for the
   hue of copper, ochre and sienna for iron amber, iron black and burnt sienna
   for a soft black, iron red and burnt sienna for the body.
3. An oxide that dissolves in the fired slip absorbs, but no longer scatters.
   So a pigment adds its K/S times a strength [m2 per g of dry slip] to K and
   nothing to S; only the base scatters.  Strengths are judgements, set so that
   each window falls where a potter would look for it.
4. Fired and full of glaze a base scatters S [m2/g] at 550 nm: the white ground
   0.045, so that about 200 g/m2 hide the body; the coloured slips, which have
   more frit and no zircon, 0.0024 to 0.006.  S falls with the square root of
   the wavelength.  (judgements)
5. K and S of base and pigments add up (two-constant mixing).
"""
import csv
import os

WAVES = range(380, 731, 10)
DATA = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "data")

FROM = ("made up, no tile was fired: K/S of %s (measured powders, U.S. "
        "Geological Survey spectral library, version 7) at a strength chosen "
        "by judgement, in a base that scatters %s m2/g at 550 nm; how: "
        "tools/tide_line_optics.py")


def read_table(name):
    with open(os.path.join(DATA, name), encoding="utf-8") as f:
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


def significant(x, digits=4):
    return float("%.*g" % (digits, x))


def mix(base, scatters, parts, words):
    """K and S of a slip [m2/g], and where they are from.

    base      K/S of the base
    scatters  S of the base at 550 nm, fired and full of glaze   [m2/g]
    parts     [(strength [m2 per g of dry slip], K/S), ...]
    words     which pigments these are
    """
    S = [scatters * (550 / nm) ** 0.5 for nm in WAVES]
    K = [s * k + sum(strength * ratio[i] for strength, ratio in parts)
         for i, (s, k) in enumerate(zip(S, base))]
    return {"absorption_m2_g": [significant(k) for k in K],
            "scattering_m2_g": [significant(s) for s in S],
            "optics_from": FROM % (words, "%g" % scatters)}


def slips():
    """The optical fields of each slip, by its id."""
    r = ratios()
    # Half of raw kaolin's yellow cast burns away (judgement); a trace of ochre
    # keeps the white warm.
    white = [0.55 * k + 0.0003 * o
             for k, o in zip(r["kaolinite_kga1"], r["yellow_ochre"])]
    return {
        "white": mix(white, 0.045, [], "kaolin and a trace of ochre"),
        "blue": mix(white, 0.006, [
            (0.00091, r["cobalt_aluminate_blue"]),
            (0.00046, r["cobalt_violet"]),
            (0.000032, r["iron_oxide_black"])],
            "cobalt blue, cobalt violet and a trace of iron black"),
        "green": mix(white, 0.0024, [
            (0.0040, r["copper_carbonate_green"]),
            (0.00025, r["hydrated_chromium_green"]),
            (0.000075, r["yellow_ochre"]),
            (0.000108, r["iron_oxide_black"])],
            "malachite, viridian and traces of ochre and iron black"),
        "amber": mix(white, 0.006, [
            (0.0009, r["yellow_ochre"]),
            (0.00066, r["raw_sienna"])],
            "yellow ochre and raw sienna"),
        "black": mix(white, 0.006, [
            (0.00108, r["iron_oxide_black"]),
            (0.0004, r["burnt_sienna"])],
            "iron black and burnt sienna"),
    }


def body():
    """Internal reflectance of the body: iron red and burnt sienna, let down
    with white clay until an endless layer is a warm red-brown (judgement)."""
    r = ratios()
    mixed = [0.038 * a + 0.062 * b + 0.6 * k for a, b, k in
             zip(r["iron_oxide_red"], r["burnt_sienna"], r["kaolinite_kga1"])]
    return [round(x, 4) for x in endless_reflectance(mixed)]
