/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fields.h -- what a document may hold, said once.
**
** A table of fields describes an object: key, kind, unit, limits, default,
** words.  The same table reads the document into a C struct, refuses what
** does not belong (naming the nearest key), prints the help and gives the
** published JSON Schema, so that the four cannot drift apart.
**
** Memory: what is read lives in the arena that was handed in.  Text and raw
** JSON point into the document, which must live as long.
** Units: the unit stands in the key and in the table; nothing is converted
** here.  An absent number without default is NAN, an absent count -1, an
** absent text or object NULL.
*/
#ifndef LH_FIELDS_H
#define LH_FIELDS_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "arena.h"
#include "fault.h"

enum { LH_SPECTRUM = 36 };

typedef enum {
  LH_F_NUMBER,   /* double; a text with a decimal comma is understood     */
  LH_F_COUNT,    /* long                                                   */
  LH_F_FLAG,     /* bool                                                   */
  LH_F_TEXT,     /* const char *, of one line unless `lines`               */
  LH_F_CHOICE,   /* int, the place in `choices`; absent without default -1 */
  LH_F_OBJECT,   /* a pointer to the struct of `sub`, or NULL              */
  LH_F_LIST,     /* lh_list of structs of `sub`                            */
  LH_F_NUMBERS,  /* lh_list of double                                      */
  LH_F_TEXTS,    /* lh_list of const char *                                */
  LH_F_SPECTRUM, /* double *: 36 numbers from one or 36; NULL when absent  */
  LH_F_AMOUNTS,  /* lh_list of lh_amount: free names with a number each    */
  LH_F_JSON      /* json_t *, borrowed, not looked into                    */
} lh_field_kind;

typedef struct {
  void *items;
  size_t count;
} lh_list;

typedef struct {
  const char *name;
  double value;
} lh_amount;

typedef struct lh_fields lh_fields;

typedef struct {
  const char *key;
  lh_field_kind kind;
  size_t offset; /* of the member in the struct               */
  bool required;
  bool lines;                 /* a text may have line ends and tabs        */
  bool file;                  /* a text is a whole file: any characters    */
  bool handed;                /* which may be no UTF-8: then it is named by
                                its sha256 (ops/handed.h)                 */
  double least, most;         /* of a number; NAN: no limit                */
  double otherwise;           /* the default; NAN: none                    */
  size_t most_items;          /* of a list; 0: LH_LIST_MOST                */
  const char *const *choices; /* ends with NULL                            */
  const lh_fields *sub;
  const char *unit; /* "g per litre"; NULL: none                 */
  const char *help; /* one plain sentence                        */
} lh_field;

struct lh_fields {
  const char *title; /* what the object is, for schema and help */
  size_t size;       /* of the struct                           */
  const lh_field *list;
  size_t count;
};

enum { LH_LIST_MOST = 10000 };

/* Short ways to write a row.  O is the struct's type, M the member. */
#define LH_NUMBER(O, M, KEY, REQ, LEAST, MOST, DEF, UNIT, HELP)      \
  {                                                                  \
    .key = KEY, .kind = LH_F_NUMBER, .offset = offsetof(O, M),       \
    .required = REQ, .least = LEAST, .most = MOST, .otherwise = DEF, \
    .unit = UNIT, .help = HELP                                       \
  }
#define LH_COUNT(O, M, KEY, REQ, LEAST, MOST, DEF, HELP)                       \
  {                                                                            \
    .key = KEY, .kind = LH_F_COUNT, .offset = offsetof(O, M), .required = REQ, \
    .least = LEAST, .most = MOST, .otherwise = DEF, .help = HELP               \
  }
#define LH_FLAG(O, M, KEY, DEF, HELP)                                          \
  {                                                                            \
    .key = KEY, .kind = LH_F_FLAG, .offset = offsetof(O, M), .otherwise = DEF, \
    .help = HELP                                                               \
  }
#define LH_TEXT(O, M, KEY, REQ, HELP)                                         \
  {                                                                           \
    .key = KEY, .kind = LH_F_TEXT, .offset = offsetof(O, M), .required = REQ, \
    .help = HELP                                                              \
  }
#define LH_NOTE(O, M, KEY, REQ, HELP)                                         \
  {                                                                           \
    .key = KEY, .kind = LH_F_TEXT, .offset = offsetof(O, M), .required = REQ, \
    .lines = true, .help = HELP                                               \
  }
#define LH_CHOICE(O, M, KEY, REQ, CHOICES, DEF, HELP)                   \
  {                                                                     \
    .key = KEY, .kind = LH_F_CHOICE, .offset = offsetof(O, M),          \
    .required = REQ, .choices = CHOICES, .otherwise = DEF, .help = HELP \
  }
