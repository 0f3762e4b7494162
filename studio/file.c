/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char *todo_for(int error)
{
  switch (error) {
  case ENOSPC:
  case EDQUOT: return "make room on the disk and try again";
  case EACCES:
  case EPERM:
  case EROFS: return "choose a folder that you may write to";
  case ENOENT:
  case ENOTDIR: return "check the name and the folder";
  case EISDIR: return "give a file's name, not a folder's";
  default: return "check the name and try again";
  }
}

static lh_status cannot(const char *verb, const char *path, int error,
                        lh_fault *fault)
{
  return lh_fault_say(fault, LH_IO, path, todo_for(error), "cannot %s it: %s",
                      verb, strerror(error));
}

/* A name that leads to no file is the asker's mistake, not the machine's. */
static lh_status cannot_read(const char *path, int error, lh_fault *fault)
{
  switch (error) {
  case ENOENT:
  case ENOTDIR:
  case EISDIR:
  case ENAMETOOLONG:
    return lh_fault_say(fault, LH_NOTFOUND, path, todo_for(error),
                        "cannot read it: %s", strerror(error));
  case EACCES:
    return lh_fault_say(fault, LH_IO, path, "ask its owner to let you read it",
                        "cannot read it: %s", strerror(error));
  default: return cannot("read", path, error, fault);
  }
}

/* Fill `room` from fd; gives the bytes read, or -1 with errno. */
static ssize_t fill(int fd, unsigned char *room, size_t size)
{
  size_t n = 0;

  while (n < size) {
    ssize_t got = read(fd, room + n, size - n);
    if (got == 0) break;
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return -1;
    n += (size_t)got;
  }
  return (ssize_t)n;
}

static lh_status too_large(const char *path, size_t most, lh_fault *fault)
{
  return lh_fault_say(fault, LH_TOOLARGE, path,
                      "divide it, or take pictures and raw pen samples out",
                      "larger than the %zu MB taken", most >> 20);
}

/* Room for the first piece: one byte past what a file says it holds, so that
** its end is seen at once; a pipe does not say. */
static size_t first_room(int fd, size_t most)
{
  struct stat is;

  if (fstat(fd, &is) != 0 || !S_ISREG(is.st_mode)) return 64 * 1024;
  if ((size_t)is.st_size > most) return 0;
  return is.st_size < 4096 ? 4096 : (size_t)is.st_size + 1;
}

/* Read in pieces that double, never more than a byte past the most. */
static lh_status drain(int fd, const char *path, size_t most, lh_arena *a,
                       const void **bytes, size_t *n, lh_fault *fault)
{
  size_t cap = first_room(fd, most), have = 0;
  unsigned char *room = NULL;

  while (cap > 0 && have <= most) {
    unsigned char *wider = lh_arena_take(a, cap, 1);
    ssize_t got;
    if (!wider) return lh_fault_plain(fault, LH_NOMEM, path);
    if (have) memcpy(wider, room, have);
    room = wider;
    got = fill(fd, room + have, cap - have);
    if (got < 0) return cannot_read(path, errno, fault);
    have += (size_t)got;
    if (have < cap) {
      *bytes = room;
      *n = have;
      return LH_OK;
    }
    cap = cap >= most / 2 ? most + 1 : 2 * cap;
  }
  return too_large(path, most, fault);
}

lh_status lh_file_read(const char *path, size_t most, lh_arena *a,
                       const void **bytes, size_t *n, lh_fault *fault)
{
  const char *name = strcmp(path, "-") == 0 ? "standard input" : path;
  int fd = strcmp(path, "-") == 0 ? STDIN_FILENO : open(path, O_RDONLY);
  lh_status st;

  if (fd < 0) return cannot_read(name, errno, fault);
  st = drain(fd, name, most, a, bytes, n, fault);
  if (fd != STDIN_FILENO) close(fd);
  return st;
}

static int write_all(int fd, const unsigned char *p, size_t n)
{
  while (n > 0) {
    ssize_t put = write(fd, p, n);
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) return -1;
    p += put;
    n -= (size_t)put;
  }
  return fsync(fd);
}

/* A device such as /dev/full, or a pipe, is written in place. */
static lh_status write_device(const lh_file *f, lh_fault *fault)
{
  int fd = open(f->path, O_WRONLY), error;

  if (fd < 0) return cannot("write", f->path, errno, fault);
  error = write_all(fd, f->bytes, f->n) < 0 && errno != EINVAL ? errno : 0;
  close(fd);
  return error ? cannot("write", f->path, error, fault) : LH_OK;
}

static bool beside_of(const char *path, char beside[PATH_MAX])
{
  int n = snprintf(beside, PATH_MAX, "%s.%ld.part", path, (long)getpid());

  return n > 0 && n < PATH_MAX;
}

/* Write a file beside its place, and sync it. */
static lh_status write_beside(const lh_file *f, lh_fault *fault)
{
  char beside[PATH_MAX];
  struct stat there;
  int fd, error;

  if (stat(f->path, &there) == 0 && S_ISDIR(there.st_mode))
    return cannot("write", f->path, EISDIR, fault);
  if (!beside_of(f->path, beside))
    return cannot("write", f->path, ENAMETOOLONG, fault);
  fd = open(beside, O_WRONLY | O_CREAT | O_EXCL, 0666);
  if (fd < 0) return cannot("write", f->path, errno, fault);
  error = write_all(fd, f->bytes, f->n) < 0 ? errno : 0;
  if (close(fd) < 0 && !error) error = errno;
  if (!error) return LH_OK;
  unlink(beside);
  return cannot("write", f->path, error, fault);
}

lh_status lh_file_write_all(const lh_file *files, size_t count, lh_fault *fault)
{
  char beside[PATH_MAX];
  lh_status st = LH_OK;
  size_t done = 0;

  for (; done < count && st == LH_OK; done++) {
    st = write_beside(&files[done], fault);
    if (st != LH_OK) break;
  }
  for (size_t i = 0; i < done; i++) {
    (void)beside_of(files[i].path, beside);
    if (st == LH_OK && rename(beside, files[i].path) == 0) continue;
    if (st == LH_OK) st = cannot("write", files[i].path, errno, fault);
    unlink(beside);
  }
  return st;
}

lh_status lh_file_write(const char *path, const void *bytes, size_t n,
                        lh_fault *fault)
{
  lh_file f = {path, bytes, n};
  struct stat there;

  if (stat(path, &there) == 0 && !S_ISREG(there.st_mode) &&
      !S_ISDIR(there.st_mode))
    return write_device(&f, fault);
  return lh_file_write_all(&f, 1, fault);
}

lh_status lh_file_folder(const char *path, lh_fault *fault)
{
  char part[PATH_MAX];
  size_t n = strlen(path);

  if (n == 0 || n >= sizeof part)
    return cannot("make", path, n ? ENAMETOOLONG : ENOENT, fault);
  memcpy(part, path, n + 1);
  for (size_t i = 1; i <= n; i++) {
    if (part[i] != '/' && part[i] != 0) continue;
    char keep = part[i];
    part[i] = 0;
    if (mkdir(part, 0777) < 0 && errno != EEXIST)
      return cannot("make", path, errno, fault);
    part[i] = keep;
  }
  return LH_OK;
}
