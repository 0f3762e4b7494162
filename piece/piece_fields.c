/* SPDX-License-Identifier: GPL-3.0-or-later */
/* piece_fields.c -- what a piece document may hold.  The schema that is
** published, the refusals and the help all come from these tables. */
#include <math.h>

#include "bleed.h"
#include "glaze.h"
#include "piece.h"

static const char *const formats[] = {"leatherhard.piece", NULL};
static const char *const form_stages[] = {"thrown", "leather-hard", "fired",
                                          NULL};
static const char *const ware_stages[] = {"leather-hard", "dry", "bisque",
                                          NULL};
static const char *const zone_kinds[] = {"band", "disc", NULL};
static const char *const faces[] = {"outside", "inside", NULL};
const char *const lh_slip_readers[] = {"spectrophotometer", "colorimeter",
                                       "photograph", NULL};
static const char *const sides[] = {"thin", "thick", NULL};
static const char *const mark_kinds[] = {
    "stroke", "dab", "line", "dot", "fill", "banding line", "sgraffito", NULL};
/* The ways around a band in plain words, then the two of a disc; in the
** order of lh_symmetry. */
static const char *const ways[] = {"repeat",
                                   "glide",
                                   "mirror",
                                   "turn",
                                   "mirror and turn",
                                   "reflect",
                                   "mirror and reflect",
                                   "rosette",
                                   "mirror rosette",
                                   NULL};

static const lh_field from_rows[] = {
    LH_TEXT(lh_from_doc, id, "id", true, "Its id in the book."),
    LH_COUNT(lh_from_doc, revision, "revision", false, 0, 1e9, NAN,
             "Which revision was copied."),
    LH_TEXT(lh_from_doc, hash, "hash", false, "SHA-256 of the copy."),
};
static const lh_fields from_table = LH_FIELDS("from", lh_from_doc, from_rows);

static const lh_field caliper_rows[] = {
    LH_NUMBER(lh_caliper_doc, diameter_mm, "diameter_mm", true, 0, 3000, NAN,
              "mm", "Across, by calipers."),
    LH_NUMBER(lh_caliper_doc, height_mm, "height_mm", true, -3000, 3000, NAN,
              "mm", "Above the table."),
};
static const lh_fields caliper_table =
    LH_FIELDS("caliper point", lh_caliper_doc, caliper_rows);

static const lh_field shrink_rows[] = {
    LH_NUMBER(lh_shrink_doc, diameter_percent, "diameter_percent", true, -5, 40,
              NAN, "%", "Linear shrinkage across."),
    LH_NUMBER(lh_shrink_doc, height_percent, "height_percent", true, -5, 40,
              NAN, "%", "Linear shrinkage in height."),
};
static const lh_fields shrink_table =
    LH_FIELDS("shrinkage", lh_shrink_doc, shrink_rows);

static const lh_field form_rows[] = {
    LH_TEXT(lh_form_doc, id, "id", false, "Its id."),
    LH_TEXT(lh_form_doc, name, "name", false, "What you call it."),
    LH_OBJECT(lh_form_doc, from, "from", false, from_table,
              "Where the copy came from."),
    LH_CHOICE(lh_form_doc, measured, "measured", false, form_stages,
              LH_LEATHER_HARD, "The stage at which it was measured."),
    LH_LIST(lh_form_doc, outside, "outside", true, caliper_table,
            LH_CURVE_POINTS, "Points of the outside, from foot to lip."),
    LH_LIST(lh_form_doc, inside, "inside", false, caliper_table,
            LH_CURVE_POINTS, "Points of the inside, from centre to lip."),
    LH_OBJECT(lh_form_doc, to_leather_hard, "to_leather_hard", false,
              shrink_table, "Shrinkage from thrown to leather-hard."),
    LH_OBJECT(lh_form_doc, to_fired, "to_fired", false, shrink_table,
              "Shrinkage from leather-hard to fired."),
};
const lh_fields lh_form_table = LH_FIELDS("form", lh_form_doc, form_rows);

