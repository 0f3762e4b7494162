/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_spectra.c -- any bytes as a file of spectra.
**
** What must hold: a file that is taken has samples with names, each its own,
** readings that are numbers from 0 up, and says the same when it is written
** out as a plain table at our wavelengths and read again; one that is refused
** says where (name:line:column), what and what to do.
*/
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "heap.h"
#include "spectra.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int ok)
{
  if (!ok) abort();
}

/* The largest reading; that of a curve between readings may swing past them,
** and the two readings made up at an end weigh by up to 14. */
static double sound(const lh_spectra *s)
{
  double most = 0;

  must(s->count > 0 && s->count <= LH_SPECTRA_SAMPLES);
  for (size_t i = 0; i < s->count; i++) {
    const lh_spectra_sample *t = &s->sample[i];
    must(t->name && t->name[0] && t->line > 0 && t->column > 0);
    for (size_t w = 0; w < LH_WAVES && !s->lab; w++) {
      must(t->reflectance[w] >= 0 && t->reflectance[w] < 100);
      most = fmax(most, t->reflectance[w]);
    }
    if (s->lab) must(!isnan(t->lab.L));
    for (size_t k = 0; k < i && i < 50; k++)
      must(strcmp(s->sample[k].name, t->name) != 0);
  }
  if (!s->lab)
    must(s->how.low <= LH_RESAMPLE_HELD && s->how.high <= LH_RESAMPLE_HELD);
  return most;
}

static char *plainly(const lh_spectra *s, size_t *n)
{
  char *text = NULL;
  FILE *out = open_memstream(&text, n);

  must(out != NULL);
  fputs("nm", out);
  for (size_t i = 0; i < s->count; i++) {
    fputs(",\"", out);
    for (const char *p = s->sample[i].name; *p; p++)
      fprintf(out, "%s%c", *p == '"' ? "\"" : "", *p);
    fputc('"', out);
  }
  for (size_t w = 0; w < LH_WAVES; w++) {
    fprintf(out, "\n%g", lh_wave_nm(w));
    for (size_t i = 0; i < s->count; i++)
      fprintf(out, ",%.17g", s->sample[i].reflectance[w]);
  }
  fclose(out);
  return text;
}

static void again(const lh_spectra *s, lh_arena *a)
{
  static const lh_spectra_ask ask = {"p", LH_SCALE_FRACTION, -1};
  lh_fault fault = {0};
  lh_spectra back;
  size_t n;
  char *text;

  /* A table's line has a limit, and so have its cells; and spaces around a
  ** name go in a table. */
  if (s->count > 400) return;
  for (size_t i = 0; i < s->count; i++) {
    const char *name = s->sample[i].name;
    if (strlen(name) > 1900 || strpbrk(name, " \t\x7f\xc2")) return;
  }
  text = plainly(s, &n);
  if (n < LH_SPECTRA_BYTES) {
    must(lh_spectra_read(text, n, &ask, a, &back, &fault) == LH_OK);
    must(back.count == s->count && back.how.way == LH_RESAMPLE_AS_IS);
    for (size_t i = 0; i < s->count; i++) {
      must(strcmp(back.sample[i].name, s->sample[i].name) == 0);
      for (size_t w = 0; w < LH_WAVES; w++) {
        double d = back.sample[i].reflectance[w] - s->sample[i].reflectance[w];
        must(fabs(d) == 0);
      }
    }
  }
  free(text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  for (int light = -1; light <= LH_D65; light++) {
    lh_spectra_ask ask = {"t", LH_SCALE_UNTOLD, light};
    lh_fault fault = {0};
    lh_spectra s;
    lh_arena a;
    lh_status st;
    lh_heap_open(&a);
    st = lh_spectra_read(data, size, &ask, &a, &s, &fault);
    if (st == LH_OK) {
      double most = sound(&s);
      if (!s.lab && most <= LH_SCALE_MOST) again(&s, &a);
    } else {
      must(st == LH_INPUT || st == LH_RANGE || st == LH_TOOLARGE);
      must(fault.where[0] == 't' && fault.what[0] && fault.todo[0]);
    }
    lh_heap_free(&a);
  }
  return 0;
}
