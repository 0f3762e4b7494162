/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "serve.h"

#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book.h"
#include "file.h"
#include "heap.h"
#include "nearest.h"
#include "qr.h"
#include "render.h"
#include "server.h"

static const char help[] =
    "leatherhard serve: open the page on this machine, and answer it\n\n"
    "  --book FILE          the book to open; one is begun if it is not there\n"
    "  --port N             listen there (8417)\n"
    "  --studio-network     answer other devices of the studio's network too;\n"
    "                       each is admitted once, by a code shown here\n"
    "  --host NAME          another name that this machine is called by\n"
    "  --tls-cert FILE      certificate, and\n"
    "  --tls-key FILE       its key, as PEM: speak https\n"
    "  --page-dir FOLDER    take the page from there, not the one built in\n\n"
    "Open the address that is printed. Ctrl-C ends it, after finishing what\n"
    "is under way. docs/server.md says what can be asked.\n";

static lh_server *running;

static void on_signal(int sig)
{
  (void)sig;
  if (running) lh_server_stop(running);
}

/* ---- the flags ---------------------------------------------------------- */

typedef struct {
  const char *book, *port, *host, *cert, *key, *page_dir;
  bool network, help;
} flags;

static lh_status unknown(const char *s, lh_fault *fault)
{
  static const char *const known[] = {
      "--port",    "--studio-network", "--host", "--tls-cert",
      "--tls-key", "--page-dir",       "--help"};
  enum { KNOWN = sizeof known / sizeof known[0] };
  size_t near = lh_nearest(s, known, KNOWN);

  if (near < KNOWN) {
    return lh_fault_say(fault, LH_INPUT, s, "see leatherhard serve --help",
                        "this flag is not known; the nearest is %s",
                        known[near]);
  }
  return lh_fault_say(fault, LH_INPUT, s, "see leatherhard serve --help",
                      "serve knows no such word");
}

static lh_status read_flags(int argc, char **argv, flags *f, lh_fault *fault)
{
  const struct {
    const char *name;
    const char **value;
  } with[] = {{"--book", &f->book},   {"--port", &f->port},
              {"--host", &f->host},   {"--tls-cert", &f->cert},
              {"--tls-key", &f->key}, {"--page-dir", &f->page_dir}};
  enum { WITH = sizeof with / sizeof with[0] };

  *f = (flags){0};
  for (int i = 1; i < argc; i++) {
    const char *s = argv[i];
    size_t k = 0, n = strcspn(s, "=");
    if (strcmp(s, "--studio-network") == 0) {
      f->network = true;
      continue;
    }
    if (strcmp(s, "--help") == 0 || strcmp(s, "-h") == 0) {
      f->help = true;
      continue;
    }
    while (k < WITH &&
           (strlen(with[k].name) != n || strncmp(s, with[k].name, n) != 0))
      k++;
    if (k == WITH) return unknown(s, fault);
    if (!s[n] && i + 1 == argc) {
      return lh_fault_say(fault, LH_INPUT, s, "write it behind the flag",
                          "its value is missing");
    }
    *with[k].value = s[n] ? s + n + 1 : argv[++i];
  }
  return LH_OK;
}

static lh_status read_port(const char *text, unsigned *port, lh_fault *fault)
{
  char *end;
  unsigned long v;

  *port = LH_PORT;
  if (!text) return LH_OK;
  v = strtoul(text, &end, 10);
  if (text[0] < '0' || text[0] > '9' || *end || v > 65535) {
    return lh_fault_say(fault, LH_INPUT, "--port",
                        "give a number from 1 to 65535, or 0 for any free one",
                        "\"%.40s\" is no port", text);
  }
  *port = (unsigned)v;
  return LH_OK;
}

/* A PEM file as a text. */
static lh_status read_pem(const char *path, lh_arena *a, const char **text,
                          lh_fault *fault)
{
  const void *bytes;
  size_t n;
  char *copy;
  lh_status st = lh_file_read(path, 1 << 20, a, &bytes, &n, fault);

  if (st != LH_OK) return st;
  copy = lh_arena_take(a, n + 1, 1);
  if (!copy) return lh_fault_plain(fault, LH_NOMEM, path);
  memcpy(copy, bytes, n);
  *text = copy;
  return LH_OK;
}

/* Where the devices that were admitted are kept (XDG base directories). */
static const char *devices_file(lh_arena *a)
{
  const char *state = getenv("XDG_STATE_HOME"), *home = getenv("HOME");

  if (state && *state == '/')
    return lh_heap_print(a, "%s/leatherhard/devices.json", state);
  if (home && *home == '/')
    return lh_heap_print(a, "%s/.local/state/leatherhard/devices.json", home);
  return NULL;
}