static const lh_field body_rows[] = {
    LH_TEXT(lh_body_doc, id, "id", false, "Its id."),
    LH_TEXT(lh_body_doc, name, "name", false, "What you call it."),
    LH_OBJECT(lh_body_doc, from, "from", false, from_table,
              "Where the copy came from."),
    LH_SPECTRUM_OF(lh_body_doc, reflectance, "reflectance", true, 0, 1,
                   "fraction", "Internal reflectance of the body as glazed."),
    LH_NUMBER(lh_body_doc, moisture_percent, "moisture_percent", false, 1, 60,
              20, "% of dry",
              "Water in the wall when slip is laid (the "
              "default is a judgement: dry an offcut and weigh it)."),
    LH_NUMBER(lh_body_doc, soft_percent, "soft_percent", false, 1, 80, 25,
              "% of dry",
              "Water at which the wall goes soft again (a "
              "judgement: press an offcut of known water)."),
    LH_NUMBER(lh_body_doc, slump_percent, "slump_percent", false, 1, 100, 30,
              "% of dry", "Water at which it slumps (a judgement)."),
    LH_NUMBER(lh_body_doc, density_g_cm3, "density_g_cm3", false, 1, 4, 1.95,
              "g per cm3", "Of the leather-hard clay (a judgement)."),
    LH_NUMBER(lh_body_doc, solids_density, "solids_density", false, 1.5, 5, 2.6,
              "relative to water", "Of its grains (a judgement)."),
    LH_FLAG(lh_body_doc, invented, "invented", 0, "Made up, not measured."),
};
const lh_fields lh_body_fields = LH_FIELDS("body", lh_body_doc, body_rows);

static const lh_field glaze_rows[] = {
    LH_TEXT(lh_glaze_doc, id, "id", false, "Its id."),
    LH_TEXT(lh_glaze_doc, name, "name", false, "What you call it."),
    LH_OBJECT(lh_glaze_doc, from, "from", false, from_table,
              "Where the copy came from."),
    LH_OBJECT(lh_glaze_doc, recipe, "recipe", false, lh_recipe_table,
              "What it is made of: which stains bear it follows."),
    LH_NUMBER(lh_glaze_doc, index, "index", false, 1, 4, 1.5, NULL,
              "Refractive index (1.5 is that of window glass)."),
    LH_SPECTRUM_OF(lh_glaze_doc, absorption_m2_g, "absorption_m2_g", false, 0,
                   100, "m2 per g",
                   "Optical depth per coat weight of glaze; "
                   "without it the glaze is clear."),
    LH_NUMBER(lh_glaze_doc, eats_g_m2, "eats_g_m2", false, 0, 2000, 0,
              "g per m2", "Dry slip that the glaze dissolves in the fire."),
    LH_NUMBER(lh_glaze_doc, dissolved_share, "dissolved_share", false, 0, 1,
              LH_DISSOLVED_SHARE, "fraction",
              "How much of the dissolved slip's colour stays "
              "in the glaze (a judgement)."),
    LH_FLAG(lh_glaze_doc, invented, "invented", 0, "Made up, not measured."),
};
const lh_fields lh_glaze_fields = LH_FIELDS("glaze", lh_glaze_doc, glaze_rows);

static const lh_field window_rows[] = {
    LH_NUMBER(lh_window_doc, least_g_m2, "least_g_m2", true, 0, 20000, NAN,
              "g per m2", "Thinner than this goes wrong."),
    LH_NUMBER(lh_window_doc, best_g_m2, "best_g_m2", false, 0, 20000, NAN,
              "g per m2", "What you aim for."),
    LH_NUMBER(lh_window_doc, most_g_m2, "most_g_m2", true, 0, 20000, NAN,
              "g per m2", "Thicker than this goes wrong."),
    LH_CHOICE(lh_window_doc, safer, "safer_side", false, sides, NAN,
              "The side on which it goes wrong more slowly."),
    LH_NOTE(lh_window_doc, why, "why", false, "What happens beyond it."),
};
static const lh_fields window_table =
    LH_FIELDS("window", lh_window_doc, window_rows);

