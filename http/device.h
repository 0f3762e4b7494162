/* SPDX-License-Identifier: GPL-3.0-or-later */
/* device.h -- who may come in.
**
** A device is admitted once, by the key that this run of the server printed,
** or by a pairing code of eight figures, and from then on shows a token of
** 128 bits.  A code admits one device and is spent; five wrong tries make a
** new code, and the next try must wait.  Devices can be listed and revoked.
** They are kept in a file, by the SHA-256 of their tokens, so that a tablet
** is still known tomorrow.  Nothing here knows of requests.
**
** Memory: one object, opened and closed.  Time is handed in: [ms], monotonic.
*/
#ifndef LH_DEVICE_H
#define LH_DEVICE_H

#include <stdbool.h>
#include <stddef.h>

#include "fault.h"

enum {
  LH_TOKEN_SIZE = 33,      /* 128 bits in hex, and the ending zero       */
  LH_DEVICE_NAME = 64,     /* bytes of a name with its ending zero       */
  LH_DEVICES_MOST = 32,    /* admitted at once                           */
  LH_PAIR_TRIES = 5,       /* wrong ones, then the code is renewed       */
  LH_PAIR_WAIT_MS = 10000, /* after that, before the next try [judgement] */
  LH_CODE_SIZE = 10        /* "1234-5678" and the ending zero            */
};

typedef struct {
  char id[17];
  char name[LH_DEVICE_NAME];
  long long since, seen; /* [s] since 1970 */
} lh_device;

typedef struct lh_devices lh_devices;

typedef enum {
  LH_PAIR_IN,     /* admitted                              */
  LH_PAIR_WRONG,  /* no such code or key                   */
  LH_PAIR_SLOWER, /* too many wrong tries: wait            */
  LH_PAIR_FULL,   /* LH_DEVICES_MOST are admitted          */
  LH_PAIR_FAILED  /* the file could not be written: fault  */
} lh_pair_end;

/* Open the list.
**
** Given:     file    where it is kept, or NULL: for this run only
**            codes   whether pairing codes are taken, or the key alone
** Returned:  *d
** Status:    LH_OK; LH_IO, LH_INPUT with the fault; LH_NOMEM
*/
lh_status lh_devices_open(const char *file, bool codes, lh_devices **d,
                          lh_fault *fault);
void lh_devices_close(lh_devices **d);

/* n random bytes of the system's as hex, 2 n + 1 characters; false when the
** system gives none. */
bool lh_random_hex(char *text, size_t n);

/* Eight hex figures of this list, for the name of a cookie. */
const char *lh_devices_id(const lh_devices *d);

/* The key of this run, and the pairing code of the moment. */
const char *lh_devices_key(const lh_devices *d);
const char *lh_devices_code(const lh_devices *d);

/* Admit a device that shows the key or a code; hyphens and blanks in a code
** do not matter.
**
** Given:     word    what it shows
**            name    what it is to be called
**            now     [ms]
** Returned:  token   what it shows from now on; kept nowhere else
**            *id     of the device
*/
lh_pair_end lh_devices_admit(lh_devices *d, const char *word, const char *name,
                             long long now, char token[LH_TOKEN_SIZE],
                             char id[17], lh_fault *fault);

/* The device that shows this token, seen now; NULL: none. */
const lh_device *lh_devices_find(lh_devices *d, const char *token);

/* The i-th of those admitted; NULL past the last. */
const lh_device *lh_devices_at(const lh_devices *d, size_t i);

/* Forget a device.  Status: LH_OK; LH_NOTFOUND; LH_IO */
lh_status lh_devices_revoke(lh_devices *d, const char *id, lh_fault *fault);

#endif
