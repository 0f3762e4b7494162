/* SPDX-License-Identifier: GPL-3.0-or-later */
/* server.h -- the operations for a page, on this machine.
**
** One thread answers all connections (GNU libmicrohttpd, its epoll driven
** from here); operations run in the workers of ops.  Only this machine is
** answered unless the studio's network is asked for.  The server reaches the
** book through ops only, prints nothing itself and never ends the program.
** docs/server.md says what it answers.
**
** Memory: one object, opened and closed.
*/
#ifndef LH_SERVER_H
#define LH_SERVER_H

#include <stdbool.h>
#include <stddef.h>

#include "fault.h"

enum { LH_PORT = 8417 }; /* unless told otherwise [judgement] */

typedef struct {
  unsigned port;          /* 0: any that is free                         */
  bool network;           /* answer the studio's network too             */
  const char *book;       /* its file, which must be there; NULL: none   */
  const char *page_dir;   /* serve the page from here; NULL: built in    */
  const char *devices;    /* the file that keeps them; NULL: this run    */
  const char *host;       /* another name this machine is called by      */
  const char *cert, *key; /* PEM texts for TLS; NULL: plain            */
  size_t workers;         /* for operations on pieces; 0: 2            */
  /* Told to the person at the terminal; may be NULL. */
  void (*say)(void *who, const char *line);
  /* A new pairing code: the address to open, for a QR code, and the code. */
  void (*code)(void *who, const char *address, const char *code);
  void *who;
} lh_server_options;

typedef struct lh_server lh_server;

/* Open the socket and make ready.
**
** Given:     o    the options; the texts must live as long as the server
** Returned:  *s   close it with lh_server_close
** Status:    LH_OK; LH_IO when the port is taken, LH_INPUT for a bad
**            certificate or page folder, LH_NOMEM; the fault is filled
*/
lh_status lh_server_open(const lh_server_options *o, lh_server **s,
                         lh_fault *fault);

/* The port that is listened on. */
unsigned lh_server_port(const lh_server *s);

/* The address to open on this machine, which admits who opens it. */
const char *lh_server_address(const lh_server *s);

/* Answer until told to stop. */
lh_status lh_server_run(lh_server *s, lh_fault *fault);

/* Finish what is under way and come back from lh_server_run; asked twice, do
** not wait.  May be called from a signal handler. */
void lh_server_stop(lh_server *s);

void lh_server_close(lh_server **s);

#endif
