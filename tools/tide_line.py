#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes the sample piece "Tide line": six shallow serving bowls.

    tide_line.py [FILE]      default data/tide-line.json; - standard output

All of it is invented: bowls, clay, glaze, slips and every number of theirs.
The drawing is in tide_line_motifs.py; the optical numbers are those of slips
that come with the program (tide_line_optics.py).  What each field of the document means: docs/piece.md.
Standard library only; the same bytes every time.
"""
import json
import os
import re
import sys

sys.dont_write_bytecode = True

import tide_line_motifs as draw  # noqa: E402
import tide_line_optics as optics  # noqa: E402

REPEATS = 7  # around the wall: odd, so that no fish faces its twin
WELL = 5     # around the middle

# ---- the form ---------------------------------------------------------------
# Calipers, leather-hard, foot to lip and centre to lip: (across, height) [mm].
# 210 mm across and 80 high, a turned foot of 8 mm, a wall of about 6 mm.

OUTSIDE = [(86, 0), (85, 4), (84, 8), (100, 10.5), (120, 15), (138, 20.5),
           (154, 27), (168, 35), (180, 44), (190, 53.5), (198, 63), (204, 71),
           (208.4, 78), (209.6, 80.2)]
INSIDE = [(0, 14), (36, 14.2), (70, 15), (95, 17.2), (115, 21), (131, 26),
          (146, 32), (159, 39), (170.5, 47), (180, 56), (188.5, 65),
          (195, 72.6), (200.6, 79), (202.6, 80.6)]


def calipers(points):
    return [{"diameter_mm": d, "height_mm": h} for d, h in points]


def form():
    return {
        "id": "form-bowl", "name": "Shallow serving bowl",
        "measured": "leather-hard",
        "outside": calipers(OUTSIDE), "inside": calipers(INSIDE),
        # A bowl shrinks a little more upwards than across. (judgement)
        "to_leather_hard": {"diameter_percent": 4.0, "height_percent": 4.5},
        "to_fired": {"diameter_percent": 6.0, "height_percent": 6.5}}


# ---- the slips --------------------------------------------------------------
# Proportions are our own invention, in the way of slips for leather-hard
# earthenware: enough plastic clay to cling, calcined kaolin against too much
# shrinkage, feldspar and frit to bind it to body and glaze, quartz to keep it
# from crazing.  The coloured ones have more frit, so that the oxide dissolves.

GROUND = (("ball clay (invented)", 25), ("china clay (invented)", 20),
          ("calcined kaolin", 15), ("potash feldspar (invented)", 15),
          ("borate frit (invented)", 10), ("quartz", 15))
COLOUR = (("ball clay (invented)", 26), ("china clay (invented)", 14),
          ("calcined kaolin", 12), ("potash feldspar (invented)", 16),
          ("borate frit (invented)", 18), ("quartz", 14))

# id, name, base, additions [% of it], litre weight [g/l], one coat [g/m2],
# window: least, best, most [g/m2], safer side, why; a note for its sheet.
SLIPS = (
    ("white", "White ground", GROUND, (("zircon", 12),), 1480,
     110, 160, 220, 330, "thick",
     "Thinner, the red body greys it; thicker, it may crack as it dries.",
     "Two coats with the wide brush, the second across the first."),
    ("blue", "Cobalt blue", COLOUR,
     (("cobalt carbonate", 4),), 1420, 80,
     25, 80, 200, "thick",
     "Forgiving: thinner it is sky blue, thicker a navy that hides the stroke.",
     "Thin it by half for the bellies of the fish and the water line."),
    ("green", "Copper green", COLOUR,
     (("copper carbonate", 5),), 1420, 75,
     30, 75, 125, "thin",
     "Thinner it is a pale sea green; past 125 g/m2 it goes black.",
     "One coat, one pull of the brush: where two pulls cross it is darker."),
    ("amber", "Iron amber", COLOUR,
     (("yellow ochre (invented)", 10),), 1420, 80,
     45, 80, 170, "thin",
     "Thinner it is straw; thicker it goes brown and dull.",
     "Always over white: on the red body it does not show."),
    ("black", "Black line", COLOUR,
     (("black stain (invented)", 8), ("red iron oxide", 4)), 1400, 70,
     40, 70, 160, "thick",
     "Thinner it is brown at the edges; thicker it stands proud of the glaze.",
     "Last of all, with a full liner and a steady wheel."),
)


def densities():
    return {r["name"]: float(r["density"])
            for r in optics.read_table("materials.csv")}


def solids_density(parts, density):
    """Of the mixed powder, its grains' volumes added. [relative to water]"""
    return round(sum(x for _, x in parts)
                 / sum(x / density[name] for name, x in parts), 2)


