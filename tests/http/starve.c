/* SPDX-License-Identifier: GPL-3.0-or-later */
/* starve.c -- memory that runs out when it is told to, for starve.py.
**
** Put before the C library by LD_PRELOAD.  A file of three numbers, shared with
** the test, says when: `left` allocations are granted, then one fails; below
** zero there is plenty.  With `all` every one fails until the test says
** otherwise.  `failed` counts.  glibc's own functions do the work.
*/
#include <errno.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <unistd.h>

void *__libc_malloc(size_t);
void *__libc_calloc(size_t, size_t);
void *__libc_realloc(void *, size_t);

static struct {
  _Atomic long left, all, failed;
} * say;

__attribute__((constructor)) static void open_file(void)
{
  const char *path = getenv("STARVE");
  int fd = path ? open(path, O_RDWR | O_CLOEXEC) : -1;
  void *at;

  if (fd < 0) return;
  at = mmap(NULL, sizeof *say, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
  close(fd);
  if (at != MAP_FAILED) say = at;
}

static bool none(void)
{
  if (!say || atomic_load(&say->left) < 0) return false;
  if (atomic_load(&say->all)) {
    atomic_fetch_add(&say->failed, 1);
  } else {
    if (atomic_fetch_sub(&say->left, 1) != 0) return false;
    atomic_fetch_add(&say->failed, 1);
  }
  errno = ENOMEM;
  return true;
}

void *malloc(size_t n)
{
  return none() ? NULL : __libc_malloc(n);
}

void *calloc(size_t n, size_t each)
{
  return none() ? NULL : __libc_calloc(n, each);
}

void *realloc(void *p, size_t n)
{
  return none() ? NULL : __libc_realloc(p, n);
}
