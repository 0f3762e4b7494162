/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_verdict.c -- each check provoked to each of its words, by one change.
**
** Facts of the trade (common practice, no source): the same violet is another
** colour over yellow than over white; a thin rim coated on both faces grows
** wetter than on one; a glaze that eats slip thins a weak one.  Limits are
** the program's judgements, named in piece/verdict*.c.
*/
#include "pieces.h"

#include "difference.h"

static const char *const word[] = {"ok", "caution", "stop", "nothing said"};

static int says(const pot *p, const char *about)
{
  const lh_check *c = pot_check(p, about);

  return c ? (int)c->says : 3;
}

/* One change, one word. */
static void expect(const char *pointer, const char *value, const char *about,
                   lh_says want, const char *why)
{
  const lh_check *c;
  pot p;

  pot_open(&p);
  if (pointer) pot_set(&p, pointer, value);
  pot_judge(&p, 0.5);
  if (p.st != LH_OK) printf("# %s: %s\n", p.fault.where, p.fault.what);
  CHECK(p.st == LH_OK && says(&p, about) == (int)want, "%s=%.40s: %s: %s",
        pointer ? pointer : "as it is", value ? value : "", about, word[want]);
  c = p.st == LH_OK ? pot_check(&p, about) : NULL;
  CHECK(c && strstr(c->why, why), "  because \"%s\"", why);
  if (c && !strstr(c->why, why)) printf("# %s\n", c->why);
  CHECK(c && (c->says == LH_SAYS_OK) == (*c->todo == 0),
        "  with something to do unless it is ok");
  pot_close(&p);
}

static void whole(void)
{
  size_t count[3] = {0};
  pot p;

  pot_open(&p);
  CHECK(pot_judge(&p, 0.5) == LH_OK, "the piece is judged");
  for (size_t i = 0; i < p.whole.verdict.n; i++)
    count[p.whole.verdict.checks[i].says]++;
  CHECK(count[LH_SAYS_STOP] == 0 && count[LH_SAYS_CAUTION] > 0,
        "nothing to stop for");
  CHECK(p.whole.verdict.worst == LH_SAYS_CAUTION, "the worst is a caution");
  pot_set(&p, "/slips/0/recipe/lines/0/material", "quartz");
  pot_set(&p, "/body/moisture_percent", "29");
  CHECK(pot_judge(&p, 0.5) == LH_OK, "a stop is a verdict, not a refusal");
  CHECK(p.whole.verdict.worst == LH_SAYS_STOP, "the worst is the stop");
  pot_close(&p);
}

static void form(void)
{
  expect(NULL, NULL, "Form", LH_SAYS_OK, "6.0 mm at its thinnest");
  expect("/form/inside", "null", "Form", LH_SAYS_CAUTION,
         "inside is not given");
  expect(NULL, NULL, "Stage", LH_SAYS_OK, "leather-hard");
  expect("/stage", "dry", "Stage", LH_SAYS_CAUTION, "dry ware");
  expect("/stage", "bisque", "Stage", LH_SAYS_CAUTION, "bisque ware");
}

static void spacing(void)
{
  static const char about[] = "Berry, spacing";

  expect(NULL, NULL, about, LH_SAYS_OK, "8 repeats, 29.3 mm");
  /* 314.16/30 - 10 */
  expect("/painting/2/repeat/count", "30", about, LH_SAYS_CAUTION,
         "only 0.5 mm");
  /* 314.16 (1/8 - 0.1) - 10 = -2.1: one swims into its neighbour. */
  expect("/painting/2/repeat/exceptions",
         "[{\"instance\": 3, \"move_turns\": -0.1}]", about, LH_SAYS_STOP,
         "into each other by 2.1 mm");
  expect("/painting/2/repeat",
         "{\"count\": 8, \"may_overlap\": true, \"exceptions\":"
         " [{\"instance\": 3, \"move_turns\": -0.1}]}",
         about, LH_SAYS_OK, "as you allow");
}

