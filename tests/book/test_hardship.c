/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A full disk, a folder that cannot be written to, other programs at the
** same book: a fault in words, and nothing that was acknowledged is lost.
**
** The disk is full in two ways: by a limit on the size of files
** (RLIMIT_FSIZE), and on a tmpfs of 1 MB where this machine lets us mount
** one; where not, that part says so and is left out.
*/
#include <errno.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include "desk.h"

/* Save notes of some size until the book refuses; how many were taken. */
static long fill_up(lh_book *b, long most, lh_fault *fault)
{
  char text[4001];
  long n = 0;

  memset(text, 'x', sizeof text - 1);
  text[sizeof text - 1] = 0;
  for (; n < most; n++) {
    json_t *v =
        json_pack("{s:s,s:s,s:s}", "name", "filler", "note", text, "date", "d");
    lh_book_saved saved;
    lh_status st = lh_book_add(b, LH_BOOK_NOTE, v, "wheel", &saved, fault);
    json_decref(v);
    if (st != LH_OK) break;
  }
  return n;
}

static bool one_more(void *user, const lh_book_record *r)
{
  (void)r;
  ++*(long *)user;
  return true;
}

static long notes(lh_book *b)
{
  long n = 0;

  if (lh_book_list(b, LH_BOOK_NOTE, false, 0, 1000000, one_more, &n, NULL) !=
      LH_OK)
    return -1;
  return n;
}

/* Run a part in a process of its own, so that limits and users end with it.
** Its lines are our lines: it only answers 0 or which question failed. */
static int apart(int (*part)(desk *), desk *d)
{
  int status = 0;
  pid_t child;

  fflush(stdout);
  child = fork();
  if (child == 0) _exit(part(d));
  while (waitpid(child, &status, 0) < 0 && errno == EINTR) continue;
  return WIFEXITED(status) ? WEXITSTATUS(status) : 100;
}

/* ---- a full disk -------------------------------------------------------- */

static int limited(desk *d)
{
  struct rlimit r = {1024 * 1024, 1024 * 1024}; /* [bytes] of any file */
  lh_book *b = NULL;
  lh_fault fault = {0};
  long taken;

  signal(SIGXFSZ, SIG_IGN);
  if (setrlimit(RLIMIT_FSIZE, &r) != 0) return 1;
  if (lh_book_open(d->path, LH_BOOK_OPEN, &b, &fault) != LH_OK) return 2;
  taken = fill_up(b, 100000, &fault);
  printf("# %ld taken, then: %s; %s\n", taken, fault.what, fault.todo);
  fflush(stdout);
  if (fault.status != LH_IO || !strstr(fault.what, "disk takes no more"))
    return 3;
  if (taken < 10 || notes(b) != taken) return 4;
  lh_book_close(&b);
  return 0;
}

static void small_files(void)
{
  desk d;
  long before;

  if (!desk_open(&d)) return;
  lh_book_close(&d.b);
  CHECK(apart(limited, &d) == 0, "files that may not grow: a fault in words");
  CHECK(lh_book_open(d.path, LH_BOOK_OPEN, &d.b, &d.fault) == LH_OK &&
            findings(&d) == 0,
        "then the book checks clean");
  before = notes(d.b);
  CHECK(before >= 10 && fill_up(d.b, 5, &d.fault) == 5 &&
            notes(d.b) == before + 5,
        "with room again it goes on: %ld and 5", before);
  desk_close(&d);
}

static int run(const char *command)
{
  int rc = system(command);

  return WIFEXITED(rc) ? WEXITSTATUS(rc) : 100;
}

static void small_disk(void)
{
  char command[600], mount[300];
  desk d;
  long taken;

  if (!desk_open(&d)) return;
  lh_book_close(&d.b);
  snprintf(mount, sizeof mount, "%s/disk", d.folder);
  mkdir(mount, 0777);
  snprintf(command, sizeof command,
           "mount -t tmpfs -o size=1m none '%s' 2>/dev/null", mount);
  if (geteuid() != 0 || run(command) != 0) {
    printf("ok %d - a disk of 1 MB # SKIP no right to mount one\n",
           ++check_count);
    desk_close(&d);
    return;
  }
  snprintf(d.path, sizeof d.path, "%s/disk/studio.book", d.folder);
  CHECK(lh_book_open(d.path, LH_BOOK_CREATE, &d.b, &d.fault) == LH_OK,
        "a book on a disk of 1 MB (%s)", d.fault.what);
  taken = fill_up(d.b, 100000, &d.fault);
  CHECK(d.fault.status == LH_IO && strstr(d.fault.what, "disk is full"),
        "%ld taken, then: %s", taken, d.fault.what);
  CHECK(taken > 10 && notes(d.b) == taken, "all that was taken is there");
  lh_book_close(&d.b);
  d.fault = (lh_fault){0};
  snprintf(command, sizeof command, "mount -o remount,size=8m '%s'", mount);
  CHECK(run(command) == 0 &&
            lh_book_open(d.path, LH_BOOK_OPEN, &d.b, &d.fault) == LH_OK &&
            findings(&d) == 0 && notes(d.b) == taken,
        "with room again it opens, checks clean, and all is there (%s)",
        d.fault.what);
  CHECK(fill_up(d.b, 5, &d.fault) == 5, "and goes on");
  lh_book_close(&d.b);
  snprintf(command, sizeof command, "umount '%s'", mount);
  if (run(command) != 0) printf("# %s is still mounted\n", mount);
  desk_close(&d);
}

/* ---- a folder that cannot be written to --------------------------------- */

static bool as_nobody(void)
{
  return geteuid() != 0 || (setgid(65534) == 0 && setuid(65534) == 0);
}

