/* SPDX-License-Identifier: GPL-3.0-or-later */
/* reply.c -- building what an operation answers. */
#include <math.h>
#include <stdarg.h>
#include <string.h>

#include "heap.h"
#include "operation.h"

static void add(lh_reply *r, lh_line_kind kind, bool cells, const char *format,
                va_list ap)
{
  lh_line *line = lh_arena_take(r->arena, 1, sizeof *line);
  char *text = lh_heap_vprint(r->arena, format, ap);

  if (!line || !text) {
    r->st = LH_NOMEM;
    return;
  }
  line->kind = kind;
  line->cell[line->cells++] = text;
  while (cells && line->cells < LH_CELLS && (text = strchr(text, '\t'))) {
    *text++ = 0;
    line->cell[line->cells++] = text;
  }
  if (r->last)
    r->last->next = line;
  else
    r->first = line;
  r->last = line;
}

void lh_reply_title(lh_reply *r, const char *format, ...)
{
  va_list ap;

  va_start(ap, format);
  add(r, LH_LINE_TITLE, false, format, ap);
  va_end(ap);
}

void lh_reply_text(lh_reply *r, const char *format, ...)
{
  va_list ap;

  va_start(ap, format);
  add(r, LH_LINE_TEXT, false, format, ap);
  va_end(ap);
}

void lh_reply_row(lh_reply *r, const char *format, ...)
{
  va_list ap;

  va_start(ap, format);
  add(r, LH_LINE_ROW, true, format, ap);
  va_end(ap);
}

void lh_reply_line(lh_reply *r, lh_line_kind kind, const char *format, ...)
{
  va_list ap;

  va_start(ap, format);
  add(r, kind, true, format, ap);
  va_end(ap);
}

/* Gives v back, or NULL when it could not be kept. */
static json_t *put(lh_reply *r, json_t *to, const char *key, json_t *v)
{
  if (!to) to = r->json;
  if (v && json_object_set_new(to, key, v) == 0) return v;
  r->st = LH_NOMEM;
  return NULL;
}

void lh_reply_number(lh_reply *r, json_t *to, const char *key, double v)
{
  if (isfinite(v)) put(r, to, key, json_real(v));
}

void lh_reply_string(lh_reply *r, json_t *to, const char *key, const char *v)
{
  put(r, to, key, json_string(v ? v : ""));
}

void lh_reply_flag(lh_reply *r, json_t *to, const char *key, bool v)
{
  put(r, to, key, json_boolean(v));
}

void lh_reply_numbers(lh_reply *r, json_t *to, const char *key, const double *v,
                      size_t n)
{
  json_t *list = json_array();

  for (size_t i = 0; i < n; i++)
    if (json_array_append_new(list, json_real(v[i])) != 0) r->st = LH_NOMEM;
  put(r, to, key, list);
}

void lh_reply_range(lh_reply *r, json_t *to, const char *key, double least,
                    double most)
{
  if (isfinite(least) && isfinite(most))
    put(r, to, key, json_pack("[f,f]", least, most));
}

json_t *lh_reply_object(lh_reply *r, json_t *to, const char *key)
{
  return put(r, to, key, json_object());
}

json_t *lh_reply_list(lh_reply *r, json_t *to, const char *key)
{
  return put(r, to, key, json_array());
}

json_t *lh_reply_item(lh_reply *r, json_t *list)
{
  json_t *v = json_object();

  if (v && json_array_append_new(list, v) == 0) return v;
  r->st = LH_NOMEM;
  return NULL;
}

void lh_reply_free(lh_reply *r)
{
  json_decref(r->json);
  json_decref(r->widened);
  json_decref(r->referred);
  r->json = r->widened = r->referred = NULL;
  r->first = r->last = NULL;
}
