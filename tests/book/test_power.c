/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The power goes.  Between SQLite and the files stands a file system of our
** own that remembers what has been synced.  At a random write or sync the
** power is cut: of each file there remains what was synced, and of the writes
** since then any of their 512-byte sectors, as a disk may have them.  Every
** save that was acknowledged by then must be in what remains, and the book
** must check clean.
**
**   test_power [CUTS]     200 unless told otherwise
**
** What a disk owes us: that synced bytes stay, and that a write harms nothing
** beside it (https://www.sqlite.org/psow.html, from memory).
*/
#include <sqlite3.h>
#include <stdint.h>

#include "desk.h"
#include "file.h"

enum { FILES = 8, SAVES = 30, REOPEN = 9, SECTOR = 512 };

static uint64_t state = 0xc0ffee;

static uint32_t random_of(uint32_t n)
{
  state ^= state >> 12;
  state ^= state << 25;
  state ^= state >> 27;
  return (uint32_t)((state * 2685821657736338717ULL) >> 33) % n;
}

/* ---- what each file has durably ----------------------------------------- */

typedef struct pending {
  struct pending *next;
  sqlite3_int64 at;
  size_t n; /* of bytes; a truncation has none and cuts at `at` */
  bool cuts;
  unsigned char bytes[];
} pending;

typedef struct {
  char name[400];
  unsigned char *synced;
  size_t n;
  pending *first, *last; /* since the last sync */
} kept;

static kept files[FILES];
static long operations, cut_at; /* counted over writes, truncations, syncs */
static char remains[64];        /* folder for what is left; "" none yet    */
static size_t acknowledged, acknowledged_then;

static void forget(kept *k)
{
  while (k->first) {
    pending *next = k->first->next;
    free(k->first);
    k->first = next;
  }
  k->last = NULL;
}

static kept *find(const char *name)
{
  kept *spare = NULL;

  for (int i = 0; i < FILES; i++) {
    if (strcmp(files[i].name, name) == 0) return &files[i];
    if (!files[i].name[0]) spare = &files[i];
  }
  if (!spare) abort();
  snprintf(spare->name, sizeof spare->name, "%s", name);
  return spare;
}

static void drop(kept *k)
{
  forget(k);
  free(k->synced);
  memset(k, 0, sizeof *k);
}

static void *checked(void *p)
{
  if (!p) abort();
  return p;
}

/* Room for n bytes, so that an image does not move with every sector. */
static size_t room_for(size_t n)
{
  return (n + 0xffff) & ~(size_t)0xffff;
}

/* Put bytes into an image that grows. */
static void lay(unsigned char **image, size_t *n, size_t at,
                const unsigned char *bytes, size_t size)
{
  if (at + size > *n) {
    if (!*image || room_for(at + size) > room_for(*n))
      *image = checked(realloc(*image, room_for(at + size)));
    memset(*image + *n, 0, at + size - *n);
    *n = at + size;
  }
  memcpy(*image + at, bytes, size);
}

static void replay(const pending *p, unsigned char **image, size_t *n,
                   bool some)
{
  if (p->cuts) {
    if ((!some || random_of(2)) && (size_t)p->at < *n) *n = (size_t)p->at;
    return;
  }
  for (size_t i = 0; i < p->n;) {
    size_t here = (size_t)p->at + i;
    size_t size = SECTOR - here % SECTOR;
    if (size > p->n - i) size = p->n - i;
    if (!some || random_of(2)) lay(image, n, here, p->bytes + i, size);
    i += size;
  }
}

/* What is left of a file: as synced, and some of what came after. */
static void leave(const kept *k)
{
  unsigned char *image = checked(malloc(room_for(k->n + 1)));
  size_t n = k->n;
  const char *base = strrchr(k->name, '/') + 1;
  char path[600];

  if (n) memcpy(image, k->synced, n);
  for (const pending *p = k->first; p; p = p->next) replay(p, &image, &n, true);
  snprintf(path, sizeof path, "%s/%s", remains, base);
  if (lh_file_write(path, image, n, NULL) != LH_OK) abort();
  free(image);
}

/* One operation more: is it the one at which the power goes? */
static void tick(void)
{
  if (operations++ != cut_at) return;
  acknowledged_then = acknowledged;
  mkdir(remains, 0777);
  for (int i = 0; i < FILES; i++)
    if (files[i].name[0]) leave(&files[i]);
}

/* ---- the file system between -------------------------------------------- */

typedef struct {
  sqlite3_file base;
  kept *k; /* NULL: not ours to follow */
  sqlite3_file *real;
} shim;

static sqlite3_vfs *below;

#define REAL(f) (((shim *)(f))->real)
#define CALL(f, what, ...) REAL(f)->pMethods->what(REAL(f), __VA_ARGS__)

static void note(sqlite3_file *f, const void *bytes, int n, sqlite3_int64 at,
                 bool cuts)
{
  kept *k = ((shim *)f)->k;
  pending *p;

  if (!k) return;
  p = checked(malloc(sizeof *p + (size_t)n));
  *p = (pending){.at = at, .n = (size_t)n, .cuts = cuts};
  if (n) memcpy(p->bytes, bytes, (size_t)n);
  if (k->last)
    k->last->next = p;
  else
    k->first = p;
  k->last = p;
}

static int my_close(sqlite3_file *f)
{
  return REAL(f)->pMethods->xClose(REAL(f));
}

static int my_read(sqlite3_file *f, void *p, int n, sqlite3_int64 at)
{
  return CALL(f, xRead, p, n, at);
}

static int my_write(sqlite3_file *f, const void *p, int n, sqlite3_int64 at)
{
  int rc = CALL(f, xWrite, p, n, at);

  note(f, p, n, at, false);
  tick();
  return rc;
}

static int my_truncate(sqlite3_file *f, sqlite3_int64 size)
{
  int rc = CALL(f, xTruncate, size);

  note(f, NULL, 0, size, true);
  tick();
  return rc;
}

/* The sync is asked for at one tick, and done after the next. */
static int my_sync(sqlite3_file *f, int flags)
{
  kept *k = ((shim *)f)->k;

  (void)flags; /* what is below need not sync: we keep the account */
  tick();
  if (!k) return SQLITE_OK;
  for (const pending *p = k->first; p; p = p->next)
    replay(p, &k->synced, &k->n, false);
  forget(k);
  tick();
  return SQLITE_OK;
}

static int my_size(sqlite3_file *f, sqlite3_int64 *n)
{
  return CALL(f, xFileSize, n);
}

static int my_lock(sqlite3_file *f, int how)
{
  return CALL(f, xLock, how);
}

static int my_unlock(sqlite3_file *f, int how)
{
  return CALL(f, xUnlock, how);
}

static int my_reserved(sqlite3_file *f, int *is)
{
  return CALL(f, xCheckReservedLock, is);
}

static int my_control(sqlite3_file *f, int op, void *p)
{
  return CALL(f, xFileControl, op, p);
}

static int my_sector(sqlite3_file *f)
{
  return REAL(f)->pMethods->xSectorSize(REAL(f));
}

static int my_traits(sqlite3_file *f)
{
  return REAL(f)->pMethods->xDeviceCharacteristics(REAL(f));
}

static int my_shm_map(sqlite3_file *f, int i, int n, int extend,
                      void volatile **p)
{
  return CALL(f, xShmMap, i, n, extend, p);
}

static int my_shm_lock(sqlite3_file *f, int at, int n, int flags)
{
  return CALL(f, xShmLock, at, n, flags);
}

static void my_shm_barrier(sqlite3_file *f)
{
  REAL(f)->pMethods->xShmBarrier(REAL(f));
}

static int my_shm_unmap(sqlite3_file *f, int remove)
{
  return CALL(f, xShmUnmap, remove);
}

static const sqlite3_io_methods methods = {
    2,         my_close,   my_read,     my_write,       my_truncate,  my_sync,
    my_size,   my_lock,    my_unlock,   my_reserved,    my_control,   my_sector,
    my_traits, my_shm_map, my_shm_lock, my_shm_barrier, my_shm_unmap, NULL,
    NULL};

static int my_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *f,
                   int flags, int *out)
{
  shim *s = (shim *)f;
  int rc;

  (void)vfs;
  *s = (shim){.real = (sqlite3_file *)(s + 1)};
  rc = below->xOpen(below, name, s->real, flags, out);
  if (rc != SQLITE_OK && !s->real->pMethods) return rc;
  s->base.pMethods = &methods;
  if (name && flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL |
                       SQLITE_OPEN_MAIN_JOURNAL))
    s->k = find(name);
  return rc;
}

