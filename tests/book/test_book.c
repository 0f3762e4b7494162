/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The book, asked for what it promises: every save is a new revision, all of
** them can be read and brought back; undo and redo for each device, past a
** restart; edits merge or are both kept; hiding; searching; what is refused.
** The oracle for documents is the plain sequence of what was saved. */
#include "desk.h"

static void kinds(desk *d)
{
  static const struct {
    lh_book_kind kind;
    const char *document;
  } row[] = {
      {LH_BOOK_MATERIAL,
       "{\"name\":\"Pit clay (invented)\",\"formula\":\"Al2O3.2SiO2.2H2O\","
       "\"price_per_kg\":1.5,\"stock_g\":4000,\"hazards\":\"H372\"}"},
      {LH_BOOK_BODY,
       "{\"name\":\"Buff body (invented)\",\"reflectance\":0.45,\"recipe\":{"
       "\"kind\":\"body\",\"lines\":[{\"material\":\"quartz\",\"parts\":100}]},"
       "\"note\":\"dug by the brook\"}"},
      {LH_BOOK_SLIP,
       "{\"id\":\"blue\",\"name\":\"Blue slip\",\"absorption_m2_g\":0.01,"
       "\"scattering_m2_g\":0.01,\"litre_weight_g\":1400,\"coat_g_m2\":80}"},
      {LH_BOOK_GLAZE, "{\"id\":\"clear\",\"name\":\"Clear\",\"index\":1.5}"},
      {LH_BOOK_BRUSH, "{\"name\":\"Round\",\"width_mm\":6,\"note\":\"soft\"}"},
      {LH_BOOK_FORM,
       "{\"name\":\"Cylinder\",\"outside\":[{\"diameter_mm\":80,"
       "\"height_mm\":0},{\"diameter_mm\":80,\"height_mm\":90}]}"},
      {LH_BOOK_MOTIF, MOTIF},
      {LH_BOOK_FIRING,
       "{\"id\":\"f1\",\"name\":\"First\",\"peak_c\":1080,\"date\":"
       "\"2026-11-25\",\"kiln\":\"small\"}"},
      {LH_BOOK_TILE,
       "{\"name\":\"T1\",\"slip\":\"blue\",\"glaze\":\"clear\","
       "\"firing\":\"f1\",\"coat_g_m2\":120,\"lab_l\":40,\"lab_a\":1,"
       "\"lab_b\":-20}"},
      {LH_BOOK_TILE,
       "{\"name\":\"T2\",\"slip_name\":\"Green\",\"under_name\":\"White\","
       "\"under_g_m2\":220,\"body_name\":\"Red\",\"coats\":1,"
       "\"coat_g_m2\":75,\"coat_error_percent\":20,\"glaze_name\":"
       "\"Clear\",\"glaze_g_m2\":600,\"fired\":{\"peak_c\":1080},"
       "\"read_by\":\"photograph\",\"geometry\":\"45_0\",\"lab_l\":40,"
       "\"lab_a\":-20,\"lab_b\":5,\"reading_de00\":2.5,\"seen\":{\"x\":0.5,"
       "\"y\":0.4,\"radius\":0.03,\"patches\":[{\"name\":\"white\",\"x\":0.1,"
       "\"y\":0.1,\"radius\":0.02,\"lab\":[96,0,2]}]}}"},
      {LH_BOOK_NOTE,
       "{\"name\":\"Rims\",\"note\":\"two coats cracked it\",\"about\":["
       "\"blue\",\"reed\"]}"},
  };

  for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
    const char *name = lh_book_kind_name(row[i].kind);
    lh_status st = add(d, row[i].kind, row[i].document);
    CHECK(st == LH_OK && d->saved.number == 1 && d->saved.id[0],
          "a %s is kept (%s %s)", name, d->fault.where, d->fault.what);
    CHECK(lh_book_kind_find(name) == row[i].kind, "%s is found by name", name);
  }
  CHECK(lh_book_kind_find("bowl") == LH_BOOK_KINDS, "bowl is no kind");
  CHECK(!lh_book_kind_name(LH_BOOK_ANY), "any is no kind");
}

