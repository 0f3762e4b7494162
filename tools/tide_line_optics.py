# SPDX-License-Identifier: GPL-3.0-or-later
"""Optical numbers of the sample piece: those of slips that come with the
program (data/made_optics.csv, data/made_slips.csv), learned from tiles that
tools/made_tiles.py makes up out of measured pigments.  No tile was fired; the
assumptions are listed there.
"""
from made_tiles import DATA, MARK, body as internal, ratios, read_table

__all__ = ["DATA", "body", "read_table", "slips"]


def slips():
    """The optical fields of each slip, by its id."""
    rows = read_table("made_optics.csv")
    out = {}
    for s in read_table("made_slips.csv"):
        of = [r for r in rows if r["slip"] == s["id"]]
        assert [int(r["nm"]) for r in of] == list(range(380, 731, 10))
        out[s["id"]] = {
            "absorption_m2_g": [float(r["absorption_m2_g"]) for r in of],
            "scattering_m2_g": [float(r["scattering_m2_g"]) for r in of],
            "uncertainty_percent": float(s["uncertainty_percent"]),
            "tiles_read_by": "spectrophotometer",
            "optics_from": "%s; here %s" % (MARK, s["powders"])}
    return out


def body():
    """Internal reflectance of the red body under its tiles."""
    return [round(x, 4) for x in internal(ratios())]
