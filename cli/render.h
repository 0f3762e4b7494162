/* SPDX-License-Identifier: GPL-3.0-or-later */
/* render.h -- a reply as lines on a terminal.
**
** Rows that follow each other are aligned; a cell that opens with a digit or
** a sign stands to the right.  Colour only when asked for.  Nothing here
** knows what an operation is about.
*/
#ifndef LH_RENDER_H
#define LH_RENDER_H

#include <stdbool.h>
#include <stdio.h>

#include "operation.h"

/* Print the reply's lines. */
void lh_render_lines(const lh_line *first, bool colour, FILE *out);

/* Print a fault: what, where, what to do. */
void lh_render_fault(const lh_fault *fault, bool colour, FILE *out);

/* May this stream show colour?  Only a terminal, and not when NO_COLOR is
** set to anything (the convention of the same name). */
bool lh_render_colour(FILE *out);

#endif
