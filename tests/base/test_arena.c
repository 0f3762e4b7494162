/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdint.h>
#include <stdlib.h>

#include "arena.h"
#include "check.h"

/* An owner that gives blocks full of 0xA5 and can run dry. */
typedef struct {
  void *block[64];
  int n, most;
} owner;

static void *give(lh_arena *a, size_t n)
{
  owner *o = a->blocks;
  void *p;

  if (o->n == o->most) return NULL;
  p = malloc(n);
  if (p) memset(p, 0xA5, n);
  o->block[o->n++] = p;
  return p;
}

static void drop(owner *o)
{
  while (o->n > 0) free(o->block[--o->n]);
}

static int is_zero(const unsigned char *p, size_t n)
{
  for (size_t i = 0; i < n; i++)
    if (p[i]) return 0;
  return 1;
}

int main(void)
{
  owner o = {.most = 64};
  lh_arena a = {.more = give, .blocks = &o};
  unsigned char *p[200], *big, *after;
  int aligned = 1, zero = 1, apart = 1, blocks;

  for (size_t i = 0; i < 200; i++) {
    p[i] = lh_arena_take(&a, i + 1, 7);
    if (!p[i]) {
      CHECK(0, "room for %zu", i);
      break;
    }
    aligned = aligned && (uintptr_t)p[i] % 16 == 0;
    zero = zero && is_zero(p[i], (i + 1) * 7);
    memset(p[i], (int)(i % 250) + 1, (i + 1) * 7);
  }
  for (size_t i = 0; i < 200; i++)
    for (size_t k = 0; k < (i + 1) * 7; k++)
      apart = apart && p[i][k] == (unsigned char)(i % 250 + 1);
  CHECK(aligned, "every piece begins on 16 bytes");
  CHECK(zero, "every piece is zeroed");
  CHECK(apart, "no two pieces share a byte");
  CHECK(o.n == 3, "200 small pieces of 140 kB come from three blocks");
  CHECK(a.total == 3 * 65536, "what was asked of the owner is counted");

  blocks = o.n;
  big = lh_arena_take(&a, 1, 1000000);
  CHECK(big && is_zero(big, 1000000), "a megabyte, zeroed");
  CHECK(o.n == blocks + 1, "it gets a block of its own");
  after = lh_arena_take(&a, 1, 16);
  CHECK(after && o.n == blocks + 1, "the small block goes on after it");
  CHECK(lh_arena_take(&a, 0, 8) != NULL, "none of something has an address");
  CHECK(lh_arena_take(&a, SIZE_MAX / 4, 8) == NULL, "n x size that overflows");
  CHECK(lh_arena_take(&a, 8, SIZE_MAX / 4) == NULL, "the other way round");
  o.most = o.n;
  CHECK(lh_arena_take(&a, 1, 70000) == NULL, "an owner that has no more");
  CHECK(lh_arena_take(&a, 1, 16) != NULL, "what is left can still be had");
  drop(&o);
  return CHECK_DONE();
}