static const lh_field slip_rows[] = {
    LH_TEXT(lh_slip_doc, id, "id", true, "Its id; marks refer to it."),
    LH_TEXT(lh_slip_doc, name, "name", false, "What you call it."),
    LH_OBJECT(lh_slip_doc, from, "from", false, from_table,
              "Where the copy came from."),
    LH_OBJECT(lh_slip_doc, recipe, "recipe", false, lh_recipe_table,
              "What is weighed for it."),
    LH_SPECTRUM_OF(lh_slip_doc, absorption_m2_g, "absorption_m2_g", true, 0,
                   1e4, "m2 per g", "K, under this glaze and firing."),
    LH_SPECTRUM_OF(lh_slip_doc, scattering_m2_g, "scattering_m2_g", true, 0,
                   1e4, "m2 per g", "S, under this glaze and firing."),
    LH_NUMBER(lh_slip_doc, uncertainty_percent, "uncertainty_percent", false, 0,
              100, 15, "%",
              "How sure K and S are, one standard deviation "
              "(the default is a judgement)."),
    LH_NUMBER(lh_slip_doc, litre_weight_g, "litre_weight_g", true, 1001, 2500,
              NAN, "g per litre", "As it is brushed."),
    LH_NUMBER(lh_slip_doc, solids_density, "solids_density", false, 1.5, 6, 2.6,
              "relative to water", "Of its dry solids."),
    LH_NUMBER(lh_slip_doc, coat_g_m2, "coat_g_m2", true, 0.1, 5000, NAN,
              "g per m2", "Dry weight of one coat, by your own brush."),
    LH_NUMBER(lh_slip_doc, bleed_mm, "bleed_mm", false, -LH_BLEED_MOST_MM,
              LH_BLEED_MOST_MM, 0, "mm",
              "How far its edge runs in the fire under this glaze, each side, "
              "leather-hard mm (from a line tile, see the operation bleed); "
              "below 0 it draws back; 0 or absent: not known."),
    LH_NUMBER(lh_slip_doc, bleed_error_mm, "bleed_error_mm", false, 0,
              LH_BLEED_MOST_MM, 0.1, "mm",
              "How sure that is, one standard deviation (the default is a "
              "judgement)."),
    LH_OBJECT(lh_slip_doc, window, "window", false, window_table,
              "Coat weights between which its colour is right."),
    LH_FLAG(lh_slip_doc, ground, "ground", 0, "Laid first, under others."),
    LH_FLAG(lh_slip_doc, invented, "invented", 0, "Made up, not measured."),
    LH_TEXT(lh_slip_doc, optics_from, "optics_from", false,
            "Where K and S are from."),
    LH_CHOICE(lh_slip_doc, read_by, "tiles_read_by", false, lh_slip_readers,
              NAN, "With what the tiles behind K and S were read."),
    LH_NOTE(lh_slip_doc, note, "note", false, "A few words for its sheet."),
};
const lh_fields lh_slip_fields = LH_FIELDS("slip", lh_slip_doc, slip_rows);

static const lh_field brush_rows[] = {
    LH_TEXT(lh_brush_doc, id, "id", true, "Its id; marks refer to it."),
    LH_TEXT(lh_brush_doc, name, "name", false, "What you call it."),
    LH_NUMBER(lh_brush_doc, width_mm, "width_mm", true, 0.1, 300, NAN, "mm",
              "Width of its stroke."),
};
const lh_fields lh_brush_fields = LH_FIELDS("brush", lh_brush_doc, brush_rows);

static const lh_field zone_rows[] = {
    LH_TEXT(lh_zone_doc, id, "id", true, "Its id; the painting refers to it."),
    LH_TEXT(lh_zone_doc, name, "name", false, "What you call it."),
    LH_CHOICE(lh_zone_doc, kind, "kind", false, zone_kinds, LH_CHART_BAND,
              "A band around, or a disc about the middle."),
    LH_CHOICE(lh_zone_doc, face, "face", false, faces, LH_OUTSIDE,
              "Which face of the pot."),
    LH_NUMBER(lh_zone_doc, from_mm, "from_mm", true, 0, 5000, NAN, "mm",
              "Lower edge, along the profile from its first point (a tape "
              "laid on the wall), leather-hard."),
    LH_NUMBER(lh_zone_doc, to_mm, "to_mm", true, 0, 5000, NAN, "mm",
              "Upper edge, likewise."),
};
static const lh_fields zone_table = LH_FIELDS("zone", lh_zone_doc, zone_rows);

#define PEN(M, UNIT, HELP)                                              \
  {                                                                     \
    .key = #M, .kind = LH_F_NUMBERS, .offset = offsetof(lh_pen_doc, M), \
    .least = NAN, .most = NAN, .otherwise = NAN, .most_items = 20000,   \
    .unit = UNIT, .help = HELP                                          \
  }
