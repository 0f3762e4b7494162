/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet_drawing.c -- a zone's drawing at true size, in strips across the
** page, with a 100 mm rule to check the printer by.
**
** A band is drawn on its chart, scaled so that it is true at mid-height; how
** far off the edges are is said.  A disc is true to size at its rim. */
#include <math.h>
#include <stdio.h>

#include "heap.h"
#include "sheets.h"

#define MM (72.0 / 25.4) /* points in a mm */
#define TURN 6.283185307179586

typedef struct {
  lh_paper *p;
  const lh_sheets_input *in;
  const lh_piece_zone *z;
  double scale;  /* mm of paper for one mm of chart            */
  double x0, y0; /* paper place of the chart's origin, y down  */
} drawing;

static double px(const drawing *d, double x)
{
  return (d->x0 + x * d->scale) * MM;
}

static double py(const drawing *d, double y)
{
  return (d->y0 - y * d->scale) * MM;
}

static void colour_of(const drawing *d, const lh_shape *s, double coat)
{
  cairo_t *cr = d->p->cr;
  lh_rgb c;

  if (s->slip == LH_NO_SLIP) {
    c = lh_srgb_clip(lh_piece_optics_srgb(&d->in->whole->optics, NULL, 0));
  } else {
    c = lh_sheet_colour(d->in, s->slip, coat);
  }
  cairo_set_source_rgb(cr, c.r, c.g, c.b);
}

static void round_spot(const drawing *d, double x, double y, double r)
{
  cairo_new_path(d->p->cr);
  cairo_arc(d->p->cr, px(d, x), py(d, y), r * d->scale * MM, 0, TURN);
  cairo_fill(d->p->cr);
}

/* One piece of a sweep: two discs and what their common tangents enclose,
** filled one by one, so that it does not matter which way round each runs. */
static void capsule(const drawing *d, double ax, double ay, double ar,
                    double bx, double by, double br)
{
  cairo_t *cr = d->p->cr;
  double l = hypot(bx - ax, by - ay), k, c, ux, uy;

  round_spot(d, ax, ay, ar);
  round_spot(d, bx, by, br);
  if (l <= fabs(ar - br)) return; /* one disc holds the other */
  /* Tangent points lie at the angle acos((ar - br)/l) from the axis. */
  k = (ar - br) / l;
  c = sqrt(1 - k * k);
  ux = (bx - ax) / l;
  uy = (by - ay) / l;
  cairo_new_path(cr);
  cairo_move_to(cr, px(d, ax + ar * (k * ux - c * uy)),
                py(d, ay + ar * (k * uy + c * ux)));
  cairo_line_to(cr, px(d, bx + br * (k * ux - c * uy)),
                py(d, by + br * (k * uy + c * ux)));
  cairo_line_to(cr, px(d, bx + br * (k * ux + c * uy)),
                py(d, by + br * (k * uy - c * ux)));
  cairo_line_to(cr, px(d, ax + ar * (k * ux + c * uy)),
                py(d, ay + ar * (k * uy - c * ux)));
  cairo_close_path(cr);
  cairo_fill(cr);
}

static void sweep(const drawing *d, const lh_shape *s, double x)
{
  double coat = 0;

  for (size_t i = 0; i < s->n; i++) coat += s->nibs[i].coat / (double)s->n;
  colour_of(d, s, coat);
  for (size_t i = 0; i < s->n; i++) {
    const lh_nib *a = &s->nibs[i], *b = i + 1 < s->n ? a + 1 : a;
    if (i > 0 && i + 1 == s->n) break;
    capsule(d, x + a->x, s->y + a->y, a->width / 2, x + b->x, s->y + b->y,
            b->width / 2);
  }
}

static void polygon(const drawing *d, const lh_shape *s, double x)
{
  cairo_t *cr = d->p->cr;

  colour_of(d, s, s->coat);
  cairo_new_path(cr);
  for (size_t i = 0; i < s->n; i++)
    cairo_line_to(cr, px(d, x + s->nibs[i].x), py(d, s->y + s->nibs[i].y));
  cairo_close_path(cr);
  cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
  cairo_fill(cr);
  cairo_set_fill_rule(cr, CAIRO_FILL_RULE_WINDING);
}

