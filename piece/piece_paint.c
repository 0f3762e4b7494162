/* SPDX-License-Identifier: GPL-3.0-or-later */
/* piece_paint.c -- the painting of a piece put onto the charts of its zones:
** documents become marks, motifs become placings, and what cannot be painted
** is refused with its place. */
#include <math.h>
#include <string.h>

#include "piece.h"
#include "piece_room.h"

typedef struct {
  lh_piece *p;
  lh_arena *a;
  lh_fault *fault;
  size_t marks; /* put down so far, in all zones */
  /* As drawn, before they are repeated, in each zone: what is left out of
  ** every repeat takes room all the same. */
  struct {
    size_t marks, nibs;
  } drawn[LH_ZONES_MOST];
} painting;

static lh_status no_memory(const painting *w)
{
  return lh_fault_plain(w->fault, LH_NOMEM, "/painting");
}

/* ---- a mark ------------------------------------------------------------- */

/* Width of a mark: its own, else its brush's, else NAN. */
static lh_status mark_width(const painting *w, const lh_mark_doc *m,
                            const lh_at *at, double *width)
{
  const lh_brush_doc *b = w->p->doc->brushes.items;
  const char *names[100];
  lh_at here = {at, "brush", 0};
  size_t n = w->p->doc->brushes.count;

  *width = m->width_mm;
  if (!m->brush) return LH_OK;
  for (size_t i = 0; i < n; i++) {
    names[i] = b[i].id;
    if (strcmp(b[i].id, m->brush) != 0) continue;
    if (isnan(*width)) *width = b[i].width_mm;
    return LH_OK;
  }
  return lh_piece_unknown(w->fault, &here, "brush", m->brush, names, n);
}

static lh_status mark_slip(const painting *w, const lh_mark_doc *m,
                           const lh_at *at, int *slip)
{
  const lh_slip_doc *s = w->p->doc->slips.items;
  const char *names[LH_SLIPS_MOST];
  lh_at here = {at, "slip", 0};
  size_t n = w->p->doc->slips.count, k;

  *slip = LH_NO_SLIP;
  if (m->kind == LH_SGRAFFITO && !m->slip) return LH_OK;
  if (m->kind == LH_SGRAFFITO) {
    return lh_piece_refuse(w->fault, &here, LH_INPUT,
                           "a sgraffito lays no slip", "take the slip out");
  }
  if (!m->slip) {
    return lh_piece_refuse(w->fault, &here, LH_INPUT, "the slip is missing",
                           "name the slip by its id");
  }
  k = lh_piece_slip(w->p->doc, m->slip);
  if (k < n) {
    *slip = (int)k;
    return LH_OK;
  }
  for (size_t i = 0; i < n; i++) names[i] = s[i].id;
  return lh_piece_unknown(w->fault, &here, "slip", m->slip, names, n);
}

static lh_status path_nibs(const painting *w, const lh_mark_doc *m,
                           const lh_at *at, double width, double coat,
                           lh_mark *out)
{
  const lh_nib_doc *n = m->path.items;
  lh_nib *nibs = lh_arena_take(w->a, m->path.count, sizeof *nibs);
  lh_at path = {at, "path", 0};
  size_t least = m->kind == LH_FILL ? 3 : 1;

  if (!nibs) return no_memory(w);
  if (m->path.count < least) {
    return lh_piece_refuse(w->fault, &path, LH_INPUT,
                           least == 3 ? "an outline wants at least 3 points"
                                      : "the path has no points",
                           "draw it again");
  }
  for (size_t i = 0; i < m->path.count; i++) {
    lh_at here = {&path, NULL, i};
    nibs[i] = (lh_nib){n[i].x_mm, n[i].y_mm,
                       isnan(n[i].width_mm) ? width : n[i].width_mm,
                       isnan(n[i].coat_g_m2) ? coat : n[i].coat_g_m2};
    if (m->kind == LH_FILL) nibs[i].width = 0;
    if (isnan(nibs[i].width)) {
      return lh_piece_refuse(w->fault, &here, LH_INPUT,
                             "nothing says how wide the stroke is",
                             "give width_mm here or for the mark, or a brush");
    }
  }
  out->nibs = nibs;
  out->n = m->path.count;
  return LH_OK;
}

