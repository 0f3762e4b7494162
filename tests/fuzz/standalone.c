/* SPDX-License-Identifier: GPL-3.0-or-later */
/* standalone.c -- replay a kept corpus through a fuzz target, without the
** fuzzer: one TAP line a file, in the order of the names.  A finding is the
** sanitizer's to report; a file that is read and answered passes.  Each input
** is handed over in a block of its own size, so that reading one byte past
** its end is seen.
*/
#include <dirent.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static int count, bad;
static char running[512]; /* the line to print when the target aborts */

/* A target says abort() when what it promises does not hold. */
static void aborted(int sig)
{
  (void)sig;
  if (write(STDOUT_FILENO, running, strlen(running)) < 0) _exit(2);
  _exit(1);
}

static void run(const char *name, const unsigned char *from, size_t n)
{
  uint8_t *data = malloc(n ? n : 1);

  if (!data) exit(3);
  if (n) memcpy(data, from, n);
  snprintf(running, sizeof running, "not ok %d - %.400s\n", count + 1, name);
  int rc = LLVMFuzzerTestOneInput(data, n);
  free(data);
  if (rc != 0) bad = 1;
  printf("%sok %d - %s, %zu bytes\n", rc ? "not " : "", ++count, name, n);
  fflush(stdout);
}

static void run_file(const char *folder, const char *name)
{
  char path[4096];
  unsigned char *data = NULL;
  size_t n = 0, room = 0, got;

  snprintf(path, sizeof path, "%s/%s", folder, name);
  FILE *f = fopen(path, "rb");
  if (!f) {
    printf("not ok %d - %s cannot be opened\n", ++count, name);
    bad = 1;
    return;
  }
  do {
    if (n == room) {
      room = room ? 2 * room : 65536;
      data = realloc(data, room);
      if (!data) exit(3);
    }
    got = fread(data + n, 1, room - n, f);
    n += got;
  } while (got > 0);
  fclose(f);
  run(name, data, n);
  free(data);
}

static int visible(const struct dirent *d)
{
  return d->d_name[0] != '.';
}

int main(int argc, char **argv)
{
  struct dirent **list;
  int n = argc == 2 ? scandir(argv[1], &list, visible, alphasort) : -1;

  if (n < 0) {
    fprintf(stderr, "use: replay FOLDER\n");
    return 2;
  }
  signal(SIGABRT, aborted);
  run("nothing at all", NULL, 0);
  for (int i = 0; i < n; i++) {
    run_file(argv[1], list[i]->d_name);
    free(list[i]);
  }
  free(list);
  printf("%sok %d - the corpus is kept: %d files\n", n ? "" : "not ", ++count,
         n);
  if (n == 0) bad = 1;
  printf("1..%d\n", count);
  return bad;
}
