/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pieces.h -- small pieces for the tests of this room.
**
** Each begins with tests/piece/v1-cylinder.json and changes it, as a person
** would with --set.  The wall is a cylinder of radius 50 mm, so that areas,
** distances and weights have closed forms.
*/
#ifndef PIECES_H
#define PIECES_H

#include <stdlib.h>

#include "check.h"
#include "heap.h"
#include "verdict.h"
#include "whole.h"

#define RADIUS 50.0 /* of the outside [mm] */
#define AROUND (2 * LH_PI * RADIUS)
#define ZONE_MM2 (AROUND * 80) /* the zone goes from 10 to 90 mm */
#define LH_PI 3.14159265358979323846

typedef struct {
  json_t *json;
  lh_arena arena;
  lh_fault fault;
  lh_status st;
  lh_whole whole; /* piece, cover, optics, jars, verdict */
} pot;

static const char *pot_path; /* of v1-cylinder.json */

/* The text of a file, free() it. */
__attribute__((unused)) static char *pot_text(const char *path, size_t *n)
{
  FILE *f = fopen(path, "rb");
  char *text = calloc(1, 1 << 20);

  *n = f && text ? fread(text, 1, (1 << 20) - 1, f) : 0;
  if (*n == 0) {
    printf("Bail out! cannot read %s\n", path);
    exit(1);
  }
  fclose(f);
  return text;
}

__attribute__((unused)) static void pot_open(pot *p)
{
  json_error_t e;

  *p = (pot){.json = json_load_file(pot_path, 0, &e)};
  if (!p->json) {
    printf("Bail out! %s: %s\n", pot_path, e.text);
    exit(1);
  }
  lh_heap_open(&p->arena);
}

__attribute__((unused)) static void pot_set(pot *p, const char *pointer,
                                            const char *value)
{
  lh_fault fault = {0};

  if (lh_json_set(p->json, pointer, value, &fault) == LH_OK) return;
  printf("Bail out! %s=%s: %s\n", pointer, value, fault.what);
  exit(1);
}

/* Take everything painted away but what is given. */
__attribute__((unused)) static void pot_paint(pot *p, const char *list)
{
  pot_set(p, "/painting", list);
}

__attribute__((unused)) static lh_status pot_read(pot *p)
{
  lh_heap_free(&p->arena);
  p->fault = (lh_fault){0};
  p->st = lh_piece_read(p->json, &p->arena, &p->whole.piece, &p->fault);
  return p->st;
}

/* Read and lay out.  0: the usual pixel. */
__attribute__((unused)) static lh_status pot_cover(pot *p, double pixel_mm)
{
  if (pot_read(p) != LH_OK) return p->st;
  p->st = lh_piece_cover_make(&p->whole.piece,
                              pixel_mm > 0 ? pixel_mm : LH_PIXEL_MM, &p->arena,
                              NULL, &p->whole.cover, &p->fault);
  return p->st;
}

/* All, with the verdict. */
__attribute__((unused)) static lh_status pot_judge(pot *p, double pixel_mm)
{
  lh_heap_free(&p->arena);
  p->fault = (lh_fault){0};
  p->st = lh_whole_make(p->json, pixel_mm > 0 ? pixel_mm : LH_PIXEL_MM,
                        &p->arena, NULL, &p->whole, &p->fault);
  return p->st;
}

__attribute__((unused)) static void pot_close(pot *p)
{
  json_decref(p->json);
  lh_heap_free(&p->arena);
}

/* The check about something; NULL when there is none. */
__attribute__((unused)) static const lh_check *pot_check(const pot *p,
                                                         const char *about)
{
  const lh_verdict *v = &p->whole.verdict;

  for (size_t i = 0; i < v->n; i++)
    if (strcmp(v->checks[i].about, about) == 0) return &v->checks[i];
  return NULL;
}

#endif
