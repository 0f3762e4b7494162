/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The materials that come with the program read, and are found by name. */
#include "check.h"
#include "nearest.h"
#include "supplied.h"

static const char *const classes[] = {
    "plastic clay", "kaolin", "silica", "flux",  "frit",
    "opacifier",    "other",  "oxide",  "stain",
};

static void test_rows(void)
{
  for (size_t i = 0; i < lh_supplied_count(); i++) {
    lh_supplied s = lh_supplied_at(i);
    lh_material m;
    size_t known = 0;
    CHECK(lh_supplied_material(i, &m) == LH_OK, "%s reads", s.name);
    CHECK(!(*s.formula && *s.analysis), "%s is told in one way", s.name);
    CHECK(m.inert == (strcmp(s.kind, "stain") == 0), "%s: inert if a stain",
          s.name);
    if (*s.analysis)
      CHECK(fabs(m.total - 100.0) <= 0.5 && strstr(s.note, "invented"),
            "%s adds to about 100 and is marked invented", s.name);
    CHECK(lh_supplied_find(s.name) == i, "%s is found", s.name);
    for (size_t k = 0; k < sizeof classes / sizeof classes[0]; k++)
      known += strcmp(classes[k], s.kind) == 0;
    CHECK(known == 1, "%s has a class of the trade", s.name);
    for (const char *h = s.hazards; *h;) {
      const char *end = strchr(h, ' ');
      size_t n = end ? (size_t)(end - h) : strlen(h);
      const char *source = NULL;
      CHECK(lh_hazard_text(h, n, &source) && source,
            "%.*s of %s has its wording", (int)n, h, s.name);
      h += n + (end != NULL);
    }
    if (*s.hazards)
      CHECK(*s.hazard_source, "the hazards of %s say where from", s.name);
  }
}

static void test_names(void)
{
  static const struct {
    const char *want, *name;
  } t[] = {
      {"WHITING", "whiting"},
      {"calcite", "whiting"},
      {"Flint", "quartz"},
      {"china clay", "kaolin"},
      {"soda ash", "sodium carbonate"},
  };
  static const struct {
    const char *want, *near;
  } near[] = {
      {"cobolt carbonate", "cobalt carbonate"},
      {"kaolen", "kaolin"},
      {"potash felspar", "potash feldspar"},
      {"dolomit", "dolomite"},
      {"tlac", "talc"},
  };

  for (size_t i = 0; i < sizeof t / sizeof t[0]; i++) {
    size_t k = lh_supplied_find(t[i].want);
    CHECK_TEXT(k < lh_supplied_count() ? lh_supplied_at(k).name : "", t[i].name,
               "%s is %s", t[i].want, t[i].name);
  }
  for (size_t i = 0; i < sizeof near / sizeof near[0]; i++) {
    const char *s = "";
    size_t n = 0;
    CHECK(lh_supplied_find(near[i].want) == lh_supplied_count(),
          "there is no %s", near[i].want);
    CHECK(lh_supplied_nearest(near[i].want, &s, &n) < lh_supplied_count() &&
              n == strlen(near[i].near) && memcmp(s, near[i].near, n) == 0,
          "%s is nearest to it", near[i].near);
  }
  {
    const char *s;
    size_t n;
    CHECK(lh_supplied_nearest("qqqqqqqqqq", &s, &n) == lh_supplied_count(),
          "nothing is near to nonsense");
    CHECK(lh_supplied_find("") == lh_supplied_count(), "nor called nothing");
  }
  CHECK(lh_hazard_text("H999", 4, NULL) == NULL, "no such statement");
}

/* Steps between words as Damerau counts them; the examples are the usual
** ones of textbooks. */
static void test_steps(void)
{
  static const struct {
    const char *a, *b;
    size_t steps;
  } t[] = {
      {"", "", 0},
      {"", "abc", 3},
      {"kitten", "sitting", 3},
      {"saturday", "sunday", 3},
      {"ca", "abc", 3},
      {"abcd", "acbd", 1},
      {"Kaolin", "kAOLIN", 0},
  };
  static const char *const names[] = {"slip", "glaze", NULL, "body"};

  for (size_t i = 0; i < sizeof t / sizeof t[0]; i++) {
    CHECK(lh_nearest_steps(t[i].a, t[i].b) == t[i].steps, "\"%s\" to \"%s\"",
          t[i].a, t[i].b);
    CHECK(lh_nearest_steps(t[i].b, t[i].a) == t[i].steps, "and the way back");
  }
  CHECK(lh_nearest("glase", names, 4) == 1, "glase: glaze");
  CHECK(lh_nearest("bdoy", names, 4) == 3, "bdoy: body");
  CHECK(lh_nearest("gla", names, 4) == 1, "gla begins glaze");
  CHECK(lh_nearest("wheel", names, 4) == 4, "wheel: none");
}

int main(void)
{
  test_rows();
  test_names();
  test_steps();
  return CHECK_DONE();
}