static void refusals(desk *d)
{
  static const struct {
    lh_book_kind kind;
    const char *document, *where;
    lh_status st;
  } row[] = {
      {LH_BOOK_MATERIAL, "{\"nam\":\"x\"}", "/nam", LH_INPUT},
      {LH_BOOK_MATERIAL, "[1]", "/", LH_INPUT},
      {LH_BOOK_BODY, "{\"reflectance\":2}", "/reflectance", LH_RANGE},
      {LH_BOOK_BODY, "{\"reflectance\":0.4,\"recipee\":{}}", "/recipee",
       LH_INPUT},
      {LH_BOOK_GLAZE, "{\"recipe\":{\"lines\":[{\"parts\":1}]}}",
       "/recipe/lines/0/material", LH_INPUT},
      {LH_BOOK_SLIP,
       "{\"id\":\"blue\",\"absorption_m2_g\":0.01,"
       "\"scattering_m2_g\":0.01,\"litre_weight_g\":1400,"
       "\"coat_g_m2\":80}",
       "/id", LH_CONFLICT},
      {LH_BOOK_BRUSH, "{\"id\":\"a b\",\"width_mm\":1}", "/id", LH_INPUT},
      {LH_BOOK_BRUSH, "{\"id\":\"a/b\",\"width_mm\":1}", "/id", LH_INPUT},
      {LH_BOOK_TILE, "{\"name\":\"T\",\"slip\":\"red\"}", "/slip", LH_INPUT},
      {LH_BOOK_TILE, "{\"name\":\"T\",\"slip\":\"clear\"}", "/slip", LH_INPUT},
      {LH_BOOK_TILE,
       "{\"name\":\"T\",\"seen\":{\"x\":1.5,\"y\":0,\"radius\":0.1,"
       "\"patches\":[]}}",
       "/seen/x", LH_RANGE},
      {LH_BOOK_TILE,
       "{\"name\":\"T\",\"seen\":{\"x\":0.5,\"y\":0,\"radius\":0.1,"
       "\"patches\":[{\"name\":\"w\",\"x\":0,\"y\":0,\"radius\":0.1}]}}",
       "/seen/patches/0/lab", LH_INPUT},
      {LH_BOOK_TILE, "{\"name\":\"T\",\"read_by\":\"eye\"}", "/read_by",
       LH_INPUT},
      {LH_BOOK_TILE, "{\"name\":\"T\",\"pictures\":[\"00\"]}", "/pictures/0",
       LH_INPUT},
      {LH_BOOK_NOTE, "{\"name\":\"N\",\"about\":[\"blue\",\"nothing\"]}",
       "/about/1", LH_INPUT},
      {LH_BOOK_PIECE, "{\"format\":\"leatherhard.piece\",\"version\":2}",
       "/version", LH_INPUT},
  };
  long long before, after;

  (void)lh_book_last(d->b, &before, NULL);
  for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
    lh_status st = add(d, row[i].kind, row[i].document);
    CHECK(st == row[i].st && strcmp(d->fault.where, row[i].where) == 0 &&
              d->fault.what[0] && d->fault.todo[0],
          "refused at %s: %s", row[i].where, row[i].document);
  }
  (void)lh_book_last(d->b, &after, NULL);
  CHECK(before == after, "and nothing of it is kept");
}

static void refused_edits(desk *d)
{
  CHECK(edit(d, "nobody", 1, "[]", "wheel") == LH_NOTFOUND,
        "an edit of what is not there");
  CHECK(edit(d, "blue", 9, "[{\"op\":\"remove\",\"path\":\"/name\"}]",
             "wheel") == LH_NOTFOUND,
        "an edit on a revision that is not there");
  CHECK(edit(d, "blue", 1,
             "[{\"op\":\"replace\",\"path\":\"/coat_g_m2\",\"value\":-1}]",
             "wheel") == LH_RANGE,
        "an edit that makes it wrong");
  CHECK_TEXT(d->fault.where, "/coat_g_m2", "says where in the document");
  CHECK(edit(d, "blue", 1,
             "[{\"op\":\"replace\",\"path\":\"/id\",\"value\":\"red\"}]",
             "wheel") == LH_INPUT,
        "an id never changes");
  CHECK(edit(d, "blue", 1, "[{\"op\":\"remove\",\"path\":\"/name\"}]", "") ==
            LH_INPUT,
        "a device has a name");
  CHECK(edit(d, "blue", 1, "[{\"op\":\"remove\",\"path\":\"/nme\"}]",
             "wheel") == LH_INPUT,
        "a patch that does not apply");
  CHECK_TEXT(text_at(d, "blue", 0),
             "{\"absorption_m2_g\":0.01,\"coat_g_m2\":80,\"id\":\"blue\","
             "\"litre_weight_g\":1400,\"name\":\"Blue slip\","
             "\"scattering_m2_g\":0.01}",
             "after all that the slip is as it was");
}

