/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "chart.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>

#include "exact.h"
#include "plane.h"

/* Rounding that is forgiven at the edges of a zone and its chart. [mm] */
#define EDGE 1e-9

/* ---- zones ------------------------------------------------------------ */

static lh_status refuse(lh_zone_why *why, lh_zone_why what)
{
  if (why) *why = what;
  return what == LH_ZONE_FINE ? LH_OK : LH_RANGE;
}

/* Check a zone, and bring an end that is off the curve by rounding onto it. */
static lh_status check_zone(const lh_curve *c, lh_zone *z, lh_zone_why *why)
{
  if (!(isfinite(z->from_mm) && isfinite(z->to_mm)))
    return refuse(why, LH_ZONE_NOT_NUMBER);
  if (!(z->to_mm - z->from_mm >= LH_FORM_NEAREST))
    return refuse(why, LH_ZONE_EMPTY);
  if (z->from_mm < -EDGE || z->to_mm > c->length + EDGE)
    return refuse(why, LH_ZONE_OFF_FORM);
  if (z->from_mm < 0.0) z->from_mm = 0.0;
  if (z->to_mm > c->length) z->to_mm = c->length;
  return refuse(why, LH_ZONE_FINE);
}

lh_status lh_zone_area(const lh_curve *c, const lh_zone *zone, double *area,
                       lh_zone_why *why)
{
  lh_zone z = *zone;
  lh_status st = check_zone(c, &z, why);

  if (st != LH_OK) return st;
  return lh_curve_area(c, z.from_mm, z.to_mm, area);
}

/* ---- making ----------------------------------------------------------- */

/* The zone's ends and the samples between, but for samples that fall on an
** end. */
static void take_nodes(const lh_curve *c, const lh_zone *zone, lh_chart *ch)
{
  size_t n = 0;

  ch->s[n] = 0.0;
  ch->r[n++] = lh_curve_point(c, zone->from_mm).r;
  for (size_t k = 0; k < c->n; k++) {
    if (c->s[k] - zone->from_mm < EDGE || zone->to_mm - c->s[k] < EDGE)
      continue;
    ch->s[n] = c->s[k] - zone->from_mm;
    ch->r[n++] = c->r[k];
  }
  ch->length = zone->to_mm - zone->from_mm;
  ch->s[n] = ch->length;
  ch->r[n++] = lh_curve_point(c, zone->to_mm).r;
  ch->n = n;
}

/* A piece with an end on the axis, where the integral has no value. */
static bool on_axis(const lh_chart *ch, size_t k)
{
  return ch->r[k] <= 0.0 || ch->r[k + 1] <= 0.0;
}

static void integrate(lh_chart *ch)
{
  ch->w[0] = 0.0;
  for (size_t k = 0; k + 1 < ch->n; k++) {
    double step = 0.0;
    if (!on_axis(ch, k))
      step =
          (ch->s[k + 1] - ch->s[k]) / lh_exact_logmean(ch->r[k], ch->r[k + 1]);
    ch->w[k + 1] = ch->w[k] + step;
  }
}

/* Disc: distance from the chart's centre where the integral is w. */
static double rho_of(const lh_chart *ch, double w)
{
  return ch->radius * lh_exact_exp(ch->axis_high ? -w : w - ch->w[ch->n - 1]);
}

static void make_band(const lh_zone *zone, lh_chart *ch)
{
  ch->hand = zone->face == LH_OUTSIDE ? 1.0 : -1.0;
  ch->radius = ch->area / (LH_TWO_PI * ch->length);
  ch->width = LH_TWO_PI * ch->radius;
  ch->height = ch->radius * ch->w[ch->n - 1];
}

static void make_disc(const lh_zone *zone, lh_chart *ch)
{
  size_t inner = ch->axis_high ? ch->n - 1 : 0;

  /* Outside, a disc round the foot is seen from below, a lid from above;
  ** inside, a floor is seen from above, a vault from below. */
  ch->hand = (zone->face == LH_OUTSIDE) == ch->axis_high ? 1.0 : -1.0;
  ch->radius = ch->r[ch->axis_high ? 0 : ch->n - 1];
  ch->width = ch->height = 2.0 * ch->radius;
  ch->rho_inner = ch->r[inner] > 0.0 ? rho_of(ch, ch->w[inner]) : 0.0;
}

