/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_piece.c -- a piece is read, or refused with its place.
**
** Each refusal comes from one change to a good piece.  What is expected is
** read off DESIGN's list of what a piece document promises: ids, references,
** geometry in leather-hard mm, versions.
*/
#include "pieces.h"

/* One change, one refusal. */
static void refused(const char *pointer, const char *value, lh_status st,
                    const char *where, const char *what)
{
  pot p;
  lh_status was;

  pot_open(&p);
  pot_set(&p, pointer, value);
  was = pot_read(&p);
  CHECK(was == st && p.fault.status == st, "%s=%.60s: %s", pointer, value,
        lh_status_text(st));
  CHECK_TEXT(p.fault.where, where, "  at %s", where);
  CHECK(strstr(p.fault.what, what) && *p.fault.todo, "  says \"%s\"", what);
  if (!strstr(p.fault.what, what)) printf("# %s\n", p.fault.what);
  pot_close(&p);
}

static void taken(const char *pointer, const char *value, const char *words)
{
  pot p;

  pot_open(&p);
  pot_set(&p, pointer, value);
  CHECK(pot_read(&p) == LH_OK, "%s", words);
  if (p.st != LH_OK) printf("# %s: %s\n", p.fault.where, p.fault.what);
  pot_close(&p);
}

static void whole(void)
{
  const lh_piece *p;
  const lh_piece_doc *d;
  pot x;

  pot_open(&x);
  CHECK(pot_read(&x) == LH_OK, "the stored piece is read: %s", x.fault.what);
  p = &x.whole.piece;
  d = p->doc;
  CHECK_TEXT(d->name, "Test cylinder", "its name");
  CHECK(strchr(d->note, '\n') != NULL, "its note, with the line end");
  CHECK(d->pots == 3 && d->slips.count == 3 && d->painting.count == 3,
        "pots, slips, painting");
  CHECK_NEAR(p->outside->length, 100, 1e-9, "a straight wall is 100 mm long");
  CHECK(p->inside != NULL, "there is an inside");
  CHECK_NEAR(p->shrinkage.to_fired.height, 0.065, 1e-15, "shrinkage");
  CHECK(p->n_zones == 1, "one zone");
  CHECK_NEAR(p->zones[0].chart.area, ZONE_MM2, 1e-9 * ZONE_MM2,
             "a band of a cylinder is 2 pi r h");
  CHECK_NEAR(p->zones[0].chart.width, AROUND, 1e-9 * AROUND, "its way round");
  CHECK(p->zones[0].n_groups == 3, "three entries are in it");
  CHECK(p->zones[0].shapes.n == 1 + 1 + 8, "as ten shapes");
  CHECK(lh_piece_slip(d, "yellow") == 1 && lh_piece_slip(d, "no") == 3,
        "a slip by its id");
  CHECK_NEAR(p->zones[0].entries[2].extent.turns, 10 / AROUND, 1e-9,
             "a dot of 10 mm is so much of the way round");
  CHECK(lh_piece_invented(d), "it is invented");
  CHECK(p->recipes[0].count == 3 && p->recipes[1].count == 0,
        "one recipe is found");
  pot_close(&x);
}