static void place(void)
{
  pot p;

  expect("/painting/2/up_mm", "79", "Berry, place", LH_SAYS_CAUTION,
         "4.0 mm beyond the upper edge");
  expect("/painting/2/up_mm", "2", "Berry, place", LH_SAYS_CAUTION,
         "3.0 mm beyond the lower edge");
  pot_open(&p);
  pot_judge(&p, 0.5);
  CHECK(says(&p, "Berry, place") == 3, "nothing is said where it fits");
  pot_set(&p, "/painting/2/repeat",
          "{\"count\": 1, \"exceptions\":"
          " [{\"instance\": 0, \"left_out\": true}]}");
  CHECK(pot_judge(&p, 0.5) == LH_OK && says(&p, "Berry, place") == 3 &&
            says(&p, "Berry, spacing") == 3,
        "3. nor of a motif that is left out everywhere");
  pot_set(&p, "/painting/2/repeat", "{\"count\": 8}");
  /* A cone from 100 to 40 across over 100 mm: 20 mm up or down along the wall
  ** the radius changes by a fifth and more of what it is at the anchor. */
  pot_set(&p, "/form",
          "{\"outside\": [{\"diameter_mm\": 100, \"height_mm\": 0},"
          " {\"diameter_mm\": 40, \"height_mm\": 100}]}");
  pot_set(&p, "/motifs/0/marks/0/width_mm", "40");
  pot_set(&p, "/painting/2/repeat/count", "4");
  CHECK(pot_judge(&p, 0.5) == LH_OK &&
            says(&p, "Berry, place") == LH_SAYS_CAUTION,
        "a large motif on a steep cone is drawn out of shape");
  CHECK(strstr(pot_check(&p, "Berry, place")->why, "times its size"),
        "  and says by how much");
  pot_close(&p);
}

static void thickness(void)
{
  static const char about[] = "White ground, thickness";

  expect(NULL, NULL, about, LH_SAYS_OK, "220 g/m2 on average");
  expect("/painting/0/mark/coats", "1", about, LH_SAYS_STOP,
         "100 % of it is thinner");
  expect("/painting/0/mark/coats", "4", about, LH_SAYS_STOP, "100 % thicker");
  /* A line of 8 mm in a zone of 80 is a tenth of it. */
  expect("/painting/1",
         "{\"id\": \"l\", \"zone\": \"wall\", \"up_mm\": 40, \"mark\":"
         " {\"id\": \"lm\", \"kind\": \"banding line\", \"slip\": \"white\","
         " \"width_mm\": 8, \"coats\": 2}}",
         about, LH_SAYS_CAUTION, "0 % of it is thinner and 1");
  expect("/painting/1",
         "{\"id\": \"l\", \"zone\": \"wall\", \"up_mm\": 40, \"mark\":"
         " {\"id\": \"lm\", \"kind\": \"banding line\", \"slip\": \"white\","
         " \"width_mm\": 32, \"coats\": 2}}",
         about, LH_SAYS_STOP, "40 % thicker");
  expect(NULL, NULL, "Yellow, thickness", LH_SAYS_CAUTION, "is not known");
  expect("/slips/1/window", "{\"least_g_m2\": 20, \"most_g_m2\": 200}",
         "Yellow, thickness", LH_SAYS_OK, "inside its window");
  expect("/slips/1/window",
         "{\"least_g_m2\": 200, \"most_g_m2\": 300, \"why\": \"it greys\"}",
         "Yellow, thickness", LH_SAYS_STOP, "thinner");
}

static void covering(void)
{
  static const char about[] = "White ground, covering";

  expect(NULL, NULL, about, LH_SAYS_OK, "hides the body");
  expect("/painting/0/mark/coat_g_m2", "40", about, LH_SAYS_CAUTION,
         "the body shows");
  expect("/slips/2/absorption_m2_g", "0.0001", "Violet, colour",
         LH_SAYS_CAUTION, "hardly stands out");
  expect(NULL, NULL, "Violet, colour", LH_SAYS_OK, "fires to L* ");
}

static void unused(void)
{
  expect("/painting/1/mark/slip", "violet", "Yellow", LH_SAYS_CAUTION,
         "nothing is painted with it");
}

/* ---- one slip on another ------------------------------------------------ */

static const char yellow_under[] =
    "{\"id\": \"y\", \"zone\": \"wall\", \"up_mm\": 50, \"mark\": {\"id\":"
    " \"ym\", \"kind\": \"banding line\", \"slip\": \"yellow\","
    " \"width_mm\": 14}}";
static const char white_between[] =
    "{\"id\": \"w\", \"zone\": \"wall\", \"up_mm\": 50, \"mark\": {\"id\":"
    " \"wm\", \"kind\": \"banding line\", \"slip\": \"white\","
    " \"width_mm\": 16, \"coats\": 2}}";

static const char violet_yellow[] = "Violet over Yellow";