/* 200 edits; then every revision as it was saved, past three full copies. */
static void revisions(desk *d)
{
  static char was[202][128];
  char id[80];
  int same = 0;

  (void)add(d, LH_BOOK_NOTE, "{\"name\":\"log\",\"note\":\"0\"}");
  snprintf(id, sizeof id, "%s", d->saved.id);
  snprintf(was[1], sizeof was[1], "%s", text_at(d, id, 1));
  for (int i = 2; i <= 201; i++) {
    char patch[128];
    snprintf(patch, sizeof patch,
             "[{\"op\":\"replace\",\"path\":\"/note\",\"value\":\"%d\"}]", i);
    (void)edit(d, id, i - 1, patch, "wheel");
    snprintf(was[i], sizeof was[i],
             "{\"id\":\"%s\",\"name\":\"log\",\"note\":\"%d\"}", id, i);
  }
  CHECK(d->saved.number == 201 && d->saved.how == LH_BOOK_SAVED,
        "200 edits make 201 revisions");
  for (int i = 201; i >= 1; i--) same += strcmp(text_at(d, id, i), was[i]) == 0;
  CHECK(same == 201, "each can be read as it was: %d of 201", same);
  CHECK(lh_book_restore(d->b, id, 64, "wheel", &d->saved, &d->fault) == LH_OK &&
            d->saved.number == 202,
        "the 64th is brought back as the 202nd");
  CHECK_TEXT(text_at(d, id, 0), was[64], "and reads as it did");
  CHECK_TEXT(text_at(d, id, 201), was[201], "the 201st is still there");
  CHECK(lh_book_restore(d->b, id, 999, "wheel", &d->saved, &d->fault) ==
            LH_NOTFOUND,
        "one that never was cannot be brought back");
}

static void numbers(desk *d)
{
  (void)add(d, LH_BOOK_MATERIAL,
            "{\"name\":\"m\",\"formula\":\"SiO2\",\"density\":"
            "2.6500000000000004,\"stock_g\":1e3}");
  CHECK_TEXT(text_at(d, d->saved.id, 0),
             "{\"density\":2.65,\"formula\":\"SiO2\",\"name\":\"m\","
             "\"stock_g\":1000.0}",
             "numbers are kept to 15 significant digits");
}

/* A whole document saved is the edit between the two. */
static void whole(desk *d)
{
  json_t *v = json_of("{\"name\":\"Rims\",\"note\":\"three coats\"}");
  char id[80];

  (void)add(d, LH_BOOK_NOTE, "{\"name\":\"Rims\",\"note\":\"two coats\"}");
  snprintf(id, sizeof id, "%s", d->saved.id);
  d->fault = (lh_fault){0};
  CHECK(lh_book_save(d->b, id, 1, v, "wheel", true, &d->saved, &d->fault) ==
                LH_OK &&
            d->saved.number == 2,
        "a whole document is saved (%s)", d->fault.what);
  CHECK(lh_book_save(d->b, id, 2, v, "wheel", true, &d->saved, &d->fault) ==
                LH_OK &&
            d->saved.how == LH_BOOK_UNCHANGED && d->saved.number == 2,
        "the same again is no revision");
  CHECK(lh_book_save(d->b, id, 1, v, "kiln", true, &d->saved, &d->fault) ==
            LH_CONFLICT,
        "who asks to be exact is refused when somebody was first");
  d->fault = (lh_fault){0};
  json_decref(v);
}

/* ---- undo and redo ------------------------------------------------------ */

static void close_and_open(desk *d)
{
  lh_book_close(&d->b);
  d->fault = (lh_fault){0};
  CHECK(lh_book_open(d->path, LH_BOOK_OPEN, &d->b, &d->fault) == LH_OK,
        "closed and opened again (%s)", d->fault.what);
}

#define WIDTH(N) \
  "[{\"op\":\"replace\",\"path\":\"/width_mm\",\"value\":" #N "}]"

static double width_of(desk *d, const char *id)
{
  json_t *v = NULL;

  (void)lh_book_read(d->b, id, 0, &v, NULL, NULL);
  return json_number_value(json_object_get(v, "width_mm"));
}

