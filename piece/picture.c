/* SPDX-License-Identifier: GPL-3.0-or-later */
/* picture.c -- the colours of all zones, and the band unrolled.  The pot under
** its light is pot.c's. */
#include "picture.h"

#include <math.h>
#include <string.h>

#include "bleeding.h"
#include "picture_room.h"
#include "piece_room.h"

/* ---- colours ------------------------------------------------------------ */

/* One line of pixels, each mixed with its two neighbours 1 : 2 : 1. */
static void spread_line(float *at, size_t n, size_t apart, bool wraps)
{
  float first[3], last[3];

  for (size_t c = 0; c < 3; c++) {
    first[c] = at[c];
    last[c] = wraps ? at[(n - 1) * apart + c] : at[c];
  }
  for (size_t i = 0; i < n; i++) {
    float *p = at + i * apart;
    for (size_t c = 0; c < 3; c++) {
      float here = p[c], next = i + 1 < n ? p[apart + c] : here;
      if (i + 1 == n && wraps) next = first[c];
      p[c] = 0.25f * (last[c] + next) + 0.5f * here;
      last[c] = here;
    }
  }
}

/* Light goes in beside an edge and comes out within it: fired edges are soft
** over some tenths of a mm, about a pixel of the map.  (judgement) */
static void spread(const lh_grid *g, float *rgb)
{
  size_t nx = (size_t)g->nx, ny = (size_t)g->ny;

  for (size_t j = 0; j < ny; j++)
    spread_line(rgb + 3 * nx * j, nx, 3, g->wraps);
  for (size_t i = 0; i < nx; i++) spread_line(rgb + 3 * i, ny, 3 * nx, false);
}

lh_status lh_piece_skin_make(const lh_piece_cover *c, const lh_piece_optics *o,
                             lh_arena *a, const lh_watch *watch,
                             lh_piece_skin *s)
{
  size_t outside = 0, all = 0;
  lh_zone_cover *fired;
  lh_rgb body = lh_srgb_clip(lh_piece_optics_srgb(o, NULL, 0));

  *s = (lh_piece_skin){.cover = c, .optics = o};
  s->body[0] = (float)lh_srgb_decode(body.r);
  s->body[1] = (float)lh_srgb_decode(body.g);
  s->body[2] = (float)lh_srgb_decode(body.b);
  s->rgb = lh_arena_take(a, c->n_zones, sizeof *s->rgb);
  fired = lh_arena_take(a, 1, sizeof *fired);
  if (!s->rgb || !fired) return LH_NOMEM;
  for (size_t i = 0; i < c->n_zones; i++) {
    const lh_grid *g = &c->zones[i].grid;
    size_t n = (size_t)g->nx * (size_t)g->ny;
    lh_status st;
    s->rgb[i] = lh_arena_take(a, 3 * n, sizeof(float));
    if (!s->rgb[i]) return LH_NOMEM;
    st = lh_zone_bleed(c->piece, &c->zones[i], a, watch, fired);
    if (st == LH_OK)
      st = lh_piece_optics_zone(o, fired, a, watch, s->rgb[i], &outside);
    if (st != LH_OK) return st;
    spread(g, s->rgb[i]);
    all += n;
  }
  if (all > 0) s->clipped_percent = 100.0 * (double)outside / (double)all;
  return LH_OK;
}

/* ---- to the screen ------------------------------------------------------ */

void lh_screen_make(lh_screen *s)
{
  for (int i = 0; i <= LH_SCREEN_STEPS + 1; i++)
    s->level[i] =
        255.0f * (float)lh_srgb_encode(fmin(1.0, (double)i / LH_SCREEN_STEPS));
}

/* ---- the band ----------------------------------------------------------- */

/* Which map pixels an output pixel is the mean of. */
typedef struct {
  long first, last;
  double from, to; /* the stretch itself [map pixels] */
} stretch;

/* Output pixel i of step map pixels, shifted.  Never narrower than one map
** pixel: enlarged, the map is then interpolated linearly. */
static stretch stretch_of(size_t i, double step, double shift)
{
  double middle = ((double)i + 0.5) * step + shift, half = fmax(step, 1) / 2;
  stretch s = {.from = middle - half, .to = middle + half};

  s.first = (long)floor(s.from);
  s.last = (long)ceil(s.to) - 1;
  return s;
}

/* How much of map pixel k lies in the stretch, as a share of the stretch. */
static float share_of(const stretch *s, long k)
{
  double over = fmin(s->to, (double)k + 1) - fmax(s->from, (double)k);

  return (float)(fmax(0.0, over) / (s->to - s->from));
}

/* A line of the map's width: the mean of the rows under output row j. */
static void mean_rows(const lh_grid *g, const float *map, const stretch *rows,
                      float *line)
{
  size_t n = 3 * (size_t)g->nx;

  memset(line, 0, n * sizeof *line);
  for (long k = rows->first; k <= rows->last; k++) {
    long row = k < 0 ? 0 : k >= g->ny ? g->ny - 1 : k;
    const float *from = map + (size_t)row * n;
    float w = share_of(rows, k);
    for (size_t i = 0; i < n; i++) line[i] += w * from[i];
  }
}

static void mean_columns(const lh_grid *g, const float *line, double shift,
                         const lh_screen *screen, lh_image *image,
                         unsigned char *out)
{
  double step = (double)g->nx / (double)image->width;

  for (size_t i = 0; i < image->width; i++) {
    stretch s = stretch_of(i, step, shift);
    float sum[3] = {0};
    for (long k = s.first; k <= s.last; k++) {
      long column = k % g->nx;
      const float *from =
          line + 3 * (size_t)(column < 0 ? column + g->nx : column);
      float w = share_of(&s, k);
      for (int c = 0; c < 3; c++) sum[c] += w * from[c];
    }
    for (int c = 0; c < 3; c++)
      out[3 * i + (size_t)c] = lh_screen_byte(screen, sum[c], 0.5f);
  }
}