static const lh_field pen_rows[] = {
    PEN(x, "mm", "As the pen gave it."),
    PEN(y, "mm", "As the pen gave it."),
    PEN(pressure, "0 to 1", "As the pen gave it."),
    PEN(tilt_x, "degrees", "As the pen gave it."),
    PEN(tilt_y, "degrees", "As the pen gave it."),
    PEN(time_ms, "ms", "As the pen gave it."),
};
static const lh_fields pen_table = LH_FIELDS("pen", lh_pen_doc, pen_rows);

static const lh_field nib_rows[] = {
    LH_NUMBER(lh_nib_doc, x_mm, "x_mm", true, -10000, 10000, NAN, "mm",
              "Around, from the anchor."),
    LH_NUMBER(lh_nib_doc, y_mm, "y_mm", true, -10000, 10000, NAN, "mm",
              "Up the wall, from the anchor."),
    LH_NUMBER(lh_nib_doc, width_mm, "width_mm", false, 0, 300, NAN, "mm",
              "Width of the stroke here."),
    LH_NUMBER(lh_nib_doc, coat_g_m2, "coat_g_m2", false, 0, 20000, NAN,
              "g per m2", "Coat weight here."),
};
static const lh_fields nib_table = LH_FIELDS("point", lh_nib_doc, nib_rows);

static const lh_field mark_rows[] = {
    LH_TEXT(lh_mark_doc, id, "id", true, "Its id."),
    LH_CHOICE(lh_mark_doc, kind, "kind", true, mark_kinds, NAN,
              "What the hand does."),
    LH_TEXT(lh_mark_doc, slip, "slip", false,
            "The slip's id; a sgraffito has none."),
    LH_TEXT(lh_mark_doc, brush, "brush", false, "The brush's id."),
    LH_LIST(lh_mark_doc, path, "path", false, nib_table, 20000,
            "Points of a stroke, line or sgraffito; the outline of a fill."),
    LH_NUMBER(lh_mark_doc, x_mm, "x_mm", false, -10000, 10000, 0, "mm",
              "Of a dot or dab: around, from the anchor."),
    LH_NUMBER(lh_mark_doc, y_mm, "y_mm", false, -10000, 10000, 0, "mm",
              "Of a dot or dab: up the wall, from the anchor."),
    LH_NUMBER(lh_mark_doc, width_mm, "width_mm", false, 0.01, 500, NAN, "mm",
              "Width; without it the brush's."),
    LH_NUMBER(lh_mark_doc, length_mm, "length_mm", false, 0.01, 1000, NAN, "mm",
              "Of a dab."),
    LH_NUMBER(lh_mark_doc, turn_deg, "turn_deg", false, -3600, 3600, 0,
              "degrees", "Of a dab: the way it is pulled, anticlockwise."),
    LH_NUMBER(lh_mark_doc, coats, "coats", false, 0.01, 20, 1, "coats",
              "How many coats of the slip."),
    LH_NUMBER(lh_mark_doc, coat_g_m2, "coat_g_m2", false, 0, 20000, NAN,
              "g per m2", "Or its coat weight."),
    LH_NUMBER(lh_mark_doc, edge_mm, "edge_mm", false, 0, 20, 0.4, "mm",
              "Width of the soft edge (a judgement)."),
    LH_FLAG(lh_mark_doc, whole_zone, "whole_zone", 0,
            "Of a fill: all of the zone."),
    LH_OBJECT(lh_mark_doc, pen, "pen", false, pen_table,
              "Raw samples of the pen, kept as they came."),
};
static const lh_fields mark_table = LH_FIELDS("mark", lh_mark_doc, mark_rows);

static const lh_field motif_rows[] = {
    LH_TEXT(lh_motif_doc, id, "id", true, "Its id; the painting refers to it."),
    LH_TEXT(lh_motif_doc, name, "name", false, "What you call it."),
    LH_OBJECT(lh_motif_doc, from, "from", false, from_table,
              "Where the copy came from."),
    LH_LIST(lh_motif_doc, marks, "marks", true, mark_table, 20000,
            "Its marks in painting order, about the motif's anchor."),
};
const lh_fields lh_motif_fields = LH_FIELDS("motif", lh_motif_doc, motif_rows);

