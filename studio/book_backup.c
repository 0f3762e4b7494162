/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_backup.c -- a copy of the book while it is in use, by SQLite's online
** backup: it sees one moment, whoever saves meanwhile. */
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "book_room.h"

static lh_status cannot(const char *path, int error, lh_fault *fault)
{
  return lh_fault_say(fault, LH_IO, path,
                      error == ENOSPC ? "make room on the disk and try again"
                                      : "choose a folder that you may write to",
                      "cannot make the backup: %s", strerror(error));
}

/* A step of 512 pages at a time, so that it can be watched.  The caller holds
** a reading open: others go on saving, and the copy is of one moment. */
static lh_status copy(lh_book *b, lh_book *to, const lh_watch *watch,
                      lh_fault *fault)
{
  sqlite3_backup *x = sqlite3_backup_init(to->db, "main", b->db, "main");
  int rc = x ? SQLITE_OK : sqlite3_errcode(to->db), waited = 0;
  lh_status st = LH_OK;

  while (x && (rc == SQLITE_OK || rc == SQLITE_BUSY || rc == SQLITE_LOCKED)) {
    int all, left;
    rc = sqlite3_backup_step(x, 512);
    all = sqlite3_backup_pagecount(x);
    left = sqlite3_backup_remaining(x);
    if (rc == SQLITE_BUSY || rc == SQLITE_LOCKED) {
      if (++waited > 200) break; /* 200 x 25 ms (a judgement) */
      sqlite3_sleep(25);
    }
    if (!lh_watch_go(watch, all > 0 ? 1 - (double)left / all : 0)) {
      st = lh_fault_plain(fault, LH_CANCELLED, to->path);
      break;
    }
  }
  if (x) sqlite3_backup_finish(x);
  if (st != LH_OK || rc == SQLITE_DONE) return st;
  return lh_book_fault(to, rc, fault);
}

/* One file without a log beside it, and whole. */
static lh_status seal(lh_book *to, lh_fault *fault)
{
  sqlite3_stmt *q;
  bool row;
  lh_status st = lh_book_exec(to, "PRAGMA journal_mode = DELETE", fault);

  if (st != LH_OK) return st;
  q = lh_book_sql(to, "PRAGMA quick_check(1)");
  st = lh_book_next(to, q, &row, fault);
  if (st == LH_OK && (!row || strcmp(lh_book_column(q, 0), "ok") != 0))
    st = lh_book_fault(to, SQLITE_CORRUPT, fault);
  if (q) sqlite3_reset(q);
  return st;
}

static int sync_at(const char *path, int flags)
{
  int fd = open(path, flags), error = 0;

  if (fd < 0) return errno;
  if (fsync(fd) != 0 && errno != EINVAL) error = errno;
  close(fd);
  return error;
}

static int sync_both(const char *path)
{
  char folder[PATH_MAX];
  char *slash;
  int error = sync_at(path, O_RDONLY);

  snprintf(folder, sizeof folder, "%s", path);
  slash = strrchr(folder, '/');
  if (slash)
    slash[slash == folder] = 0;
  else
    strcpy(folder, ".");
  return error ? error : sync_at(folder, O_RDONLY);
}

static lh_status make(lh_book *b, char *part, const lh_watch *watch,
                      lh_fault *fault)
{
  lh_book to = {.path = part};
  int rc = sqlite3_open_v2(part, &to.db,
                           SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL);
  lh_status st = lh_book_fault(&to, rc, fault);

  if (st == LH_OK) st = lh_book_begin_reading(b, fault);
  if (st == LH_OK) {
    long long last; /* the first SELECT is the moment */
    st = lh_book_last(b, &last, fault);
    if (st == LH_OK) st = copy(b, &to, watch, fault);
    st = lh_book_end(b, st, fault);
  }
  if (st == LH_OK) st = seal(&to, fault);
  for (size_t i = 0; i < LH_BOOK_READY; i++) sqlite3_finalize(to.ready[i].q);
  sqlite3_close(to.db);
  return st;
}

lh_status lh_book_backup(lh_book *b, const char *path, const lh_watch *watch,
                         lh_fault *fault)
{
  char part[PATH_MAX];
  int fd, error, n = snprintf(part, sizeof part, "%s.part", path);
  lh_status st;

  if (n < 0 || (size_t)n + 16 > sizeof part) {
    return lh_fault_say(fault, LH_INPUT, path, "choose a shorter name",
                        "the name is too long");
  }
  if (access(path, F_OK) == 0) {
    return lh_fault_say(fault, LH_INPUT, path, "choose a name that is free",
                        "there is something of that name already");
  }
  fd = open(part, O_WRONLY | O_CREAT | O_EXCL, 0666);
  if (fd < 0 && errno == EEXIST) {
    return lh_fault_say(fault, LH_INPUT, part,
                        "remove it, unless a backup is being made just now",
                        "an unfinished backup is in the way");
  }
  if (fd < 0) return cannot(path, errno, fault);
  close(fd);
  st = make(b, part, watch, fault);
  /* link, not rename: it fails when the name has been taken meanwhile. */
  if (st == LH_OK) {
    error = link(part, path) != 0 ? errno : 0;
    if (error == EPERM || error == EOPNOTSUPP)
      error = rename(part, path) != 0 ? errno : 0;
    if (!error) error = sync_both(path);
    if (error) st = cannot(path, error, fault);
  }
  unlink(part);
  return st;
}