/* A dot or a dab: one place, no path. */
static lh_status spot_nibs(const painting *w, const lh_mark_doc *m,
                           const lh_at *at, double width, double coat,
                           lh_mark *out)
{
  lh_nib *nibs = lh_arena_take(w->a, LH_DAB_NIBS, sizeof *nibs);
  double length = m->length_mm;

  if (!nibs) return no_memory(w);
  if (isnan(width)) {
    return lh_piece_refuse(w->fault, at, LH_INPUT,
                           "nothing says how wide it is",
                           "give width_mm, or a brush");
  }
  out->nibs = nibs;
  if (m->kind == LH_DOT) {
    out->n = 1;
    nibs[0] = (lh_nib){m->x_mm, m->y_mm, width, coat};
    return LH_OK;
  }
  if (isnan(length)) length = 2 * width;
  out->n = LH_DAB_NIBS;
  /* The lifted tip lays about half of the belly's coat. (judgement) */
  if (lh_dab(length, width, m->turn_deg / 360, coat, 0.5, nibs) != LH_OK) {
    return lh_piece_refuse(
        w->fault, at, LH_RANGE,
        "a dab is at least one and a half times as long as wide",
        "make length_mm the larger");
  }
  for (size_t i = 0; i < LH_DAB_NIBS; i++) {
    nibs[i].x += m->x_mm;
    nibs[i].y += m->y_mm;
  }
  return LH_OK;
}

static lh_status ring(const painting *w, const lh_piece_zone *z,
                      const lh_painted_doc *e, const lh_mark_doc *m,
                      const lh_at *at, double width, lh_mark *out)
{
  out->kind = LH_BANDING;
  out->from = 0;
  out->to = z->chart.length;
  if (m->whole_zone) return LH_OK;
  if (isnan(width)) {
    return lh_piece_refuse(w->fault, at, LH_INPUT,
                           "nothing says how wide the line is",
                           "give width_mm, or a brush");
  }
  out->from = fmax(e->up_mm + m->y_mm - width / 2, 0);
  out->to = fmin(e->up_mm + m->y_mm + width / 2, z->chart.length);
  if (out->from < out->to) return LH_OK;
  return lh_piece_refuse(w->fault, at, LH_RANGE,
                         "the banding line is off its zone",
                         "keep up_mm within the zone");
}

static lh_status one_mark(const painting *w, const lh_piece_zone *z,
                          const lh_painted_doc *e, const lh_mark_doc *m,
                          const lh_at *at, lh_mark *out)
{
  const lh_slip_doc *slips = w->p->doc->slips.items;
  double width = 0, coat;
  lh_status st = mark_slip(w, m, at, &out->slip);

  if (st == LH_OK) st = mark_width(w, m, at, &width);
  if (st != LH_OK) return st;
  coat = out->slip < 0 ? 0 : lh_mark_doc_coat(m, &slips[out->slip]);
  out->kind = (lh_mark_kind)m->kind;
  out->anchor = (lh_anchor){e->turns, e->up_mm};
  out->local = (lh_local){
      .turn = e->turn_deg / 360, .scale = e->scale, .flip_x = e->flip};
  out->edge = m->edge_mm;
  out->coat = coat;
  if (m->whole_zone && m->kind != LH_FILL) {
    return lh_piece_refuse(w->fault, at, LH_INPUT,
                           "only a fill can be of the whole zone",
                           "make it a fill, or take whole_zone out");
  }
  switch (m->kind) {
  case LH_DAB:
  case LH_DOT: return spot_nibs(w, m, at, width, coat, out);
  case LH_BANDING: return ring(w, z, e, m, at, width, out);
  case LH_FILL:
    if (m->whole_zone) return ring(w, z, e, m, at, width, out);
    return path_nibs(w, m, at, width, coat, out);
  default: return path_nibs(w, m, at, width, coat, out);
  }
}

/* ---- an entry ----------------------------------------------------------- */

