/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pot.c -- the pot's picture from the side and from above: camera and pixels.
**
** Every pixel is made of LH_FINE x LH_FINE samples.  What a pixel shows of one
** face is coloured at several of its samples and lit once; edges are weighed
** by their samples.  The last rounding is dithered by a fixed pattern, so that
** the soft shadows show no steps.
*/
#include <math.h>

#include "glaze.h"
#include "picture_room.h"

/* All judgements of the eye. */
#define ELEVATION 0.34 /* of the camera in the side view [rad]          */
#define DISTANCE 7.0   /* of the camera, in radii of what is seen       */
#define MARGIN 0.14    /* left and right, of the width                  */
#define MARGIN_TOP 0.09
#define MARGIN_BOTTOM 0.13
#define TALLEST 1.25 /* height over width                             */
#define FLATTEST 0.5
/* The shadow is gone at the border, over this share of the width, so that the
** picture melts into a grey page. */
#define FADE 0.13

enum { SAMPLES = LH_FINE * LH_FINE, FRESNEL = 256 };

typedef struct {
  const lh_piece_skin *skin;
  lh_paint paint;
  lh_turned pot;
  lh_light light;
  lh_spot *spot[LH_LATHES];
  double eye[3], ahead[3], up[3]; /* x is to the right                 */
  double focus, x0, y0;           /* [px]; the middle of the view [px] */
  float shine[FRESNEL + 1];       /* over the cosine                   */
  lh_screen *screen;
  lh_strip strip;
  lh_image *image;
} scene;

/* ---- camera ------------------------------------------------------------- */

static void look(scene *s, lh_view view)
{
  double e = view == LH_VIEW_ABOVE ? LH_TAU / 4 : ELEVATION;
  double middle = (s->pot.low + s->pot.high) / 2;
  double half = (s->pot.high - s->pot.low) / 2;
  double far = DISTANCE * sqrt(s->pot.radius * s->pot.radius + half * half);
  double c = view == LH_VIEW_ABOVE ? 0 : cos(e), h = sin(e);

  s->ahead[1] = c;
  s->ahead[2] = -h;
  s->up[1] = h;
  s->up[2] = c;
  s->eye[1] = -far * c;
  s->eye[2] = middle + far * h;
}

/* Across, up and away, before scaling. */
static void project(const scene *s, const double at[3], double *x, double *y,
                    double *away)
{
  double dy = at[1] - s->eye[1], dz = at[2] - s->eye[2];

  *away = dy * s->ahead[1] + dz * s->ahead[2];
  *x = at[0] / *away;
  *y = (dy * s->up[1] + dz * s->up[2]) / *away;
}

static lh_status project_all(scene *s, lh_arena *a, double least[2],
                             double most[2])
{
  least[0] = least[1] = INFINITY;
  most[0] = most[1] = -INFINITY;
  for (size_t k = 0; k < s->pot.n; k++) {
    const lh_lathe *l = &s->pot.lathe[k];
    lh_spot *out = lh_arena_take(a, l->n * (LH_LATHE_TURNS + 1), sizeof *out);
    s->spot[k] = out;
    if (!out) return LH_NOMEM;
    for (size_t i = 0; i < l->n; i++) {
      for (int j = 0; j <= LH_LATHE_TURNS; j++, out++) {
        double angle = LH_TAU * (j % LH_LATHE_TURNS) / LH_LATHE_TURNS;
        double r = (double)l->ring[i].r, x, y, away;
        double at[3] = {r * sin(angle), -r * cos(angle), (double)l->ring[i].z};
        project(s, at, &x, &y, &away);
        *out = (lh_spot){(float)x, (float)y, (float)away};
        least[0] = fmin(least[0], x);
        most[0] = fmax(most[0], x);
        least[1] = fmin(least[1], y);
        most[1] = fmax(most[1], y);
      }
    }
  }
  return LH_OK;
}

