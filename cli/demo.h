/* SPDX-License-Identifier: GPL-3.0-or-later */
/* demo.h -- the sample scenario worked into a folder.
**
** Runs the same operations that a person would: picture, sheets, piece.
*/
#ifndef LH_DEMO_H
#define LH_DEMO_H

#include "arena.h"
#include "fault.h"

/* Work the sample into a folder: piece.json, picture-band.png,
** picture-side.png, picture-above.png, sheets.pdf; print the verdict and what
** to open.
**
** Given:     folder   made when it is not there
** Status:    LH_OK; LH_STOP when the verdict says so; LH_IO with the file
*/
lh_status lh_demo(const char *folder, lh_arena *a, lh_fault *fault);

#endif