static const char *mark_words(lh_mark_why why)
{
  switch (why) {
  case LH_MARK_NOT_NUMBER: return "a number of the mark is not finite";
  case LH_MARK_NIBS: return "the mark has too few or too many points";
  case LH_MARK_WIDTH: return "a width is negative";
  case LH_MARK_COAT: return "a coat weight is negative or far too heavy";
  case LH_MARK_EDGE: return "the soft edge is negative or wider than 20 mm";
  case LH_MARK_SCALE: return "the scale is not above 0";
  case LH_MARK_SLIP: return "the slip is missing";
  case LH_MARK_KIND: return "the kind of mark is not known";
  case LH_MARK_TOO_LARGE: return "the mark is larger than any pot";
  case LH_MARK_OFF_ZONE: return "the mark's anchor is off its zone";
  case LH_MARK_WRAPS: return "the fill goes more than once round the pot";
  case LH_MARK_TOO_MANY:
    return "more marks than the 20,000 (or points than the 1,000,000) taken in "
           "one zone";
  case LH_MARK_LAYERS:
    return "this begins layer 13; at most 12 layers are taken in one zone";
  case LH_MARK_NO_ROOM: return "out of memory";
  case LH_MARK_FINE: break;
  }
  return "the mark cannot be painted";
}

static const char *mark_todo(lh_mark_why why)
{
  switch (why) {
  case LH_MARK_OFF_ZONE: return "keep up_mm within the zone";
  case LH_MARK_LAYERS: return "paint each slip in one go where you can";
  case LH_MARK_TOO_MANY: return "leave some out, or divide the zone";
  default: return "draw it again";
  }
}

static lh_status entry_marks(const painting *w, const lh_painted_doc *e,
                             const lh_at *at, lh_piece_entry *out)
{
  const lh_motif_doc *m = w->p->doc->motifs.items;
  size_t n = w->p->doc->motifs.count;
  lh_at here = {at, "motif", 0};
  const char *names[500];

  if ((e->motif != NULL) == (e->mark != NULL)) {
    return lh_piece_refuse(w->fault, at, LH_INPUT,
                           e->mark ? "both a motif and a mark"
                                   : "neither a motif nor a mark",
                           "give one of them");
  }
  if (e->mark) {
    out->marks = e->mark;
    out->n_marks = 1;
    return LH_OK;
  }
  for (size_t i = 0; i < n; i++) {
    names[i] = m[i].id;
    if (strcmp(m[i].id, e->motif) != 0) continue;
    out->marks = m[i].marks.items;
    out->n_marks = m[i].marks.count;
    return LH_OK;
  }
  return lh_piece_unknown(w->fault, &here, "motif", e->motif, names, n);
}

static lh_status entry_placings(const painting *w, const lh_piece_zone *z,
                                const lh_painted_doc *e, const lh_at *at,
                                lh_group *g)
{
  const lh_repeat_doc *r = e->repeat;
  const lh_exception_doc *x = r->exceptions.items;
  lh_at here = {at, "repeat", 0};
  lh_exception *ex = lh_arena_take(w->a, r->exceptions.count, sizeof *ex);
  lh_repeat repeat = {(lh_symmetry)r->way, (size_t)r->count, r->axis_turns, ex,
                      r->exceptions.count};
  lh_placing *p;
  lh_status st;

  if (!ex) return no_memory(w);
  for (size_t i = 0; i < r->exceptions.count; i++) {
    ex[i] = (lh_exception){(size_t)x[i].instance, x[i].left_out,
                           x[i].move_turns,       x[i].move_up_mm,
                           x[i].turn_deg / 360,   x[i].scale};
  }
  if (lh_symmetry_for_disc(repeat.symmetry) !=
      (z->zone.kind == LH_CHART_DISC)) {
    lh_at way = {&here, "way", 0};
    return lh_piece_refuse(w->fault, &way, LH_INPUT,
                           z->zone.kind == LH_CHART_DISC
                               ? "this way goes around a band, not a disc"
                               : "this way is a disc's, not a band's",
                           z->zone.kind == LH_CHART_DISC
                               ? "use rosette or mirror rosette"
                               : "use repeat, glide, mirror, turn, mirror and "
                                 "turn, reflect, or mirror and reflect");
  }
  st = lh_repeat_fill(&repeat, NULL, 0, &g->n_placings);
  if (st == LH_OK || st == LH_TOOLARGE) {
    p = lh_arena_take(w->a, g->n_placings, sizeof *p);
    if (!p) return no_memory(w);
    st = lh_repeat_fill(&repeat, p, g->n_placings, &g->n_placings);
    g->placings = p;
  }
  if (st == LH_OK) return LH_OK;
  return lh_piece_refuse(w->fault, &here, st,
                         "the repeat cannot be made: an exception names no "
                         "instance, or a scale is not above 0",
                         "count instances from 0");
}