static void references(void)
{
  refused("/painting/1/mark/slip", "yelow", LH_INPUT, "/painting/1/mark/slip",
          "no slip \"yelow\"; the nearest is \"yellow\"");
  refused("/painting/1/mark/slip", "\"qqqqqqqqq\"", LH_INPUT,
          "/painting/1/mark/slip", "no slip \"qqqqqqqqq\" in this piece");
  refused("/painting/1/zone", "wal", LH_INPUT, "/painting/1/zone",
          "no zone \"wal\"; the nearest is \"wall\"");
  refused("/painting/2/motif", "bery", LH_INPUT, "/painting/2/motif",
          "no motif \"bery\"; the nearest is \"berry\"");
  refused("/painting/1/mark/brush", "rond", LH_INPUT, "/painting/1/mark/brush",
          "no brush \"rond\"; the nearest is \"round\"");
  /* Of a motif's mark the motif is at fault, not where it is painted. */
  refused("/motifs/0/marks/0/slip", "violent", LH_INPUT,
          "/motifs/0/marks/0/slip", "the nearest is \"violet\"");
  refused("/motifs/0/marks/0/brush", "x", LH_INPUT, "/motifs/0/marks/0/brush",
          "no brush \"x\"");
  refused("/slips/0/recipe/lines/1/material", "quarz", LH_INPUT,
          "/slips/0/recipe/lines/1/material", "the nearest is \"quartz\"");
  refused("/materials/0/formula", "Al2O3.2SiO2.2Hx", LH_INPUT,
          "/materials/0/formula", "no element Hx");
  refused("/materials/0",
          "{\"name\": \"my clay\", \"analysis\": {\"SiO3\": 5}}", LH_INPUT,
          "/materials/0/analysis/SiO3", "the nearest is SiO2");
  refused("/materials/0",
          "{\"name\": \"my clay\", \"analysis\": {\"SiO2\": 5, \"LOI\": 101}}",
          LH_RANGE, "/materials/0/analysis/LOI", "101 wt% is too large");
  refused("/painting/2/mark",
          "{\"id\": \"m\", \"kind\": \"dot\", \"slip\": \"violet\"}", LH_INPUT,
          "/painting/2", "both a motif and a mark");
  refused("/painting/2", "{\"id\": \"m\", \"zone\": \"wall\"}", LH_INPUT,
          "/painting/2", "neither a motif nor a mark");
}

static void ids(void)
{
  refused("/slips/1/id", "white", LH_INPUT, "/slips/1/id",
          "the id \"white\" is used already at /slips/0/id");
  refused("/zones/0/id", "round", LH_INPUT, "/brushes/0/id",
          "is used already at /zones/0/id");
  refused("/motifs/0/marks/0/id", "stalk", LH_INPUT, "/painting/1/id",
          "used already at /motifs/0/marks/0/id");
  refused("/painting/1/mark/id", "ground-fill", LH_INPUT, "/painting/1/mark/id",
          "used already at /painting/0/mark/id");
  refused("/slips/1/id", "5", LH_INPUT, "/slips/1/id", "a text is wanted");
  /* 1. /painting/10 sorted before /painting/9, and the later was named as the
  ** earlier of the two. */
  {
    pot p;
    char item[120];
    pot_open(&p);
    for (int i = 3; i <= 10; i++) {
      snprintf(item, sizeof item,
               "{\"id\": \"%s%d\", \"zone\": \"wall\", \"motif\": \"berry\"}",
               i < 9 ? "b" : "same", i < 9 ? i : 0);
      pot_set(&p, "/painting/-", item);
    }
    CHECK(pot_read(&p) == LH_INPUT, "two of the same, at 9 and 10");
    CHECK_TEXT(p.fault.where, "/painting/10/id", "  the later is at fault");
    CHECK(strstr(p.fault.what, "/painting/9/id"), "  and names the earlier");
    pot_close(&p);
  }
}

