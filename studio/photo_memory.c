/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_memory.c -- memory for Little CMS, which trusts that small pieces are
** always to be had and falls when they are not.  So those come from a pool
** that is taken beforehand; large ones, where it looks, from the heap, and it
** is kept in mind when one was refused. */
#include <stdlib.h>
#include <string.h>

#include "photo_memory.h"

/* A tone curve's table and less is small.  A profile of a matrix takes 100 kB
** of the pool, one of a table 40 kB (measured); ten times that is there. */
static const size_t SMALL = 40 * 1024, POOL = 1024 * 1024;

/* Stands before each piece. */
typedef struct {
  _Alignas(max_align_t) size_t n;
  bool ours; /* from the pool, which is given back whole */
} head;

static void *from_pool(lh_photo_memory *m, size_t n)
{
  size_t whole = (n + 2 * sizeof(head) - 1) / sizeof(head) * sizeof(head);
  head *h;

  if (!m || n > SMALL || whole > m->left) return NULL;
  h = (head *)(void *)m->at;
  m->at += whole;
  m->left -= whole;
  h->n = n;
  h->ours = true;
  return h + 1;
}

static void *take(cmsContext c, cmsUInt32Number n)
{
  lh_photo_memory *m = cmsGetContextUserData(c);
  void *p = from_pool(m, n);
  head *h;

  if (p) return p;
  h = malloc(sizeof *h + n);
  if (!h) {
    if (m) m->starved = true;
    return NULL;
  }
  h->n = n;
  h->ours = false;
  return h + 1;
}

static void give_back(cmsContext c, void *p)
{
  head *h = p;

  (void)c;
  if (h && !h[-1].ours) free(h - 1);
}

static void *retake(cmsContext c, void *p, cmsUInt32Number n)
{
  void *q = take(c, n);
  head *h = p;

  if (q && h) memcpy(q, p, h[-1].n < n ? h[-1].n : n);
  if (q) give_back(c, p);
  return q;
}

/* One thread holds the context: there is nothing to lock. */
static void *lock_new(cmsContext c)
{
  static int any;

  (void)c;
  return &any;
}

static void lock_none(cmsContext c, void *lock)
{
  (void)c;
  (void)lock;
}

static cmsBool lock_held(cmsContext c, void *lock)
{
  (void)c;
  (void)lock;
  return TRUE;
}

static void hush(cmsContext c, cmsUInt32Number code, const char *what)
{
  (void)c;
  (void)code;
  (void)what;
}

cmsContext lh_photo_context(lh_photo_memory *m, lh_arena *a)
{
  static cmsPluginMutex locks = {
      {cmsPluginMagicNumber, 2060, cmsPluginMutexSig, NULL},
      lock_new,
      lock_none,
      lock_held,
      lock_none};
  static cmsPluginMemHandler memory = {
      {cmsPluginMagicNumber, 2060, cmsPluginMemHandlerSig, &locks.base},
      take,
      give_back,
      retake,
      NULL,
      NULL,
      NULL};
  cmsContext c;

  m->at = lh_arena_take(a, 1, POOL);
  m->left = POOL;
  m->starved = false;
  if (!m->at) return NULL;
  c = cmsCreateContext(&memory, m);
  if (c) cmsSetLogErrorHandlerTHR(c, hush);
  return c;
}
