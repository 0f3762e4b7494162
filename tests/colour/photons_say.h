/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photons_say.h -- the tables of test_photons.c for docs/colour.md, and the
** check that they stand there as they are.  Read once, by test_photons.c. */

/* Printing into a text that grows. */
typedef struct {
  char *text;
  size_t n, room;
} saying;

__attribute__((format(printf, 2, 3))) static void say(saying *s,
                                                      const char *format, ...)
{
  va_list ap;
  int more;

  if (s->n + 500 > s->room) {
    s->room = 2 * s->room + 2000;
    s->text = realloc(s->text, s->room);
    if (!s->text) exit(3);
  }
  va_start(ap, format);
  more = vsnprintf(s->text + s->n, s->room - s->n, format, ap);
  va_end(ap);
  s->n += (size_t)more;
}

/* Model less transport, in hundredths of the light. */
static void say_grid(saying *s, int way)
{
  say(s, "| μs X | ground |");
  for (size_t i = 0; i < ABSORBING; i++) say(s, " μa/μs %g |", k_of[i]);
  say(s, "\n|---|---|---|---|---|---|---|---|\n");
  for (size_t n = 0; n < DEPTHS; n++)
    for (size_t g = 0; g < GROUNDS; g++) {
      say(s, "| %g | %g |", depth_of[n], ground_of[g]);
      for (size_t i = 0; i < ABSORBING; i++) {
        double e = exact_of[way][n][GROUNDS * i + g];
        say(s, " %.1f %+.1f |", 100 * e,
            100 * (model(way, depth_of[n], k_of[i], ground_of[g]) - e));
      }
      say(s, "\n");
    }
}

/* Endless layers: the relations side by side. */
static void say_relations(saying *s)
{
  say(s, "| μa/μs | exact (H) | S = ¾ μs | S = ¾ μs − ¼ μa | S = ¾ μs − μa |\n"
         "|---|---|---|---|---|\n");
  for (size_t i = 1; i < ABSORBING; i++) {
    static const double less[] = {0, 0.25, 1};
    double h = h_endless(1 / (1 + k_of[i]));
    say(s, "| %g | %.2f |", k_of[i], 100 * h);
    for (size_t n = 0; n < 3; n++) {
      double S = 0.75 - less[n] * k_of[i];
      if (S > 0)
        say(s, " %+.2f |", 100 * (lh_layer_endless(2 * k_of[i], S) - h));
      else
        say(s, " none |");
    }
    say(s, "\n");
  }
}

/* Colours of slips, and the worst of those between the tiles. */
static void say_colours(saying *s, int which, off *worst)
{
  say(s, "| slip | by the theory's K, S: mean, most | learnt, on its tiles | "
         "learnt, between them |\n|---|---|---|---|\n");
  for (size_t i = 0; i < SLIPS; i++) {
    off o[3];
    colours_off(&all[which][i], o);
    say(s, "| %s |", slips[i].name);
    for (int n = 0; n < 3; n++) say(s, " %.1f, %.1f |", o[n].mean, o[n].most);
    say(s, "\n");
    worst->mean = fmax(worst->mean, o[2].mean);
    worst->most = fmax(worst->most, o[2].most);
  }
}

/* Every slip over every other. */
static void say_overlaps(saying *s, off *worst)
{
  say(s, "| upper slip, over |");
  for (size_t i = 0; i < SLIPS; i++) say(s, " %s |", slips[i].name);
  say(s, "\n|---|---|---|---|---|\n");
  for (size_t i = 0; i < SLIPS; i++) {
    say(s, "| %s |", slips[i].name);
    for (size_t j = 0; j < SLIPS; j++) {
      off o = {0, 0};
      for (size_t n = 0; n < KEPT; n++) overlap_off(i, j, n, &o);
      say(s, " %.1f, %.1f |", o.mean, o.most);
      worst->mean = fmax(worst->mean, o.mean);
      worst->most = fmax(worst->most, o.most);
    }
    say(s, "\n");
  }
}

static off all_of(saying *s)
{
  off worst = {0, 0};

  say(s, "Even light, no surface:\n\n");
  say_grid(s, WITHIN);
  say(s, "\nUnder the glaze, d/8 without the shine:\n\n");
  say_grid(s, IN_AT_8);
  say(s, "\nLayers without end:\n\n");
  say_relations(s);
  say(s, "\nΔE00, d/8:\n\n");
  say_colours(s, 0, &worst);
  say(s, "\nΔE00, 45/0:\n\n");
  say_colours(s, 1, &worst);
  say(s, "\nΔE00, one slip over another, d/8, mean and most:\n\n");
  say_overlaps(s, &worst);
  return worst;
}

static char *say_all(void)
{
  saying s = {NULL, 0, 0};

  all_of(&s);
  return s.text;
}

static char *file_text(const char *folder)
{
  char path[4096], *text = calloc(1, 200000);
  FILE *f;

  snprintf(path, sizeof path, "%s/docs/colour.md", folder);
  f = fopen(path, "r");
  if (!f || !text) {
    free(text);
    return NULL;
  }
  if (fread(text, 1, 199999, f) == 0) text[0] = 0;
  fclose(f);
  return text;
}

/* Word for word, numbers to one of their last printed digit: they are rounded
** from a libm's logarithms. */
static int same_words(const char *is, const char *should, char *word, size_t n)
{
  while (*should) {
    size_t a = strcspn(is, " \n"), b = strcspn(should, " \n");
    char *end_a, *end_b;
    double x = strtod(is, &end_a), y = strtod(should, &end_b);
    snprintf(word, n, "%.*s, now %.*s", (int)a, is, (int)b, should);
    if (a != b || strncmp(is, should, a) != 0) {
      const char *point = memchr(should, '.', b);
      double last = 1;
      for (const char *d = point ? point + 1 : end_b; d < end_b; d++)
        last /= 10;
      if (end_a == is || end_b == should || !(fabs(x - y) < 1.01 * last))
        return 0;
    }
    is += a + (is[a] != 0);
    should += b + (should[b] != 0);
  }
  return 1;
}

static void written(const char *folder)
{
  saying s = {NULL, 0, 0};
  off worst = all_of(&s);
  char *doc = file_text(folder), word[200] = "";
  const char *from = doc ? strstr(doc, "<!-- photons -->\n") : NULL;

  CHECK(from != NULL, "docs/colour.md has its tables");
  if (from)
    CHECK(same_words(from + 17, s.text, word, sizeof word),
          "and they stand as they are worked out: %s", word);
  /* What docs/colour.md promises of numbers learnt from tiles. */
  CHECK(worst.mean < 1, "learnt, between the tiles: dE00 %.2f in the mean",
        worst.mean);
  CHECK(worst.most < 2, "and %.2f at most", worst.most);
  free(doc);
  free(s.text);
}
