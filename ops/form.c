/* SPDX-License-Identifier: GPL-3.0-or-later */
/* form.c -- the operation `form`: what a thrown form measures, holds and
** weighs, and what room its zones give. */
#include "form.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "chart.h"
#include "exact.h"
#include "operation.h"
#include "piece_room.h"
#include "range.h"

typedef struct {
  lh_form_doc form;
  double density_g_cm3, density_error_g_cm3, caliper_error_mm;
  double fill_below_lip_mm;
  lh_list zones; /* lh_zone_doc */
} form_ask;

static const char *const stages[] = {"thrown", "leather-hard", "fired", NULL};
static const char *const kinds[] = {"band", "disc", NULL};
static const char *const faces[] = {"outside", "inside", NULL};

/* Judgements: a rim is looked at from 30 to 5 mm below the lip, along the
** outside; lower down it is wall, higher up its edge is rounded anyway. */
#define RIM_FROM_MM 30.0
#define RIM_TO_MM 5.0
/* A wall thinner than this takes in the water of a coat fast. (judgement) */
#define THIN_MM 3.0

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

static const lh_field zone_rows[] = {
    LH_TEXT(lh_zone_doc, id, "id", false, "Its id."),
    LH_TEXT(lh_zone_doc, name, "name", false, "What you call it."),
    LH_CHOICE(lh_zone_doc, kind, "kind", false, kinds, LH_CHART_BAND,
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

static const lh_field form_rows[] = {
    LH_LIST(form_ask, form.outside, "outside", true, caliper_table,
            LH_CURVE_POINTS, "Points of the outside, from foot to lip."),
    LH_LIST(form_ask, form.inside, "inside", false, caliper_table,
            LH_CURVE_POINTS,
            "Points of the inside, from the centre (diameter 0) to the lip; "
            "without it, no capacity and no weight."),
    LH_TEXT(form_ask, form.id, "id", false, "Its id."),
    LH_TEXT(form_ask, form.name, "name", false, "What you call it."),
    LH_CHOICE(form_ask, form.measured, "measured", false, stages,
              LH_LEATHER_HARD, "The stage at which it was measured."),
    LH_OBJECT(form_ask, form.to_leather_hard, "to_leather_hard", false,
              shrink_table, "Shrinkage from thrown to leather-hard."),
    LH_OBJECT(form_ask, form.to_fired, "to_fired", false, shrink_table,
              "Shrinkage from leather-hard to fired."),
    LH_NUMBER(form_ask, density_g_cm3, "density_g_cm3", false, 1, 4, 1.95,
              "g per cm3",
              "Of the leather-hard clay (a judgement: weigh a trimming of "
              "known size)."),
    LH_NUMBER(form_ask, density_error_g_cm3, "density_error_g_cm3", false, 0, 1,
              0.05, "g per cm3", "How far that may be off (a judgement)."),
    LH_NUMBER(form_ask, caliper_error_mm, "caliper_error_mm", false, 0, 20, 0.5,
              "mm",
              "How far all readings of a face may be off together (a "
              "judgement)."),
    LH_NUMBER(form_ask, fill_below_lip_mm, "fill_below_lip_mm", false, 0, 3000,
              NAN, "mm", "Filled to so far below the lip."),
    LH_LIST(form_ask, zones, "zones", false, zone_table, LH_ZONES_MOST,
            "Zones to measure; without them, the whole of each face."),
};
static const lh_fields form_table = LH_FIELDS("form", form_ask, form_rows);

/* ---- sizes -------------------------------------------------------------- */

static double ml(double mm3)
{
  return mm3 / 1000.0;
}

/* What the pot holds, leather-hard, and how sure that is: the diameters of
** the inside may all be off together, and so may its depth. */
static lh_range capacity(const form_ask *ask, const lh_curve *in)
{
  double lip = lh_curve_lip(in), e = ask->caliper_error_mm;
  double r = in->r[in->n - 1];
  double v = lh_curve_volume(in, lip);
  double wide = lh_curve_volume_per_radius(in) * e / 2.0;
  double deep = LH_PI * r * r * e;
  lh_spread s = lh_spread_of(ml(v));

  lh_spread_add(&s, ml(v - wide), ml(v + wide));
  lh_spread_add(&s, ml(v - deep), ml(v + deep));
  return lh_spread_range(s);
}

/* The clay's weight and its range: either face may be off, and the density. */
static lh_status clay(const form_ask *ask, const lh_piece *p, lh_range *g)
{
  double v, w, e = ask->caliper_error_mm / 2.0, d = ask->density_g_cm3;
  double out = lh_curve_volume_per_radius(p->outside) * e * d / 1000.0;
  double in = lh_curve_volume_per_radius(p->inside) * e * d / 1000.0;
  lh_status st = lh_wall_clay(p->outside, p->inside, d, &v, &w);
  lh_spread s = lh_spread_of(w);

  if (st != LH_OK) return st;
  lh_spread_add(&s, w - out, w + out);
  lh_spread_add(&s, w - in, w + in);
  lh_spread_add(&s, ml(v) * (d - ask->density_error_g_cm3),
                ml(v) * (d + ask->density_error_g_cm3));
  *g = lh_spread_range(s);
  return LH_OK;
}

/* Is a stage's size known: does every shrinkage between it and the measured
** one stand in the document? */
static bool known(const lh_form_doc *form, lh_stage stage)
{
  lh_stage m = (lh_stage)form->measured;
  bool before = (stage == LH_THROWN) != (m == LH_THROWN);
  bool after = (stage == LH_FIRED) != (m == LH_FIRED);

  return (!before || form->to_leather_hard) && (!after || form->to_fired);
}

typedef struct {
  double height, widest, lip, holds;
} size_row;

static size_row size_at(const lh_piece *p, lh_stage stage, double holds)
{
  static const lh_point one = {1.0, 1.0};
  const lh_curve *c = p->outside;
  lh_point k = one;
  double low = c->z[0], high = c->z[0], widest = 0.0;

  lh_form_resize(&one, 1, LH_LEATHER_HARD, stage, &p->shrinkage, &k);
  for (size_t i = 0; i < c->n; i++) {
    if (c->z[i] < low) low = c->z[i];
    if (c->z[i] > high) high = c->z[i];
    if (c->r[i] > widest) widest = c->r[i];
  }
  return (size_row){(high - low) * k.z, 2.0 * widest * k.r,
                    2.0 * c->r[c->n - 1] * k.r, holds * k.r * k.r * k.z};
}

static void put_sizes(const form_ask *ask, const lh_piece *p, double holds,
                      lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "sizes");

  lh_reply_title(r, "Size");
  lh_reply_line(r, LH_LINE_HEAD, "stage\theight mm\twidest mm\tlip mm%s",
                p->inside ? "\tholds ml" : "");
  for (int k = 0; k < LH_STAGES; k++) {
    size_row z = size_at(p, (lh_stage)k, holds);
    json_t *item;
    if (!known(&ask->form, (lh_stage)k)) continue;
    item = lh_reply_item(r, list);
    lh_reply_string(r, item, "stage", stages[k]);
    lh_reply_number(r, item, "height_mm", z.height);
    lh_reply_number(r, item, "widest_mm", z.widest);
    lh_reply_number(r, item, "lip_mm", z.lip);
    if (!p->inside) {
      lh_reply_row(r, "%s\t%.1f\t%.1f\t%.1f", stages[k], z.height, z.widest,
                   z.lip);
      continue;
    }
    lh_reply_number(r, item, "capacity_ml", z.holds);
    lh_reply_row(r, "%s\t%.1f\t%.1f\t%.1f\t%.0f", stages[k], z.height, z.widest,
                 z.lip, z.holds);
  }
  if (!ask->form.to_leather_hard)
    lh_reply_text(r, "Give to_leather_hard to know its thrown size.");
  if (!ask->form.to_fired)
    lh_reply_text(r, "Give to_fired to know its fired size.");
}

/* ---- wall --------------------------------------------------------------- */

static void put_wall(const lh_piece *p, lh_reply *r)
{
  double length = p->outside->length, s, mm, floor;
  double to = length > 2.0 * RIM_TO_MM ? length - RIM_TO_MM : length / 2.0;
  double from = length > RIM_FROM_MM ? length - RIM_FROM_MM : 0.0;
  json_t *wall = lh_reply_object(r, NULL, "wall");

  if (lh_wall_thinnest(p->outside, p->inside, from < to ? from : 0.0, to, &s,
                       &mm) != LH_OK)
    return;
  floor = p->inside->z[0] - p->outside->z[0];
  lh_reply_number(r, wall, "rim_mm", mm);
  lh_reply_number(r, wall, "rim_below_lip_mm", length - s);
  lh_reply_number(r, wall, "floor_above_table_mm", floor);
  lh_reply_title(r, "Wall");
  lh_reply_row(r, "rim\t%.1f\tmm at its thinnest, %.0f mm below the lip", mm,
               length - s);
  lh_reply_row(r, "floor\t%.1f\tmm above the foot, in the middle", floor);
  if (mm < THIN_MM)
    lh_reply_text(r,
                  "Under %.0f mm (a judgement) a rim soaks up the water of a "
                  "coat fast: see the operation `wall` before you slip both "
                  "faces.",
                  THIN_MM);
}

/* ---- zones -------------------------------------------------------------- */

static const char *zone_words(lh_zone_why why)
{
  switch (why) {
  case LH_ZONE_NOT_NUMBER: return "an edge is not a number";
  case LH_ZONE_EMPTY: return "from_mm is not below to_mm: the zone is empty";
  case LH_ZONE_OFF_FORM: return "the zone reaches off the form";
  case LH_ZONE_ON_AXIS:
    return "a band cannot reach the middle of the pot, nor a disc both ends";
  case LH_ZONE_STRETCHED:
    return "the zone comes too near the middle to be unrolled";
  case LH_ZONE_FINE: break;
  }
  return "the zone cannot be measured";
}

static void put_zone(const lh_zone_doc *z, const lh_chart *ch, json_t *list,
                     lh_reply *r)
{
  const char *name = z->name ? z->name : z->id ? z->id : faces[z->face];
  json_t *item = lh_reply_item(r, list);
  double least, most;

  lh_chart_scales(ch, &least, &most);
  if (z->id) lh_reply_string(r, item, "id", z->id);
  if (z->name) lh_reply_string(r, item, "name", z->name);
  lh_reply_string(r, item, "face", faces[z->face]);
  lh_reply_string(r, item, "kind", kinds[z->kind]);
  lh_reply_number(r, item, "from_mm", z->from_mm);
  lh_reply_number(r, item, "to_mm", z->to_mm);
  lh_reply_number(r, item, "area_cm2", ch->area / 100.0);
  lh_reply_number(r, item, "width_mm", ch->width);
  lh_reply_number(r, item, "height_mm", ch->height);
  lh_reply_range(r, item, "scale", least, most);
  lh_reply_row(r,
               "%s\t%s %s\t%.1f\xe2\x80\x93%.1f\t%.1f\t%.1f x %.1f\t%.3f "
               "\xe2\x80\x93 %.3f",
               name, faces[z->face], kinds[z->kind], z->from_mm, z->to_mm,
               ch->area / 100.0, ch->width, ch->height, least, most);
}

/* The zones of a document that names none: the whole of each face.  An
** outside that starts on the axis begins with its second point. */
static size_t whole_faces(const lh_piece *p, lh_zone_doc z[2])
{
  const lh_curve *o = p->outside, *i = p->inside;
  size_t n = 0;

  z[n++] = (lh_zone_doc){.kind = LH_CHART_BAND,
                         .face = LH_OUTSIDE,
                         .from_mm = o->r[0] > 0.0 ? 0.0 : o->s[LH_CURVE_PIECES],
                         .to_mm = o->length};
  if (i)
    z[n++] =
        (lh_zone_doc){.kind = i->r[0] > 0.0 ? LH_CHART_BAND : LH_CHART_DISC,
                      .face = LH_INSIDE,
                      .from_mm = 0.0,
                      .to_mm = i->length};
  return n;
}

static lh_status put_zones(const lh_call *call, const form_ask *ask,
                           const lh_piece *p, lh_reply *r, lh_fault *fault)
{
  lh_chart *ch = lh_arena_take(call->arena, 1, sizeof *ch);
  json_t *list = lh_reply_list(r, NULL, "zones");
  lh_zone_doc whole[2];
  const lh_zone_doc *z = ask->zones.count > 0 ? ask->zones.items : whole;
  size_t n = ask->zones.count > 0 ? ask->zones.count : whole_faces(p, whole);

  if (!ch) return lh_fault_plain(fault, LH_NOMEM, "/zones");
  lh_reply_title(r, "Zones, leather-hard");
  lh_reply_line(r, LH_LINE_HEAD,
                "zone\tis a\tmm along\tcm2\tdrawing mm\ttrue mm for 1 drawn");
  for (size_t i = 0; i < n; i++) {
    const lh_curve *c = z[i].face == LH_INSIDE ? p->inside : p->outside;
    lh_zone zone = {(lh_face)z[i].face, (lh_chart_kind)z[i].kind, z[i].from_mm,
                    z[i].to_mm};
    char where[32], todo[160];
    lh_zone_why why;
    lh_status st;
    snprintf(where, sizeof where, "/zones/%zu", i);
    if (!c)
      return lh_fault_say(fault, LH_INPUT, where,
                          "give `inside`, or put the zone outside",
                          "the form has no inside for this zone");
    st = lh_chart_make(c, &zone, ch, &why);
    if (st == LH_OK) {
      put_zone(&z[i], ch, list, r);
    } else if (z != whole) {
      snprintf(todo, sizeof todo,
               "keep from_mm and to_mm within 0 to %.1f, the length of the "
               "%s profile, leather-hard",
               c->length, faces[z[i].face]);
      return lh_fault_say(fault, st, where, todo, "%s", zone_words(why));
    }
  }
  return LH_OK;
}

/* ---- the answer --------------------------------------------------------- */

static lh_status put_inside(const form_ask *ask, const lh_piece *p, lh_reply *r,
                            lh_fault *fault, double *holds)
{
  lh_range v = capacity(ask, p->inside), g = {0};
  lh_status st = clay(ask, p, &g);

  if (st != LH_OK)
    return lh_fault_say(fault, st, "/inside", "measure both faces again",
                        "the two faces leave no clay between them");
  *holds = v.value;
  lh_reply_number(r, NULL, "capacity_ml", v.value);
  lh_reply_range(r, NULL, "capacity_range_ml", v.low, v.high);
  lh_reply_number(r, NULL, "clay_g", g.value);
  lh_reply_range(r, NULL, "clay_range_g", g.low, g.high);
  lh_reply_row(r, "holds\t%.0f\tml to the lip (%.0f to %.0f)", v.value, v.low,
               v.high);
  if (isfinite(ask->fill_below_lip_mm)) {
    double to = lh_curve_lip(p->inside) - ask->fill_below_lip_mm;
    double fill = ml(lh_curve_volume(p->inside, to));
    lh_reply_number(r, NULL, "filled_ml", fill);
    lh_reply_row(r, "filled\t%.0f\tml to %.1f mm below the lip", fill,
                 ask->fill_below_lip_mm);
  }
  lh_reply_row(r, "clay\t%.0f\tg leather-hard (%.0f to %.0f)", g.value, g.low,
               g.high);
  return LH_OK;
}

static void put_faces(const lh_piece *p, lh_reply *r)
{
  json_t *areas = lh_reply_object(r, NULL, "areas_cm2");
  json_t *lengths = lh_reply_object(r, NULL, "profile_mm");

  for (int f = 0; f < 2; f++) {
    const lh_curve *c = f == LH_INSIDE ? p->inside : p->outside;
    double area;
    if (!c || lh_curve_area(c, 0.0, c->length, &area) != LH_OK) continue;
    lh_reply_number(r, areas, faces[f], area / 100.0);
    lh_reply_number(r, lengths, faces[f], c->length);
    lh_reply_row(r, "%s\t%.0f\tcm2, %.1f mm of wall from %s to lip", faces[f],
                 area / 100.0, c->length, c->r[0] > 0.0 ? "foot" : "centre");
  }
}

static lh_status form(const lh_call *call, const void *document, lh_reply *r,
                      lh_fault *fault)
{
  const form_ask *ask = document;
  lh_piece p = {0};
  double holds = 0.0;
  lh_status st;

  /* Everything is told in leather-hard size: it must be known. */
  if (!known(&ask->form, LH_LEATHER_HARD)) {
    bool fired = ask->form.measured == LH_FIRED;
    return lh_fault_say(
        fault, LH_INPUT, fired ? "/to_fired" : "/to_leather_hard",
        "give the shrinkage between the two, from a test bar",
        "measured %s, its leather-hard size is not known without this",
        stages[ask->form.measured]);
  }
  st = lh_form_doc_curves(&ask->form, NULL, call->arena, &p, fault);
  if (st != LH_OK) return st;
  lh_reply_title(r, "%s, leather-hard",
                 ask->form.name ? ask->form.name : "This form");
  if (p.inside) st = put_inside(ask, &p, r, fault, &holds);
  if (st != LH_OK) return st;
  put_faces(&p, r);
  if (p.inside)
    lh_reply_text(r,
                  "Ranges: nine times in ten, if the readings of a face are "
                  "all off by up to %.2g mm%s.",
                  ask->caliper_error_mm, " and the density as stated");
  put_sizes(ask, &p, holds, r);
  if (p.inside) put_wall(&p, r);
  return put_zones(call, ask, &p, r, fault);
}

const lh_operation lh_op_form = {
    .name = "form",
    .help = "what a thrown form measures, holds and weighs",
    .purpose = "Draws a curve through caliper points of the outside and the "
               "inside, and answers in leather-hard size: areas, capacity, "
               "weight of clay, thickness near the rim, its size thrown and "
               "fired, and for each zone its area and the size of its "
               "unrolled drawing.",
    .fields = &form_table,
    .run = form,
    .example =
        "{\"name\": \"shallow bowl (invented)\", \"outside\": ["
        "{\"diameter_mm\": 72, \"height_mm\": 0}, "
        "{\"diameter_mm\": 110, \"height_mm\": 14}, "
        "{\"diameter_mm\": 158, \"height_mm\": 40}, "
        "{\"diameter_mm\": 176, \"height_mm\": 62}], "
        "\"inside\": [{\"diameter_mm\": 0, \"height_mm\": 9}, "
        "{\"diameter_mm\": 60, \"height_mm\": 11}, "
        "{\"diameter_mm\": 106, \"height_mm\": 22}, "
        "{\"diameter_mm\": 147, \"height_mm\": 43}, "
        "{\"diameter_mm\": 167, \"height_mm\": 62}], "
        "\"to_leather_hard\": {\"diameter_percent\": 4, \"height_percent\": "
        "5}, "
        "\"to_fired\": {\"diameter_percent\": 7, \"height_percent\": 8}, "
        "\"zones\": [{\"id\": \"band\", \"from_mm\": 20, \"to_mm\": 70}]}",
};