/* Fit the pot into the picture, whose height follows. */
static void frame(scene *s, const double least[2], const double most[2])
{
  double wide = most[0] - least[0], tall = most[1] - least[1];
  double width = (double)s->image->width, spare = MARGIN_TOP + MARGIN_BOTTOM;
  double height, slack;

  s->focus = (1 - 2 * MARGIN) * width / wide;
  height = s->focus * tall + spare * width;
  if (height > TALLEST * width) {
    height = TALLEST * width;
    s->focus = (TALLEST - spare) * width / tall;
  }
  s->image->height = (size_t)fmax(floor(height + 0.5), FLATTEST * width);
  slack = (double)s->image->height - height;
  s->x0 = width / 2 - s->focus * (least[0] + most[0]) / 2;
  s->y0 = MARGIN_TOP * width + slack / 2 + s->focus * most[1];
  for (size_t k = 0; k < s->pot.n; k++) {
    size_t n = s->pot.lathe[k].n * (LH_LATHE_TURNS + 1);
    for (size_t i = 0; i < n; i++) {
      lh_spot *p = &s->spot[k][i];
      p->x = (float)(LH_FINE * (s->x0 + s->focus * (double)p->x));
      p->y = (float)(LH_FINE * (s->y0 - s->focus * (double)p->y));
    }
  }
}

/* ---- one place ---------------------------------------------------------- */

static float mix(float a, float b, float t)
{
  return a + t * (b - a);
}

/* A place between rings. */
static lh_ring ring_at(const lh_lathe *l, float u, size_t *k, float *t)
{
  const lh_ring *a, *b;
  lh_ring x;
  float h;

  *k = u < (float)(l->n - 1) ? (size_t)u : l->n - 2;
  *t = u - (float)*k;
  a = &l->ring[*k];
  b = a + 1;
  x = (lh_ring){mix(a->r, b->r, *t),   mix(a->z, b->z, *t),
                mix(a->nr, b->nr, *t), mix(a->nz, b->nz, *t),
                mix(a->s, b->s, *t),   {0}};
  h = sqrtf(x.nr * x.nr + x.nz * x.nz);
  x.nr /= h;
  x.nz /= h;
  for (int c = 0; c < 3; c++) x.sky[c] = mix(a->sky[c], b->sky[c], *t);
  return x;
}

static float key_at(const lh_lathe *l, size_t k, float t, float v)
{
  float x = v * ((float)LH_KEY_TURNS / LH_LATHE_TURNS);
  size_t i = (size_t)x % LH_KEY_TURNS, j = (i + 1) % LH_KEY_TURNS;
  const float *a = l->key + k * LH_KEY_TURNS, *b = a + LH_KEY_TURNS;

  x -= floorf(x);
  return mix(mix(a[i], a[j], x), mix(b[i], b[j], x), t);
}

/* Light a place of the given colour. */
static void lit(const scene *s, const lh_lathe *l, float u, float v,
                const float colour[3], float rgb[3])
{
  size_t k;
  float t, key, mirror[3] = {0}, shine = 0;
  lh_ring x = ring_at(l, u, &k, &t);
  double angle = LH_TAU * (double)v / LH_LATHE_TURNS;
  double c = sin(angle), d = -cos(angle); /* turns 0 is in front */

  key = key_at(l, k, t, v);
  if (s->skin->optics->glazed) {
    double at[3] = {(double)x.r * c, (double)x.r * d, (double)x.z};
    double n[3] = {(double)x.nr * c, (double)x.nr * d, (double)x.nz};
    double eye[3], to[3], h = 0, along;
    for (int i = 0; i < 3; i++) {
      eye[i] = s->eye[i] - at[i];
      h += eye[i] * eye[i];
    }
    h = sqrt(h);
    along = fmax(0, (n[0] * eye[0] + n[1] * eye[1] + n[2] * eye[2]) / h);
    for (int i = 0; i < 3; i++) to[i] = 2 * along * n[i] - eye[i] / h;
    lh_light_mirror(&s->light, l, at, to, mirror);
    shine = s->shine[(int)(fmin(along, 1) * FRESNEL + 0.5)];
  }
  for (int i = 0; i < 3; i++)
    rgb[i] = colour[i] * (key + x.sky[i]) + shine * mirror[i];
}

/* ---- one pixel ---------------------------------------------------------- */

/* The samples of a pixel that show one face. */
typedef struct {
  int n;
  float u[SAMPLES], v[SAMPLES];
} taps;