static void overlaps(void)
{
  lh_coat_of on_yellow[] = {{2, 70}, {1, 80}, {0, 220}};
  lh_coat_of on_white[] = {{2, 70}, {0, 220}};
  lh_lab a, b;
  pot p;

  pot_open(&p);
  CHECK(pot_judge(&p, 0.5) == LH_OK && says(&p, violet_yellow) == 3,
        "violet on white alone: nothing said");
  /* The painting: ground, yellow line, violet berries on it. */
  pot_set(&p, "/painting/1", yellow_under);
  CHECK(pot_judge(&p, 0.5) == LH_OK, "violet berries on a yellow line");
  a = lh_piece_optics_lab(&p.whole.optics, on_yellow, 3);
  b = lh_piece_optics_lab(&p.whole.optics, on_white, 2);
  CHECK(a.L < b.L,
        "violet is darker over yellow (L* %.1f) than over white "
        "(%.1f)",
        a.L, b.L);
  CHECK(says(&p, violet_yellow) == LH_SAYS_STOP,
        "all of it on yellow, another colour: stop");
  CHECK(pot_check(&p, violet_yellow) &&
            strstr(pot_check(&p, violet_yellow)->todo, "white between"),
        "  and what to do: white between");
  CHECK(lh_delta_e00(a, b) > 10, "  dE00 %.1f", lh_delta_e00(a, b));

  /* A fifth of it only, judged a blemish. */
  pot_set(&p, "/painting/1/up_mm", "44");
  pot_set(&p, "/painting/1/mark/width_mm", "6");
  pot_judge(&p, 0.5);
  CHECK(says(&p, violet_yellow) == LH_SAYS_CAUTION,
        "a fifth of it on yellow: caution");
  pot_set(&p, "/painting/1", yellow_under);

  /* White between: nothing to say any more. */
  pot_set(&p, "/painting/2", white_between);
  pot_set(&p, "/painting/-",
          "{\"id\": \"berries\", \"zone\": \"wall\", \"up_mm\": 50, \"motif\":"
          " \"berry\", \"repeat\": {\"count\": 8}}");
  CHECK(pot_judge(&p, 0.5) == LH_OK, "with white between");
  CHECK(says(&p, violet_yellow) == 3, "nothing is said of violet over yellow");
  CHECK(says(&p, "Violet over White ground") == 3, "nor of it on its ground");
  pot_close(&p);
}

/* A yellow that takes nothing away: the same colour on both. */
static void same_colour(void)
{
  pot p;

  pot_open(&p);
  pot_set(&p, "/painting/1", yellow_under);
  pot_set(&p, "/slips/1/absorption_m2_g", "0.0002");
  pot_judge(&p, 0.5);
  CHECK(says(&p, violet_yellow) == LH_SAYS_OK, "over a pale slip it is ok");
  CHECK(strstr(pot_check(&p, violet_yellow)->why, "on the ground"),
        "  as on the ground");
  pot_set(&p, "/slips/0/ground", "false");
  pot_judge(&p, 0.5);
  CHECK(pot_check(&p, violet_yellow) &&
            strstr(pot_check(&p, violet_yellow)->why, "on the body"),
        "without a ground it is compared with the body");
  pot_close(&p);
}

static void eaten(void)
{
  static const char about[] = "Violet, under the glaze";
  pot p;

  pot_open(&p);
  pot_judge(&p, 0.5);
  CHECK(says(&p, about) == 3, "a glaze that eats nothing: nothing said");
  pot_close(&p);
  /* Of 70 g/m2: 30 are 43 %, 65 are 93 %. */
  expect("/glaze/eats_g_m2", "30", about, LH_SAYS_CAUTION, "43 % of this coat");
  expect("/glaze/eats_g_m2", "65", about, LH_SAYS_STOP, "93 % of this coat");
  /* The weak slip is eaten first; a heavy coat stands it. */
  pot_open(&p);
  pot_set(&p, "/glaze/eats_g_m2", "30");
  pot_set(&p, "/motifs/0/marks/0/coat_g_m2", "140");
  pot_judge(&p, 0.5);
  CHECK(says(&p, about) == 3, "of twice the coat it is no matter");
  pot_set(&p, "/glaze", "null");
  CHECK(pot_judge(&p, 0.5) == LH_OK, "a piece without a glaze is judged");
  CHECK(says(&p, about) == 3, "and nothing eats");
  pot_close(&p);
}

/* ---- water -------------------------------------------------------------- */