static void forms(void)
{
  refused("/form/outside",
          "[{\"diameter_mm\": 100, \"height_mm\": 0}, {\"diameter_mm\": 60,"
          " \"height_mm\": 50}, {\"diameter_mm\": 100, \"height_mm\": 52},"
          " {\"diameter_mm\": 70, \"height_mm\": 20}]",
          LH_INPUT, "/form/outside",
          "the profile crosses itself: between points 1 and 2");
  refused("/form/outside/1/diameter_mm", "-100", LH_RANGE,
          "/form/outside/1/diameter_mm", "too small");
  refused("/form/outside/1/height_mm", "\"NaN\"", LH_INPUT,
          "/form/outside/1/height_mm", "NaN");
  refused("/form/outside/1", "{\"diameter_mm\": 100, \"height_mm\": 0}",
          LH_INPUT, "/form/outside", "points 1 and 2 are the same");
  refused("/form/outside", "[]", LH_INPUT, "/form/outside", "fewer than 2");
  refused("/form/inside/3/diameter_mm", "102", LH_INPUT, "/form/inside",
          "the inside crosses the outside");
  refused("/form/inside/0/height_mm", "-3", LH_INPUT, "/form/inside",
          "the inside goes through the foot");
  refused("/form/to_fired/height_percent", "100", LH_RANGE,
          "/form/to_fired/height_percent", "too large");
  refused("/form/measured", "leatherhard", LH_INPUT, "/form/measured",
          "the nearest is \"leather-hard\"");
  /* Thrown 104.1667 across is 100 leather-hard at 4 % shrinkage. */
  {
    pot p;
    pot_open(&p);
    pot_set(&p, "/form/measured", "thrown");
    CHECK(pot_read(&p) == LH_OK, "a form measured thrown is read");
    CHECK_NEAR(p.whole.piece.outside_points[0].r, 48, 1e-12,
               "and kept leather-hard: 4 %% less across");
    CHECK_NEAR(p.whole.piece.outside->length, 96, 1e-9, "and in height");
    pot_close(&p);
  }
}

static void zones(void)
{
  refused("/zones/0/to_mm", "101", LH_RANGE, "/zones/0",
          "the zone reaches off the form");
  refused("/zones/0/from_mm", "95", LH_RANGE, "/zones/0", "the zone is empty");
  refused("/zones/0/from_mm", "-1", LH_RANGE, "/zones/0/from_mm", "too small");
  refused("/zones/-", "{\"id\": \"z2\", \"from_mm\": 89.9, \"to_mm\": 95}",
          LH_INPUT, "/zones/1", "overlaps the zone \"wall\"");
  taken("/zones/-", "{\"id\": \"z2\", \"from_mm\": 90, \"to_mm\": 95}",
        "zones that touch are taken");
  taken(
      "/zones/-",
      "{\"id\": \"z2\", \"face\": \"inside\", \"from_mm\": 50, \"to_mm\": 90}",
      "zones of two faces may lie behind each other");
  refused(
      "/zones/-",
      "{\"id\": \"z2\", \"face\": \"inside\", \"from_mm\": 0, \"to_mm\": 9}",
      LH_RANGE, "/zones/1", "a band cannot reach the middle");
  taken("/zones/-",
        "{\"id\": \"z2\", \"kind\": \"disc\", \"face\": \"inside\","
        " \"from_mm\": 0, \"to_mm\": 40}",
        "a disc can");
  refused("/zones/0/kind", "ring", LH_INPUT, "/zones/0/kind", "not known");
  {
    pot p;
    pot_open(&p);
    pot_set(&p, "/form/inside", "null");
    pot_set(&p, "/zones/0/face", "inside");
    CHECK(pot_read(&p) == LH_INPUT, "a zone inside wants an inside");
    CHECK_TEXT(p.fault.where, "/zones/0", "  at the zone");
    pot_close(&p);
  }
}

static void slips(void)
{
  refused("/slips/0/litre_weight_g", "1000", LH_RANGE,
          "/slips/0/litre_weight_g", "too small");
  refused("/slips/0/litre_weight_g", "2600", LH_RANGE,
          "/slips/0/litre_weight_g", "too large");
  /* A litre of 1480 g is 97 % solids of 1.5, but not all of 1.45. */
  taken("/slips/0/solids_density", "1.5", "a slip with a little water left");
  refused("/slips/0/solids_density", "1.45", LH_RANGE,
          "/slips/0/solids_density", "too small");
  refused("/slips/0/window/least_g_m2", "331", LH_RANGE, "/slips/0/window",
          "least_g_m2 is above most_g_m2");
  refused("/slips/0/window/best_g_m2", "100", LH_RANGE, "/slips/0/window",
          "best_g_m2 is outside the window");
  refused("/slips/0/coat_g_m2", "-1", LH_RANGE, "/slips/0/coat_g_m2", "small");
  refused("/body/reflectance", "1.1", LH_RANGE, "/body/reflectance", "large");
}