static lh_status check_extent(const painting *w, const lh_piece_zone *z,
                              const lh_group *g, lh_piece_entry *x,
                              const lh_at *at)
{
  const lh_repeat_doc *r = x->doc->repeat;
  size_t first = g->n_placings ? g->placings[0].instance : 0;
  lh_status st =
      lh_shapes_extent(&z->chart, z->shapes.at + x->first_shape, x->n_shapes,
                       first, r ? (size_t)r->count : 1, &x->extent);
  char what[256];
  double around; /* [mm or degrees] once round */

  if (st == LH_NOTFOUND) return LH_OK; /* rings only */
  if (st != LH_OK) return lh_piece_refuse(w->fault, at, st, "too large", "");
  if (!x->extent.larger_than_repeat || (r && r->may_overlap)) return LH_OK;
  around = z->zone.kind == LH_CHART_BAND ? z->chart.width : 360;
  snprintf(what, sizeof what,
           "the %s takes %.1f %s round the pot, more than its repeat of %.1f",
           x->doc->motif ? "motif" : "mark", around * x->extent.turns,
           z->zone.kind == LH_CHART_BAND ? "mm" : "degrees",
           around / (r ? (double)r->count : 1.0));
  return lh_piece_refuse(w->fault, at, LH_RANGE, what,
                         "take fewer repeats or a smaller scale, or say "
                         "\"may_overlap\": true");
}

static lh_status place_entry(painting *w, lh_piece_zone *z, lh_piece_entry *x,
                             lh_group *g, const lh_at *at)
{
  lh_mark_fault why = {0};
  lh_status st;

  x->first_shape = z->shapes.n;
  g->has_pivot = true;
  g->pivot = (lh_anchor){x->doc->turns, x->doc->up_mm};
  st = lh_place(&z->shapes, &z->chart, g->marks, g->n, w->marks, g->placings,
                g->n_placings, &g->pivot, &why);
  if (st != LH_OK) {
    return lh_piece_refuse(w->fault, at, st, mark_words(why.why),
                           mark_todo(why.why));
  }
  w->marks += g->n;
  x->n_shapes = z->shapes.n - x->first_shape;
  x->stretch_least = INFINITY;
  x->stretch_most = 0;
  for (size_t i = 0; i < x->n_shapes; i++) {
    const lh_shape *s = &z->shapes.at[x->first_shape + i];
    double least, most;
    if (s->kind == LH_RING) continue;
    lh_shape_stretch(&z->chart, s, &least, &most);
    x->stretch_least = fmin(x->stretch_least, least);
    x->stretch_most = fmax(x->stretch_most, most);
  }
  if (x->n_shapes == 0) return LH_OK; /* all left out */
  return check_extent(w, z, g, x, at);
}

/* Refuse what would not fit into its zone before room is taken for it. */
static lh_status count_drawn(painting *w, const lh_piece_zone *z,
                             const lh_piece_entry *x, const lh_at *at)
{
  size_t k = (size_t)(z - w->p->zones);

  w->drawn[k].marks += x->n_marks;
  for (size_t i = 0; i < x->n_marks; i++)
    w->drawn[k].nibs += x->marks[i].path.count;
  if (w->drawn[k].marks <= LH_MARKS_MOST && w->drawn[k].nibs <= LH_NIBS_MOST)
    return LH_OK;
  return lh_piece_refuse(w->fault, at, LH_TOOLARGE,
                         mark_words(LH_MARK_TOO_MANY),
                         mark_todo(LH_MARK_TOO_MANY));
}