static void colour_at(const scene *s, const lh_lathe *l, float u, float v,
                      float soft, float rgb[3])
{
  size_t k;
  float at, length;

  if (l->face == LH_NO_FACE) {
    for (int c = 0; c < 3; c++) rgb[c] = s->skin->body[c];
    return;
  }
  k = u < (float)(l->n - 1) ? (size_t)u : l->n - 2;
  length = l->ring[k + 1].s - l->ring[k].s;
  at = l->ring[k].s + (u - (float)k) * length;
  lh_paint_at(&s->paint, l->face, at, soft * length, v / LH_LATHE_TURNS, rgb);
}

/* Does the face bend so much within a pixel that each sample must be lit by
** itself?  (judgement: past 8 degrees) */
static bool bent(const lh_lathe *l, float low, float high)
{
  const lh_ring *a = &l->ring[(size_t)low];
  const lh_ring *b = &l->ring[(size_t)ceilf(high)];

  return a->nr * b->nr + a->nz * b->nz < 0.99f;
}

/* Add what a face gives to a pixel, as a sum over its samples. */
static void add_face(const scene *s, const lh_lathe *l, const taps *p,
                     float rgb[3])
{
  float u = 0, v = 0, low = p->u[0], high = p->u[0], left = p->v[0];
  float right = p->v[0], colour[3] = {0}, out[3];
  int step;

  for (int i = 0; i < p->n; i++) {
    u += p->u[i] / (float)p->n;
    v += p->v[i] / (float)p->n;
    low = fminf(low, p->u[i]);
    high = fmaxf(high, p->u[i]);
    left = fminf(left, p->v[i]);
    right = fmaxf(right, p->v[i]);
  }
  if (high - low > 8 || right - left > 12 || bent(l, low, high)) {
    /* Two folds of a face, the seam, the middle of a floor, a rim: one by
    ** one. */
    for (int i = 0; i < p->n; i++) {
      colour_at(s, l, p->u[i], p->v[i], 0, colour);
      lit(s, l, p->u[i], p->v[i], colour, out);
      for (int c = 0; c < 3; c++) rgb[c] += out[c];
    }
    return;
  }
  /* A quarter of the samples will do, unless they lie far apart. */
  step = p->n < SAMPLES || right - left > 1.5f ? 1 : 3;
  for (int i = 0; i < p->n; i += step) {
    float c[3];
    colour_at(s, l, p->u[i], p->v[i], (high - low) / 2, c);
    for (int m = 0; m < 3; m++) colour[m] += c[m];
  }
  for (int m = 0; m < 3; m++) colour[m] /= (float)((p->n + step - 1) / step);
  lit(s, l, u, v, colour, out);
  for (int m = 0; m < 3; m++) rgb[m] += (float)p->n * out[m];
}

static double ease(double x)
{
  x = x > 0 ? (x < 1 ? x : 1) : 0;
  return x * x * (3 - 2 * x);
}

/* The table at the middle of a pixel. */
static float table_at(const scene *s, size_t i, size_t j)
{
  double px = (double)i + 0.5, py = (double)j + 0.5;
  double x = (px - s->x0) / s->focus, y = (s->y0 - py) / s->focus;
  double dy = s->ahead[1] + y * s->up[1], dz = s->ahead[2] + y * s->up[2];
  double way = (s->pot.low - s->eye[2]) / dz, light;
  double fade = FADE * (double)s->image->width;
  double border =
      ease(fmin(px - 0.5, (double)s->image->width - 0.5 - px) / fade) *
      ease(fmin(py - 0.5, (double)s->image->height - 0.5 - py) / fade);

  light =
      way > 0 ? lh_light_table(&s->light, way * x, s->eye[1] + way * dy) : 1;
  return (float)(1 + border * (light - 1));
}

static void add_pixel(const scene *s, size_t i, size_t row, size_t j,
                      float rgb[3])
{
  const lh_strip *p = &s->strip;
  size_t at[SAMPLES];
  int none = 0;

  /* Most pixels show one thing alone. */
  for (size_t k = 0; k < SAMPLES; k++) {
    at[k] =
        (row * LH_FINE + k / LH_FINE) * p->width + i * LH_FINE + k % LH_FINE;
    none += p->part[at[k]] == 0;
  }
  if (none > 0) {
    float grey = (float)(none * lh_srgb_decode(LH_TABLE_BYTE / 255.0));
    grey *= table_at(s, i, j);
    for (int c = 0; c < 3; c++) rgb[c] += grey;
  }
  if (none == SAMPLES) return;
  for (size_t l = 0; l < s->pot.n; l++) {
    taps t = {0};
    for (size_t k = 0; k < SAMPLES; k++) {
      if (p->part[at[k]] != l + 1) continue;
      t.u[t.n] = p->u[at[k]];
      t.v[t.n++] = p->v[at[k]];
    }
    if (t.n > 0) add_face(s, &s->pot.lathe[l], &t, rgb);
  }
}

