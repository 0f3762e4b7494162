/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photograph.h -- tiles read from a photograph with patches of known colour.
**
** What `colour` and `learn` share: the fields of a photograph in a document,
** the reading of it, and how it is told.  Memory: all in the call's arena.
*/
#ifndef LH_PHOTOGRAPH_H
#define LH_PHOTOGRAPH_H

#include "operation.h"
#include "photo.h"
#include "photo_light.h"

enum { LH_PHOTOGRAPH_TILES = 100 };

/* As asked; a row for LH_OBJECT or LH_LIST is lh_photograph_table. */
typedef struct {
  const char *name;
  double x, y, radius;
  lh_list lab;
} lh_photograph_patch;

typedef struct {
  const char *name;
  double x, y, radius;
} lh_photograph_tile;

typedef struct {
  const char *file;
  lh_list patches, tiles; /* of the two above */
} lh_photograph_ask;

extern const lh_fields lh_photograph_table;

/* What came out. */
typedef struct {
  const char *name;
  lh_lab lab;     /* under D65                                    */
  double range;   /* the dE00 within which it lies, 90 of 100     */
  double scatter; /* of one pixel's light, as a share             */
} lh_photograph_reading;

typedef struct {
  const char *name;
  double off; /* dE00 missed by when left out; NAN: it is alone */
} lh_photograph_miss;

typedef struct lh_photograph_read {
  lh_photograph_reading *reading;
  size_t n;
  lh_photograph_miss *patch;
  size_t patches;
  double mean, worst; /* of the patches' misses, dE00; NAN for one */
  double lighting;    /* what was evened out                   [%] */
  lh_photo_about about;
} lh_photograph_read;

/* Read a photograph.
**
** Given:     call, ask
**            where    its JSON pointer
** Returned:  *read
** Status:    LH_OK; LH_INPUT or LH_RANGE with the reason: no picture, no
**            patch, a disc off the picture, burnt out or black, patches that
**            disagree; LH_NOTFOUND, LH_TOOLARGE, LH_CANCELLED, LH_NOMEM
*/
lh_status lh_photograph_take(const lh_call *call, const lh_photograph_ask *ask,
                             const char *where, lh_photograph_read *read,
                             lh_fault *fault);

/* Put it into an object of the result (NULL: the result itself), and tell it
** a person. */
void lh_photograph_put(const lh_photograph_read *read, lh_reply *r, json_t *to);
void lh_photograph_say(const lh_photograph_read *read, lh_reply *r);

#endif