static void ring(const drawing *d, const lh_shape *s)
{
  cairo_t *cr = d->p->cr;
  bool band = d->z->zone.kind == LH_CHART_BAND;

  colour_of(d, s, s->coat);
  cairo_new_path(cr);
  if (band) {
    double w = d->z->chart.width;
    cairo_rectangle(cr, px(d, -w), py(d, s->to), 3 * w * d->scale * MM,
                    (s->to - s->from) * d->scale * MM);
    cairo_fill(cr);
    return;
  }
  cairo_arc(cr, px(d, 0), py(d, 0), fmax(s->from, s->to) * d->scale * MM, 0,
            TURN);
  cairo_new_sub_path(cr);
  cairo_arc(cr, px(d, 0), py(d, 0), fmin(s->from, s->to) * d->scale * MM, 0,
            TURN);
  cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
  cairo_fill(cr);
  cairo_set_fill_rule(cr, CAIRO_FILL_RULE_WINDING);
}

/* The shapes whose boxes touch the chart's x0..x1; a band wraps. */
static void shapes(const drawing *d, double x0, double x1)
{
  double w = d->z->chart.width;

  for (size_t i = 0; i < d->z->shapes.n; i++) {
    const lh_shape *s = &d->z->shapes.at[i];
    if (s->kind == LH_RING) {
      ring(d, s);
      continue;
    }
    for (int turn = -1; turn <= 1; turn++) {
      double x = s->x;
      if (d->z->zone.kind == LH_CHART_BAND)
        x += turn * w;
      else if (turn != 0)
        continue;
      if (x + s->right < x0 || x + s->left > x1) continue;
      if (s->kind == LH_SWEEP)
        sweep(d, s, x);
      else
        polygon(d, s, x);
    }
  }
}

/* ---- the page ----------------------------------------------------------- */

static void check_rule(lh_paper *p)
{
  cairo_t *cr = p->cr;
  double x = p->left;

  lh_paper_rule(p, x, x + 100, p->y + 3, 0.3);
  cairo_save(cr);
  cairo_set_line_width(cr, 0.3 * MM);
  for (int i = 0; i <= 10; i++) {
    double h = i % 5 == 0 ? 3 : 1.6;
    cairo_move_to(cr, (x + 10 * i) * MM, (p->y + 3 - h) * MM);
    cairo_line_to(cr, (x + 10 * i) * MM, (p->y + 3) * MM);
  }
  cairo_stroke(cr);
  cairo_restore(cr);
  lh_paper_text(p, LH_PLAIN, 9, x + 104, p->y - 1.2, p->right - x - 104, 0,
                "must measure 100 mm: print at 100 %");
  p->y += 9;
}

/* Where the potter lays the rule: along the form, from here. */
static const char *measured_from(const lh_piece_zone *z)
{
  if (z->zone.kind == LH_CHART_BAND) return "up from the zone's lower edge";
  return z->chart.rho_inner > 0 ? "out from the zone's inner edge"
                                : "out from the centre";
}

/* "Black line, 2.0 mm wide, its middle 61.0 mm up": what the wheel draws. */
static void lines_in_words(drawing *d)
{
  const lh_piece_zone *z = d->z;
  const lh_slip_doc *slips = d->in->whole->piece.doc->slips.items;
  lh_paper *p = d->p;

  for (size_t i = 0; i < z->n_groups; i++) {
    for (size_t k = 0; k < z->groups[i].n; k++) {
      const lh_mark *m = &z->groups[i].marks[k];
      const char *name, *text;
      if (m->kind != LH_BANDING || m->slip < 0) continue;
      name = lh_slip_doc_name(&slips[m->slip]);
      text = z->entries[i].marks[k].whole_zone
                 ? lh_heap_print(p->arena, "%s all over", name)
                 : lh_heap_print(p->arena,
                                 "%s, a line %.1f mm wide, its middle %.1f mm "
                                 "%s",
                                 name, m->to - m->from, (m->from + m->to) / 2,
                                 measured_from(z));
      lh_paper_flow(p, LH_PLAIN, 11, p->left, p->right - p->left, 0.1, 0,
                    text ? text : "");
      p->y += 0.6;
    }
  }
}

/* The place up the zone at which its motifs stand, on average; the middle of
** one that has none. [mm of chart] */
static double line_of_motifs(const lh_piece_zone *z)
{
  double sum = 0, n = 0;

  for (size_t i = 0; i < z->shapes.n; i++) {
    const lh_shape *s = &z->shapes.at[i];
    if (s->kind == LH_RING) continue;
    sum += s->y + (s->low + s->high) / 2;
    n++;
  }
  return n > 0 ? fmin(fmax(sum / n, 0), z->chart.height) : z->chart.height / 2;
}