#define LH_OBJECT(O, M, KEY, REQ, SUB, HELP)                   \
  {                                                            \
    .key = KEY, .kind = LH_F_OBJECT, .offset = offsetof(O, M), \
    .required = REQ, .sub = &(SUB), .help = HELP               \
  }
#define LH_LIST(O, M, KEY, REQ, SUB, MOST, HELP)                              \
  {                                                                           \
    .key = KEY, .kind = LH_F_LIST, .offset = offsetof(O, M), .required = REQ, \
    .sub = &(SUB), .most_items = MOST, .help = HELP                           \
  }
#define LH_SPECTRUM_OF(O, M, KEY, REQ, LEAST, MOST, UNIT, HELP)               \
  {                                                                           \
    .key = KEY, .kind = LH_F_SPECTRUM, .offset = offsetof(O, M),              \
    .required = REQ, .least = LEAST, .most = MOST, .unit = UNIT, .help = HELP \
  }
#define LH_AMOUNTS(O, M, KEY, REQ, LEAST, MOST, UNIT, HELP)                   \
  {                                                                           \
    .key = KEY, .kind = LH_F_AMOUNTS, .offset = offsetof(O, M),               \
    .required = REQ, .least = LEAST, .most = MOST, .unit = UNIT, .help = HELP \
  }

/* The table itself: static const lh_fields x = LH_FIELDS("...", type, rows) */
#define LH_FIELDS(TITLE, TYPE, ROWS)                            \
  {                                                             \
    TITLE, sizeof(TYPE), ROWS, sizeof(ROWS) / sizeof((ROWS)[0]) \
  }

/* Where we are in the document, for messages; made on the stack. */
typedef struct lh_at {
  const struct lh_at *up;
  const char *key; /* NULL: an index */
  size_t index;
} lh_at;

/* Write the JSON pointer of a place (RFC 6901) into text. */
void lh_at_pointer(const lh_at *at, char *text, size_t size);

/* Read an object into a struct.
**
** Given:     f       the table
**            json    the object
**            at      where it stands in the document; NULL at the top
**            a       the arena that takes what is read
** Returned:  *out    the struct, f->size bytes, all set
** Status:    LH_OK; LH_INPUT or LH_RANGE with the fault filled; LH_NOMEM;
**            LH_TOOLARGE for a list longer than it may be
*/
lh_status lh_fields_read(const lh_fields *f, const json_t *json,
                         const lh_at *at, lh_arena *a, void *out,
                         lh_fault *fault);

/* The JSON Schema (2020-12) of the table; a new reference, NULL when out of
** memory. */
json_t *lh_fields_schema(const lh_fields *f);

/* Print the fields for a person, indented by `indent` spaces. */
void lh_fields_help(const lh_fields *f, int indent, FILE *out);

/* Parse a document.
**
** Given:     bytes, n   the text; a byte order mark is passed over
**            name       what to call it in messages, a file's name
** Returned:  *json      a new reference
** Status:    LH_OK; LH_INPUT with file:line:column for syntax, broken UTF-8,
**            duplicate keys, nesting past 64; LH_TOOLARGE past
**            LH_DOCUMENT_MOST bytes
*/
enum { LH_DOCUMENT_MOST = 32 * 1024 * 1024, LH_NESTING_MOST = 64 };
lh_status lh_json_parse(const void *bytes, size_t n, const char *name,
                        json_t **json, lh_fault *fault);

/* Let what reads JSON survive when memory runs out in the midst of a document,
** which the JSON library by itself may not.  Called once by a program that goes
** on afterwards, before it has threads; sets the library's allocator. */
void lh_json_guard(void);

/* Canonical text of a document: keys in the order of RFC 8785 (as long as no
** two differ by a character past U+FFFF), at most 15 significant digits;
** free() it.  NULL when out of memory. */
char *lh_json_text(const json_t *json);

/* The same in one line, without a space (RFC 8785, 3.2.1). */
char *lh_json_line(const json_t *json);

/* A copy of a whole value; of its uppermost members or items alone, the values
** shared.  Whole, or NULL when out of memory: the library's own copies leave
** out what they found no room for.  The caller's. */
json_t *lh_json_copy(const json_t *json);
json_t *lh_json_copy_top(const json_t *json);

/* Put a value at a JSON pointer, making objects on the way; "-" appends to an
** array.  The value is JSON when it parses as such, else a number with a
** decimal comma, else text. */
lh_status lh_json_set(json_t *root, const char *pointer, const char *value,
                      lh_fault *fault);

#endif