static double turn(desk *d, const char *id, const char *device, bool redo)
{
  d->fault = (lh_fault){0};
  (redo ? lh_book_redo : lh_book_undo)(d->b, id, device, &d->saved, &d->fault);
  return width_of(d, id);
}

static void undo(desk *d)
{
  const char *id = "undo-brush";

  (void)add(d, LH_BOOK_BRUSH, "{\"id\":\"undo-brush\",\"width_mm\":1}");
  (void)edit(d, id, 1, WIDTH(2), "wheel");
  (void)edit(d, id, 2, WIDTH(3), "wheel");
  (void)edit(d, id, 3, WIDTH(4), "wheel");
  close_and_open(d);
  CHECK(turn(d, id, "wheel", false) == 3, "undo past a restart: 4 to 3");
  CHECK(turn(d, id, "wheel", false) == 2, "again: 2");
  CHECK(turn(d, id, "wheel", true) == 3, "redo: 3");
  close_and_open(d);
  CHECK(turn(d, id, "wheel", true) == 4, "redo past a restart: 4");
  CHECK(turn(d, id, "wheel", true) == 4 && d->saved.how == LH_BOOK_UNCHANGED,
        "nothing more to redo");
  CHECK(turn(d, id, "wheel", false) == 3, "undo of the redo: 3");
  CHECK(turn(d, id, "wheel", false) == 2, "2");
  CHECK(turn(d, id, "wheel", false) == 1, "1: to the beginning");
  CHECK(turn(d, id, "wheel", false) == 1 && d->saved.how == LH_BOOK_UNCHANGED,
        "nothing more to undo");
  CHECK(turn(d, id, "wheel", true) == 2, "redo from the beginning: 2");
  (void)edit(d, id, d->saved.number, WIDTH(9), "wheel");
  CHECK(turn(d, id, "wheel", true) == 9 && d->saved.how == LH_BOOK_UNCHANGED,
        "after a new edit there is nothing to redo");
  CHECK(turn(d, id, "wheel", false) == 2, "undo it: 2");
  CHECK(turn(d, id, "kiln", false) == 2 && d->saved.how == LH_BOOK_UNCHANGED,
        "another device has nothing to undo");
  (void)lh_book_hide(d->b, id, true, "wheel", &d->saved, &d->fault);
  (void)turn(d, id, "wheel", false);
  {
    lh_book_record r = {0};
    json_t *v;
    (void)lh_book_read(d->b, id, 0, &v, &r, NULL);
    CHECK(!r.hidden, "undo of hiding shows it");
  }
}

/* Against a plain stack: 400 seeded steps of edit, undo, redo. */
static void undo_against_a_stack(desk *d)
{
  static double done[500], undone[500];
  const char *id = "stack-brush";
  int n = 1, m = 0, same = 0, steps = 400;
  unsigned state = 6502;
  long head = 1;

  (void)add(d, LH_BOOK_BRUSH, "{\"id\":\"stack-brush\",\"width_mm\":1}");
  done[0] = 1;
  for (int i = 0; i < steps; i++) {
    unsigned what;
    state = state * 1103515245u + 12345u;
    what = (state >> 16) % 5;
    if (what < 2) {
      char patch[128];
      snprintf(patch, sizeof patch,
               "[{\"op\":\"replace\",\"path\":\"/width_mm\",\"value\":%d}]",
               2 + i % 200);
      if (done[n - 1] == 2 + i % 200) continue;
      (void)edit(d, id, head, patch, "wheel");
      done[n++] = 2 + i % 200;
      m = 0;
    } else if (what < 4) {
      (void)turn(d, id, "wheel", false);
      if (n > 1) undone[m++] = done[--n];
    } else {
      (void)turn(d, id, "wheel", true);
      if (m > 0) done[n++] = undone[--m];
    }
    head = d->saved.head;
    same += width_of(d, id) == done[n - 1];
  }
  CHECK(same == steps, "edit, undo, redo as a stack does it: %d of %d", same,
        steps);
}

/* ---- two devices -------------------------------------------------------- */

#define PUT(PATH, VALUE) \
  "[{\"op\":\"replace\",\"path\":\"" PATH "\",\"value\":" VALUE "}]"

static long asides(desk *d, const char *id)
{
  lh_book_record r = {0};
  json_t *v;

  d->fault = (lh_fault){0};
  (void)lh_book_read(d->b, id, 0, &v, &r, &d->fault);
  return r.asides;
}

