/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spectra_say.c -- what was read from a file of spectra, for spectra.py.
**
**   spectra_say SCALE LIGHT <FILE
**
** SCALE and LIGHT as in spectra.h, -1: untold.  A fault is three lines and
** exit code 2.
*/
#include <stdio.h>
#include <stdlib.h>

#include "heap.h"
#include "spectra.h"

static void say(const lh_spectra *s)
{
  printf("%zu %d %d %d %d %d %d %zu %zu %zu %.17g %.17g %zu\n", s->count,
         s->exchange, s->lab, s->scale, (int)s->scale_by, s->geometry,
         (int)s->how.way, s->how.low, s->how.high, s->passed_over,
         s->grid.first, s->grid.step, s->grid.n);
  for (size_t i = 0; i < s->count; i++) {
    const lh_spectra_sample *t = &s->sample[i];
    printf("%s\n%s\n%zu", t->name, t->id ? t->id : "", t->line);
    if (s->lab) printf(" %.17g %.17g %.17g", t->lab.L, t->lab.a, t->lab.b);
    for (size_t w = 0; w < LH_WAVES && !s->lab; w++)
      printf(" %.17g", t->reflectance[w]);
    putchar('\n');
  }
}

int main(int argc, char **argv)
{
  lh_spectra_ask ask = {"f", argc > 1 ? atoi(argv[1]) : -1,
                        argc > 2 ? atoi(argv[2]) : -1};
  static unsigned char bytes[LH_SPECTRA_BYTES + 2];
  size_t n = fread(bytes, 1, sizeof bytes, stdin);
  lh_fault fault = {0};
  lh_spectra s;
  lh_arena a;
  lh_status st;

  lh_heap_open(&a);
  st = lh_spectra_read(bytes, n, &ask, &a, &s, &fault);
  if (st == LH_OK)
    say(&s);
  else
    printf("%s\n%s\n%s\n", fault.where, fault.what, fault.todo);
  lh_heap_free(&a);
  return st == LH_OK ? 0 : 2;
}
