/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_analysis.c -- any bytes as a supplier's table.
**
** What must hold: a table that is taken has materials with names, each its
** own, figures of 0 to 100, totals that are their sums, and says the same
** when it is written out plainly and read again; one that is refused says
** where (name:line:column), what and what to do.
*/
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analysis.h"
#include "heap.h"
#include "recipe_doc.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int ok)
{
  if (!ok) abort();
}

static void sound(const lh_analyses *all)
{
  must(all->count > 0 && all->count <= LH_ANALYSIS_MOST);
  for (size_t i = 0; i < all->count; i++) {
    const lh_analysis *m = &all->material[i];
    double sum = m->loi.percent;
    must(m->name && m->name[0] && m->line > 0);
    must(m->total > 0 && m->rounding >= 0);
    for (size_t k = 0; k < LH_OXIDE_FORMS; k++) {
      const lh_analysis_figure *f = &m->oxide[k];
      must(f->percent >= 0 && f->percent <= 100 && f->e >= 0 && f->e <= 100);
      must(f->told || f->percent == 0);
      sum += f->percent;
    }
    must(m->loi.percent >= 0 && m->loi.percent <= 100);
    must(fabs(sum - m->total) < 1e-9);
    for (size_t k = 0; k < i && i < 50; k++)
      must(strcmp(all->material[k].name, m->name) != 0);
  }
}

/* Written out in the plainest way, with a point and quoted names. */
static char *plainly(const lh_analyses *all, size_t *n)
{
  char *s = NULL;
  FILE *out = open_memstream(&s, n);

  must(out != NULL);
  fputs("name,LOI", out);
  for (size_t k = 0; k < LH_OXIDE_FORMS; k++)
    fprintf(out, ",%s", lh_oxide_symbol(k));
  fputc('\n', out);
  for (size_t i = 0; i < all->count; i++) {
    const lh_analysis *m = &all->material[i];
    fputc('"', out);
    for (const char *p = m->name; *p; p++)
      fprintf(out, "%s%c", *p == '"' ? "\"" : "", *p);
    fprintf(out, "\",%.17g", m->loi.percent);
    for (size_t k = 0; k < LH_OXIDE_FORMS; k++)
      fprintf(out, ",%.17g", m->oxide[k].percent);
    fputc('\n', out);
  }
  fclose(out);
  return s;
}

static void again(const lh_analyses *all, lh_arena *a)
{
  static const lh_analysis_ask ask = {"plain", NAN, NULL, 0};
  lh_fault fault = {0};
  lh_analyses back;
  size_t n;
  char *s = plainly(all, &n);

  if (n > 2000000) {
    free(s);
    return;
  }
  must(lh_analysis_read(s, n, &ask, a, &back, &fault) == LH_OK);
  must(back.count == all->count);
  for (size_t i = 0; i < all->count; i++) {
    const lh_analysis *m = &all->material[i], *b = &back.material[i];
    must(strcmp(m->name, b->name) == 0 && m->loi.percent == b->loi.percent);
    for (size_t k = 0; k < LH_OXIDE_FORMS; k++)
      must(m->oxide[k].percent == b->oxide[k].percent);
  }
  free(s);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  static const char *const out[] = {"mesh"};
  lh_analysis_ask ask = {"t", NAN, out, 1};
  lh_fault fault = {0};
  lh_analyses all;
  lh_arena a;
  lh_status st;

  lh_heap_open(&a);
  st = lh_analysis_read(data, size, &ask, &a, &all, &fault);
  if (st == LH_OK) {
    sound(&all);
    again(&all, &a);
  } else {
    must(st == LH_INPUT || st == LH_TOOLARGE);
    must(fault.where[0] == 't' && fault.what[0] && fault.todo[0]);
  }
  lh_heap_free(&a);
  return 0;
}