static void two_devices(desk *d)
{
  const char *id = "reed";
  long head;

  CHECK(edit(d, id, 1, PUT("/marks/0/width_mm", "4"), "wheel") == LH_OK &&
            d->saved.how == LH_BOOK_SAVED,
        "the wheel widens the blade");
  CHECK(edit(d, id, 1, "[{\"op\":\"remove\",\"path\":\"/marks/1\"}]", "kiln") ==
                LH_OK &&
            d->saved.how == LH_BOOK_MERGED && d->saved.number == 3,
        "the kiln's tablet, from the same base, takes the tip away: merged");
  CHECK(edit(d, id, 2, PUT("/marks/2/width_mm", "5"), "wheel") == LH_OK &&
            d->saved.how == LH_BOOK_MERGED,
        "the wheel changes the root, which has moved up: merged");
  CHECK_TEXT(text_at(d, id, 0),
             "{\"id\":\"reed\",\"marks\":[" MARK("blade", "4") "," MARK(
                 "root", "5") "],\"name\":\"Reed\"}",
             "all three edits are there");
  head = d->saved.head;
  CHECK(edit(d, id, 1, PUT("/marks/0/width_mm", "7"), "kiln") == LH_OK &&
            d->saved.how == LH_BOOK_ASIDE && d->saved.head == head,
        "the blade again, from the first: kept aside");
  CHECK_TEXT(d->saved.met, "#blade", "and says what both touched");
  CHECK(asides(d, id) == 1, "one version waits for a choice");
  CHECK_TEXT(text_at(d, id, d->saved.number),
             "{\"id\":\"reed\",\"marks\":[" MARK("blade", "7") "," MARK(
                 "tip", "1") "," MARK("root", "2") "],\"name\":\"Reed\"}",
             "it can be read");
  CHECK(edit(d, id, d->saved.number, PUT("/name", "\"Rush\""), "kiln") ==
                LH_OK &&
            d->saved.how == LH_BOOK_ASIDE && asides(d, id) == 1,
        "who goes on from a version aside stays aside");
  CHECK(edit(d, id, head, PUT("/name", "\"Sedge\""), "wheel") == LH_OK,
        "meanwhile the wheel goes on");
  head = d->saved.number;
  CHECK(lh_book_choose(d->b, id, 6, true, "wheel", &d->saved, &d->fault) ==
                LH_OK &&
            asides(d, id) == 0,
        "taking it settles it");
  CHECK_TEXT(text_at(d, id, 0),
             "{\"id\":\"reed\",\"marks\":[" MARK("blade", "7") "," MARK(
                 "tip", "1") "," MARK("root", "2") "],\"name\":\"Rush\"}",
             "and makes it the newest");
  CHECK(strstr(text_at(d, id, head), "Sedge"), "what stood before is kept");
  CHECK(lh_book_choose(d->b, id, 6, true, "wheel", &d->saved, &d->fault) ==
            LH_NOTFOUND,
        "it cannot be chosen twice");
  d->fault = (lh_fault){0};
  (void)edit(d, id, 1, PUT("/name", "\"Weed\""), "kiln");
  CHECK(d->saved.how == LH_BOOK_ASIDE &&
            lh_book_choose(d->b, id, d->saved.number, false, "wheel", &d->saved,
                           &d->fault) == LH_OK &&
            asides(d, id) == 0 && strstr(text_at(d, id, 0), "Rush"),
        "another is left: what stands, stands");
}

static void undo_of_two(desk *d)
{
  const char *id = "two";

  (void)add(d, LH_BOOK_MOTIF,
            "{\"id\":\"two\",\"marks\":[" MARK("a", "1") "," MARK(
                "b", "1") "," MARK("c", "1") "]}");
  (void)edit(d, id, 1, "[{\"op\":\"remove\",\"path\":\"/marks/0\"}]", "wheel");
  (void)edit(d, id, 2, PUT("/marks/1/width_mm", "8"), "kiln");
  d->fault = (lh_fault){0};
  CHECK(lh_book_undo(d->b, id, "wheel", &d->saved, &d->fault) == LH_OK,
        "the wheel undoes past the kiln's edit (%s)", d->fault.what);
  CHECK_TEXT(text_at(d, id, 0),
             "{\"id\":\"two\",\"marks\":[" MARK("a", "1") "," MARK(
                 "b", "1") "," MARK("c", "8") "]}",
             "its mark is back in its place, the kiln's edit stays");
  (void)edit(d, id, 4, PUT("/marks/2/width_mm", "9"), "wheel");
  d->fault = (lh_fault){0};
  CHECK(lh_book_undo(d->b, id, "kiln", &d->saved, &d->fault) == LH_CONFLICT,
        "what somebody changed again is not undone");
  CHECK(strstr(d->fault.what, "#c"), "and it says what: %s", d->fault.what);
}

