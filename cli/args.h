/* SPDX-License-Identifier: GPL-3.0-or-later */
/* args.h -- the words of the command line, taken apart.
**
**   leatherhard OP [FILE|-] [--json] [--out FILE] [--book FILE]
**               [--set POINTER=VALUE]...
**
** Knows the flags, not the operations.
*/
#ifndef LH_ARGS_H
#define LH_ARGS_H

#include <stdbool.h>
#include <stddef.h>

#include "fault.h"

enum { LH_SETS = 64, LH_WORDS = 8 };

typedef struct {
  const char *word[LH_WORDS]; /* words that are not flags, in order */
  size_t words;
  bool json, schema, help, version;
  const char *out;  /* file for what the operation gives; NULL: none */
  const char *book; /* the book whose stock is looked into; NULL: none */
  const char *set[LH_SETS];
  size_t sets;
} lh_args;

/* Take argv apart; an unknown flag is refused with the nearest known one. */
lh_status lh_args_read(int argc, char **argv, lh_args *args, lh_fault *fault);

#endif
