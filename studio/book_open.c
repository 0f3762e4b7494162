/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_open.c -- open, create, bring up to date, close. */
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "book_room.h"
#include "book_schema_sql.h" /* made from schema.sql at build time */
#include "clock.h"
#include "heap.h"

/* The value of a PRAGMA that gives one number. */
static lh_status number_of(lh_book *b, const char *sql, long long *value,
                           lh_fault *fault)
{
  bool row;
  sqlite3_stmt *q = lh_book_sql(b, sql);
  lh_status st = lh_book_next(b, q, &row, fault);

  *value = row ? sqlite3_column_int64(q, 0) : 0;
  if (q) sqlite3_reset(q);
  return st;
}

/* Write-ahead logging lets others read while one writes; FULL waits for the
** disk at every commit, so that what is acknowledged is there. */
static lh_status settle(lh_book *b, lh_fault *fault)
{
  sqlite3_stmt *q;
  bool row, wal;
  lh_status st = lh_book_exec(b,
                              "PRAGMA foreign_keys = ON;"
                              "PRAGMA trusted_schema = OFF;"
                              "PRAGMA cell_size_check = ON;",
                              fault);
  if (st != LH_OK) return st;
  q = lh_book_sql(b, "PRAGMA journal_mode = WAL");
  st = lh_book_next(b, q, &row, fault);
  if (st != LH_OK) return st;
  wal = row && strcmp(lh_book_column(q, 0), "wal") == 0;
  sqlite3_reset(q);
  if (!wal) {
    return lh_fault_say(fault, LH_IO, b->path,
                        "keep the book on a disk of this machine",
                        "this disk cannot share a book safely (a network "
                        "folder?)");
  }
  return lh_book_exec(b, "PRAGMA synchronous = FULL", fault);
}

/* Bring the tables from version v to v + 1.  A step changes what the user
** wrote with care; the index is rebuilt after. */
static lh_status schema_1(lh_book *b, lh_fault *fault)
{
  static const char begun[] =
      "INSERT INTO about (key, value) VALUES ('begun', ?1),"
      " ('book', lower(hex(randomblob(16)))), ('index', '0')";
  lh_status st =
      lh_book_script(b, book_schema_sql, book_schema_sql_size, fault);
  char now[32];
  sqlite3_stmt *q;

  if (st != LH_OK) return st;
  lh_clock_iso(lh_clock_now(), now);
  q = lh_book_sql(b, begun);
  if (q) sqlite3_bind_text(q, 1, now, -1, SQLITE_TRANSIENT);
  return lh_book_run(b, q, fault);
}

static lh_status (*const step[LH_BOOK_VERSION])(lh_book *,
                                                lh_fault *) = {schema_1};

static lh_status migrate(lh_book *b, lh_book_way way, lh_fault *fault)
{
  long long version, application;
  lh_status st = number_of(b, "PRAGMA application_id", &application, fault);

  if (st == LH_OK) st = number_of(b, "PRAGMA user_version", &version, fault);
  if (st != LH_OK) return st;
  if (way == LH_BOOK_CREATE && version == 0 && application == 0) {
    for (int v = 0; v < LH_BOOK_VERSION && st == LH_OK; v++)
      st = step[v](b, fault);
    return st;
  }
  if (application != LH_BOOK_APPLICATION || version < 1)
    return lh_book_fault(b, SQLITE_NOTADB, fault);
  if (version > LH_BOOK_VERSION) {
    return lh_fault_say(fault, LH_INPUT, b->path,
                        "open it with the newer leatherhard that wrote it",
                        "the book has version %lld, newer than the version "
                        "%d known here",
                        version, LH_BOOK_VERSION);
  }
  for (int v = (int)version; v < LH_BOOK_VERSION && st == LH_OK; v++)
    st = step[v](b, fault);
  return st;
}

static lh_status index_now(lh_book *b, lh_fault *fault)
{
  long long version;
  lh_status st = number_of(b, "SELECT value FROM about WHERE key = 'index'",
                           &version, fault);

  if (st != LH_OK || version == LH_BOOK_INDEX_VERSION) return st;
  return lh_book_work_out(b, NULL, fault);
}

static lh_status up_to_date(lh_book *b, lh_book_way way, lh_fault *fault)
{
  lh_status st = lh_book_begin(b, fault);

  if (st != LH_OK) return st;
  st = migrate(b, way, fault);
  if (st == LH_OK) st = index_now(b, fault);
  return lh_book_end(b, st, fault);
}

/* Is it a book, and is there anything to bring up to date?  Asked without
** taking the right to write, so that opening never waits for a save. */
static lh_status look_inside(lh_book *b, bool *work, lh_fault *fault)
{
  long long version, application, index;
  lh_status st = number_of(b, "PRAGMA application_id", &application, fault);

  if (st != LH_OK) return st;
  if (application != LH_BOOK_APPLICATION)
    return lh_book_fault(b, SQLITE_NOTADB, fault);
  st = number_of(b, "PRAGMA user_version", &version, fault);
  *work = version != LH_BOOK_VERSION;
  if (st != LH_OK || *work) return st;
  st = number_of(b, "SELECT value FROM about WHERE key = 'index'", &index,
                 fault);
  *work = index != LH_BOOK_INDEX_VERSION;
  return st;
}