/* A slip that one takes away and the other begins to use: each edit is fine,
** both together are not. */
static void one_needs_what_the_other_takes(desk *d)
{
  static const char piece[] =
      "{\"format\":\"leatherhard.piece\",\"version\":1,\"id\":\"cup\","
      "\"name\":\"Cup\",\"form\":{\"outside\":[{\"diameter_mm\":80,"
      "\"height_mm\":0},{\"diameter_mm\":80,\"height_mm\":90}]},"
      "\"body\":{\"reflectance\":0.4},\"slips\":["
      "{\"id\":\"red\",\"absorption_m2_g\":0.01,\"scattering_m2_g\":0.01,"
      "\"litre_weight_g\":1400,\"coat_g_m2\":80},"
      "{\"id\":\"white\",\"absorption_m2_g\":0.01,\"scattering_m2_g\":0.01,"
      "\"litre_weight_g\":1400,\"coat_g_m2\":80}],"
      "\"zones\":[{\"id\":\"wall\",\"from_mm\":5,\"to_mm\":80}],"
      "\"painting\":[{\"id\":\"p1\",\"zone\":\"wall\",\"up_mm\":20,\"mark\":"
      "{\"id\":\"m1\",\"kind\":\"banding line\",\"slip\":\"white\","
      "\"width_mm\":2}}]}";

  CHECK(add(d, LH_BOOK_PIECE, piece) == LH_OK, "a piece is kept (%s %s)",
        d->fault.where, d->fault.what);
  (void)edit(d, "cup", 1, "[{\"op\":\"remove\",\"path\":\"/slips/0\"}]",
             "wheel");
  CHECK(edit(d, "cup", 1, PUT("/painting/0/mark/slip", "\"red\""), "kiln") ==
                LH_OK &&
            d->saved.how == LH_BOOK_ASIDE,
        "a mark that would name a slip taken away: kept aside");
  CHECK(strstr(d->saved.met, "needs"), "and it says so: %s", d->saved.met);
  /* 1: a zone past the lip cannot be read as a piece, but may be saved: it is
  ** no reason to keep another's edit aside. */
  (void)edit(d, "cup", 2, PUT("/zones/0/to_mm", "200"), "wheel");
  CHECK(edit(d, "cup", 2, PUT("/painting/0/mark/width_mm", "3"), "kiln") ==
                LH_OK &&
            d->saved.how == LH_BOOK_MERGED,
        "1: an unfinished piece merges like any other (%s)", d->saved.met);
  CHECK(edit(d, "cup", d->saved.head,
             "[{\"op\":\"add\",\"path\":\"/ask\",\"value\":{}}]",
             "wheel") == LH_INPUT,
        "a question is no part of a piece");
}

/* ---- lists and searches ------------------------------------------------- */

static bool count_records(void *user, const lh_book_record *r)
{
  (void)r;
  ++*(int *)user;
  return true;
}

static int found(desk *d, const char *words, lh_book_kind kind)
{
  int n = 0;

  d->fault = (lh_fault){0};
  if (lh_book_search(d->b, words, kind, 50, count_records, &n, &d->fault) !=
      LH_OK)
    return -1;
  return n;
}

static int listed(desk *d, lh_book_kind kind, bool hidden)
{
  int n = 0;

  (void)lh_book_list(d->b, kind, hidden, 0, 1000, count_records, &n, NULL);
  return n;
}