static lh_status paint_entry(painting *w, size_t i, lh_piece_zone *z)
{
  static const lh_at painting_at = {NULL, "painting", 0};
  const lh_painted_doc *e = (lh_painted_doc *)w->p->doc->painting.items + i;
  lh_at at = {&painting_at, NULL, i};
  lh_piece_entry *x = &z->entries[z->n_groups];
  lh_group *g = &z->groups[z->n_groups];
  lh_mark *marks;
  lh_status st;

  *x = (lh_piece_entry){.doc = e, .number = i};
  st = entry_marks(w, e, &at, x);
  if (st == LH_OK) st = count_drawn(w, z, x, &at);
  if (st != LH_OK) return st;
  marks = lh_arena_take(w->a, x->n_marks, sizeof *marks);
  if (!marks) return no_memory(w);
  for (size_t k = 0; k < x->n_marks && st == LH_OK; k++) {
    lh_at mark = {&at, "mark", 0};
    /* Of a motif's mark say where it stands: in the motif. */
    lh_at motifs = {NULL, "motifs", 0}, motif = {&motifs, NULL, 0};
    lh_at list = {&motif, "marks", 0}, one = {&list, NULL, k};
    if (e->motif) {
      const lh_motif_doc *m = w->p->doc->motifs.items;
      while (m[motif.index].marks.items != (void *)x->marks) motif.index++;
    }
    st = one_mark(w, z, e, &x->marks[k], e->motif ? &one : &mark, &marks[k]);
  }
  if (st != LH_OK) return st;
  *g = (lh_group){.marks = marks, .n = x->n_marks};
  if (e->repeat) st = entry_placings(w, z, e, &at, g);
  if (st == LH_OK) st = place_entry(w, z, x, g, &at);
  z->n_groups++;
  return st;
}

static lh_piece_zone *zone_of(const painting *w, size_t i)
{
  const lh_painted_doc *e = (lh_painted_doc *)w->p->doc->painting.items + i;

  for (size_t k = 0; k < w->p->n_zones; k++)
    if (strcmp(w->p->zones[k].doc->id, e->zone) == 0) return &w->p->zones[k];
  return NULL;
}

static lh_status unknown_zone(const painting *w, size_t i)
{
  const lh_painted_doc *e = (lh_painted_doc *)w->p->doc->painting.items + i;
  lh_at list = {NULL, "painting", 0}, item = {&list, NULL, i};
  lh_at at = {&item, "zone", 0};
  const char *names[LH_ZONES_MOST];

  for (size_t k = 0; k < w->p->n_zones; k++) names[k] = w->p->zones[k].doc->id;
  return lh_piece_unknown(w->fault, &at, "zone", e->zone, names, w->p->n_zones);
}

/* A layer too many is refused here, before any map is laid. */
static lh_status check_layers(const painting *w, const lh_piece_zone *z)
{
  int layers = 0, slip = LH_NO_SLIP;

  for (size_t i = 0; i < z->shapes.n; i++) {
    lh_at list = {NULL, "painting", 0}, at = {&list, NULL, 0};
    if (z->shapes.at[i].slip == LH_NO_SLIP || z->shapes.at[i].slip == slip)
      continue;
    slip = z->shapes.at[i].slip;
    if (++layers <= LH_LAYERS_MOST) continue;
    for (size_t k = 0; k < z->n_groups; k++)
      if (z->entries[k].first_shape <= i) at.index = z->entries[k].number;
    return lh_piece_refuse(w->fault, &at, LH_TOOLARGE,
                           mark_words(LH_MARK_LAYERS),
                           mark_todo(LH_MARK_LAYERS));
  }
  return LH_OK;
}

lh_status lh_piece_paint(lh_piece *p, lh_arena *a, lh_fault *fault)
{
  painting w = {.p = p, .a = a, .fault = fault};
  size_t n = p->doc->painting.count;
  lh_status st = LH_OK;

  for (size_t k = 0; k < p->n_zones; k++) {
    lh_piece_zone *z = &p->zones[k];
    size_t mine = 0;
    for (size_t i = 0; i < n; i++) mine += zone_of(&w, i) == z;
    z->shapes.arena = a;
    z->groups = lh_arena_take(a, mine, sizeof *z->groups);
    z->entries = lh_arena_take(a, mine, sizeof *z->entries);
    if (!z->groups || !z->entries) return no_memory(&w);
  }
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    lh_piece_zone *z = zone_of(&w, i);
    st = z ? paint_entry(&w, i, z) : unknown_zone(&w, i);
  }
  for (size_t k = 0; k < p->n_zones && st == LH_OK; k++)
    st = check_layers(&w, &p->zones[k]);
  return st;
}