def slips():
    colour, density, out = optics.slips(), densities(), []
    for (id_, name, base, additions, litre, coat, least, best, most, safer, why,
         note) in SLIPS:
        out.append({
            "id": id_, "name": name, "invented": True,
            "recipe": {
                "kind": "slip",
                "lines": [{"material": m, "parts": x} for m, x in base],
                "additions": [{"material": m, "percent": x}
                              for m, x in additions]},
            "litre_weight_g": litre, "coat_g_m2": coat,
            "solids_density": solids_density(base + additions, density),
            "window": {"least_g_m2": least, "best_g_m2": best,
                       "most_g_m2": most, "safer_side": safer, "why": why},
            "note": note, **colour[id_]})
    out[0]["ground"] = True
    return out


# ---- the painting -----------------------------------------------------------
# White goes up the outside from 5 mm above the foot to just below the lip, which
# stays bare.  The motifs are anchored half-way up the picture; LOW is about where
# the eelgrass roots, seen from there on the chart.

MIDDLE = 30.0
LOW = -22.0
FISH_UP = MIDDLE + 15.5
FISH_TURNS = 0.0525

# No two fish swim quite alike: moved, turned, a little larger or smaller.
FISH_DIFFER = [
    {"instance": 1, "move_up_mm": -1.2, "turn_deg": -5, "scale": 0.96},
    {"instance": 2, "move_up_mm": 0.6, "turn_deg": 3},
    {"instance": 4, "move_up_mm": -0.6, "turn_deg": 5, "scale": 0.94},
    {"instance": 5, "move_turns": 0.002, "turn_deg": -3},
    {"instance": 6, "move_up_mm": 0.4, "scale": 1.04},
]

ZONES = (
    # id, name, face, kind, from, to [mm along the profile]
    ("zone-wall", "The wall", "outside", "band", 36, 108.7),
    ("zone-skirt", "Below the band", "outside", "band", 13, 36),
    ("zone-well", "The well", "inside", "disc", 0, 61),
    ("zone-inner", "Inside of the wall", "inside", "band", 61, 133.3),
)


def whole(id_, zone):
    """Two coats of white, all over."""
    return {"id": id_, "zone": zone,
            "mark": {"id": id_ + "-mark", "kind": "fill", "slip": "white",
                     "brush": "brush-wide", "whole_zone": True, "coats": 2}}


def banding(id_, zone, up, width, slip, **more):
    return {"id": id_, "zone": zone, "up_mm": up,
            "mark": {"id": id_ + "-mark", "kind": "banding line", "slip": slip,
                     "brush": "brush-bander", "width_mm": width, **more}}


def repeat(id_, zone, motif, up, turns, count, may_overlap=False, **more):
    r = {"way": "rosette" if zone == "zone-well" else "repeat", "count": count}
    if may_overlap:
        r["may_overlap"] = True
    if "exceptions" in more:
        r["exceptions"] = more.pop("exceptions")
    return {"id": id_, "zone": zone, "motif": motif, "up_mm": up,
            "turns": turns, "repeat": r, **more}


def wall(id_, motif):
    return repeat(id_, "zone-wall", motif, MIDDLE, 0, REPEATS, True)


def fish(id_, motif):
    return repeat(id_, "zone-wall", motif, FISH_UP, FISH_TURNS, REPEATS,
                  exceptions=FISH_DIFFER)


def fry(id_, motif):
    return repeat(id_, "zone-wall", motif, MIDDLE - 13.0, 0.0475, REPEATS)


def well(id_, motif, up, turns, **more):
    return repeat(id_, "zone-well", motif, up, turns, WELL, **more)


def well_fry(id_, motif):
    return well(id_, motif, 45.0, -0.012, scale=1.45)


def motifs():
    return [
        {"id": "motif-seeds", "name": "Seeds", "marks": draw.seeds(LOW, 80)},
        {"id": "motif-eelgrass", "name": "Eelgrass",
         "marks": draw.eelgrass(LOW, 75)},
        {"id": "motif-ribs", "name": "Ribs of the eelgrass",
         "marks": draw.ribs(LOW, 60)},
        {"id": "motif-fish", "name": "Fish", "marks": draw.fish(80)},
        {"id": "motif-eye", "name": "Eye of the fish", "marks": draw.eye(80)},
        {"id": "motif-gill", "name": "Gill and scales of the fish",
         "marks": draw.gill()},
        {"id": "motif-fry", "name": "Fry", "marks": draw.fry(80)},
        {"id": "motif-fry-eye", "name": "Eye of the fry",
         "marks": draw.fry_eye(80)},
        {"id": "motif-kernel", "name": "Seeds in the well",
         "marks": draw.kernel(80)},
        {"id": "motif-whorl", "name": "Whorl of eelgrass",
         "marks": draw.whorl(75)},
    ]


