/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pack.c -- put the page's files into the program.
**
**   pack OUT.c OUT.bin FOLDER...
**
** Every file under each folder, by its name below it, as it is and packed by
** brotli and gzip where that is smaller, goes into OUT.bin; OUT.c holds the
** table (http/asset.h) and takes OUT.bin in.  The same files give the same
** bytes.  A later folder may not hold a name again.
*/
#include <brotli/encode.h>
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <zlib.h>

enum { FILES = 1000 };

typedef struct {
  char *name, *path;
} file;

static file files[FILES];
static size_t count;
static FILE *bin;
static size_t at;

static void stop(const char *what, const char *name)
{
  fprintf(stderr, "pack: %s: %s\n", name, what);
  exit(1);
}

static void *room(size_t n)
{
  void *p = malloc(n ? n : 1);

  if (!p) stop("out of memory", "");
  return p;
}

static char *join(const char *a, const char *b)
{
  char *s = room(strlen(a) + strlen(b) + 2);

  sprintf(s, "%s%s%s", a, *a && *b ? "/" : "", b);
  return s;
}

static void walk(const char *folder, const char *below)
{
  char *here = join(folder, below);
  DIR *d = opendir(here);
  struct dirent *e;

  if (!d) stop("cannot be opened", here);
  while ((e = readdir(d))) {
    struct stat is;
    char *name, *path;
    if (e->d_name[0] == '.') continue;
    name = join(below, e->d_name);
    path = join(folder, name);
    if (stat(path, &is) != 0) stop("cannot be read", path);
    if (!S_ISDIR(is.st_mode)) {
      if (count == FILES) stop("too many files", path);
      files[count++] = (file){name, path};
      continue;
    }
    walk(folder, name);
    free(name);
    free(path);
  }
  closedir(d);
  free(here);
}

static int by_name(const void *a, const void *b)
{
  return strcmp(((const file *)a)->name, ((const file *)b)->name);
}

static const char *media_of(const char *name)
{
  static const char *const types[][2] = {
      {".html", "text/html; charset=utf-8"},
      {".css", "text/css; charset=utf-8"},
      {".js", "text/javascript; charset=utf-8"},
      {".json", "application/json"},
      {".webmanifest", "application/manifest+json"},
      {".wasm", "application/wasm"},
      {".svg", "image/svg+xml"},
      {".png", "image/png"},
      {".ico", "image/x-icon"},
      {".woff2", "font/woff2"},
      {".txt", "text/plain; charset=utf-8"},
  };

  for (size_t i = 0; i < sizeof types / sizeof types[0]; i++) {
    size_t n = strlen(types[i][0]), m = strlen(name);
    if (m > n && strcmp(name + m - n, types[i][0]) == 0) return types[i][1];
  }
  stop("of a kind that has no media type here", name);
  return NULL;
}

static size_t put(const void *bytes, size_t n)
{
  size_t place = at;

  if (fwrite(bytes, 1, n, bin) != n) stop("cannot be written", "");
  at += n;
  return place;
}

static unsigned char *read_all(const char *path, size_t *n)
{
  FILE *f = fopen(path, "rb");
  struct stat is;
  unsigned char *p;

  if (!f || stat(path, &is) != 0) stop("cannot be read", path);
  *n = (size_t)is.st_size;
  p = room(*n);
  if (fread(p, 1, *n, f) != *n) stop("cannot be read", path);
  fclose(f);
  return p;
}

/* gzip with no name and no time, so that the bytes are the same. */
static size_t gzip(const unsigned char *p, size_t n, unsigned char *to,
                   size_t most)
{
  z_stream z = {0};

  if (deflateInit2(&z, 9, Z_DEFLATED, 15 + 16, 9, Z_DEFAULT_STRATEGY) != Z_OK)
    stop("gzip fails", "");
  z.next_in = (unsigned char *)(uintptr_t)p;
  z.avail_in = (unsigned)n;
  z.next_out = to;
  z.avail_out = (unsigned)most;
  if (deflate(&z, Z_FINISH) != Z_STREAM_END) stop("gzip fails", "");
  n = z.total_out;
  deflateEnd(&z);
  return n;
}

/* FNV-1a, 64 bits: tells versions of a file apart. */
static uint64_t tag_of(const unsigned char *p, size_t n)
{
  uint64_t h = 0xcbf29ce484222325u;

  for (size_t i = 0; i < n; i++) h = (h ^ p[i]) * 0x100000001b3u;
  return h;
}

static void pack(const file *f, FILE *c)
{
  size_t n, most, z, b;
  unsigned char *p = read_all(f->path, &n), *to;
  size_t plain = put(p, n), gzip_at = 0, brotli_at = 0;

  most = n + n / 2 + 1024;
  to = room(most);
  z = gzip(p, n, to, most);
  if (z >= n)
    z = 0;
  else
    gzip_at = put(to, z);
  b = most;
  if (!BrotliEncoderCompress(11, 24, BROTLI_MODE_GENERIC, n, p, &b, to))
    stop("brotli fails", f->path);
  if (b >= n)
    b = 0;
  else
    brotli_at = put(to, b);
  fprintf(c,
          "    {\"%s\", \"%s\", \"%016llx\", %zu, %zu, %zu, %zu, %zu, %zu},\n",
          f->name, media_of(f->name), (unsigned long long)tag_of(p, n), plain,
          n, gzip_at, z, brotli_at, b);
  free(to);
  free(p);
}

int main(int argc, char **argv)
{
  FILE *c;

  if (argc < 4) {
    fprintf(stderr, "use: pack OUT.c OUT.bin FOLDER...\n");
    return 2;
  }
  for (int i = 3; i < argc; i++) walk(argv[i], "");
  qsort(files, count, sizeof files[0], by_name);
  for (size_t i = 1; i < count; i++)
    if (strcmp(files[i - 1].name, files[i].name) == 0)
      stop("is there twice", files[i].name);
  c = fopen(argv[1], "w");
  bin = fopen(argv[2], "wb");
  if (!c || !bin) stop("cannot be written", argv[1]);
  fprintf(c, "/* made by tools/pack.c */\n#include \"asset.h\"\n\n"
             "const lh_asset lh_assets[] = {\n");
  for (size_t i = 0; i < count; i++) pack(&files[i], c);
  fprintf(c,
          "    {0},\n};\n\n__asm__(\".section .rodata\\n\"\n"
          "        \".balign 16\\n\"\n"
          "        \".global lh_asset_bytes\\n\"\n"
          "        \"lh_asset_bytes: .incbin \\\"%s\\\"\\n\"\n"
          "        \".byte 0\\n\"\n"
          "        \".previous\\n\");\n",
          argv[2]);
  for (size_t i = 0; i < count; i++) {
    free(files[i].name);
    free(files[i].path);
  }
  if (fclose(c) != 0 || fclose(bin) != 0) stop("cannot be written", argv[1]);
  return 0;
}