static lh_status taken(const char *path, lh_fault *fault)
{
  return lh_fault_say(fault, LH_INPUT, path, "choose a name that is free",
                      "there is something of that name already");
}

/* Make the file; nobody else does at the same time.  One that is there may
** be the beginning of a book that was cut short: look_empty() tells. */
static lh_status make_file(const char *path, bool *fresh, lh_fault *fault)
{
  int fd = open(path, O_WRONLY | O_CREAT | O_EXCL, 0666);

  *fresh = fd >= 0;
  if (fd >= 0) {
    close(fd);
    return LH_OK;
  }
  if (errno == EEXIST) return LH_OK;
  return lh_fault_say(fault, LH_IO, path,
                      "choose a folder that you may write to",
                      "cannot make it: %s", strerror(errno));
}

/* Is there a file to open, or can one be made? */
static lh_status look(const char *path, lh_book_way way, bool *fresh,
                      lh_fault *fault)
{
  struct stat is;
  lh_status st = LH_OK;

  *fresh = false;
  if (strlen(path) + 16 > PATH_MAX) {
    return lh_fault_say(fault, LH_INPUT, path, "choose a shorter name",
                        "the name is too long");
  }
  if (way == LH_BOOK_CREATE) st = make_file(path, fresh, fault);
  if (st != LH_OK) return st;
  if (stat(path, &is) != 0) {
    return lh_fault_say(fault, errno == EACCES ? LH_IO : LH_NOTFOUND, path,
                        "check the name; leatherhard book FILE init begins a "
                        "book",
                        "cannot find it: %s", strerror(errno));
  }
  if (S_ISREG(is.st_mode)) return LH_OK;
  if (way == LH_BOOK_CREATE) return taken(path, fault);
  return lh_fault_say(fault, LH_INPUT, path, "give a file's name",
                      "this is no file");
}

/* Only a database without anything in it is begun anew. */
static lh_status look_empty(lh_book *b, lh_fault *fault)
{
  long long version = 0, application = 0, tables = 0;
  lh_status st = number_of(b, "PRAGMA application_id", &application, NULL);

  if (st == LH_OK) st = number_of(b, "PRAGMA user_version", &version, NULL);
  if (st == LH_OK)
    st = number_of(b, "SELECT count(*) FROM sqlite_schema", &tables, NULL);
  if (st == LH_OK && !version && !application && !tables) return LH_OK;
  return taken(b->path, fault);
}

static lh_status open_it(lh_book *b, lh_book_way way, lh_fault *fault)
{
  int rc = sqlite3_open_v2(b->path, &b->db,
                           SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL);
  bool work = false;
  lh_status st = lh_book_fault(b, rc, fault);

  if (st != LH_OK) return st;
  sqlite3_extended_result_codes(b->db, 1);
  sqlite3_busy_timeout(b->db, 5000); /* [ms] (a judgement) */
  sqlite3_db_config(b->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
  if (sqlite3_db_readonly(b->db, "main") == 1)
    return lh_book_fault(b, SQLITE_READONLY, fault);
  /* A file that is no book is left as it is: look before settling. */
  st =
      way == LH_BOOK_OPEN ? look_inside(b, &work, fault) : look_empty(b, fault);
  if (st == LH_OK) st = settle(b, fault);
  if (st == LH_OK && (way == LH_BOOK_CREATE || work))
    st = up_to_date(b, way, fault);
  return st;
}

void lh_book_remove(const char *path)
{
  char name[PATH_MAX];

  unlink(path);
  snprintf(name, sizeof name, "%s-wal", path);
  unlink(name);
  snprintf(name, sizeof name, "%s-shm", path);
  unlink(name);
}

lh_status lh_book_open(const char *path, lh_book_way way, lh_book **book,
                       lh_fault *fault)
{
  lh_book *b;
  bool fresh;
  lh_status st = look(path, way, &fresh, fault);

  *book = NULL;
  if (st != LH_OK) return st;
  b = calloc(1, sizeof *b);
  if (!b) return lh_fault_plain(fault, LH_NOMEM, path);
  lh_heap_open(&b->words);
  b->path = malloc(strlen(path) + 1);
  if (b->path) {
    strcpy(b->path, path);
    st = open_it(b, way, fault);
  } else {
    st = lh_fault_plain(fault, LH_NOMEM, path);
  }
  if (st == LH_OK) {
    *book = b;
    return LH_OK;
  }
  lh_book_close(&b);
  if (fresh) lh_book_remove(path);
  return st;
}

void lh_book_close(lh_book **book)
{
  lh_book *b = *book;

  *book = NULL;
  if (!b) return;
  lh_book_drop(b);
  for (size_t i = 0; i < LH_BOOK_READY; i++) sqlite3_finalize(b->ready[i].q);
  sqlite3_close(b->db);
  lh_heap_free(&b->words);
  free(b->path);
  free(b);
}