static const lh_field exception_rows[] = {
    LH_COUNT(lh_exception_doc, instance, "instance", true, 0, 3999, NAN,
             "Which one, counted from 0."),
    LH_FLAG(lh_exception_doc, left_out, "left_out", 0, "Not painted."),
    LH_NUMBER(lh_exception_doc, move_turns, "move_turns", false, -1, 1, 0,
              "turns", "Moved around."),
    LH_NUMBER(lh_exception_doc, move_up_mm, "move_up_mm", false, -5000, 5000, 0,
              "mm", "Moved up the wall."),
    LH_NUMBER(lh_exception_doc, turn_deg, "turn_deg", false, -360, 360, 0,
              "degrees", "Turned about its anchor."),
    LH_NUMBER(lh_exception_doc, scale, "scale", false, 0.01, 100, 1, "times",
              "Larger or smaller."),
};
static const lh_fields exception_table =
    LH_FIELDS("exception", lh_exception_doc, exception_rows);

static const lh_field repeat_rows[] = {
    LH_CHOICE(lh_repeat_doc, way, "way", false, ways, LH_P1,
              "How it goes around."),
    LH_COUNT(lh_repeat_doc, count, "count", true, 1, LH_REPEATS_MOST, NAN,
             "How many repeats."),
    LH_NUMBER(lh_repeat_doc, axis_turns, "axis_turns", false, -1, 1, 0, "turns",
              "Where the mirror or the half turn stands."),
    LH_FLAG(lh_repeat_doc, may_overlap, "may_overlap", 0,
            "Neighbours may run into each other."),
    LH_LIST(lh_repeat_doc, exceptions, "exceptions", false, exception_table,
            4000, "Instances that differ."),
};
static const lh_fields repeat_table =
    LH_FIELDS("repeat", lh_repeat_doc, repeat_rows);

static const lh_field painted_rows[] = {
    LH_TEXT(lh_painted_doc, id, "id", true, "Its id."),
    LH_TEXT(lh_painted_doc, zone, "zone", true, "The zone's id."),
    LH_NUMBER(lh_painted_doc, turns, "turns", false, -10, 10, 0, "turns",
              "Anchor: around, anticlockwise from above."),
    LH_NUMBER(lh_painted_doc, up_mm, "up_mm", false, 0, 5000, 0, "mm",
              "Anchor: up the wall from the zone's lower edge."),
    LH_NUMBER(lh_painted_doc, turn_deg, "turn_deg", false, -3600, 3600, 0,
              "degrees", "Turned anticlockwise about the anchor."),
    LH_NUMBER(lh_painted_doc, scale, "scale", false, 0.01, 100, 1, "times",
              "Larger or smaller."),
    LH_FLAG(lh_painted_doc, flip, "flip", 0, "Left for right."),
    LH_TEXT(lh_painted_doc, motif, "motif", false, "A motif's id, or"),
    LH_OBJECT(lh_painted_doc, mark, "mark", false, mark_table, "one mark."),
    LH_OBJECT(lh_painted_doc, repeat, "repeat", false, repeat_table,
              "How it is repeated; without it, once."),
};
static const lh_fields painted_table =
    LH_FIELDS("painted", lh_painted_doc, painted_rows);

static const lh_field cone_rows[] = {
    LH_TEXT(lh_cone_doc, scale, "scale", true,
            "Which cones: scales differ by tens of degrees at one number."),
    LH_TEXT(lh_cone_doc, number, "number", true, "Such as 03, 6a, 9."),
};
static const lh_fields cone_table = LH_FIELDS("cone", lh_cone_doc, cone_rows);

static const lh_field firing_rows[] = {
    LH_NUMBER(lh_firing_doc, peak_c, "peak_c", true, 500, 1500, NAN,
              "degrees C", "Peak temperature."),
    LH_NUMBER(lh_firing_doc, hold_min, "hold_min", false, 0, 2880, NAN, "min",
              "How long it is held."),
    LH_OBJECT(lh_firing_doc, cone, "cone", false, cone_table,
              "The cone that goes down."),
    LH_TEXT(lh_firing_doc, atmosphere, "atmosphere", false,
            "Oxidation, reduction, or as you say it."),
};
const lh_fields lh_firing_fields =
    LH_FIELDS("firing", lh_firing_doc, firing_rows);

