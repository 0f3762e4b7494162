/* SPDX-License-Identifier: GPL-3.0-or-later */
/* help_page.c -- what can be asked, as a page without script: the operations
** as the table has them, with fields and examples, and every kind of refusal.
*/
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server_room.h"
#include "version.h"

static void put(const char *text, FILE *out)
{
  for (; *text; text++) {
    switch (*text) {
    case '&': fputs("&amp;", out); break;
    case '<': fputs("&lt;", out); break;
    case '>': fputs("&gt;", out); break;
    case '"': fputs("&quot;", out); break;
    default: fputc(*text, out);
    }
  }
}

/* What a function prints, escaped. */
static bool put_fields(const lh_fields *f, FILE *out)
{
  char *text = NULL;
  size_t n = 0;
  FILE *in = open_memstream(&text, &n);

  if (!in) return false;
  lh_fields_help(f, 0, in);
  if (fclose(in) != 0 || !text) return false;
  put(text, out);
  free(text);
  return true;
}

static void put_example(const char *example, FILE *out)
{
  json_t *v = json_loads(example, 0, NULL);
  char *text =
      v ? json_dumps(v, JSON_INDENT(2) | JSON_REAL_PRECISION(15)) : NULL;

  fputs("<p>Example:</p>\n<pre>", out);
  put(text ? text : example, out);
  fputs("</pre>\n", out);
  free(text);
  json_decref(v);
}

static bool put_operation(const lh_operation *op, FILE *out)
{
  fprintf(out,
          "<h2 id=\"op-%s\">%s</h2>\n<p><code>POST /api/%s</code>: ", op->name,
          op->name, op->name);
  put(op->help, out);
  fputs(".</p>\n<p>", out);
  put(op->purpose, out);
  fputs("</p>\n", out);
  if (op->media)
    fprintf(out, "<p>Gives a file (%s), or JSON to who asks for it.</p>\n",
            op->media);
  fputs(op->takes_piece
            ? "<details><summary>Fields of \"ask\" in the piece</summary><pre>"
        : op->knows_pieces
            ? "<details><summary>Fields of the document, or of \"ask\" in a "
              "piece</summary><pre>"
            : "<details><summary>Fields of the document</summary><pre>",
        out);
  if (!put_fields(op->fields, out)) return false;
  fputs("</pre></details>\n", out);
  if (op->takes_piece || op->knows_pieces)
    fputs("<p>A piece of the open book may be named instead of sent: "
          "<code>{\"piece\": {\"id\": \"...\", \"revision\": 12}, "
          "\"ask\": {...}}</code>; without a revision it is the newest.</p>\n",
          out);
  if (op->example) put_example(op->example, out);
  return true;
}

char *lh_help_page(void)
{
  const lh_operation *op;
  char *text = NULL;
  size_t n = 0;
  FILE *out = open_memstream(&text, &n);
  bool good = out != NULL;

  if (!good) return NULL;
  fputs("<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\">\n<title>Leatherhard: what can be asked</title>\n"
        "<link rel=\"icon\" href=\"/mark.svg\" type=\"image/svg+xml\">\n"
        "<link rel=\"stylesheet\" href=\"/plain.css\">\n<main>\n"
        "<h1>What can be asked</h1>\n",
        out);
  fprintf(out,
          "<p>leatherhard %s. Each operation takes one JSON document and gives "
          "one, the same as on the command line. <a "
          "href=\"/api/openapi.json\">openapi.json</a> says it for "
          "programs.</p>\n<ul>\n",
          LH_VERSION);
  for (size_t i = 0; (op = lh_operation_at(i)); i++) {
    fprintf(out, "<li><a href=\"#op-%s\">%s</a>: ", op->name, op->name);
    put(op->help, out);
    fputs("</li>\n", out);
  }
  fputs("</ul>\n", out);
  for (size_t i = 0; good && (op = lh_operation_at(i)); i++)
    good = put_operation(op, out);
  fputs("<h2>Refusals</h2>\n<p>Each says where, what and what to do "
        "(RFC 9457).</p>\n<dl>\n",
        out);
  for (const lh_problem *p = lh_problems; p->name; p++)
    fprintf(out, "<dt id=\"%s\">%s</dt><dd>%s</dd>\n", p->name, p->name,
            p->title);
  fputs("</dl>\n</main>\n</html>\n", out);
  if (fclose(out) != 0) good = false;
  if (good) return text;
  free(text);
  return NULL;
}