static void size_words(const drawing *d, char *text, size_t size)
{
  const lh_piece_zone *z = d->z;
  const lh_shrink *f = &d->in->whole->piece.shrinkage.to_fired;
  double lower = 1, upper = 1, turns, up = 0, least, most;

  if (z->zone.kind == LH_CHART_DISC) {
    lh_chart_scales(&z->chart, &least, &most);
    snprintf(text, size,
             "Leather-hard size, true at the rim; towards the middle the pot "
             "is %.2f times as large. Fired it is %.1f %% smaller across.",
             most, 100 * f->diameter);
    return;
  }
  (void)lh_chart_scale(&z->chart, 0, 0, &lower);
  (void)lh_chart_scale(&z->chart, 0, z->chart.height, &upper);
  (void)lh_chart_back(&z->chart, 0, line_of_motifs(z), &turns, &up);
  snprintf(text, size,
           "Leather-hard size, true %.0f mm up from the zone's lower edge; on "
           "the pot its lower edge is %.2f and its upper edge %.2f times as "
           "long as here. Fired it is %.1f %% smaller across and %.1f %% in "
           "height. Each strip begins where the one before ended.",
           up, lower / d->scale, upper / d->scale, 100 * f->diameter,
           100 * f->height);
}

static void heading(drawing *d, bool again)
{
  lh_paper *p = d->p;
  const lh_piece_zone *z = d->z;
  double width = p->right - p->left;
  char text[500], *title;
  bool small;

  lh_paper_page(p);
  small = z->zone.kind == LH_CHART_DISC && 2 * z->chart.radius > width;
  title = lh_heap_print(
      p->arena, "%s, %s%s", z->doc->name ? z->doc->name : z->doc->id,
      small ? "drawn smaller" : "at true size", again ? ", continued" : "");
  p->y +=
      lh_paper_heading(p, 24, p->left, p->y - 2, width, title ? title : "") + 1;
  size_words(d, text, sizeof text);
  p->y += lh_paper_text(p, LH_PLAIN, 11, p->left, p->y, width, 0.1, text) + 3;
  if (!again) lines_in_words(d);
  p->y += 4;
  check_rule(p);
}

static void clip_to(const drawing *d, double x0, double x1, double y0,
                    double y1)
{
  cairo_rectangle(d->p->cr, px(d, x0), py(d, y1), (x1 - x0) * d->scale * MM,
                  (y1 - y0) * d->scale * MM);
  cairo_clip(d->p->cr);
}

static void frame(const drawing *d, double x0, double x1, double y0, double y1)
{
  cairo_t *cr = d->p->cr;
  static const double dots[] = {0.6 * MM, 1.2 * MM};

  cairo_save(cr);
  cairo_set_source_rgb(cr, 0, 0, 0);
  cairo_set_line_width(cr, 0.15 * MM);
  cairo_move_to(cr, px(d, x0), py(d, y0));
  cairo_line_to(cr, px(d, x1), py(d, y0));
  cairo_move_to(cr, px(d, x0), py(d, y1));
  cairo_line_to(cr, px(d, x1), py(d, y1));
  cairo_stroke(cr);
  cairo_set_dash(cr, dots, 2, 0);
  cairo_move_to(cr, px(d, x0), py(d, y0));
  cairo_line_to(cr, px(d, x0), py(d, y1));
  cairo_move_to(cr, px(d, x1), py(d, y0));
  cairo_line_to(cr, px(d, x1), py(d, y1));
  cairo_stroke(cr);
  cairo_restore(cr);
}

static void strip_label(drawing *d, int strip, double x0, double x1)
{
  char text[120];
  double w = d->z->chart.width;

  snprintf(text, sizeof text, "%d: from %.0f to %.0f \xc2\xb0 round the pot",
           strip + 1, 360 * x0 / w, 360 * x1 / w);
  lh_paper_text(d->p, LH_PLAIN, 9, d->p->left, d->p->y, 120, 0.3, text);
  d->p->y += 4.6;
}

