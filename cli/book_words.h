/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_words.h -- the word `book`: look after the book from the command line.
**
**   leatherhard book FILE WORD [MORE...] [--json]
*/
#ifndef LH_BOOK_WORDS_H
#define LH_BOOK_WORDS_H

#include "arena.h"
#include "args.h"

/* Do what args->word[2] says to the book args->word[1].
**
** Status:    as lh_book_...; LH_STOP when a check finds something
*/
lh_status lh_book_words(const lh_args *args, lh_arena *a, lh_fault *fault);

/* The words, for the help: false past the end. */
bool lh_book_word_at(size_t i, const char **name, const char **more,
                     const char **help);

#endif