/* The book must be there, or be begun. */
static lh_status ready_book(const char *path, bool *begun, lh_fault *fault)
{
  lh_book *b = NULL;
  lh_fault none = {0};
  lh_status st;

  *begun = false;
  if (!path) return LH_OK;
  st = lh_book_open(path, LH_BOOK_OPEN, &b, &none);
  if (st == LH_NOTFOUND) {
    st = lh_book_open(path, LH_BOOK_CREATE, &b, fault);
    *begun = st == LH_OK;
  } else if (st != LH_OK) {
    *fault = none;
  }
  lh_book_close(&b);
  return st;
}

/* ---- what the terminal shows -------------------------------------------- */

static bool dark(const lh_qr *qr, size_t x, size_t y)
{
  size_t i = x - LH_QR_QUIET, j = y - LH_QR_QUIET; /* wraps when outside */

  return i < qr->side && j < qr->side && qr->squares[j * qr->side + i];
}

/* Two rows of squares a line, in half blocks; black on white whatever the
** terminal's colours, where it has colours. */
static void draw(const lh_qr *qr, bool colour, FILE *out)
{
  static const char *const block[] = {" ", "\u2584", "\u2580", "\u2588"};
  size_t side = qr->side + 2 * LH_QR_QUIET;

  for (size_t y = 0; y < side; y += 2) {
    fputs(colour ? "  \x1b[30;107m" : "  ", out);
    for (size_t x = 0; x < side; x++) {
      int mask = 2 * dark(qr, x, y) + (y + 1 < side && dark(qr, x, y + 1));
      fputs(block[colour ? mask : 3 - mask], out);
    }
    fputs(colour ? "\x1b[0m\n" : "\n", out);
  }
}

static void show_code(void *who, const char *address, const char *code)
{
  size_t n = strcspn(address, "#");
  lh_arena a;
  lh_qr qr;

  (void)who;
  lh_heap_open(&a);
  printf("\nTo admit a device, scan this with it, or open\n  %.*s\nthere and "
         "type the code  %s\n",
         (int)n, address, code);
  if (lh_qr_make(address, &a, &qr) == LH_OK)
    draw(&qr, lh_render_colour(stdout), stdout);
  fflush(stdout);
  lh_heap_free(&a);
}

static void greet(const lh_server *s, const flags *f, bool begun)
{
  if (f->book) printf("%s book: %s\n", begun ? "A new" : "The", f->book);
  printf("Leatherhard is open on this machine:\n  %s\nCtrl-C ends it.\n",
         lh_server_address(s));
  if (f->network && !f->cert) {
    printf("\nOther devices speak plain http: whoever is in the same network "
           "can read\nalong. --tls-cert and --tls-key mend that.\n");
  }
  fflush(stdout);
}

/* ---- the word ----------------------------------------------------------- */

static lh_status options(const flags *f, lh_arena *a, lh_server_options *o,
                         lh_fault *fault)
{
  lh_status st = read_port(f->port, &o->port, fault);

  if (st == LH_OK && !f->cert != !f->key) {
    st = lh_fault_say(fault, LH_INPUT, f->cert ? "--tls-key" : "--tls-cert",
                      "give both, or neither", "it is missing");
  }
  if (st == LH_OK && f->cert) st = read_pem(f->cert, a, &o->cert, fault);
  if (st == LH_OK && f->key) st = read_pem(f->key, a, &o->key, fault);
  o->book = f->book;
  o->network = f->network;
  o->host = f->host;
  o->page_dir = f->page_dir;
  o->devices = devices_file(a);
  o->code = show_code;
  return st;
}

static lh_status run(const lh_server_options *o, const flags *f,
                     lh_fault *fault)
{
  struct sigaction stop = {.sa_handler = on_signal},
                   ignore = {.sa_handler = SIG_IGN};
  bool begun;
  lh_status st = ready_book(f->book, &begun, fault);

  if (st == LH_OK) st = lh_server_open(o, &running, fault);
  if (st != LH_OK) return st;
  sigaction(SIGINT, &stop, NULL);
  sigaction(SIGTERM, &stop, NULL);
  sigaction(SIGPIPE, &ignore, NULL);
  greet(running, f, begun);
  st = lh_server_run(running, fault);
  lh_server_close(&running);
  return st;
}

lh_status lh_serve(int argc, char **argv, lh_fault *fault)
{
  lh_server_options o = {0};
  flags f;
  lh_arena a;
  lh_status st = read_flags(argc, argv, &f, fault);

  if (st == LH_OK && f.help) {
    fputs(help, stdout);
    return LH_OK;
  }
  lh_heap_open(&a);
  if (st == LH_OK) st = options(&f, &a, &o, fault);
  if (st == LH_OK) st = run(&o, &f, fault);
  lh_heap_free(&a);
  return st;
}