/* A fixed pattern of roundings, within 0 to 1 so that a whole number stays,
** without a grain of its own.
** Ref: J. Jimenez (2014), interleaved gradient noise; constants from memory. */
static float dither(size_t i, size_t j)
{
  double x = 0.06711056 * (double)i + 0.00583715 * (double)j;

  x = 52.9829189 * (x - floor(x));
  return (float)(0.03 + 0.94 * (x - floor(x)));
}

static void draw_strip(scene *s, size_t top)
{
  size_t width = s->image->width, rows = s->image->height - top;

  if (rows > LH_STRIP) rows = LH_STRIP;
  s->strip.top = (long)(top * LH_FINE);
  lh_strip_draw(&s->strip, &s->pot, s->spot);
  for (size_t row = 0; row < rows; row++) {
    for (size_t i = 0; i < width; i++) {
      size_t j = top + row;
      unsigned char *out = s->image->rgb + 3 * (j * width + i);
      float rgb[3] = {0};
      add_pixel(s, i, row, j, rgb);
      for (size_t c = 0; c < 3; c++)
        out[c] = lh_screen_byte(s->screen, rgb[c] / SAMPLES, dither(i, j));
    }
  }
}

/* ---- all of it ---------------------------------------------------------- */

static lh_status set_scene(scene *s, const lh_picture_ask *ask, lh_arena *a,
                           const lh_watch *watch)
{
  /* From the upper left of either picture, and towards the viewer. */
  static const double box[2][3] = {{-0.52, -0.60, 0.60}, {-0.50, 0.50, 0.71}};
  static const double card[2][3] = {{-0.15, -0.97, 0.10}, {0, 0, 1}};
  int above = ask->view == LH_VIEW_ABOVE;
  double least[2], most[2];
  lh_status st = lh_paint_make(s->skin, ask->turn_turns, a, &s->paint);

  if (st == LH_OK) st = lh_turned_make(s->skin->cover->piece, a, &s->pot);
  if (st == LH_OK)
    st = lh_light_make(&s->pot, &s->paint, box[above], card[above], a, watch,
                       &s->light);
  if (st != LH_OK) return st;
  for (int i = 0; i <= FRESNEL; i++)
    s->shine[i] =
        (float)lh_fresnel(s->skin->optics->glaze.index, (double)i / FRESNEL);
  look(s, ask->view);
  st = project_all(s, a, least, most);
  if (st != LH_OK) return st;
  if (ask->width_px == 0 && most[1] - least[1] > 0.8 * (most[0] - least[0]))
    s->image->width = LH_PICTURE_TALL_PX;
  frame(s, least, most);
  s->screen = lh_arena_take(a, 1, sizeof *s->screen);
  if (!s->screen) return LH_NOMEM;
  lh_screen_make(s->screen);
  return lh_strip_make(s->image->width, a, &s->strip);
}

lh_status lh_pot_draw(const lh_piece_skin *skin, const lh_picture_ask *ask,
                      lh_arena *a, const lh_watch *watch, lh_image *image)
{
  scene *s = lh_arena_take(a, 1, sizeof *s);
  lh_status st;

  if (!s) return LH_NOMEM;
  s->skin = skin;
  s->image = image;
  st = set_scene(s, ask, a, watch);
  if (st != LH_OK) return st;
  image->rgb = lh_arena_take(a, 3 * image->width, image->height);
  if (!image->rgb) return LH_NOMEM;
  for (size_t top = 0; top < image->height; top += LH_STRIP) {
    if (!lh_watch_go(watch, 0.2 + 0.8 * (double)top / (double)image->height))
      return LH_CANCELLED;
    draw_strip(s, top);
  }
  return LH_OK;
}