static void searches(desk *d)
{
  int tiles = listed(d, LH_BOOK_TILE, false);

  (void)add(d, LH_BOOK_NOTE,
            "{\"name\":\"Gr\xc3\xbcner Krug\",\"note\":\"copper ran, rim "
            "42\"}");
  CHECK(found(d, "gruner", LH_BOOK_ANY) == 1, "found without its accent");
  CHECK(found(d, "GR\xc3\x9cN", LH_BOOK_ANY) == 1, "and in capitals");
  CHECK(found(d, "krug copp", LH_BOOK_ANY) == 1,
        "by name and note, beginnings");
  CHECK(found(d, "krug cobalt", LH_BOOK_ANY) == 0, "all the words are wanted");
  CHECK(found(d, "copper", LH_BOOK_TILE) == 0, "of a kind only");
  CHECK(found(d, "copper\" OR \"rims", LH_BOOK_ANY) == 0,
        "quotes and operators are only words");
  CHECK(found(d, "* ^ : - ( )", LH_BOOK_ANY) == -1, "no word is refused");
  (void)lh_book_hide(d->b, d->saved.id, true, "wheel", &d->saved, &d->fault);
  CHECK(found(d, "gruner", LH_BOOK_ANY) == 0, "hidden is not found");
  CHECK(listed(d, LH_BOOK_NOTE, true) == 1, "but is in the list of the hidden");
  CHECK(text_at(d, d->saved.id, 0)[0] == '{', "and can be read");
  (void)lh_book_hide(d->b, d->saved.id, false, "wheel", &d->saved, &d->fault);
  CHECK(found(d, "gruner", LH_BOOK_ANY) == 1, "shown again it is found");
  (void)edit(d, d->saved.id, d->saved.number, PUT("/name", "\"Kanne\""),
             "wheel");
  CHECK(found(d, "gruner", LH_BOOK_ANY) == 0 &&
            found(d, "kanne", LH_BOOK_ANY) == 1,
        "a new name is found, the old is not");
  CHECK(tiles == 2 && listed(d, LH_BOOK_ANY, false) > 10, "lists count");
  {
    lh_book_record r = {0};
    json_t *v = NULL;
    (void)lh_book_named(d->b, LH_BOOK_MATERIAL, "Pit clay (invented)", &v, &r,
                        &d->fault);
    CHECK(v && json_number_value(json_object_get(v, "price_per_kg")) == 1.5,
          "a material is found by its name");
    CHECK(lh_book_named(d->b, LH_BOOK_MATERIAL, "no such", &v, &r, &d->fault) ==
                  LH_OK &&
              !v,
          "or is not");
  }
}

static bool keep_history(void *user, const lh_book_revision *r)
{
  char *text = user;
  size_t n = strlen(text);

  snprintf(text + n, 400 - n, "%ld:%s:%s%s%s ", r->number, r->act, r->device,
           r->aside ? ":aside" : "", r->hidden ? ":hidden" : "");
  return true;
}

static void histories(desk *d)
{
  char text[400] = "";
  long long last;

  (void)add(d, LH_BOOK_BRUSH, "{\"id\":\"h\",\"width_mm\":1}");
  (void)lh_book_last(d->b, &last, NULL);
  (void)edit(d, "h", 1, WIDTH(2), "wheel");
  (void)edit(d, "h", 1, WIDTH(3), "kiln");
  (void)lh_book_undo(d->b, "h", "wheel", &d->saved, &d->fault);
  (void)lh_book_redo(d->b, "h", "wheel", &d->saved, &d->fault);
  (void)lh_book_restore(d->b, "h", 1, "kiln", &d->saved, &d->fault);
  (void)lh_book_choose(d->b, "h", 3, true, "kiln", &d->saved, &d->fault);
  (void)lh_book_hide(d->b, "h", true, "wheel", &d->saved, &d->fault);
  (void)lh_book_history(d->b, "h", keep_history, text, &d->fault);
  CHECK_TEXT(text,
             "8:hide:wheel:hidden 7:choose:kiln 6:restore:kiln 5:redo:wheel "
             "4:undo:wheel 3:edit:kiln:aside 2:edit:wheel 1:new:wheel ",
             "the history, the newest first");
  text[0] = 0;
  (void)lh_book_since(d->b, last, keep_history, text, &d->fault);
  CHECK_TEXT(text,
             "2:edit:wheel 3:edit:kiln:aside 4:undo:wheel 5:redo:wheel "
             "6:restore:kiln 7:choose:kiln 8:hide:wheel:hidden ",
             "what was saved since, in order");
}

