/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What changes when one recipe takes another's place. */
#include "change.h"
#include "check.h"
#include "heap.h"

static lh_arena arena;

static json_t *read_docs; /* what the sides point into */

/* A recipe as a document has it, found and looked at.  What it points to
** stays until the end of the test. */
static lh_change_side look(const char *text)
{
  lh_recipe_doc *doc = lh_arena_take(&arena, 1, sizeof *doc);
  lh_recipe_found *found = lh_arena_take(&arena, 1, sizeof *found);
  lh_list none = {NULL, 0};
  lh_change_side side = {0};
  lh_fault fault = {0};
  json_t *json = json_loads(text, 0, NULL);

  CHECK(lh_fields_read(&lh_recipe_table, json, NULL, &arena, doc, &fault) ==
                LH_OK &&
            lh_recipe_find(doc, &none, NULL, NULL, &arena, found, &fault) ==
                LH_OK &&
            lh_change_look(found, &side) == LH_OK,
        "read: %.60s", text);
  read_docs = json_pack("[O,o?]", json, read_docs);
  json_decref(json);
  return side;
}

static const char glaze_old[] =
    "{\"lines\": [{\"material\": \"potash feldspar\", \"parts\": 40},"
    "{\"material\": \"whiting\", \"parts\": 20},"
    "{\"material\": \"kaolin\", \"parts\": 10},"
    "{\"material\": \"quartz\", \"parts\": 30}]}";
static const char glaze_new[] =
    "{\"lines\": [{\"material\": \"potash feldspar\", \"parts\": 40},"
    "{\"material\": \"wollastonite\", \"parts\": 20},"
    "{\"material\": \"kaolin\", \"parts\": 10},"
    "{\"material\": \"barium carbonate\", \"parts\": 5},"
    "{\"material\": \"quartz\", \"parts\": 25}]}";

static double json_at(json_t *o, const char *key, const char *part)
{
  json_t *v = json_object_get(json_object_get(o, key), part);
  return v ? json_number_value(v) : NAN;
}

/* Loss on ignition by molar weights of CIAAW's abridged atomic weights:
** CaCO3 100.086, CO2 44.009, BaCO3 197.34, kaolinite 258.156, 2 H2O 36.030.
*/
static void test_glaze(void)
{
  lh_change_side old = look(glaze_old), new_ = look(glaze_new);
  lh_change_tried tried = {.book = false};
  lh_reply r = {.arena = &arena, .json = json_object()};
  const char *bring, *codes = lh_change_hazards(&arena, &old, &new_, &bring);
  double before = 20.0 * 44.009 / 100.086 + 10.0 * 36.030 / 258.156;
  double after = 5.0 * 44.009 / 197.336 + 10.0 * 36.030 / 258.156;

  CHECK_TEXT(codes, "H302", "barium carbonate brings H302");
  CHECK_TEXT(bring, "barium carbonate", "and is named for it");
  lh_change_put(&r, NULL, &old, &new_, LH_KIND_GLAZE, &tried);
  CHECK_NEAR(json_at(r.json, "loi_percent", "old"), before, 2e-3,
             "loss on ignition of the old");
  CHECK_NEAR(json_at(r.json, "loi_percent", "new"), after, 2e-3,
             "loss on ignition of the new");
  CHECK_NEAR(json_at(r.json, "loi_percent", "change"), after - before, 4e-3,
             "new less old");
  CHECK(json_array_size(json_object_get(r.json, "expansion")) == 4 &&
            json_array_size(json_object_get(r.json, "viscosity")) == 2,
        "each model of expansion and viscosity by itself");
  CHECK(!json_object_get(r.json, "bars"), "no bars for a glaze");
  CHECK(json_is_false(json_object_get(r.json, "book_open")) &&
            json_array_size(json_object_get(r.json, "never_on_a_tile")) == 0,
        "without a book nothing is said of tiles");
  lh_reply_free(&r);
}

static void test_slip(void)
{
  lh_change_side old =
      look("{\"kind\": \"slip\", \"lines\": ["
           "{\"material\": \"ball clay\", \"parts\": 50},"
           "{\"material\": \"kaolin\", \"parts\": 25},"
           "{\"material\": \"quartz\", \"parts\": 25}],"
           "\"additions\": [{\"material\": \"blue stain (invented)\","
           "\"percent\": 25}]}");
  lh_change_side new_ = look("{\"kind\": \"slip\", \"lines\": ["
                             "{\"material\": \"bentonite\", \"parts\": 10},"
                             "{\"material\": \"kaolin\", \"parts\": 65},"
                             "{\"material\": \"quartz\", \"parts\": 25}]}");
  const char *names[] = {"kaolin", "quartz"};
  lh_change_tried tried = {true, names, 2};
  lh_reply r = {.arena = &arena, .json = json_object()};
  json_t *never;

  CHECK_NEAR(old.plastic_percent, 40.0, 1e-9,
             "50 of 125 parts are plastic clay");
  CHECK_NEAR(new_.plastic_percent, 10.0, 1e-9, "10 of 100 are");
  lh_change_put(&r, NULL, &old, &new_, LH_KIND_SLIP, &tried);
  CHECK(!json_object_get(r.json, "expansion") &&
            !json_object_get(r.json, "viscosity"),
        "a slip is no melt: no expansion, no viscosity");
  CHECK(json_array_size(json_object_get(r.json, "bars")) == 2,
        "but a shrinkage bar and a curl bar");
  CHECK(strstr(lh_change_bar(&arena, false, &old, &new_), "40.0 to 10.0"),
        "because of the clay: from 40 to 10 per cent");
  never = json_object_get(r.json, "never_on_a_tile");
  CHECK(json_array_size(never) == 1 &&
            !strcmp(json_string_value(json_array_get(never, 0)), "bentonite"),
        "bentonite was on no tile");
  lh_reply_free(&r);
}

/* A bare formula fires to itself. */
static void test_formula(void)
{
  double mol[LH_OXIDES] = {0.0};
  lh_change_side s;

  mol[lh_oxide_find("K2O")] = 0.3;
  mol[lh_oxide_find("CaO")] = 0.7;
  mol[lh_oxide_find("Al2O3")] = 0.5;
  mol[lh_oxide_find("SiO2")] = 4.0;
  CHECK(lh_change_look_formula(mol, &s) == LH_OK, "cone 4's formula");
  CHECK_NEAR(s.fired.unity[lh_oxide_find("SiO2")], 4.0, 1e-12, "its silica");
  CHECK_NEAR(s.fired.loi_percent, 0.0, 1e-9, "and nothing burns away");
}

int main(void)
{
  lh_heap_open(&arena);
  test_glaze();
  test_slip();
  test_formula();
  lh_heap_free(&arena);
  json_decref(read_docs);
  return CHECK_DONE();
}