static int my_delete(sqlite3_vfs *vfs, const char *name, int sync)
{
  int rc = below->xDelete(below, name, sync);

  (void)vfs;
  for (int i = 0; i < FILES; i++)
    if (strcmp(files[i].name, name) == 0) drop(&files[i]);
  tick();
  return rc;
}

static sqlite3_vfs mine;

static void between(bool on)
{
  if (!below) {
    below = sqlite3_vfs_find(NULL);
    mine = *below;
    mine.zName = "power";
    mine.szOsFile = (int)sizeof(shim) + below->szOsFile;
    mine.xOpen = my_open;
    mine.xDelete = my_delete;
    mine.pNext = NULL;
  }
  sqlite3_vfs_register(on ? &mine : below, 1);
}

/* ---- saves -------------------------------------------------------------- */

typedef struct {
  char id[LH_BOOK_ID + 1];
  long number;
  char note[24];
} ack;

static ack acks[SAVES];

static bool save(lh_book *b, unsigned i)
{
  lh_book_saved saved;
  ack *a = &acks[acknowledged];
  json_t *v;
  lh_status st;

  snprintf(a->note, sizeof a->note, "%u-%u", i, random_of(1000000));
  if (acknowledged < 3 || random_of(4) == 0) {
    v = json_pack("{s:s,s:s}", "name", "power", "note", a->note);
    st = lh_book_add(b, LH_BOOK_NOTE, v, "wheel", &saved, NULL);
  } else {
    const ack *of = &acks[random_of(3)];
    json_t *d;
    lh_book_record r;
    v = json_pack("[{s:s,s:s,s:s}]", "op", "replace", "path", "/note", "value",
                  a->note);
    st = lh_book_read(b, of->id, 0, &d, &r, NULL);
    if (st == LH_OK)
      st = lh_book_edit(b, r.id, r.number, v, "wheel", true, &saved, NULL);
  }
  json_decref(v);
  if (st != LH_OK) return false;
  memcpy(a->id, saved.id, sizeof a->id);
  a->number = saved.number;
  acknowledged++;
  return true;
}