static int read_only(desk *d)
{
  char path[400];
  lh_book *b = NULL;
  lh_fault fault = {0};

  if (!as_nobody()) return 1;
  if (lh_book_open(d->path, LH_BOOK_OPEN, &b, &fault) != LH_IO || b) return 2;
  printf("# to open: %s; %s\n", fault.what, fault.todo);
  if (!fault.what[0] || !fault.todo[0]) return 3;
  fault = (lh_fault){0};
  snprintf(path, sizeof path, "%s/new.book", d->folder);
  if (lh_book_open(path, LH_BOOK_CREATE, &b, &fault) != LH_IO || b) return 4;
  printf("# to begin: %s; %s\n", fault.what, fault.todo);
  fflush(stdout);
  return 0;
}

static void locked_folder(void)
{
  desk d;

  if (!desk_open(&d)) return;
  CHECK(fill_up(d.b, 7, &d.fault) == 7, "seven notes");
  lh_book_close(&d.b);
  chmod(d.path, 0444);
  chmod(d.folder, 0555);
  CHECK(apart(read_only, &d) == 0, "a folder read only: faults in words");
  chmod(d.folder, 0777);
  chmod(d.path, 0666);
  CHECK(lh_book_open(d.path, LH_BOOK_OPEN, &d.b, &d.fault) == LH_OK &&
            notes(d.b) == 7 && findings(&d) == 0,
        "and nothing is lost");
  desk_close(&d);
}

/* ---- two programs ------------------------------------------------------- */

enum { PROGRAMS = 4, SAVES = 25 };

/* Each edits a mark of its own of one motif, from the newest it has seen. */
static int program(desk *d, int k)
{
  lh_book *b = NULL;
  lh_fault fault = {0};
  char device[16], patch[128];
  int done = 0;

  if (lh_book_open(d->path, LH_BOOK_OPEN, &b, &fault) != LH_OK) return 1;
  snprintf(device, sizeof device, "device %d", k);
  for (int i = 1; i <= SAVES; i++) {
    lh_book_record r = {0};
    lh_book_saved saved;
    json_t *v, *p;
    if (lh_book_read(b, "four", 0, &v, &r, &fault) != LH_OK) break;
    snprintf(patch, sizeof patch,
             "[{\"op\":\"replace\",\"path\":\"/marks/%d/width_mm\","
             "\"value\":%d}]",
             k, i);
    p = json_of(patch);
    if (lh_book_edit(b, "four", r.number, p, device, false, &saved, &fault) ==
            LH_OK &&
        saved.how != LH_BOOK_ASIDE)
      done++;
    json_decref(p);
  }
  if (fault.what[0]) fprintf(stderr, "# %s\n", fault.what);
  lh_book_close(&b);
  return done == SAVES ? 0 : 2;
}

static void many_programs(void)
{
  desk d;
  pid_t child[PROGRAMS];
  int good = 0;
  long long all = 0;
  char want[600];

  if (!desk_open(&d)) return;
  (void)add(&d, LH_BOOK_MOTIF,
            "{\"id\":\"four\",\"marks\":[" MARK("a", "100") "," MARK(
                "b", "100") "," MARK("c", "100") "," MARK("d", "100") "]}");
  fflush(stdout);
  for (int k = 0; k < PROGRAMS; k++) {
    child[k] = fork();
    if (child[k] == 0) {
      d.b = NULL; /* a handle does not cross a fork */
      _exit(program(&d, k));
    }
  }
  for (int k = 0; k < PROGRAMS; k++) {
    int status = 0;
    waitpid(child[k], &status, 0);
    good += WIFEXITED(status) && WEXITSTATUS(status) == 0;
  }
  CHECK(good == PROGRAMS, "%d programs save at once, each all of its edits",
        good);
  (void)lh_book_last(d.b, &all, NULL);
  CHECK(all == 1 + PROGRAMS * SAVES, "%lld revisions, none is lost", all);
  snprintf(want, sizeof want, "{\"id\":\"four\",\"marks\":[%s,%s,%s,%s]}",
           MARK("a", "25"), MARK("b", "25"), MARK("c", "25"), MARK("d", "25"));
  CHECK_TEXT(text_at(&d, "four", 0), want, "each mark as its program left it");
  CHECK(findings(&d) == 0, "the book checks clean");
  desk_close(&d);
}

/* One that holds the book for longer than others wait. */
static void held(void)
{
  desk d;
  sqlite3 *db = NULL;
  long before;

  if (!desk_open(&d)) return;
  (void)fill_up(d.b, 3, &d.fault);
  before = notes(d.b);
  CHECK(sqlite3_open(d.path, &db) == SQLITE_OK &&
            sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL) == SQLITE_OK,
        "another program holds the book");
  CHECK(notes(d.b) == before, "reading goes on meanwhile");
  {
    lh_book *b = NULL;
    CHECK(lh_book_open(d.path, LH_BOOK_OPEN, &b, &d.fault) == LH_OK,
          "opening too");
    lh_book_close(&b);
  }
  CHECK(fill_up(d.b, 1, &d.fault) == 0 && d.fault.status == LH_IO,
        "saving says why not: %s; %s", d.fault.what, d.fault.todo);
  sqlite3_close(db);
  d.fault = (lh_fault){0};
  CHECK(fill_up(d.b, 1, &d.fault) == 1 && notes(d.b) == before + 1,
        "and works when it has let go");
  desk_close(&d);
}

int main(void)
{
  small_files();
  small_disk();
  locked_folder();
  many_programs();
  held();
  return CHECK_DONE();
}
