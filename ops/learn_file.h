/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learn_file.h -- tiles of `learn` whose readings stand in a file of spectra.
**
** A tile takes the sample of its own name.  Memory: the call's arena.
*/
#ifndef LH_LEARN_FILE_H
#define LH_LEARN_FILE_H

#include "learn_ask.h"
#include "spectra.h"

typedef struct lh_learn_file {
  lh_spectra is;
  bool *used;          /* which samples were taken          */
  size_t taken;        /* how many                          */
  bool geometry_asked; /* the document says it; else the file, or nothing */
} lh_learn_file;

/* Read the file, and give tiles that were not read otherwise their samples.
**
** Given:     call, ask
** Returned:  *file   NULL when there is none; the tiles' readings, the
**                    geometry and, for L*a*b*, with what they were read
** Status:    LH_OK; LH_INPUT, LH_RANGE, LH_TOOLARGE with the reason;
**            LH_NOTFOUND; LH_NOMEM
*/
lh_status lh_learn_file_take(const lh_call *call, lh_learn_ask *ask,
                             lh_learn_file **file, lh_fault *fault);

/* How far a tile's reading may be off at wavelength w, one standard
** deviation, when it is good to `error` where it was measured. */
double lh_learn_file_doubt(const lh_learn_tile_ask *t, size_t w, double error);

/* Tell what was read. */
void lh_learn_file_tell(const lh_learn_ask *ask, const lh_learn_file *file,
                        lh_reply *r);

#endif