lh_status lh_chart_make(const lh_curve *c, const lh_zone *zone, lh_chart *ch,
                        lh_zone_why *why)
{
  lh_zone z = *zone;
  lh_status st;
  double low, high, least = 0.0, greatest = 0.0;

  assert(c && ch);
  st = check_zone(c, &z, why);
  if (st != LH_OK) return st;
  ch->kind = z.kind;
  ch->rho_inner = 0.0;
  take_nodes(c, &z, ch);
  low = ch->r[0];
  high = ch->r[ch->n - 1];
  if (z.kind == LH_CHART_BAND ? low <= 0.0 || high <= 0.0
                              : low <= 0.0 && high <= 0.0)
    return refuse(why, LH_ZONE_ON_AXIS);
  ch->axis_high = z.kind == LH_CHART_DISC && high < low;
  st = lh_curve_area(c, z.from_mm, z.to_mm, &ch->area);
  if (st != LH_OK) return st;
  integrate(ch);
  if (z.kind == LH_CHART_BAND)
    make_band(&z, ch);
  else
    make_disc(&z, ch);
  lh_chart_scales(ch, &least, &greatest);
  if (!(greatest <= LH_CHART_STRETCH * least))
    return refuse(why, LH_ZONE_STRETCHED);
  return refuse(why, LH_ZONE_FINE);
}

/* ---- there and back --------------------------------------------------- */

/* The piece of rising values v[0..n) on which x lies. */
static size_t piece_of(const double *v, size_t n, double x)
{
  size_t low = 0, high = n - 1;

  while (high - low > 1) {
    size_t mid = low + (high - low) / 2;
    if (v[mid] <= x)
      low = mid;
    else
      high = mid;
  }
  return low;
}

static double radius_at(const lh_chart *ch, size_t k, double up)
{
  double u = (up - ch->s[k]) / (ch->s[k + 1] - ch->s[k]);

  return ch->r[k] + u * (ch->r[k + 1] - ch->r[k]);
}

/* The integral from the lower edge to the place up on piece k. */
static double integral_at(const lh_chart *ch, size_t k, double up)
{
  if (up <= ch->s[k]) return ch->w[k];
  return ch->w[k] +
         (up - ch->s[k]) / lh_exact_logmean(ch->r[k], radius_at(ch, k, up));
}

/* The place up where the integral from the lower edge is w: on piece k,
** r = r_k + g (up - s_k) and w = w_k + ln(r/r_k)/g. */
static double up_of(const lh_chart *ch, double w)
{
  size_t k = piece_of(ch->w, ch->n, w);
  double ds, g, v, up;

  /* An equal value before a piece on the axis is not that piece. */
  if (on_axis(ch, k)) k = k == 0 ? 1 : k - 1;
  ds = ch->s[k + 1] - ch->s[k];
  g = (ch->r[k + 1] - ch->r[k]) / ds;
  v = w - ch->w[k];
  up = ch->s[k] + ch->r[k] * v * lh_exact_expm1c(g * v);
  return up < ch->s[k] ? ch->s[k] : up > ch->s[k + 1] ? ch->s[k + 1] : up;
}

/* The part of a disc that reaches the axis: one flat piece. */
typedef struct {
  bool there;
  double length; /* of the piece, along the profile    [mm] */
  double radius; /* of the form at its outer end       [mm] */
  double rho;    /* of the chart there                 [mm] */
} cap;

static cap cap_of(const lh_chart *ch)
{
  size_t k = ch->axis_high ? ch->n - 2 : 0;
  size_t outer = ch->axis_high ? k : k + 1;

  if (ch->kind != LH_CHART_DISC || !on_axis(ch, k))
    return (cap){false, 0.0, 0.0, 0.0};
  return (cap){true, ch->s[k + 1] - ch->s[k], ch->r[outer],
               rho_of(ch, ch->w[outer])};
}

static double rho_at(const lh_chart *ch, double up)
{
  cap c = cap_of(ch);
  double from_axis = ch->axis_high ? ch->length - up : up, rho;

  if (c.there && from_axis <= c.length) return c.rho * (from_axis / c.length);
  rho = rho_of(ch, integral_at(ch, piece_of(ch->s, ch->n, up), up));
  return rho < ch->radius ? rho : ch->radius;
}

/* The fraction of a turn, 0 <= f < 1; NaN for what is no angle. */
static double fraction(double turns)
{
  double f;

  if (!(turns >= -0x1p50 && turns <= 0x1p50)) return (double)NAN;
  f = turns - (double)(int64_t)turns;
  if (f < 0.0) f += 1.0;
  return f < 1.0 ? f : 0.0;
}