def painting():
    """Light to dark, the sgraffito last: few changes of slip."""
    return [
        whole("ground-wall", "zone-wall"),
        whole("ground-skirt", "zone-skirt"),
        whole("ground-well", "zone-well"),
        whole("ground-inner", "zone-inner"),
        wall("seeds", "motif-seeds"),
        well("well-seeds", "motif-kernel", 1.25 * draw.WELL_ANCHOR, 0, scale=1.25),
        wall("eelgrass", "motif-eelgrass"),
        well("well-whorl", "motif-whorl", 1.25 * draw.WELL_ANCHOR, 0, scale=1.25,
             may_overlap=True),
        fish("fish", "motif-fish"),
        fry("fry", "motif-fry"),
        well_fry("well-fry", "motif-fry"),
        banding("line-water", "zone-wall", 3.5, 2.6, "blue", coat_g_m2=40),
        banding("line-well", "zone-well", 57.0, 2.6, "blue", coat_g_m2=40),
        wall("ribs", "motif-ribs"),
        fish("eyes", "motif-eye"),
        fry("fry-eyes", "motif-fry-eye"),
        well_fry("well-eyes", "motif-fry-eye"),
        banding("line-low", "zone-wall", 7.9, 1.5, "black"),
        banding("line-high", "zone-wall", 66.0, 1.8, "black"),
        banding("line-inner", "zone-inner", 66.5, 1.8, "black"),
        fish("gills", "motif-gill"),
    ]


# ---- the piece --------------------------------------------------------------


def piece():
    return {
        "format": "leatherhard.piece", "version": 1, "id": "tide-line",
        "name": "Tide line", "invented": True, "pots": 6,
        "note": "An invented example. Before food goes into such a bowl, a "
                "laboratory tests glaze and slips together for what they give "
                "off.",
        "stage": "leather-hard",
        "form": form(),
        "body": {"id": "body-red", "name": "Red earthenware (invented)",
                 "invented": True, "reflectance": optics.body(),
                 "moisture_percent": 19},
        "glaze": {"id": "glaze-clear", "name": "Clear glaze (invented)",
                  "invented": True, "index": 1.5, "eats_g_m2": 8,
                  "dissolved_share": 0.5},
        "glaze_g_m2": 600,
        "slips": slips(),
        "brushes": [
            {"id": "brush-wide", "name": "Wide soft brush", "width_mm": 50},
            {"id": "brush-round", "name": "Round brush", "width_mm": 5},
            {"id": "brush-small", "name": "Small round brush", "width_mm": 2.5},
            {"id": "brush-liner", "name": "Liner", "width_mm": 0.8},
            {"id": "brush-bander", "name": "Banding brush", "width_mm": 2},
            {"id": "brush-needle", "name": "Needle", "width_mm": 0.6}],
        "zones": [{"id": id_, "name": name, "face": face, "kind": kind,
                   "from_mm": a, "to_mm": b}
                  for id_, name, face, kind, a, b in ZONES],
        "motifs": motifs(),
        "painting": painting(),
        "bisque_firing": {"peak_c": 1000, "hold_min": 15,
                          "atmosphere": "oxidation"},
        "glaze_firing": {"peak_c": 1080, "hold_min": 20,
                         "atmosphere": "oxidation"},
        # A brush wants a jar that is a finger deep. (judgement)
        "mixing": {"waste_percent": 15, "residue_g": 10, "least_g": 60,
                   "scale_step_g": 0.1},
    }


def text_of(document):
    """Keys in order, an innermost list or object on lines of its own."""
    text = json.dumps(document, sort_keys=True, indent=1, ensure_ascii=False)
    spectrum = re.compile(r"\[\n\s+([-0-9][^\[\]{}\"]*?)\n\s*\]")
    small = re.compile(r"\{\n\s+([^\[\]{}]*?)\n\s*\}")
    close = lambda m: re.sub(r",\n\s+", ", ", m.group(1))
    text = spectrum.sub(lambda m: "[" + close(m) + "]", text)
    text = small.sub(lambda m: "{" + close(m) + "}"
                     if len(close(m)) < 110 else m.group(0), text)
    assert json.loads(text) == document
    return text + "\n"


def main():
    out = sys.argv[1] if len(sys.argv) > 1 else os.path.join(optics.DATA,
                                                             "tide-line.json")
    text = text_of(piece())
    if out == "-":
        sys.stdout.write(text)
        return
    with open(out, "w", encoding="utf-8", newline="\n") as f:
        f.write(text)


if __name__ == "__main__":
    main()
