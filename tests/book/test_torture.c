/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Kill a program that saves and saves, at random moments, and look into the
** book each time: every save that was acknowledged must be there, at most
** one more, and the book must check clean.
**
**   test_torture [KILLS]     50 unless told otherwise
**
** SIGKILL takes the program away between any two instructions; it does not
** take the disk's own memory away: that is test_power's part.
*/
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdint.h>
#include <sys/wait.h>
#include <time.h>

#include "desk.h"

enum { KILLS_A_BOOK = 25, NOTES = 4, TEXT = 24 };

/* What the saving program says once the book has said LH_OK. */
typedef struct {
  char id[LH_BOOK_ID + 1];
  long number;
  char note[TEXT]; /* the document's note at that revision */
} ack;

static uint64_t state = 0x5eed;

static uint32_t random_of(uint32_t n)
{
  state ^= state >> 12;
  state ^= state << 25;
  state ^= state >> 27;
  return (uint32_t)((state * 2685821657736338717ULL) >> 33) % n;
}

/* ---- the program that saves --------------------------------------------- */

static void acknowledge(int out, const lh_book_saved *saved, const char *note)
{
  ack a = {.number = saved->number};

  memcpy(a.id, saved->id, sizeof a.id);
  snprintf(a.note, sizeof a.note, "%s", note);
  /* Shorter than PIPE_BUF: whole or not at all. */
  if (write(out, &a, sizeof a) != (ssize_t)sizeof a) _exit(3);
}

static void save_one(lh_book *b, int out, unsigned i, char id[][80])
{
  lh_book_saved saved;
  lh_fault fault = {0};
  char note[TEXT];
  json_t *v;
  lh_status st;
  unsigned k = random_of(NOTES);

  snprintf(note, sizeof note, "%u-%u", i, random_of(1000000));
  if (!id[k][0]) {
    v = json_pack("{s:s,s:s}", "name", "torture", "note", note);
    st = lh_book_add(b, LH_BOOK_NOTE, v, "wheel", &saved, &fault);
    snprintf(id[k], sizeof id[k], "%s", saved.id);
  } else if (random_of(16) == 0) {
    char hex[65];
    v = NULL;
    st = lh_book_blob_put(b, "application/octet-stream", note, strlen(note),
                          hex, &fault);
    if (st == LH_OK) return;
  } else {
    json_t *d;
    lh_book_record r;
    st = lh_book_read(b, id[k], 0, &d, &r, &fault);
    v = json_pack("[{s:s,s:s,s:s}]", "op", "replace", "path", "/note", "value",
                  note);
    if (st == LH_OK)
      st = lh_book_edit(b, id[k], r.number, v, "wheel", true, &saved, &fault);
  }
  json_decref(v);
  if (st != LH_OK) {
    fprintf(stderr, "# %s: %s\n", fault.where, fault.what);
    _exit(2);
  }
  acknowledge(out, &saved, note);
}

static void save_for_ever(const char *path, int out)
{
  char id[NOTES][80] = {{0}};
  lh_book *b = NULL;
  lh_fault fault = {0};
  lh_status st = lh_book_open(path, LH_BOOK_OPEN, &b, &fault);

  if (st != LH_OK) {
    fault = (lh_fault){0};
    st = lh_book_open(path, LH_BOOK_CREATE, &b, &fault);
  }
  if (st != LH_OK) {
    fprintf(stderr, "# %s: %s\n", fault.where, fault.what);
    _exit(2);
  }
  for (unsigned i = 0;; i++) save_one(b, out, i, id);
}

/* ---- who kills it ------------------------------------------------------- */