static void marks(void)
{
  refused("/painting/1/mark/path", "[]", LH_INPUT, "/painting/1/mark/path",
          "the path has no points");
  refused("/painting/1/mark/kind", "fill", LH_INPUT, "/painting/1/mark/path",
          "an outline wants at least 3 points");
  refused("/painting/1/mark/kind", "strok", LH_INPUT, "/painting/1/mark/kind",
          "the nearest is \"stroke\"");
  refused("/painting/1/mark/kind", "sgraffito", LH_INPUT,
          "/painting/1/mark/slip", "a sgraffito lays no slip");
  refused("/painting/1/mark/slip", "null", LH_INPUT, "/painting/1/mark/slip",
          "the slip is missing");
  refused("/motifs/0/marks/0/width_mm", "null", LH_INPUT, "/motifs/0/marks/0",
          "nothing says how wide");
  refused("/painting/1/mark/whole_zone", "true", LH_INPUT, "/painting/1/mark",
          "only a fill");
  refused("/motifs/0/marks/0",
          "{\"id\": \"d\", \"kind\": \"dab\", \"slip\": \"violet\","
          " \"width_mm\": 10, \"length_mm\": 14}",
          LH_RANGE, "/motifs/0/marks/0", "one and a half times");
  taken("/motifs/0/marks/0",
        "{\"id\": \"d\", \"kind\": \"dab\", \"slip\": \"violet\","
        " \"width_mm\": 10, \"length_mm\": 15}",
        "a dab one and a half times as long as wide is taken");
  refused("/painting/1/up_mm", "80.5", LH_RANGE, "/painting/1",
          "the mark's anchor is off its zone");
  refused("/painting/1/mark/path/0/width_mm", "-1", LH_RANGE,
          "/painting/1/mark/path/0/width_mm", "too small");
  refused("/painting/1/mark",
          "{\"id\": \"b\", \"kind\": \"banding line\", \"slip\": \"yellow\","
          " \"width_mm\": 2, \"y_mm\": 90}",
          LH_RANGE, "/painting/1/mark", "off its zone");
  /* 20 coats of 5,000 g/m2 are 100 kg on a square metre. */
  {
    pot p;
    pot_open(&p);
    pot_set(&p, "/slips/0/coat_g_m2", "5000");
    pot_set(&p, "/painting/0/mark/coats", "20");
    CHECK(lh_status_exit(pot_read(&p)) == 2, "a coat of 100 kg/m2 is refused");
    CHECK(strstr(p.fault.what, "far too heavy"), "  as far too heavy");
    pot_close(&p);
  }
}

static void repeats(void)
{
  refused("/painting/2/repeat/count", "0", LH_RANGE, "/painting/2/repeat/count",
          "too small");
  refused("/painting/2/repeat/way", "rosette", LH_INPUT,
          "/painting/2/repeat/way", "a disc's, not a band's");
  refused("/painting/2/repeat/exceptions/0/instance", "8", LH_RANGE,
          "/painting/2/repeat", "names no instance");
  /* 31 dots of 10 mm have 10.13 mm each of the way round, 32 have 9.82. */
  taken("/painting/2/repeat/count", "31", "31 dots of 10 mm go around");
  refused("/painting/2/repeat/count", "32", LH_RANGE, "/painting/2",
          "more than its repeat of 9.8");
  {
    pot p;
    pot_open(&p);
    pot_set(&p, "/painting/2/repeat/count", "32");
    pot_set(&p, "/painting/2/repeat/may_overlap", "true");
    CHECK(pot_read(&p) == LH_OK, "unless they may overlap");
    pot_set(&p, "/painting/2/repeat/may_overlap", "false");
    pot_set(&p, "/painting/2/repeat/exceptions",
            "[{\"instance\": 0, \"left_out\": true}]");
    CHECK(pot_read(&p) == LH_RANGE,
          "2. also when the first of them is left out");
    pot_close(&p);
  }
}

