/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fault.h -- the words that go with an outcome.
**
** A fault says where, what and what to do.  `where` is a JSON pointer for
** meaning, file:line:column for syntax, a file's name otherwise.  The first
** fault stands: a later one does not cover it.  Its three texts are one line
** of UTF-8 each, without control characters, whatever they quote.
*/
#ifndef LH_FAULT_H
#define LH_FAULT_H

#include "status.h"

/* Fill a fault that is still empty and give its status back.
**
** Given:     f       the fault, or NULL
**            st      the outcome
**            where   pointer, position or file
**            todo    what to do about it
**            format  what is wrong, as printf
** Returned:  st, or the status that f already had
*/
lh_status lh_fault_say(lh_fault *f, lh_status st, const char *where,
                       const char *todo, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* A fault for an outcome that has no better words: status text alone. */
lh_status lh_fault_plain(lh_fault *f, lh_status st, const char *where);

#endif
