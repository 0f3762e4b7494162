/* SPDX-License-Identifier: GPL-3.0-or-later */
/* colour_file.h -- the samples of an instrument's file as colours.
**
** Part of the operation `colour`.  Memory: the call's arena.
*/
#ifndef LH_COLOUR_FILE_H
#define LH_COLOUR_FILE_H

#include "spectra_doc.h"

/* Read the file and tell each sample's colour under D65.
**
** Given:     call, doc   whose file is not NULL
** Returned:  r           told
** Status:    as lh_spectra_doc_read
*/
lh_status lh_colour_file(const lh_call *call, const lh_spectra_doc *doc,
                         lh_reply *r, lh_fault *fault);

#endif