static lh_status draw_band(const lh_piece_skin *s, size_t zone,
                           const lh_picture_ask *ask, lh_arena *a,
                           const lh_watch *watch, lh_image *image)
{
  const lh_zone_cover *z = &s->cover->zones[zone];
  const lh_chart *ch = &z->zone->chart;
  double width = (double)image->width, shift, step;
  lh_screen *screen = lh_arena_take(a, 1, sizeof *screen);
  float *line = lh_arena_take(a, 3 * (size_t)z->grid.nx, sizeof *line);

  image->height = (size_t)fmax(1, floor(width * ch->height / ch->width + 0.5));
  image->rgb = lh_arena_take(a, 3 * image->width, image->height);
  if (!screen || !line || !image->rgb) return LH_NOMEM;
  image->zone = z->zone;
  image->mm_per_px = ch->width / width;
  image->fired_mm_per_px =
      image->mm_per_px * (1 - s->cover->piece->shrinkage.to_fired.diameter);
  lh_screen_make(screen);
  /* A turn by whole map pixels, give or take rounding, keeps their bits. */
  shift = -ch->hand * ask->turn_turns * z->grid.nx;
  if (fabs(shift - floor(shift + 0.5)) < 1e-6) shift = floor(shift + 0.5);
  step = ch->height / z->grid.pixel / (double)image->height;
  for (size_t j = 0; j < image->height; j++) {
    stretch rows = stretch_of(image->height - 1 - j, step, 0);
    if (!lh_watch_go(watch, (double)j / (double)image->height))
      return LH_CANCELLED;
    mean_rows(&z->grid, s->rgb[zone], &rows, line);
    mean_columns(&z->grid, line, shift, screen, image,
                 image->rgb + 3 * image->width * j);
  }
  return LH_OK;
}

/* ---- which ------------------------------------------------------------- */

static lh_status no_band(lh_fault *fault, const lh_piece *p)
{
  return lh_fault_say(fault, LH_INPUT, "/zones",
                      p->n_zones ? "ask for the view \"above\" or \"side\", or "
                                   "add a zone of the kind \"band\""
                                 : "add a zone of the kind \"band\"",
                      "this piece has no band to unroll");
}

/* The zone asked for, or the band with the most marks. */
static lh_status find_band(const lh_piece *p, const char *id, size_t *zone,
                           lh_fault *fault)
{
  static const lh_at ask = {NULL, "ask", 0}, at = {&ask, "zone", 0};
  const char *names[LH_ZONES_MOST];
  size_t best = p->n_zones;

  for (size_t i = 0; i < p->n_zones; i++) {
    const lh_piece_zone *z = &p->zones[i];
    names[i] = z->doc->id;
    if (id && strcmp(id, z->doc->id) == 0) {
      *zone = i;
      if (z->zone.kind == LH_CHART_BAND) return LH_OK;
      return lh_piece_refuse(fault, &at, LH_INPUT,
                             "this zone is a disc: it is not unrolled",
                             "ask for the view \"above\", or name a band");
    }
    if (z->zone.kind != LH_CHART_BAND) continue;
    if (best == p->n_zones || z->shapes.n > p->zones[best].shapes.n) best = i;
  }
  if (id) return lh_piece_unknown(fault, &at, "zone", id, names, p->n_zones);
  if (best == p->n_zones) return no_band(fault, p);
  *zone = best;
  return LH_OK;
}

static lh_status check_ask(const lh_picture_ask *ask, lh_fault *fault)
{
  if (ask->width_px != 0 && (ask->width_px < LH_PICTURE_LEAST_PX ||
                             ask->width_px > LH_PICTURE_MOST_PX)) {
    return lh_fault_say(fault, LH_RANGE, "/ask/width_px",
                        "ask for a width within them",
                        "pictures are %d to %d px wide", LH_PICTURE_LEAST_PX,
                        LH_PICTURE_MOST_PX);
  }
  if (!isfinite(ask->turn_turns) || fabs(ask->turn_turns) > 1e6) {
    return lh_fault_say(fault, LH_RANGE, "/ask/turn_turns",
                        "give turns, 0 to 1", "this is no turn");
  }
  return LH_OK;
}

lh_status lh_piece_picture(const lh_piece_skin *s, const lh_picture_ask *ask,
                           lh_arena *a, const lh_watch *watch, lh_image *image,
                           lh_fault *fault)
{
  lh_picture_ask asked = *ask;
  size_t zone = 0;
  lh_status st = check_ask(ask, fault);

  *image = (lh_image){0};
  if (st != LH_OK) return st;
  asked.turn_turns -= floor(asked.turn_turns);
  image->width = ask->width_px;
  if (ask->view != LH_VIEW_BAND) {
    if (image->width == 0) image->width = LH_PICTURE_POT_PX;
    st = lh_pot_draw(s, &asked, a, watch, image);
    return st == LH_OK ? st : lh_fault_plain(fault, st, "/ask");
  }
  if (image->width == 0) image->width = LH_PICTURE_BAND_PX;
  st = find_band(s->cover->piece, ask->zone, &zone, fault);
  if (st != LH_OK) return st;
  st = draw_band(s, zone, &asked, a, watch, image);
  return st == LH_OK ? st : lh_fault_plain(fault, st, "/ask");
}
