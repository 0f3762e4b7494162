/* SPDX-License-Identifier: GPL-3.0-or-later */
/* analysis_figure.c -- what one cell of an analysis says. */
#include <math.h>
#include <string.h>

#include "analysis.h"
#include "number.h"

static bool among(const char *s, const char *const *list)
{
  for (; *list; list++)
    if (strcmp(s, *list) == 0) return true;
  return false;
}

/* Nothing is told: common practice, no source.  "nd" may mean not detected
** or not determined: either way there is no figure. */
static bool tells_nothing(const char *text)
{
  static const char *const marks[] = {"",
                                      "-",
                                      "--",
                                      "\xe2\x80\x93",
                                      "\xe2\x80\x94",
                                      "\xe2\x88\x92",
                                      ".",
                                      "...",
                                      "/",
                                      "?",
                                      NULL};
  static const char *const words[] = {"na", "nd", "nil", "none", NULL};
  char folded[16];

  lh_analysis_fold(text, strlen(text), folded, sizeof folded);
  return among(text, marks) || among(folded, words);
}

static bool is_trace(const char *text)
{
  static const char *const words[] = {"trace",  "traces", "tr",     "spuren",
                                      "trazas", "tracce", "sporen", NULL};
  char folded[16];

  lh_analysis_fold(text, strlen(text), folded, sizeof folded);
  return among(folded, words);
}

/* Half a unit of the last digit that is written: "65.1" is 65.05 to 65.15. */
static double half_step(const char *s, size_t n)
{
  double step = 0.5;
  bool behind = false;

  for (size_t i = 0; i < n; i++) {
    if (s[i] == 'e' || s[i] == 'E') return 0.0;
    if (behind && s[i] >= '0' && s[i] <= '9') step /= 10.0;
    behind = behind || s[i] == '.' || s[i] == ',';
  }
  return step;
}

static bool number(const char *s, size_t n, double *v, double *step,
                   const char **what, const char **todo)
{
  lh_number_why why;

  while (n && (s[n - 1] == '%' || s[n - 1] == ' ')) n--;
  if (lh_number_read(s, n, v, &why, NULL) != LH_OK) {
    *what = lh_number_what(why), *todo = lh_number_todo(why);
    return false;
  }
  if (*v < 0.0 || *v > 100.0) {
    *what = "a figure is 0 to 100 % of the raw material";
    *todo = "look it up in the supplier's sheet; - leaves it open";
    return false;
  }
  *step = half_step(s, n);
  return true;
}

/* Length of a sign that means "less than" at s; 0 when there is none. */
static size_t less_than(const char *s)
{
  if (s[0] == '<') return s[1] == '=' ? 2 : 1;
  return strncmp(s, "\xe2\x89\xa4", 3) == 0 ? 3 : 0;
}

bool lh_analysis_figure_of(const char *text, double trace,
                           lh_analysis_figure *f, double *step,
                           const char **what, const char **todo)
{
  size_t n = strlen(text), less = less_than(text), sign = 3;
  const char *more = strstr(text, "+/-");

  *f = (lh_analysis_figure){false, 0.0, 0.0};
  *step = 0.0;
  if (tells_nothing(text)) return true;
  f->told = true;
  if (is_trace(text)) {
    f->e = trace;
    return true;
  }
  if (less) {
    double none;
    return number(text + less, n - less, &f->e, &none, what, todo);
  }
  if (!more) more = strstr(text, "\xc2\xb1"), sign = 2;
  if (more) {
    double none;
    if (!number(more + sign, strlen(more + sign), &f->e, &none, what, todo))
      return false;
    n = (size_t)(more - text);
  }
  return number(text, n, &f->percent, step, what, todo);
}
