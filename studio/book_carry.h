/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_carry.h -- the tables that leave a book and enter one, column by
** column; shared by export and import. */
#ifndef LH_BOOK_CARRY_H
#define LH_BOOK_CARRY_H

#include <stddef.h>

typedef enum {
  LH_CARRY_TEXT,
  LH_CARRY_NUMBER, /* an integer, left out when NULL          */
  LH_CARRY_JSON,   /* JSON text, left out when NULL           */
  LH_CARRY_HEX     /* bytes                                   */
} lh_carry_kind;

typedef struct {
  const char *key;
  lh_carry_kind kind;
} lh_carry_column;

typedef struct {
  const char *file;
  const char *select; /* its columns in the order of `column` */
  const char *insert;
  lh_carry_column column[18];
  size_t columns;
} lh_carry_table;

enum { LH_CARRY_TABLES = 4 };
extern const lh_carry_table lh_carry_tables[LH_CARRY_TABLES];

#endif