static const lh_field mixing_rows[] = {
    LH_NUMBER(lh_mixing_doc, waste_percent, "waste_percent", false, 0, 500, 15,
              "%", "Lost in brush and bowl (a judgement)."),
    LH_NUMBER(lh_mixing_doc, residue_g, "residue_g", false, 0, 10000, 10, "g",
              "Dry slip that stays in each jar (a judgement)."),
    LH_NUMBER(lh_mixing_doc, scale_step_g, "scale_step_g", false, 0.001, 100,
              0.1, "g", "The step of your scale."),
    LH_NUMBER(lh_mixing_doc, least_g, "least_g", false, 0, 100000, 0, "g",
              "Smallest dry batch you care to mix."),
};
static const lh_fields mixing_table =
    LH_FIELDS("mixing", lh_mixing_doc, mixing_rows);

static const lh_field limits_rows[] = {
#define X(member, least, most, usual, unit, help) \
  LH_NUMBER(lh_limits, member, #member, false, least, most, usual, unit, help),
    LH_LIMITS_LIST(X)
#undef X
};
static const lh_fields limits_table =
    LH_FIELDS("limits", lh_limits, limits_rows);

static const lh_field piece_rows[] = {
    LH_CHOICE(lh_piece_doc, format, "format", true, formats, NAN,
              "What kind of document this is."),
    LH_COUNT(lh_piece_doc, version, "version", true, 1, LH_PIECE_VERSION, NAN,
             "Of this format."),
    LH_TEXT(lh_piece_doc, id, "id", false, "Its id."),
    LH_TEXT(lh_piece_doc, name, "name", true, "What you call it."),
    LH_NOTE(lh_piece_doc, note, "note", false, "Anything you want to keep."),
    LH_FLAG(lh_piece_doc, invented, "invented", 0,
            "An example, not a real piece."),
    LH_COUNT(lh_piece_doc, pots, "pots", false, 1, 10000, 1,
             "How many pots of it."),
    LH_CHOICE(lh_piece_doc, stage, "stage", false, ware_stages,
              LH_ON_LEATHER_HARD, "The ware when slip is laid."),
    LH_OBJECT(lh_piece_doc, form, "form", true, lh_form_table, "Its form."),
    LH_OBJECT(lh_piece_doc, body, "body", true, lh_body_fields, "Its clay."),
    LH_OBJECT(lh_piece_doc, glaze, "glaze", false, lh_glaze_fields,
              "Its glaze; without it the piece is bare."),
    LH_NUMBER(lh_piece_doc, glaze_g_m2, "glaze_g_m2", false, 0, 5000, 600,
              "g per m2", "Dry glaze weight (a judgement)."),
    LH_LIST(lh_piece_doc, slips, "slips", true, lh_slip_fields, LH_SLIPS_MOST,
            "Its slips."),
    LH_LIST(lh_piece_doc, materials, "materials", false, lh_material_table,
            1000, "Materials of the recipes that are your own."),
    LH_LIST(lh_piece_doc, brushes, "brushes", false, lh_brush_fields, 100,
            "Brushes that marks refer to."),
    LH_LIST(lh_piece_doc, zones, "zones", true, zone_table, LH_ZONES_MOST,
            "Zones that take decoration; those of one face stay apart."),
    LH_LIST(lh_piece_doc, motifs, "motifs", false, lh_motif_fields, 500,
            "Motifs."),
    LH_LIST(lh_piece_doc, painting, "painting", true, painted_table,
            LH_PAINTING_MOST, "What is painted, in painting order."),
    LH_OBJECT(lh_piece_doc, bisque_firing, "bisque_firing", false,
              lh_firing_fields, "The first firing."),
    LH_OBJECT(lh_piece_doc, glaze_firing, "glaze_firing", false,
              lh_firing_fields, "The glaze firing."),
    LH_OBJECT(lh_piece_doc, mixing, "mixing", false, mixing_table,
              "How slips are weighed."),
    LH_OBJECT(lh_piece_doc, limits, "limits", false, limits_table,
              "Where the verdict says caution and stop: all judgements, yours "
              "to change."),
    {.key = "ask",
     .kind = LH_F_JSON,
     .offset = offsetof(lh_piece_doc, ask),
     .otherwise = NAN,
     .help = "What an operation is asked beside the piece."},
};
const lh_fields lh_piece_table =
    LH_FIELDS("leatherhard.piece", lh_piece_doc, piece_rows);
