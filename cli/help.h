/* SPDX-License-Identifier: GPL-3.0-or-later */
/* help.h -- help, man page and shell completion, from the table.
**
** All three are printed from the table of operations and its fields; none is
** written twice.
*/
#ifndef LH_HELP_H
#define LH_HELP_H

#include <stdio.h>

#include "operation.h"

/* The overview of all operations. */
void lh_help_all(FILE *out);

/* One operation: what it is for, fields with units and defaults, an
** example. */
void lh_help_one(const lh_operation *op, FILE *out);

/* The words of `leatherhard book`. */
void lh_help_book(FILE *out);

/* The man page (mdoc), and completion for bash. */
void lh_help_man(FILE *out);
void lh_help_completion(FILE *out);

#endif
