/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "whole.h"

lh_status lh_whole_make(json_t *json, double pixel_mm, lh_arena *a,
                        const lh_watch *watch, lh_whole *w, lh_fault *fault)
{
  lh_verdict_input in = {&w->cover, &w->optics, NULL};
  lh_status st = lh_piece_read(json, a, &w->piece, fault);
  size_t n;

  if (st != LH_OK) return st;
  st = lh_piece_cover_make(&w->piece, pixel_mm, a, watch, &w->cover, fault);
  if (st == LH_OK)
    st =
        lh_piece_optics_make(&w->piece, LH_D8_EX, LH_D65, a, &w->optics, fault);
  if (st != LH_OK) return st;
  n = w->piece.doc->slips.count;
  w->jars = lh_arena_take(a, n, sizeof *w->jars);
  if (!w->jars) return lh_fault_plain(fault, LH_NOMEM, "/slips");
  for (size_t i = 0; i < n && st == LH_OK; i++)
    st = lh_jar_make(&w->cover, i, a, &w->jars[i], fault);
  if (st != LH_OK) return st;
  in.jars = w->jars;
  return lh_fault_plain(fault, lh_verdict_make(&in, a, &w->verdict), "/");
}
