/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures of a piece: the band's proportions and colours, turning, what is
** bare, where things stand on the pot, the grey of the page.
**
** Oracles: closed forms (a cylinder unrolls to its circumference by its
** height), the exact stack of core/colour beside the pictures' fast way,
** Little CMS for the lightness of the grey, and symmetries that any picture
** of a turned pot has. */
#include <lcms2.h>
#include <stdlib.h>

#include "check.h"
#include "difference.h"
#include "heap.h"
#include "picture.h"

typedef struct {
  lh_arena arena;
  json_t *json;
  lh_piece piece;
  lh_piece_cover cover;
  lh_piece_optics optics;
  lh_piece_skin skin;
} made;

/* A spectrum of one value up to 550 nm and another beyond. */
static const char *two(double below, double above)
{
  static char text[8][600];
  static int turn;
  char *t = text[turn = (turn + 1) % 8];
  size_t n = 0;

  t[n++] = '[';
  for (int i = 0; i < 36; i++)
    n += (size_t)snprintf(t + n, 600 - n, "%s%g", i ? "," : "",
                          380 + 10 * i <= 550 ? below : above);
  t[n++] = ']';
  t[n] = 0;
  return t;
}

/* A cylinder 60 mm wide and 40 high with a floor; a band of 30 mm outside, a
** disc inside.  White ground; six blue dots at half height, the first in
** front; a black line near the top. */
static char *text_of(const char *glaze, const char *shrink, const char *kind)
{
  static char text[16000];

  snprintf(
      text, sizeof text,
      "{\"format\":\"leatherhard.piece\",\"version\":1,\"name\":\"Test\","
      "\"form\":{\"outside\":[{\"diameter_mm\":60,\"height_mm\":0},"
      "{\"diameter_mm\":60,\"height_mm\":40}],"
      "\"inside\":[{\"diameter_mm\":0,\"height_mm\":5},"
      "{\"diameter_mm\":52,\"height_mm\":5},"
      "{\"diameter_mm\":52,\"height_mm\":40}]%s},"
      "\"body\":{\"reflectance\":%s,\"invented\":true},%s"
      "\"slips\":[{\"id\":\"white\",\"absorption_m2_g\":0.0001,"
      "\"scattering_m2_g\":0.05,\"litre_weight_g\":1400,\"coat_g_m2\":200},"
      "{\"id\":\"blue\",\"absorption_m2_g\":%s,\"scattering_m2_g\":0.03,"
      "\"litre_weight_g\":1400,\"coat_g_m2\":60},"
      "{\"id\":\"black\",\"absorption_m2_g\":0.5,\"scattering_m2_g\":0.03,"
      "\"litre_weight_g\":1400,\"coat_g_m2\":100}],"
      "\"zones\":[{\"id\":\"wall\",\"from_mm\":0,\"to_mm\":30},"
      "{\"id\":\"floor\",\"kind\":\"%s\",\"face\":\"inside\",\"from_mm\":%s,"
      "\"to_mm\":%s},"
      "{\"id\":\"bare\",\"from_mm\":31,\"to_mm\":35}],"
      "\"painting\":["
      "{\"id\":\"p1\",\"zone\":\"wall\",\"mark\":{\"id\":\"m1\",\"kind\":"
      "\"fill\",\"slip\":\"white\",\"whole_zone\":true}},"
      "{\"id\":\"p2\",\"zone\":\"wall\",\"turns\":0,\"up_mm\":15,"
      "\"mark\":{\"id\":\"m2\",\"kind\":\"dot\",\"slip\":\"blue\","
      "\"width_mm\":8},\"repeat\":{\"count\":6}},"
      "{\"id\":\"p3\",\"zone\":\"wall\",\"up_mm\":27,\"mark\":{\"id\":\"m3\","
      "\"kind\":\"banding line\",\"slip\":\"black\",\"width_mm\":2}},"
      "{\"id\":\"p4\",\"zone\":\"floor\",\"turns\":0.25,\"up_mm\":12,"
      "\"mark\":{\"id\":\"m4\",\"kind\":\"dot\",\"slip\":\"white\","
      "\"width_mm\":8}}]}",
      shrink, two(0.08, 0.4), glaze, two(0.002, 0.15), kind,
      strcmp(kind, "disc") == 0 ? "0" : "30",
      strcmp(kind, "disc") == 0 ? "24" : "55");
  return text;
}