static void blobs(desk *d)
{
  static const unsigned char png[] = {137, 80, 78, 71, 13, 10, 26, 10, 0, 1};
  /* FIPS 180-4's example "abc", as NIST publishes it. */
  static const char abc[] =
      "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
  char hex[65], note[400];
  const char *media = NULL;
  const void *bytes = NULL;
  size_t n = 0;
  lh_arena a;

  CHECK(lh_book_blob_put(d->b, "application/octet-stream", "abc", 3, hex,
                         &d->fault) == LH_OK,
        "bytes are kept");
  CHECK_TEXT(hex, abc, "their name is SHA-256 of abc (FIPS 180-4)");
  CHECK(lh_book_blob_put(d->b, "application/octet-stream", "abc", 3, hex,
                         &d->fault) == LH_OK,
        "the same twice is kept once");
  CHECK(lh_book_blob_put(d->b, "image/jpeg", png, sizeof png, hex, &d->fault) ==
            LH_INPUT,
        "a PNG is no JPEG");
  d->fault = (lh_fault){0};
  CHECK(lh_book_blob_put(d->b, "text/html", "<b>", 3, hex, &d->fault) ==
            LH_INPUT,
        "a page is no picture");
  d->fault = (lh_fault){0};
  CHECK(lh_book_blob_put(d->b, "image/png", png, sizeof png, hex, &d->fault) ==
            LH_OK,
        "a picture is kept");
  lh_heap_open(&a);
  CHECK(lh_book_blob_get(d->b, hex, &a, &media, &bytes, &n, &d->fault) ==
                LH_OK &&
            n == sizeof png && memcmp(bytes, png, n) == 0,
        "and comes back");
  CHECK_TEXT(media, "image/png", "with its type");
  CHECK(lh_book_blob_get(d->b, "12", &a, &media, &bytes, &n, &d->fault) ==
            LH_NOTFOUND,
        "another does not");
  d->fault = (lh_fault){0};
  lh_heap_free(&a);
  snprintf(note, sizeof note, "{\"name\":\"P\",\"pictures\":[\"%s\"]}", hex);
  CHECK(add(d, LH_BOOK_NOTE, note) == LH_OK, "a note shows it (%s)",
        d->fault.what);
}

/* ---- out of memory ------------------------------------------------------ */

static long left; /* allocations until one fails; -1: none does */

static void *scarce(size_t n)
{
  if (left == 0) return NULL;
  if (left > 0) left--;
  return malloc(n);
}

/* JSON's memory runs out at each place in turn: an edit is saved whole or
** not at all, and the book goes on.  (jansson's parser does not always say
** that it was memory: then it is called wrong input.) */
static void scarcity(desk *d)
{
  long number = 1;
  int failed = 0, saved = 0, other = 0, wrong = 0;

  (void)add(d, LH_BOOK_BRUSH, "{\"id\":\"scarce\",\"width_mm\":1}");
  for (long n = 0; n < 600 && saved < 3; n += 3) {
    char patch[128];
    json_t *p;
    double before = width_of(d, "scarce"), now;
    lh_status st;
    snprintf(patch, sizeof patch,
             "[{\"op\":\"replace\",\"path\":\"/width_mm\",\"value\":%ld}]",
             2 + n % 200);
    p = json_of(patch);
    json_set_alloc_funcs(scarce, free);
    left = n;
    st =
        lh_book_edit(d->b, "scarce", number, p, "wheel", true, &d->saved, NULL);
    left = -1;
    json_set_alloc_funcs(malloc, free);
    now = width_of(d, "scarce");
    if (st == LH_OK) {
      saved++;
      number = d->saved.number;
      wrong += now != (double)(2 + n % 200);
    } else {
      *(st == LH_NOMEM || st == LH_INPUT ? &failed : &other) += 1;
      wrong += now != before;
    }
    json_decref(p);
  }
  CHECK(failed > 5 && saved == 3 && other == 0 && wrong == 0,
        "memory runs out at each place: %d refused, %d saved, %d other, "
        "%d wrong",
        failed, saved, other, wrong);
}

int main(void)
{
  desk d;

  CHECK(desk_open(&d), "a book is begun (%s)", d.fault.what);
  if (!d.b) return CHECK_DONE();
  kinds(&d);
  refusals(&d);
  refused_edits(&d);
  revisions(&d);
  numbers(&d);
  whole(&d);
  undo(&d);
  undo_against_a_stack(&d);
  two_devices(&d);
  undo_of_two(&d);
  one_needs_what_the_other_takes(&d);
  searches(&d);
  histories(&d);
  blobs(&d);
  scarcity(&d);
  CHECK(findings(&d) == 0, "after all that the book checks clean");
  CHECK(lh_book_rebuild(d.b, NULL, &d.fault) == LH_OK && findings(&d) == 0,
        "rebuilt, it checks clean");
  CHECK(found(&d, "kanne", LH_BOOK_ANY) == 1, "and finds what it found");
  desk_close(&d);
  return CHECK_DONE();
}
