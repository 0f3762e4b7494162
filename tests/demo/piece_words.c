/* SPDX-License-Identifier: GPL-3.0-or-later */
/* piece_words.c -- the piece document in words, for docs/ and for the tests.
**
**   piece_words schema       docs/piece.schema.json
**   piece_words fields       the tables of docs/piece.md
**   piece_words read FILE    0 when it is read as a piece; 2 and the fault
**                            when it is refused
**
** Memory: one arena a run.
*/
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "heap.h"
#include "piece.h"

/* ---- the tables --------------------------------------------------------- */

enum { TABLES_MOST = 64 };

/* Tables in the order in which they are first met, each once. */
static size_t gather(const lh_fields *f, const lh_fields **list, size_t n)
{
  for (size_t i = 0; i < n; i++)
    if (list[i] == f) return n;
  if (n == TABLES_MOST) return n;
  list[n++] = f;
  for (size_t i = 0; i < f->count; i++)
    if (f->list[i].sub) n = gather(f->list[i].sub, list, n);
  return n;
}

static void put_kind(const lh_field *x)
{
  static const char *const plain[] = {
      [LH_F_NUMBER] = "number",
      [LH_F_COUNT] = "whole number",
      [LH_F_FLAG] = "true or false",
      [LH_F_TEXT] = "text",
      [LH_F_NUMBERS] = "numbers",
      [LH_F_TEXTS] = "texts",
      [LH_F_SPECTRUM] = "one number or 36",
      [LH_F_AMOUNTS] = "a number for each name",
      [LH_F_JSON] = "anything",
  };

  switch (x->kind) {
  case LH_F_OBJECT: printf("a *%s*", x->sub->title); break;
  case LH_F_LIST: printf("list of *%s*", x->sub->title); break;
  case LH_F_CHOICE:
    for (size_t i = 0; x->choices[i]; i++)
      printf("%s`\"%s\"`", i ? ", " : "", x->choices[i]);
    break;
  default: printf("%s", plain[x->kind]); break;
  }
}

static void put_limits(const lh_field *x)
{
  bool low = !isnan(x->least), high = !isnan(x->most);

  if (x->kind == LH_F_LIST || x->kind == LH_F_OBJECT || x->kind == LH_F_FLAG ||
      x->kind == LH_F_CHOICE || x->kind == LH_F_TEXT || x->kind == LH_F_JSON)
    return;
  if (low && high)
    printf(", %.15g to %.15g", x->least, x->most);
  else if (low)
    printf(", from %.15g", x->least);
}

static void put_otherwise(const lh_field *x)
{
  if (x->required)
    printf("**must be given**");
  else if (isnan(x->otherwise))
    return;
  else if (x->kind == LH_F_CHOICE)
    printf("`\"%s\"`", x->choices[(int)x->otherwise]);
  else if (x->kind == LH_F_FLAG)
    printf("%s", x->otherwise > 0 ? "true" : "false");
  else if (x->kind == LH_F_NUMBER || x->kind == LH_F_COUNT)
    printf("%.15g", x->otherwise);
}

static int put_fields(void)
{
  const lh_fields *list[TABLES_MOST];
  size_t n = gather(&lh_piece_table, list, 0);

  for (size_t i = 0; i < n; i++) {
    if (i == 0)
      printf("### the piece itself\n\n");
    else
      printf("### %s\n\n", list[i]->title);
    printf("| field | what may stand there | unit | without it | meaning |\n"
           "|---|---|---|---|---|\n");
    for (size_t k = 0; k < list[i]->count; k++) {
      const lh_field *x = &list[i]->list[k];
      printf("| `%s` | ", x->key);
      put_kind(x);
      put_limits(x);
      printf(" | %s | ", x->unit ? x->unit : "");
      put_otherwise(x);
      printf(" | %s |\n", x->help ? x->help : "");
    }
    printf("\n");
  }
  return 0;
}

/* ---- the schema --------------------------------------------------------- */

static int put_schema(void)
{
  json_t *s = lh_fields_schema(&lh_piece_table);
  int st =
      s ? json_dumpf(s, stdout,
                     JSON_INDENT(1) | JSON_SORT_KEYS | JSON_REAL_PRECISION(15))
        : -1;

  json_decref(s);
  printf("\n");
  return st == 0 ? 0 : 3;
}

/* ---- reading ------------------------------------------------------------ */

static json_t *load(const char *name, lh_fault *fault)
{
  FILE *f = fopen(name, "rb");
  char *bytes = malloc(LH_DOCUMENT_MOST);
  json_t *json = NULL;
  size_t n;

  if (f && bytes) {
    n = fread(bytes, 1, LH_DOCUMENT_MOST, f);
    lh_json_parse(bytes, n, name, &json, fault);
  } else {
    fprintf(stderr, "%s cannot be read\n", name);
  }
  if (f) fclose(f);
  free(bytes);
  return json;
}

static int read_piece(const char *name)
{
  lh_fault fault = {0};
  lh_arena a;
  lh_piece p;
  lh_status st = LH_INPUT;
  json_t *json = load(name, &fault);

  lh_heap_open(&a);
  if (json) st = lh_piece_read(json, &a, &p, &fault);
  if (st != LH_OK) printf("%s: %s\n", fault.where, fault.what);
  lh_heap_free(&a);
  json_decref(json);
  return st == LH_OK ? 0 : 2;
}

int main(int argc, char **argv)
{
  if (argc == 2 && strcmp(argv[1], "schema") == 0) return put_schema();
  if (argc == 2 && strcmp(argv[1], "fields") == 0) return put_fields();
  if (argc == 3 && strcmp(argv[1], "read") == 0) return read_piece(argv[2]);
  fprintf(stderr, "piece_words schema | fields | read FILE\n");
  return 2;
}