static bool make(made *m, const char *text)
{
  lh_fault fault = {0};
  lh_status st;

  *m = (made){0};
  lh_heap_open(&m->arena);
  st = lh_json_parse(text, strlen(text), "test", &m->json, &fault);
  if (st == LH_OK) st = lh_piece_read(m->json, &m->arena, &m->piece, &fault);
  if (st == LH_OK)
    st = lh_piece_cover_make(&m->piece, LH_PIXEL_MM, &m->arena, NULL, &m->cover,
                             &fault);
  if (st == LH_OK)
    st = lh_piece_optics_make(&m->piece, LH_D8_EX, LH_D65, &m->arena,
                              &m->optics, &fault);
  if (st == LH_OK)
    st = lh_piece_skin_make(&m->cover, &m->optics, &m->arena, NULL, &m->skin);
  if (st != LH_OK) printf("# %s: %s\n", fault.where, fault.what);
  return st == LH_OK;
}

static void drop(made *m)
{
  lh_heap_free(&m->arena);
  json_decref(m->json);
}

static lh_image draw(made *m, lh_view view, size_t width, double turn,
                     const char *zone)
{
  lh_picture_ask ask = {view, width, zone, turn};
  lh_fault fault = {0};
  lh_image image;
  lh_status st =
      lh_piece_picture(&m->skin, &ask, &m->arena, NULL, &image, &fault);

  if (st != LH_OK) {
    printf("# %s: %s\n", fault.where, fault.what);
    exit(1);
  }
  return image;
}

static const unsigned char *at(const lh_image *i, size_t x, size_t y)
{
  return i->rgb + 3 * (y * i->width + x);
}

static int apart(const lh_image *a, const lh_image *b)
{
  int most = 0;

  if (a->width != b->width || a->height != b->height) return 256;
  for (size_t k = 0; k < 3 * a->width * a->height; k++)
    most =
        abs(a->rgb[k] - b->rgb[k]) > most ? abs(a->rgb[k] - b->rgb[k]) : most;
  return most;
}

/* The exact way: every integral done anew, no table, no picture. */
static lh_rgb exact(const made *m, const lh_coat_of *coats, size_t n)
{
  lh_stack_layer layers[4];
  lh_stack s = {layers, n, m->piece.doc->body->reflectance,
                m->optics.glazed ? &m->optics.glaze : NULL, LH_D8_EX};
  double r[LH_WAVES];

  for (size_t i = 0; i < n; i++)
    layers[i] =
        (lh_stack_layer){&m->optics.optics[coats[i].slip], coats[i].g_m2};
  if (lh_stack_reflectance(&s, r) != LH_OK) exit(1);
  return lh_srgb_clip(lh_spectrum_srgb(lh_spectrum_xyz(r, LH_D65), LH_D65));
}

static void same_colour(const unsigned char *p, lh_rgb c, const char *what)
{
  /* Half a step for the rounding, and the table's error far below one. */
  CHECK_NEAR(p[0], 255 * c.r, 0.6, "%s: red", what);
  CHECK_NEAR(p[1], 255 * c.g, 0.6, "%s: green", what);
  CHECK_NEAR(p[2], 255 * c.b, 0.6, "%s: blue", what);
}