/* The stretch of chart that anything but a ground is painted on. */
static void painted_rows(const lh_piece_zone *z, double *low, double *high)
{
  double margin = 0.03 * z->chart.height + 2;

  *low = z->chart.height;
  *high = 0;
  for (size_t i = 0; i < z->shapes.n; i++) {
    const lh_shape *s = &z->shapes.at[i];
    bool ring = s->kind == LH_RING;
    if (ring && s->from <= 0 && s->to >= z->chart.height) continue;
    *low = fmin(*low, ring ? s->from : s->y + s->low);
    *high = fmax(*high, ring ? s->to : s->y + s->high);
  }
  *low = fmax(*low - margin, 0);
  *high = fmin(*high + margin, z->chart.height);
}

static void band(drawing *d)
{
  lh_paper *p = d->p;
  const lh_chart *ch = &d->z->chart;
  double mid = 1, strip_chart, height, low, high;
  int strips;

  (void)lh_chart_scale(ch, 0, line_of_motifs(d->z), &mid);
  d->scale = mid;
  strips = (int)ceil(ch->width * mid / (p->right - p->left) - 1e-9);
  strip_chart = ch->width / strips;
  painted_rows(d->z, &low, &high);
  height = (high - low) * mid;
  heading(d, false);
  for (int i = 0; i < strips; i++) {
    double x0 = i * strip_chart;
    if (i > 0 && !lh_paper_room(p, height + 6)) heading(d, true);
    strip_label(d, i, x0, x0 + strip_chart);
    d->x0 = p->left - x0 * mid;
    d->y0 = p->y + height + low * mid;
    cairo_save(p->cr);
    clip_to(d, x0, x0 + strip_chart, low, high);
    shapes(d, x0, x0 + strip_chart);
    cairo_restore(p->cr);
    frame(d, x0, x0 + strip_chart, low, high);
    p->y += height + 3;
  }
}

static void disc(drawing *d)
{
  lh_paper *p = d->p;
  const lh_chart *ch = &d->z->chart;
  double room, note = 8, r = ch->radius; /* note: room for its line [mm] */
  cairo_t *cr = p->cr;

  d->scale = 1;
  heading(d, false);
  room = fmin(p->right - p->left, p->bottom - p->y);
  if (2 * r > room) {
    char text[160];
    room = fmin(room, p->bottom - p->y - note);
    d->scale = room / (2 * r);
    snprintf(text, sizeof text,
             "Too large for this paper: drawn at %.0f %% of true size.",
             100 * d->scale);
    lh_paper_text(p, LH_STRONG, 11, p->left, p->y, 170, 0, text);
    p->y += note;
  }
  d->x0 = (p->left + p->right) / 2;
  d->y0 = p->y + r * d->scale;
  cairo_save(cr);
  cairo_arc(cr, px(d, 0), py(d, 0), r * d->scale * MM, 0, TURN);
  cairo_clip(cr);
  shapes(d, -r, r);
  cairo_restore(cr);
  cairo_save(cr);
  cairo_set_line_width(cr, 0.15 * MM);
  cairo_arc(cr, px(d, 0), py(d, 0), r * d->scale * MM, 0, TURN);
  cairo_stroke(cr);
  cairo_restore(cr);
  p->y += 2 * r * d->scale + 4;
}

static bool only_lines(const lh_piece_zone *z)
{
  for (size_t i = 0; i < z->shapes.n; i++)
    if (z->shapes.at[i].kind != LH_RING) return false;
  return true;
}

void lh_sheet_lines(lh_paper *p, const lh_sheets_input *in)
{
  const lh_piece *piece = &in->whole->piece;
  bool begun = false;

  for (size_t i = 0; i < piece->n_zones; i++) {
    drawing d = {.p = p, .in = in, .z = &piece->zones[i], .scale = 1};
    if (d.z->shapes.n == 0 || !only_lines(d.z)) continue;
    if (!begun) {
      lh_paper_page(p);
      p->y += lh_paper_text(p, LH_TITLE, 24, p->left, p->y - 2,
                            p->right - p->left, 0, "Grounds and lines") +
              3;
      begun = true;
    }
    p->y += lh_paper_text(p, LH_STRONG, 13, p->left, p->y, p->right - p->left,
                          0, d.z->doc->name ? d.z->doc->name : d.z->doc->id) +
            1;
    lines_in_words(&d);
    p->y += 4;
  }
}

void lh_sheet_drawing(lh_paper *p, const lh_sheets_input *in, size_t zone)
{
  drawing d = {.p = p, .in = in, .z = &in->whole->piece.zones[zone]};

  if (d.z->shapes.n == 0 || only_lines(d.z)) return;
  if (d.z->zone.kind == LH_CHART_BAND)
    band(&d);
  else
    disc(&d);
}