/* Begin a book and save; open anew now and then, which folds the log in. */
static bool work(const char *path)
{
  lh_book *b = NULL;
  bool good = lh_book_open(path, LH_BOOK_CREATE, &b, NULL) == LH_OK;

  for (unsigned i = 0; i < SAVES && good; i++) {
    good = save(b, i);
    if (good && i % REOPEN == REOPEN - 1) {
      lh_book_close(&b);
      good = lh_book_open(path, LH_BOOK_OPEN, &b, NULL) == LH_OK;
    }
  }
  lh_book_close(&b);
  return good;
}

/* ---- cuts --------------------------------------------------------------- */

typedef struct {
  long cuts, lost, unclean, none;
  size_t acknowledged;
} tally;

static void look(const char *path, tally *t)
{
  desk d = {0};

  snprintf(d.path, sizeof d.path, "%s", path);
  t->acknowledged += acknowledged_then;
  if (lh_book_open(d.path, LH_BOOK_OPEN, &d.b, &d.fault) != LH_OK) {
    /* Cut while it was being begun: nothing can have been acknowledged. */
    t->none++;
    if (acknowledged_then == 0) return;
    printf("# after %zu: %s\n", acknowledged_then, d.fault.what);
    t->lost++;
    return;
  }
  for (size_t i = 0; i < acknowledged_then; i++) {
    json_t *v = NULL;
    const char *note = NULL;
    if (lh_book_read(d.b, acks[i].id, acks[i].number, &v, NULL, NULL) == LH_OK)
      note = json_string_value(json_object_get(v, "note"));
    if (note && strcmp(note, acks[i].note) == 0) continue;
    if (t->lost++ < 5)
      printf("# cut at %ld: %s revision %ld of %zu saves is not there\n",
             cut_at, acks[i].id, acks[i].number, acknowledged_then);
  }
  if (findings(&d) != 0) t->unclean++;
  lh_book_close(&d.b);
}

/* One run; returns how many operations there were. */
static long run(long cut, tally *t)
{
  char folder[] = "/dev/shm/power-XXXXXX", other[] = "/tmp/power-XXXXXX";
  char *at = access("/dev/shm", W_OK) == 0 ? folder : other, path[128];
  bool good;

  if (!mkdtemp(at)) exit(3);
  snprintf(remains, sizeof remains, "%s/left", at);
  snprintf(path, sizeof path, "%s/a.book", at);
  operations = 0;
  cut_at = cut;
  acknowledged = acknowledged_then = 0;
  between(true);
  good = work(path);
  between(false);
  for (int i = 0; i < FILES; i++) drop(&files[i]);
  if (!good) {
    printf("# the saves went wrong\n");
    t->lost++;
  } else if (cut >= 0) {
    t->cuts++;
    snprintf(path, sizeof path, "%s/a.book", remains);
    look(path, t);
  }
  desk_sweep(at);
  return operations;
}

int main(int argc, char **argv)
{
  long cuts = argc > 1 ? strtol(argv[1], NULL, 10) : 200, all;
  tally t = {0};

  all = run(-1, &t);
  CHECK(all > 100, "%d saves make %ld writes and syncs", SAVES, all);
  for (long i = 0; i < cuts; i++) run((long)random_of((uint32_t)all), &t);
  CHECK(t.cuts == cuts && t.acknowledged > (size_t)cuts * 5,
        "%ld cuts, %zu saves acknowledged before them; %ld before there was "
        "a book",
        t.cuts, t.acknowledged, t.none);
  CHECK(t.lost == 0, "every acknowledged save is there: %ld are not", t.lost);
  CHECK(t.unclean == 0, "the book checks clean: %ld times not", t.unclean);
  return CHECK_DONE();
}
