/* SPDX-License-Identifier: GPL-3.0-or-later */
/* flatten.c -- each painted zone of a piece as a flat array, for the
** comparison of the native laying with WebAssembly's.
**
**   flatten piece.json FOLDER      writes FOLDER/ZONE.flat, prints the paths
*/
#include <stdio.h>

#include "cover.h"
#include "file.h"
#include "heap.h"
#include "piece.h"

/* As piece/cover.c fits a zone's pixels. */
static int largest_repeat(const lh_piece_zone *z)
{
  long most = 1;

  for (size_t i = 0; i < z->n_groups; i++) {
    const lh_repeat_doc *r = z->entries[i].doc->repeat;
    if (r && r->count > most) most = r->count;
  }
  return (int)most;
}

static lh_status zone(const lh_piece *p, const lh_piece_zone *z,
                      const char *folder, lh_arena *a, lh_fault *fault)
{
  const lh_form_doc *form = p->doc->form;
  bool inside = z->zone.face == LH_INSIDE;
  lh_painted painted = {
      .profile = inside ? p->inside_points : p->outside_points,
      .n_profile = inside ? form->inside.count : form->outside.count,
      .zone = z->zone,
      .pixel = LH_PIXEL_MM,
      .multiple = largest_repeat(z),
      .groups = z->groups,
      .n_groups = z->n_groups};
  char path[512];
  double *out;
  size_t n = 0;
  lh_status st = lh_decor_flatten(&painted, NULL, 0, &n);

  if (st != LH_TOOLARGE) return st;
  out = lh_arena_take(a, n, sizeof *out);
  if (!out) return LH_NOMEM;
  st = lh_decor_flatten(&painted, out, n, &n);
  snprintf(path, sizeof path, "%s/%s.flat", folder, z->doc->id);
  if (st == LH_OK) st = lh_file_write(path, out, n * sizeof *out, fault);
  if (st == LH_OK) puts(path);
  return st;
}

int main(int argc, char **argv)
{
  lh_fault fault = {0};
  const void *bytes = NULL;
  json_t *json = NULL;
  lh_piece p;
  lh_arena a;
  lh_status st;
  size_t n = 0;

  if (argc != 3) return 2;
  lh_heap_open(&a);
  st = lh_file_read(argv[1], LH_DOCUMENT_MOST, &a, &bytes, &n, &fault);
  if (st == LH_OK) st = lh_json_parse(bytes, n, argv[1], &json, &fault);
  if (st == LH_OK) st = lh_piece_read(json, &a, &p, &fault);
  for (size_t i = 0; st == LH_OK && i < p.n_zones; i++)
    if (p.zones[i].n_groups > 0)
      st = zone(&p, &p.zones[i], argv[2], &a, &fault);
  if (st != LH_OK)
    fprintf(stderr, "%s: %s (%s)\n", fault.where, fault.what,
            lh_status_text(st));
  json_decref(json);
  lh_heap_free(&a);
  return st == LH_OK ? 0 : 1;
}