/* Thirteen runs of two slips in turn. */
static void layers(void)
{
  pot p;
  char item[200];

  pot_open(&p);
  pot_paint(&p, "[]");
  CHECK(pot_read(&p) == LH_OK, "a piece with nothing painted is read");
  for (int i = 0; i < 13; i++) {
    snprintf(item, sizeof item,
             "{\"id\": \"e%d\", \"zone\": \"wall\", \"up_mm\": 40, \"mark\":"
             " {\"id\": \"m%d\", \"kind\": \"dot\", \"width_mm\": 5,"
             " \"slip\": \"%s\"}}",
             i, i, i % 2 ? "yellow" : "violet");
    pot_set(&p, "/painting/-", item);
    if (i == 11) CHECK(pot_read(&p) == LH_OK, "12 layers are taken");
  }
  CHECK(pot_read(&p) == LH_TOOLARGE, "layer 13 is refused");
  CHECK_TEXT(p.fault.where, "/painting/12", "  where it begins");
  CHECK(strstr(p.fault.what, "12 layers"), "  and how many are taken");
  pot_close(&p);
}

/* ---- too much ----------------------------------------------------------- */

static void many(void)
{
  pot p;
  json_t *list, *mark;

  pot_open(&p);
  list = json_array();
  for (int i = 0; i < 100000; i++)
    json_array_append_new(list, json_pack("{s:s,s:s}", "id", "x", "zone", "w"));
  json_object_set_new(p.json, "painting", list);
  CHECK(pot_read(&p) == LH_TOOLARGE, "100,000 entries are refused");
  CHECK_TEXT(p.fault.where, "/painting", "  at the painting");
  pot_close(&p);

  /* A motif of 100 marks, 1,000 times round: 100,000 on the pot. */
  pot_open(&p);
  list = json_object_get(json_array_get(json_object_get(p.json, "motifs"), 0),
                         "marks");
  for (int i = 0; i < 99; i++) {
    char id[16];
    snprintf(id, sizeof id, "m%d", i);
    mark = json_pack("{s:s,s:s,s:s,s:f}", "id", id, "kind", "dot", "slip",
                     "violet", "width_mm", 0.1);
    json_array_append_new(list, mark);
  }
  pot_set(&p, "/painting/2/repeat", "{\"count\": 1000, \"may_overlap\": true}");
  CHECK(pot_read(&p) == LH_TOOLARGE, "100,000 marks by repeats are refused");
  CHECK_TEXT(p.fault.where, "/painting/2", "  at their entry");
  CHECK(strstr(p.fault.what, "20,000"), "  and how many are taken");

  /* 3. A motif of 100 marks that is left out of its only repeat, 400 times:
  ** it took room for all of them and was never counted. */
  for (int i = 0; i < 400; i++) {
    char item[200];
    snprintf(item, sizeof item,
             "{\"id\": \"e%d\", \"zone\": \"wall\", \"motif\": \"berry\","
             " \"repeat\": {\"count\": 1, \"exceptions\":"
             " [{\"instance\": 0, \"left_out\": true}]}}",
             i);
    if (i == 0) pot_paint(&p, "[]");
    pot_set(&p, "/painting/-", item);
  }
  CHECK(pot_read(&p) == LH_TOOLARGE, "40,000 marks left out are refused too");
  CHECK_TEXT(p.fault.where, "/painting/200", "  at number 20,001");
  pot_close(&p);
}

/* ---- versions ----------------------------------------------------------- */