static double now(void)
{
  struct timespec t;

  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

typedef struct {
  ack *at;
  size_t n, room;
} acks;

/* Read what has been acknowledged until a time, or the end of the pipe. */
static void gather(int in, double until, acks *l)
{
  for (;;) {
    double left = until - now();
    struct pollfd p = {.fd = in, .events = POLLIN};
    if (left <= 0 || poll(&p, 1, (int)(left * 1000) + 1) <= 0) {
      if (now() >= until) return;
      continue;
    }
    if (l->n == l->room) {
      l->room = l->room ? 2 * l->room : 256;
      l->at = realloc(l->at, l->room * sizeof *l->at);
      if (!l->at) exit(3);
    }
    if (read(in, &l->at[l->n], sizeof(ack)) != (ssize_t)sizeof(ack)) return;
    l->n++;
  }
}

/* Start, let it save for a while, kill; true when it died of that. */
static bool one_kill(const char *path, double seconds, acks *l)
{
  int ends[2], status = 0;
  pid_t child;

  if (pipe(ends) != 0) return false;
  fflush(stdout);
  child = fork();
  if (child == 0) {
    close(ends[0]);
    state += (uint64_t)(seconds * 1e9);
    save_for_ever(path, ends[1]);
    _exit(0);
  }
  close(ends[1]);
  gather(ends[0], now() + seconds, l);
  kill(child, SIGKILL);
  while (waitpid(child, &status, 0) < 0 && errno == EINTR) continue;
  gather(ends[0], now() + 10, l); /* what was still in the pipe, to its end */
  close(ends[0]);
  return WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL;
}

/* How many acknowledged saves are not in the book as they were. */
static size_t missing(lh_book *b, const acks *l)
{
  size_t lost = 0;

  for (size_t i = 0; i < l->n; i++) {
    json_t *d = NULL;
    const char *note = NULL;
    if (lh_book_read(b, l->at[i].id, l->at[i].number, &d, NULL, NULL) == LH_OK)
      note = json_string_value(json_object_get(d, "note"));
    if (note && strcmp(note, l->at[i].note) == 0) continue;
    printf("# %s revision %ld: \"%s\" was acknowledged, not \"%s\"\n",
           l->at[i].id, l->at[i].number, l->at[i].note, note ? note : "none");
    lost++;
  }
  return lost;
}

typedef struct {
  size_t kills, acknowledged, lost, unclean, most;
} tally;

/* Look into the book.  Killed while it was being begun, it may not be one
** yet; then nothing can have been acknowledged. */
static void look(desk *d, const acks *l, long long before, tally *t)
{
  long long after = 0;

  d->fault = (lh_fault){0};
  if (lh_book_open(d->path, LH_BOOK_OPEN, &d->b, &d->fault) != LH_OK) {
    t->lost += l->n;
    if (l->n) printf("# %s: %s\n", d->fault.where, d->fault.what);
    return;
  }
  t->lost += missing(d->b, l);
  (void)lh_book_last(d->b, &after, NULL);
  if ((size_t)(after - before) > l->n + 1) t->lost++;
  if (findings(d) != 0) t->unclean++;
}

/* How long to let it live at most [us]: some twenty saves, however slow the
** machine, or what runs us, is. */
static uint32_t span(void)
{
  double from = now(), one;
  desk d;

  if (!desk_open(&d)) exit(3);
  one = now() - from;
  from = now();
  for (int i = 0; i < 5; i++)
    (void)add(&d, LH_BOOK_NOTE, "{\"name\":\"measure\"}");
  one += 4 * (now() - from);
  desk_close(&d);
  return one < 0.2 ? 200000 : one > 20 ? 20000000 : (uint32_t)(one * 1e6);
}

static void torture(size_t kills, tally *t)
{
  uint32_t most = span();

  while (t->kills < kills) {
    desk d;
    if (!desk_open(&d)) exit(3);
    lh_book_close(&d.b);
    desk_sweep(d.folder); /* the folder only: the book is begun by it */
    mkdir(d.folder, 0777);
    for (int i = 0; i < KILLS_A_BOOK && t->kills < kills; i++) {
      acks l = {0};
      long long before = 0;
      double seconds = 1e-6 * random_of(i < 5 ? most / 10 : most);
      if (lh_book_open(d.path, LH_BOOK_OPEN, &d.b, NULL) == LH_OK)
        (void)lh_book_last(d.b, &before, NULL);
      lh_book_close(&d.b);
      if (!one_kill(d.path, seconds, &l)) {
        printf("# it ended before it was killed\n");
        t->lost++;
      }
      look(&d, &l, before, t);
      lh_book_close(&d.b);
      t->kills++;
      t->acknowledged += l.n;
      if (l.n > t->most) t->most = l.n;
      free(l.at);
    }
    desk_close(&d);
  }
}

int main(int argc, char **argv)
{
  size_t kills = argc > 1 ? (size_t)strtoul(argv[1], NULL, 10) : 50;
  tally t = {0};

  torture(kills, &t);
  CHECK(t.kills == kills && t.acknowledged > kills,
        "%zu kills among %zu acknowledged saves, at most %zu between two",
        t.kills, t.acknowledged, t.most);
  CHECK(t.lost == 0, "every acknowledged save is there: %zu are not", t.lost);
  CHECK(t.unclean == 0, "the book checks clean: %zu times not", t.unclean);
  return CHECK_DONE();
}
