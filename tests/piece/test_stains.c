/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_stains.c -- a stain in a slip, under a glaze and in a fire that it
** bears or does not.  The glaze is of theoretical minerals, so its formula has
** a closed form: x moles of zinc oxide in one of fluxes.
*/
#include "pieces.h"

static const char stain[] =
    "{\"name\": \"pink (invented)\", \"class\": \"stain\", "
    "\"stain_family\": \"chrome-tin\"}";

/* Feldspar 0.3 mol, whiting and zinc oxide the rest of one [g]: molar weights
** 556.67, 100.09, 81.38 of K2O.Al2O3.6SiO2, CaCO3, ZnO (CIAAW, rounded). */
static void set_glaze(pot *p, double zinc)
{
  char text[400];

  snprintf(text, sizeof text,
           "{\"lines\": [{\"material\": \"potash feldspar\", \"parts\": %.4f},"
           "{\"material\": \"whiting\", \"parts\": %.4f},"
           "{\"material\": \"zinc oxide\", \"parts\": %.4f}]}",
           0.3 * 556.67, (0.7 - zinc) * 100.09, zinc * 81.38);
  pot_set(p, "/glaze/recipe", text);
}

static void begin(pot *p)
{
  pot_open(p);
  pot_set(p, "/materials/-", stain);
  pot_set(p, "/slips/0/recipe/additions/-",
          "{\"material\": \"pink (invented)\", \"percent\": 6}");
  pot_set(p, "/glaze_firing",
          "{\"peak_c\": 1040, \"atmosphere\": "
          "\"oxidation\"}");
}

static size_t count_of(const pot *p, const char *about, const char *why)
{
  const lh_verdict *v = &p->whole.verdict;
  size_t n = 0;

  for (size_t i = 0; i < v->n; i++)
    n += strcmp(v->checks[i].about, about) == 0 &&
         strstr(v->checks[i].why, why) != NULL;
  return n;
}

#define ABOUT "White ground, pink (invented)"

int main(int argc, char **argv)
{
  const lh_check *c;
  pot p;

  pot_path = argc > 1 ? argv[1] : "";
  begin(&p);
  CHECK(pot_judge(&p, 1) == LH_OK, "a stain and no glaze recipe");
  c = pot_check(&p, ABOUT);
  CHECK(c && c->says == LH_SAYS_CAUTION && strstr(c->why, "4 of the rules") &&
            strcmp(c->todo, "give glaze/recipe") == 0,
        "its four rules of the glaze cannot be judged");
  set_glaze(&p, 0);
  CHECK(pot_judge(&p, 1) == LH_OK, "under a lime glaze");
  c = pot_check(&p, ABOUT);
  CHECK(c && c->says == LH_SAYS_OK && strstr(c->why, "all 6 rules"),
        "all its rules are kept");
  set_glaze(&p, 0.3);
  CHECK(pot_judge(&p, 1) == LH_OK, "under a zinc glaze");
  CHECK(count_of(&p, ABOUT, "ZnO is 0.30 in the glaze's formula, at most 0.02"),
        "zinc is named with its numbers");
  CHECK(
      count_of(&p, ABOUT, "CaO is 0.40 in the glaze's formula, at least 0.50"),
      "and lime");
  CHECK(count_of(&p, ABOUT, "common practice, no source") == 2,
        "each with where the rule is from");
  c = pot_check(&p, ABOUT);
  CHECK(c && c->says == LH_SAYS_CAUTION && c->todo[0], "a caution, no stop");
  set_glaze(&p, 0);
  pot_set(&p, "/glaze_firing/peak_c", "1290");
  pot_set(&p, "/glaze_firing/atmosphere", "light REDUCTION from 1000");
  CHECK(pot_judge(&p, 1) == LH_OK, "too hot, and reducing");
  CHECK(count_of(&p, ABOUT, "goes to 1290") == 1, "the peak is named");
  CHECK(count_of(&p, ABOUT, "reduction spoils") == 1, "and the atmosphere");
  pot_set(&p, "/glaze_firing/peak_c", "1000");
  pot_set(&p, "/glaze_firing/atmosphere", "oxidation");
  pot_set(&p, "/bisque_firing", "{\"peak_c\": 1300}");
  CHECK(pot_judge(&p, 1) == LH_OK && count_of(&p, ABOUT, "goes to 1300") == 1,
        "a bisque hotter than the glaze counts");
  pot_set(&p, "/glaze/recipe/lines/0/material", "feldsparr");
  CHECK(pot_judge(&p, 1) == LH_INPUT &&
            strcmp(p.fault.where, "/glaze/recipe/lines/0/material") == 0,
        "a glaze of what nobody knows is refused where it stands");
  pot_close(&p);
  begin(&p);
  pot_set(&p, "/materials/-",
          "{\"name\": \"x\", \"class\": \"stain\", \"stain_family\": "
          "\"chrome tin\"}");
  CHECK(pot_judge(&p, 1) == LH_INPUT && strstr(p.fault.what, "chrome-tin"),
        "a family that is none is refused, the nearest named");
  pot_close(&p);
  return CHECK_DONE();
}