static void rim_zone(pot *p, bool outside, bool inside)
{
  pot_open(p);
  pot_set(p, "/form/inside/2/diameter_mm", "93.5");
  pot_set(p, "/form/inside/3/diameter_mm", "94");
  pot_set(p, "/form/inside/1/diameter_mm", "92");
  pot_paint(p, "[]");
  pot_set(p, "/zones",
          "[{\"id\": \"wall\", \"from_mm\": 50, \"to_mm\": 100},"
          " {\"id\": \"in\", \"face\": \"inside\", \"name\":"
          " \"Inside\", \"from_mm\": 80, \"to_mm\": 139}]");
  if (outside)
    pot_set(p, "/painting/-",
            "{\"id\": \"o\", \"zone\": \"wall\", \"mark\": {\"id\": \"om\","
            " \"kind\": \"fill\", \"whole_zone\": true, \"slip\": \"white\"}}");
  if (inside)
    pot_set(p, "/painting/-",
            "{\"id\": \"i\", \"zone\": \"in\", \"mark\": {\"id\": \"im\","
            " \"kind\": \"fill\", \"whole_zone\": true, \"slip\": \"white\"}}");
  pot_judge(p, 0.5);
  if (p->st != LH_OK) printf("# %s: %s\n", p->fault.where, p->fault.what);
}

/* The moisture that the check tells: "... from 20 to 22.0 % water". */
static double moisture(const pot *p, const char *about)
{
  const lh_check *c = pot_check(p, about);
  const char *s = c ? strstr(c->why, " to ") : NULL;

  return s ? atof(s + 4) : NAN;
}

static void water(void)
{
  static const char about[] = "Wall, water in the wall";
  double one, both, m, dry, wall;
  pot p;

  expect(NULL, NULL, about, LH_SAYS_OK, "a wall of 6.0 mm");
  expect("/body/moisture_percent", "24", about, LH_SAYS_CAUTION, "from 24 to");
  expect("/body/moisture_percent", "29", about, LH_SAYS_STOP, "slumps at 30 %");
  expect(NULL, NULL, "Rim, water", LH_SAYS_OK, "no slip within 5 mm");

  rim_zone(&p, true, false);
  one = moisture(&p, "Rim, wetted");
  CHECK(p.st == LH_OK && one > 20, "rim coated outside: %.1f %%", one);
  pot_close(&p);
  rim_zone(&p, false, true);
  CHECK(p.st == LH_OK && moisture(&p, "Rim, wetted") > 20,
        "rim coated inside: %.1f %%", moisture(&p, "Rim, wetted"));
  pot_close(&p);
  rim_zone(&p, true, true);
  both = moisture(&p, "Rim, wetted on both faces");
  CHECK(both > one, "on both faces wetter: %.1f %%", both);
  /* Mass balance by hand: 3 mm wall, 1 m2: dry clay 3 mm of
  ** 1/(1/2.6 + 0.2/0.998) g/cm3; a coat of 110 g dry with its water by
  ** Brongniart, (1480 - 780)/780 g/g. */
  wall = 3000 / (1 / 2.6 + 0.20 / 0.998);
  dry = 2 * 110;
  m = (0.20 * wall + dry * 700 / 780) / (wall + dry);
  CHECK_NEAR(both, 100 * m, 0.05 + 1e-9, "which is the balance by hand");
  pot_set(&p, "/body/moisture_percent", "24,5");
  pot_judge(&p, 0.5);
  CHECK(says(&p, "Rim, wetted on both faces") == LH_SAYS_CAUTION,
        "a softer one: caution");
  pot_set(&p, "/body/moisture_percent", "29");
  pot_judge(&p, 0.5);
  CHECK(says(&p, "Rim, wetted on both faces") == LH_SAYS_STOP,
        "a soft one: stop");
  pot_close(&p);
  pot_open(&p);
  pot_set(&p, "/stage", "bisque");
  pot_judge(&p, 0.5);
  CHECK(says(&p, about) == 3, "of bisque nothing is said: it does not slump");
  pot_close(&p);
}

/* ---- mixing and care ---------------------------------------------------- */

static void mixing(void)
{
  static const char about[] = "White ground, mixing";

  expect(NULL, NULL, about, LH_SAYS_OK, "no line is off by more than");
  expect("/slips/0/recipe", "null", about, LH_SAYS_CAUTION, "no recipe");
  /* 29 g, of them 2.7 zircon, by steps of 0.5 and 2 g. */
  expect("/mixing/scale_step_g", "0,5", about, LH_SAYS_CAUTION,
         "share of zircon");
  expect("/mixing/scale_step_g", "2", about, LH_SAYS_STOP, "share of zircon");
  /* A litre weight next to water's, or to stone's, once passed in silence. */
  expect("/slips/0/litre_weight_g", "1010", "White ground, litre weight",
         LH_SAYS_CAUTION, "1100 to 1900");
  expect("/slips/0/litre_weight_g", "2400", "White ground, litre weight",
         LH_SAYS_CAUTION, "1100 to 1900");
  expect("/materials/0",
         "{\"name\": \"my clay\", \"formula\": \"Al2O3.2SiO2.2H2O\","
         " \"stock_g\": 5}",
         about, LH_SAYS_STOP, "the stock of my clay runs out");
}