static void band(made *m)
{
  lh_image b = draw(m, LH_VIEW_BAND, 900, 0, NULL), turned;
  lh_coat_of white[] = {{0, 200}}, blue[] = {{1, 60}, {0, 200}};
  lh_coat_of black[] = {{2, 100}, {0, 200}};
  size_t middle = b.height / 2, moved = 0;

  CHECK(b.zone && strcmp(b.zone->doc->id, "wall") == 0,
        "the band with the most marks is taken");
  CHECK_NEAR((double)b.height, 900 * 30 / (60 * 3.14159265358979), 0.5,
             "a cylinder's band: circumference by height");
  CHECK_NEAR(b.mm_per_px, 60 * 3.14159265358979 / 900, 1e-9,
             "mm a pixel of the band");
  CHECK_NEAR(b.fired_mm_per_px, 0.9 * b.mm_per_px, 1e-9,
             "mm a pixel when fired, 10 %% smaller");
  same_colour(at(&b, 75, middle), exact(m, white, 1), "ground");
  same_colour(at(&b, 0, middle), exact(m, blue, 2), "a dot on the ground");
  same_colour(at(&b, 450, middle), exact(m, blue, 2), "the fourth dot");
  same_colour(at(&b, 10, b.height / 10), exact(m, black, 2),
              "the line near the top stands near the top");
  turned = draw(m, LH_VIEW_BAND, 900, 1.0 / 6, NULL);
  CHECK(apart(&b, &turned) == 0, "turned by one of six repeats: the same");
  turned = draw(m, LH_VIEW_BAND, 900, 1.0 / 18, NULL);
  for (size_t y = 0; y < b.height; y++)
    for (size_t x = 0; x < 900; x++)
      moved += memcmp(at(&b, x, y), at(&turned, (x + 50) % 900, y), 3) != 0;
  CHECK(moved == 0, "turned by 1/18 it is moved right by 50 of 900 px");
  b = draw(m, LH_VIEW_BAND, 300, 0, "bare");
  same_colour(at(&b, 10, b.height / 2), exact(m, NULL, 0),
              "a zone without marks is bare body");
  b = draw(m, LH_VIEW_BAND, 4000, 0, NULL);
  same_colour(at(&b, 333, b.height / 2), exact(m, white, 1),
              "ground, enlarged beyond the map");
}

/* ---- the pot ------------------------------------------------------------ */

static bool reddish(const unsigned char *p)
{
  return p[0] > p[2] + 25;
}
static bool bluish(const unsigned char *p)
{
  return p[2] > p[0] + 25;
}

/* First and last column where something is so. */
static void columns(const lh_image *i, bool (*so)(const unsigned char *),
                    size_t *first, size_t *last)
{
  *first = i->width;
  *last = 0;
  for (size_t y = 0; y < i->height; y++) {
    for (size_t x = 0; x < i->width; x++) {
      if (!so(at(i, x, y))) continue;
      if (x < *first) *first = x;
      if (x > *last) *last = x;
    }
  }
}

/* Mean column of what is bluish in the middle third. */
static double blue_column(const lh_image *i)
{
  double sum = 0, n = 0;

  for (size_t y = 0; y < i->height; y++) {
    for (size_t x = i->width / 3; x < 2 * i->width / 3; x++) {
      if (!bluish(at(i, x, y))) continue;
      sum += (double)x;
      n++;
    }
  }
  return n > 0 ? sum / n : -1;
}