lh_status lh_chart_place(const lh_chart *ch, double turns, double up, double *x,
                         double *y)
{
  double f = fraction(ch->hand * turns), s, c, rho;

  if (f != f || !(up >= 0.0 && up <= ch->length)) return LH_RANGE;
  if (ch->kind == LH_CHART_BAND) {
    *x = f * ch->width;
    if (*x >= ch->width) *x = 0.0;
    *y = ch->radius * integral_at(ch, piece_of(ch->s, ch->n, up), up);
    if (*y > ch->height) *y = ch->height;
    return LH_OK;
  }
  rho = rho_at(ch, up);
  lh_exact_sincos(f, &s, &c);
  *x = rho * c;
  *y = rho * s;
  return LH_OK;
}

/* Distance of a chart point from the centre, brought to the disc's edges
** when rounding has carried it over; -1 off the disc. */
static double rho_on_disc(const lh_chart *ch, double x, double y)
{
  double rho = sqrt(x * x + y * y);

  if (!(rho >= ch->rho_inner - EDGE && rho <= ch->radius + EDGE)) return -1.0;
  if (rho < ch->rho_inner) return ch->rho_inner;
  return rho > ch->radius ? ch->radius : rho;
}

/* The place up for a distance from the centre that is on the disc. */
static double up_of_rho(const lh_chart *ch, double rho)
{
  cap c = cap_of(ch);
  double w;

  if (c.there && rho <= c.rho) {
    double from_axis = c.length * (rho / c.rho);
    return ch->axis_high ? ch->length - from_axis : from_axis;
  }
  w = lh_exact_log(rho / ch->radius);
  return up_of(ch, ch->axis_high ? -w : ch->w[ch->n - 1] + w);
}

/* The integral at a chart height of a band; -1 off the band. */
static double w_on_band(const lh_chart *ch, double y)
{
  if (!(y >= -EDGE && y <= ch->height + EDGE)) return -1.0;
  if (y < 0.0) return 0.0;
  return y > ch->height ? ch->w[ch->n - 1] : y / ch->radius;
}

lh_status lh_chart_back(const lh_chart *ch, double x, double y, double *turns,
                        double *up)
{
  double f, at;

  if (ch->kind == LH_CHART_BAND) {
    f = fraction(ch->hand * (x / ch->width));
    at = w_on_band(ch, y);
    if (f != f || at < 0.0) return LH_RANGE;
    *turns = f;
    *up = up_of(ch, at);
    return LH_OK;
  }
  at = rho_on_disc(ch, x, y);
  if (at < 0.0) return LH_RANGE;
  *turns = fraction(ch->hand * lh_exact_turns(y, x));
  *up = up_of_rho(ch, at);
  return LH_OK;
}

/* ---- scale ------------------------------------------------------------ */

/* Scale of a disc at the place up, rho from the centre. */
static double disc_scale(const lh_chart *ch, double up, double rho)
{
  cap c = cap_of(ch);

  if (c.there && rho <= c.rho) return c.radius / c.rho;
  return radius_at(ch, piece_of(ch->s, ch->n, up), up) / rho;
}

lh_status lh_chart_scale(const lh_chart *ch, double x, double y, double *scale)
{
  double at, up;

  if (ch->kind == LH_CHART_BAND) {
    at = w_on_band(ch, y);
    if (x != x || at < 0.0) return LH_RANGE;
    up = up_of(ch, at);
    *scale = radius_at(ch, piece_of(ch->s, ch->n, up), up) / ch->radius;
    return LH_OK;
  }
  at = rho_on_disc(ch, x, y);
  if (at < 0.0) return LH_RANGE;
  *scale = disc_scale(ch, up_of_rho(ch, at), at);
  return LH_OK;
}

void lh_chart_scales(const lh_chart *ch, double *least, double *greatest)
{
  /* On every piece the scale runs one way, so its ends are enough. */
  for (size_t k = 0; k < ch->n; k++) {
    double scale = ch->kind == LH_CHART_BAND
                       ? ch->r[k] / ch->radius
                       : disc_scale(ch, ch->s[k], rho_at(ch, ch->s[k]));
    if (k == 0 || scale < *least) *least = scale;
    if (k == 0 || scale > *greatest) *greatest = scale;
  }
}