static void litre_weight(void)
{
  static const char about[] = "White ground, litre weight";
  pot p;

  pot_open(&p);
  pot_judge(&p, 0.5);
  CHECK(says(&p, about) == 3, "of an ordinary litre weight nothing is said");
  pot_close(&p);
  expect("/slips/0/litre_weight_g", "1050", about, LH_SAYS_CAUTION, "1050 g");
  expect("/slips/0/litre_weight_g", "1950", about, LH_SAYS_CAUTION, "1950 g");
}

static void care(void)
{
  pot p;
  const lh_check *c;
  char line[400] = "{\"lines\": [{\"material\": \"my clay\", \"parts\": 1}";
  char name[64];
  bool all = true;

  expect(NULL, NULL, "Slip on body, shrinkage", LH_SAYS_CAUTION, "not known");
  expect(NULL, NULL, "Firing", LH_SAYS_OK, "cone 03a on the scale Seger");
  expect("/glaze_firing", "null", "Firing", LH_SAYS_CAUTION, "no glaze firing");
  expect(NULL, NULL, "Invented data", LH_SAYS_CAUTION, "invented");
  expect(NULL, NULL, "Surfaces that touch food", LH_SAYS_CAUTION,
         "no recipe here names a metal");
  expect("/slips/2/recipe",
         "{\"lines\": [{\"material\": \"my clay\", \"parts\": 95},"
         " {\"material\": \"cobalt carbonate\", \"parts\": 5}]}",
         "Surfaces that touch food", LH_SAYS_CAUTION, "the slips hold CoO;");
  expect("/slips/2/recipe",
         "{\"lines\": [{\"material\": \"my clay\", \"parts\": 95},"
         " {\"material\": \"cobalt carbonate\", \"parts\": 5}]}",
         "Dust and powders", LH_SAYS_CAUTION, "quartz, cobalt carbonate");

  /* 1. Sixty hazardous materials, the name of each but the last the beginning
  ** of another's: all are named. */
  pot_open(&p);
  pot_set(&p, "/materials/-",
          "{\"name\": \"old\", \"formula\": \"SiO2\", \"hazards\": \"H372\"}");
  pot_set(&p, "/slips/2/recipe", strcat(line, "]}"));
  for (int i = 0; i < 59; i++) {
    snprintf(name, sizeof name, "a long named stain %d", i);
    snprintf(line, sizeof line,
             "{\"name\": \"%s\", \"formula\": \"SiO2\", \"hazards\": \"H302\"}",
             name);
    pot_set(&p, "/materials/-", line);
    snprintf(line, sizeof line, "{\"material\": \"%s\", \"parts\": 1}", name);
    pot_set(&p, "/slips/2/recipe/lines/-", line);
  }
  CHECK(pot_judge(&p, 1) == LH_OK, "sixty materials: %s", p.fault.what);
  c = pot_check(&p, "Dust and powders");
  for (int i = 0; c && i < 59; i++) {
    snprintf(name, sizeof name, "a long named stain %d%s", i,
             i < 58 ? "," : "");
    all = all && strstr(c->why, name);
  }
  CHECK(c && all, "each hazard is named");
  CHECK(c && !strstr(c->why, "my clay"), "and none without a hazard");
  pot_close(&p);
}

/* 2. A name cut at 120 bytes, inside a character, was out of memory. */
static void long_name(void)
{
  char name[400] = "a", about[500];
  pot p;

  for (int i = 0; i < 80; i++) strcat(name, "\xe2\x82\xac");
  snprintf(about, sizeof about, "%s, thickness", name);
  pot_open(&p);
  pot_set(&p, "/slips/2/name", name);
  CHECK(pot_judge(&p, 1) == LH_OK, "a slip with a name of 241 bytes");
  CHECK(says(&p, about) == LH_SAYS_OK, "is judged under its whole name");
  pot_close(&p);
}

int main(int argc, char **argv)
{
  if (argc != 2) return 2;
  pot_path = argv[1];
  whole();
  form();
  spacing();
  place();
  thickness();
  covering();
  unused();
  overlaps();
  same_colour();
  eaten();
  water();
  mixing();
  litre_weight();
  care();
  long_name();
  return CHECK_DONE();
}