static void frame_is_grey(const lh_image *i)
{
  cmsHPROFILE rgb = cmsCreate_sRGBProfile(), lab = cmsCreateLab4Profile(NULL);
  cmsHTRANSFORM t =
      cmsCreateTransform(rgb, TYPE_RGB_8, lab, TYPE_Lab_DBL,
                         INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
  cmsCIELab out;
  int other = 0;

  for (size_t x = 0; x < i->width; x++)
    other += memcmp(at(i, x, 0), at(i, 0, 0), 3) != 0 ||
             memcmp(at(i, x, i->height - 1), at(i, 0, 0), 3) != 0;
  for (size_t y = 0; y < i->height; y++)
    other += memcmp(at(i, 0, y), at(i, 0, 0), 3) != 0 ||
             memcmp(at(i, i->width - 1, y), at(i, 0, 0), 3) != 0;
  CHECK(other == 0, "the border is one colour: it melts into a page");
  cmsDoTransform(t, at(i, 0, 0), &out, 1);
  CHECK_NEAR(out.L, 70, 0.5, "that is L* 70 by Little CMS");
  CHECK_NEAR(hypot(out.a, out.b), 0, 0.1, "and neutral");
  cmsDeleteTransform(t);
  cmsCloseProfile(rgb);
  cmsCloseProfile(lab);
}

static void side(made *m)
{
  lh_image s = draw(m, LH_VIEW_SIDE, 480, 0, NULL), turned;
  size_t first, last;
  double front = blue_column(&s);

  frame_is_grey(&s);
  columns(&s, reddish, &first, &last);
  CHECK_NEAR((double)first, (double)(479 - last), 2,
             "the pot stands in the middle");
  CHECK_NEAR((double)(last - first + 1), 0.72 * 480, 3,
             "and fills 72 %% of the width");
  CHECK_NEAR(front, 239.5, 1, "turns 0 is in front");
  turned = draw(m, LH_VIEW_SIDE, 480, 1.0 / 6, NULL);
  CHECK(apart(&s, &turned) <= 1,
        "turned by one of six repeats: the same but for a rounding");
  turned = draw(m, LH_VIEW_SIDE, 480, 0.03, NULL);
  /* The front is nearest: a little more than r sin a of the outline's r. */
  CHECK(blue_column(&turned) > front + 0.9 * 173 * sin(0.03 * 6.2832),
        "turned anticlockwise from above, the front goes right");
  CHECK(apart(&s, &turned) > 20, "and then it is another picture");
  turned = draw(m, LH_VIEW_SIDE, 480, 0, NULL);
  CHECK(apart(&s, &turned) == 0, "the same bytes twice");
}

static void above(made *m)
{
  lh_image i = draw(m, LH_VIEW_ABOVE, 480, 0, NULL);
  size_t middle = i.height / 2, left, right;
  const unsigned char *right_of = at(&i, 240 + 70, middle);
  const unsigned char *left_of = at(&i, 240 - 70, middle);

  frame_is_grey(&i);
  columns(&i, reddish, &left, &right);
  CHECK_NEAR((double)left, (double)(479 - right), 2, "above: in the middle");
  CHECK(abs(right_of[0] - right_of[2]) < 25 && reddish(left_of),
        "a quarter turn from the front is to the right");
}

/* Matte and without zones nearby, light is neutral: the colour of a place is
** its own, only darker. */
static void bare(void)
{
  made m;
  lh_image s;
  lh_rgb c;
  const unsigned char *p;
  size_t y = 0;
  int step = 0;

  if (!make(&m, text_of("", "", "disc"))) exit(1);
  s = draw(&m, LH_VIEW_SIDE, 480, 1.0 / 12, NULL);
  c = exact(&m, NULL, 0);
  /* Down the middle: over the rim and the inside to the bare rim below. */
  for (y = s.height / 2; y > 0 && !reddish(at(&s, 240, y)); y--) continue;
  p = at(&s, 240, y - 4);
  CHECK_NEAR(lh_srgb_decode(p[0] / 255.0) / lh_srgb_decode(p[2] / 255.0),
             lh_srgb_decode(c.r) / lh_srgb_decode(c.b), 0.25,
             "above the zone stands bare body");
  /* Across the ground between dots: no facets, no seam. */
  y = s.height * 7 / 10;
  for (size_t x = 80; x + 1 < 400; x++) {
    int d = abs(at(&s, x + 1, y)[1] - at(&s, x, y)[1]);
    step = d > step ? d : step;
  }
  CHECK(step <= 3, "light runs smoothly around the wall: steps of %d", step);
  drop(&m);
}

static void shine(made *glazed)
{
  made m;
  lh_image a = draw(glazed, LH_VIEW_SIDE, 480, 0, NULL), b;
  int brighter = 0;

  if (!make(&m, text_of("",
                        ",\"to_fired\":{\"diameter_percent\":10,"
                        "\"height_percent\":10}",
                        "disc")))
    exit(1);
  b = draw(&m, LH_VIEW_SIDE, 480, 0, NULL);
  CHECK(a.height == b.height, "with and without glaze: one size");
  for (size_t k = 2; k < 3 * a.width * a.height; k += 3)
    brighter += a.rgb[k] > b.rgb[k] + 30;
  CHECK(brighter > 100, "glaze mirrors the light (%d px)", brighter);
  drop(&m);
}

/* Fired evenly smaller it looks the same; less high, it is less high. */
static void fired_size(made *even)
{
  made m;
  lh_image a = draw(even, LH_VIEW_SIDE, 480, 0, NULL), b;

  if (!make(&m, text_of("\"glaze\":{},", "", "disc"))) exit(1);
  b = draw(&m, LH_VIEW_SIDE, 480, 0, NULL);
  CHECK(apart(&a, &b) <= 1, "shrunk 10 %% both ways: the same picture");
  drop(&m);
  if (!make(&m, text_of("\"glaze\":{},",
                        ",\"to_fired\":{\"diameter_percent\":0,"
                        "\"height_percent\":30}",
                        "disc")))
    exit(1);
  b = draw(&m, LH_VIEW_SIDE, 480, 0, NULL);
  CHECK(b.height + 40 < a.height, "shrunk in height: a lower pot (%zu, %zu)",
        b.height, a.height);
  drop(&m);
}

/* ---- refusals ----------------------------------------------------------- */

static lh_status refused(made *m, lh_picture_ask ask, const lh_watch *watch,
                         lh_fault *fault)
{
  lh_image image;

  *fault = (lh_fault){0};
  return lh_piece_picture(&m->skin, &ask, &m->arena, watch, &image, fault);
}

static bool stop(void *who, double done)
{
  (void)who;
  return done < 0.5;
}

static void refusals(made *m)
{
  lh_fault f;
  lh_watch watch = {stop, NULL};

  CHECK(refused(m, (lh_picture_ask){.zone = "wal"}, NULL, &f) == LH_INPUT &&
            strstr(f.what, "\"wall\"") && strcmp(f.where, "/ask/zone") == 0,
        "an unknown zone: the nearest is named");
  CHECK(refused(m, (lh_picture_ask){.zone = "floor"}, NULL, &f) == LH_INPUT &&
            strstr(f.what, "disc"),
        "a disc is not unrolled");
  CHECK(refused(m, (lh_picture_ask){.width_px = 8}, NULL, &f) == LH_RANGE,
        "too narrow a picture");
  CHECK(refused(m, (lh_picture_ask){.width_px = 80000}, NULL, &f) == LH_RANGE,
        "too wide a picture");
  CHECK(refused(m, (lh_picture_ask){.turn_turns = NAN}, NULL, &f) == LH_RANGE,
        "a turn that is no number");
  for (int v = 0; v < LH_VIEWS; v++) {
    lh_picture_ask ask = {.view = (lh_view)v, .width_px = 200};
    CHECK(refused(m, ask, &watch, &f) == LH_CANCELLED,
          "view %d stops on request", v);
  }
}

static void out_of_memory(made *m)
{
  for (int v = 0; v < LH_VIEWS; v++) {
    lh_picture_ask ask = {.view = (lh_view)v, .width_px = 200};
    lh_fault f = {0};
    lh_arena small;
    lh_image image;
    lh_heap_open(&small);
    lh_heap_limit(20000);
    CHECK(lh_piece_picture(&m->skin, &ask, &small, NULL, &image, &f) ==
              LH_NOMEM,
          "view %d says so when memory runs out", v);
    lh_heap_limit(0);
    lh_heap_free(&small);
  }
}

/* Where the chart runs the other way, inside, a turn moves marks left. */
static void inside_band(void)
{
  made m;
  lh_image a, b;
  size_t moved = 0;

  if (!make(&m, text_of("\"glaze\":{},", "", "band"))) exit(1);
  a = draw(&m, LH_VIEW_BAND, 400, 0, "floor");
  b = draw(&m, LH_VIEW_BAND, 400, 0.1, "floor");
  for (size_t y = 0; y < a.height; y++)
    for (size_t x = 0; x < 400; x++)
      for (size_t c = 0; c < 3; c++)
        moved += abs(at(&a, (x + 40) % 400, y)[c] - at(&b, x, y)[c]) > 1;
  CHECK(moved == 0, "inside, a turn moves the band left");
  drop(&m);
}

/* A slip that sends back nothing past 550 nm is too cyan for any screen; with
** it the whole wall is, but for the black line of 2 of 30 mm. */
static void gamut(void)
{
  made m;
  double wall, all = 0, share;
  char *text = text_of("\"glaze\":{},", "", "disc");
  static const char plain[] = "\"slip\":\"white\",\"whole_zone\"";
  char *fill = strstr(text, plain), cyan[16000];

  snprintf(cyan, sizeof cyan,
           "%.*s\"coat_g_m2\":2000,\"slip\":\"cyan\",\"whole_zone\"%s",
           (int)(fill - text), text, fill + sizeof plain - 1);
  fill = strstr(cyan, "\"slips\":[") + strlen("\"slips\":[");
  snprintf(text, 16000,
           "%.*s{\"id\":\"cyan\",\"absorption_m2_g\":%s,"
           "\"scattering_m2_g\":0.03,\"litre_weight_g\":1400,"
           "\"coat_g_m2\":60},%s",
           (int)(fill - cyan), cyan, two(0.0001, 5), fill);
  if (!make(&m, text)) exit(1);
  for (size_t i = 0; i < m.cover.n_zones; i++)
    all += (double)m.cover.zones[i].grid.nx * m.cover.zones[i].grid.ny;
  wall = (double)m.cover.zones[0].grid.nx * m.cover.zones[0].grid.ny;
  share = 100 * wall / all;
  /* Blue over it is no less cyan.  The line's edges reach 0.2 mm out on both
  ** sides, and maps end on a pixel of 0.2 mm. */
  CHECK_NEAR(m.skin.clipped_percent, share * 28 / 30, share * 0.6 / 30,
             "what no screen shows is counted");
  drop(&m);
}

static lh_lab lab_of(const float *linear)
{
  lh_rgb c = {lh_srgb_encode((double)linear[0]),
              lh_srgb_encode((double)linear[1]),
              lh_srgb_encode((double)linear[2])};

  return lh_srgb_lab(c);
}

/* Zones are coloured in single precision, within dE00 0.02 of the stack in
** double, with the machine's instructions and with the plain ones, and twice
** to the same bits. */
static void fast_zone(made *m)
{
  const lh_zone_cover *z = &m->cover.zones[0];
  size_t n = (size_t)z->grid.nx * (size_t)z->grid.ny, outside = 0, seen = 0;
  float *rgb[3];
  double worst[2] = {0};
  lh_isa here = m->optics.isa;

  for (int k = 0; k < 3; k++) {
    rgb[k] = lh_arena_take(&m->arena, 3 * n, sizeof(float));
    m->optics.isa = k == 2 ? LH_ISA_PLAIN : here;
    if (!rgb[k] || lh_piece_optics_zone(&m->optics, z, &m->arena, NULL, rgb[k],
                                        &outside) != LH_OK)
      CHECK(false, "a zone is coloured");
  }
  m->optics.isa = here;
  CHECK(memcmp(rgb[0], rgb[1], 3 * n * sizeof(float)) == 0,
        "a zone's colours: the same bits twice");
  for (size_t k = 0; k < n; k += 7) {
    lh_coat_of coats[4];
    size_t count = 0;
    lh_lab want;
    for (int i = z->laying.layers; i-- > 0;) {
      if (!(z->maps.coat[i][k] > 0) || count == 4) continue;
      coats[count++] =
          (lh_coat_of){z->laying.layer_slip[i], (double)z->maps.coat[i][k]};
    }
    seen += count > 0;
    want = lh_srgb_lab(
        lh_srgb_clip(lh_piece_optics_srgb(&m->optics, coats, count)));
    for (int set = 0; set < 2; set++) {
      double d = lh_delta_e00(want, lab_of(rgb[2 * set] + 3 * k));
      worst[set] = d <= worst[set] ? worst[set] : d;
    }
  }
  CHECK(seen > 100, "of %zu painted pixels", seen);
  CHECK_NEAR(worst[0], 0, 0.02, "this machine's instructions: dE00");
  CHECK_NEAR(worst[1], 0, 0.02, "plain instructions: dE00");
}

int main(void)
{
  made m;

  if (!make(&m, text_of("\"glaze\":{},",
                        ",\"to_fired\":{\"diameter_percent\":10,"
                        "\"height_percent\":10}",
                        "disc")))
    return 1;
  fast_zone(&m);
  band(&m);
  side(&m);
  above(&m);
  bare();
  shine(&m);
  fired_size(&m);
  refusals(&m);
  out_of_memory(&m);
  inside_band();
  gamut();
  drop(&m);
  return CHECK_DONE();
}