static void versions(void)
{
  lh_fault fault = {0};
  size_t n;
  char *text = pot_text(pot_path, &n), *before, *after;
  json_t *json;

  CHECK(lh_json_parse(text, n, "v1", &json, &fault) == LH_OK, "stored file 1");
  before = lh_json_text(json);
  CHECK(lh_piece_migrate(json, &fault) == LH_OK, "version 1 passes through");
  after = lh_json_text(json);
  CHECK_TEXT(after, before, "and is not changed: it is the present version");
  free(text);
  free(before);
  free(after);
  json_decref(json);

  refused("/version", "2", LH_INPUT, "/version",
          "leatherhard.piece version 2 is newer than the version 1");
  refused("/version", "99999999999999999999", LH_INPUT, "/version", "newer");
  refused("/version", "1e300", LH_INPUT, "/version", "1e+300 is newer");
  refused("/version", "0", LH_INPUT, "/version", "missing or not");
  refused("/version", "1.5", LH_INPUT, "/version", "whole number");
  refused("/version", "\"one\"", LH_INPUT, "/version", "whole number");
  taken("/version", "1.0", "version 1.0 is a whole number");
  refused("/format", "leatherhard.form", LH_INPUT, "/format",
          "this is not a piece");
  refused("/format", "null", LH_INPUT, "/format", "this is not a piece");
  {
    static const char *const no[] = {"[]", "5", "null", "\"x\"", "{}"};
    for (size_t i = 0; i < sizeof no / sizeof no[0]; i++) {
      pot p;
      pot_open(&p);
      json_decref(p.json);
      p.json = json_loads(no[i], JSON_DECODE_ANY, NULL);
      CHECK(pot_read(&p) == LH_INPUT, "%s is no piece", no[i]);
      pot_close(&p);
    }
  }
}

/* Every key of the document, one after the other, taken out, made null, and
** made of a kind that it is not: refused with a place below it or taken,
** never anything else. */
static size_t tried, bad;

static void spoil_one(json_t *root, json_t *at, const char *key)
{
  static const char *const other[] = {"[]",           "{}",   "-7",
                                      "\"\xc3\xa9\"", "null", "1e308"};
  json_t *keep = json_incref(json_object_get(at, key));

  for (size_t i = 0; i <= sizeof other / sizeof other[0]; i++) {
    lh_fault fault = {0};
    lh_arena arena;
    lh_piece piece;
    lh_status st;
    if (i == 0)
      json_object_del(at, key);
    else
      json_object_set_new(at, key,
                          json_loads(other[i - 1], JSON_DECODE_ANY, NULL));
    lh_heap_open(&arena);
    st = lh_piece_read(root, &arena, &piece, &fault);
    lh_heap_free(&arena);
    tried++;
    if (st != LH_OK && (lh_status_exit(st) != 2 || fault.where[0] != '/' ||
                        !*fault.what || !*fault.todo)) {
      printf("# %s: %s %s %s\n", key, fault.where, fault.what, fault.todo);
      bad++;
    }
    json_object_set(at, key, keep);
  }
  json_decref(keep);
}

static void spoil(json_t *root, json_t *at)
{
  char name[64][40];
  size_t n = 0;
  const char *key;
  json_t *v;

  json_object_foreach(at, key, v)
  {
    snprintf(name[n++], sizeof name[0], "%s", key);
  }
  for (size_t k = 0; k < n; k++) {
    spoil_one(root, at, name[k]);
    v = json_object_get(at, name[k]);
    if (json_is_object(v)) spoil(root, v);
    for (size_t i = 0; i < json_array_size(v); i++)
      if (json_is_object(json_array_get(v, i)))
        spoil(root, json_array_get(v, i));
  }
}

static void spoiled(void)
{
  pot p;

  pot_open(&p);
  spoil(p.json, p.json);
  CHECK(tried > 700, "each key spoiled seven times: %zu documents", tried);
  CHECK(bad == 0, "each is taken, or refused with place, reason and advice");
  CHECK(pot_read(&p) == LH_OK, "and the piece is whole again");
  pot_close(&p);
}

int main(int argc, char **argv)
{
  if (argc != 2) return 2;
  pot_path = argv[1];
  whole();
  references();
  ids();
  forms();
  zones();
  slips();
  marks();
  repeats();
  layers();
  many();
  versions();
  spoiled();
  return CHECK_DONE();
}
