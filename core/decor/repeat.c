/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "repeat.h"

static const struct {
  const char *name;
  size_t cell;
  bool disc;
} symmetry[LH_SYMMETRIES] = {
    [LH_P1] = {"p1", 1, false},     [LH_P11G] = {"p11g", 2, false},
    [LH_P1M1] = {"p1m1", 2, false}, [LH_P2] = {"p2", 2, false},
    [LH_P2MG] = {"p2mg", 4, false}, [LH_P11M] = {"p11m", 2, false},
    [LH_P2MM] = {"p2mm", 4, false}, [LH_CN] = {"cn", 1, true},
    [LH_DN] = {"dn", 2, true},
};

static bool known(lh_symmetry s)
{
  return (int)s >= 0 && s < LH_SYMMETRIES;
}

size_t lh_symmetry_cell(lh_symmetry s)
{
  return known(s) ? symmetry[s].cell : 0;
}

bool lh_symmetry_for_disc(lh_symmetry s)
{
  return known(s) && symmetry[s].disc;
}

const char *lh_symmetry_name(lh_symmetry s)
{
  return known(s) ? symmetry[s].name : NULL;
}

/* The image in place `which` of a cell, before the cell is moved along.
** a2 is twice the axis, half is T/2. */
static lh_placing image(lh_symmetry s, size_t which, double a2, double half)
{
  static const struct {
    bool flip_x, flip_y, shift;
  } images[LH_SYMMETRIES][LH_CELL_MOST] = {
      [LH_P11G] = {{0}, {false, true, true}},
      [LH_P1M1] = {{0}, {true, false, false}},
      [LH_P2] = {{0}, {true, true, false}},
      [LH_P2MG] = {{0},
                   {true, true, false},
                   {false, true, true},
                   {true, false, true}},
      [LH_P11M] = {{0}, {false, true, false}},
      [LH_P2MM] = {{0},
                   {true, false, false},
                   {false, true, false},
                   {true, true, false}},
      [LH_DN] = {{0}, {true, false, false}},
  };
  lh_placing p = LH_PLACING_SAME;

  p.flip_x = images[s][which].flip_x;
  p.flip_y = images[s][which].flip_y;
  p.turns = (p.flip_x ? a2 : 0.0) + (images[s][which].shift ? half : 0.0);
  return p;
}

static bool exception_fits(const lh_exception *e, size_t instances)
{
  return e->instance < instances && e->scale > 0.0 && e->scale <= 1000.0 &&
         e->move_turns >= -1000.0 && e->move_turns <= 1000.0 &&
         e->turn >= -1000.0 && e->turn <= 1000.0 && e->move_up >= -10000.0 &&
         e->move_up <= 10000.0;
}

lh_status lh_repeat_fill(const lh_repeat *r, lh_placing *out, size_t cap,
                         size_t *n)
{
  size_t cell = lh_symmetry_cell(r->symmetry), instances = cell * r->count;
  double a = r->axis_turns;

  *n = 0;
  if (!cell || r->count < 1 || r->count > LH_REPEATS_MOST) return LH_RANGE;
  if (!(a >= -1000.0 && a <= 1000.0)) return LH_RANGE;
  for (size_t i = 0; i < r->n_exceptions; i++) {
    const lh_exception *e = &r->exceptions[i];
    if (e->left_out ? e->instance >= instances : !exception_fits(e, instances))
      return LH_RANGE;
  }
  for (size_t i = 0; i < instances; i++) {
    lh_placing p =
        image(r->symmetry, i % cell, 2.0 * a, 0.5 / (double)r->count);
    bool left_out = false;

    p.instance = i;
    p.turns += (double)(i / cell) / (double)r->count;
    for (size_t k = 0; k < r->n_exceptions; k++) {
      const lh_exception *e = &r->exceptions[k];
      if (e->instance != i) continue;
      left_out = e->left_out;
      p.move_turns = e->move_turns;
      p.move_up = e->move_up;
      p.turn = e->turn;
      p.scale = e->scale;
    }
    if (left_out) continue;
    if (*n < cap) out[*n] = p;
    ++*n;
  }
  return *n > cap ? LH_TOOLARGE : LH_OK;
}
