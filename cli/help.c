/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "help.h"

#include <stdlib.h>
#include <string.h>

#include "book_words.h"
#include "version.h"

static const char use[] = "use: leatherhard OP [FILE|-] [--json] [--out FILE] "
                          "[--book FILE]\n                       "
                          "[--set POINTER=VALUE]...\n";

static const struct {
  const char *word, *help;
} words[] = {
    {"demo [FOLDER]", "work the sample scenario into a folder"},
    {"book FILE WORD", "look after the book; see help book"},
    {"serve", "open the page on this machine; see serve --help"},
    {"help [OP]", "this page, or an operation's fields and an example"},
};
enum { WORDS = sizeof words / sizeof words[0] };

void lh_help_all(FILE *out)
{
  const lh_operation *op;

  fprintf(out,
          "leatherhard %s: from a piece to the fired picture, the verdict and "
          "the\nworking sheets, for slip on leather-hard pots.\n\n%s\n",
          LH_VERSION, use);
  for (size_t i = 0; (op = lh_operation_at(i)); i++)
    fprintf(out, "  %-12s %s\n", op->name, op->help);
  fputc('\n', out);
  for (size_t i = 0; i < WORDS; i++)
    fprintf(out, "  %-14s %s\n", words[i].word, words[i].help);
  fputs("\n"
        "  --json           the result as one JSON document\n"
        "  --out FILE       where a PDF or PNG goes\n"
        "  --book FILE      look for materials in the book's stock, too, and "
        "for a\n"
        "                   piece that the document names\n"
        "  --set /KEY=VALUE put a value into the document; a decimal comma is\n"
        "                   understood; /KEY=@FILE takes a file's text, or a\n"
        "                   picture's bytes\n"
        "  --schema         with an operation: its JSON Schema\n"
        "  --version        which leatherhard this is\n\n"
        "FILE is a JSON document, - is standard input; without one the\n"
        "document is what --set makes.  Exit code: 0 done, 1 a verdict says\n"
        "stop, 2 the input is wrong, 3 the machine failed.\n",
        out);
}

void lh_help_book(FILE *out)
{
  const char *name, *more, *help;

  fputs("leatherhard book: everything in one file, and no line lost\n\n"
        "use: leatherhard book FILE WORD [MORE...] [--json]\n\n",
        out);
  for (size_t i = 0; lh_book_word_at(i, &name, &more, &help); i++)
    fprintf(out, "  %-8s %-15s %s\n", name, more, help);
  fputs("\nKIND is material, body, slip, glaze, brush, form, motif, piece,\n"
        "tile, firing or note; DOCUMENT is a JSON file, or - for standard\n"
        "input.  Nothing is ever overwritten: each save is a new revision.\n"
        "Exit code: 1 when a check finds something, else as leatherhard help\n"
        "says.  docs/book.md tells more.\n",
        out);
}

/* The example as a person would write it: indented JSON. */
static void put_example(const char *example, FILE *out)
{
  json_t *v = json_loads(example, JSON_DECODE_ANY, NULL);
  char *s = v ? json_dumps(v, JSON_INDENT(2) | JSON_REAL_PRECISION(15)) : NULL;

  for (const char *p = s ? s : example; *p;) {
    size_t n = strcspn(p, "\n");
    fprintf(out, "  %.*s\n", (int)n, p);
    p += n + (p[n] == '\n');
  }
  free(s);
  json_decref(v);
}

void lh_help_one(const lh_operation *op, FILE *out)
{
  fprintf(out, "leatherhard %s: %s\n\n%s\n\n", op->name, op->help, op->purpose);
  fprintf(out, "%s\n\n",
          op->takes_piece
              ? "The document is a piece (docs/piece.md). Fields of "
                "its \"ask\" object:"
          : op->knows_pieces
              ? "Fields of the document; or of the \"ask\" object of a piece "
                "(docs/piece.md):"
              : "Fields of the document:");
  lh_fields_help(op->fields, 2, out);
  if (op->media)
    fprintf(out, "\nGives a file (%s): say where with --out.\n", op->media);
  if (op->takes_piece || op->knows_pieces)
    fprintf(out,
            "\nA piece of a book may be named instead (with --book FILE):\n"
            "  {\"piece\": {\"id\": \"...\", \"revision\": 12}, "
            "\"ask\": {...}}\n"
            "Without a revision it is the newest.\n");
  if (op->example) {
    fprintf(out, "\nExample (leatherhard %s example.json):\n", op->name);
    put_example(op->example, out);
  }
  if (op->takes_piece)
    fprintf(out, "\nExample: leatherhard %s docs/example-piece.json%s\n",
            op->name,
            !op->media                            ? ""
            : strcmp(op->media, "image/png") == 0 ? " --out mine.png"
                                                  : " --out mine.pdf");
}

/* Text in mdoc(7): each sentence on a line of its own; a line that opens with
** '.' or '\'' would be taken for a request. */
static void man_text(const char *s, FILE *out)
{
  bool opens = true, ends = false;

  for (; *s; s++) {
    if (ends && *s == ' ') {
      while (s[1] == ' ') s++;
      ends = false, opens = true;
      fputc('\n', out);
      continue;
    }
    ends = *s == '.' || *s == '?' || (ends && *s == ')');
    if (opens && (*s == '.' || *s == '\'')) fputs("\\&", out);
    if (*s == '\\')
      fputs("\\e", out);
    else
      fputc(*s, out);
    opens = *s == '\n';
  }
}

static void man_fields(const lh_fields *f, FILE *out)
{
  if (f->count == 0) return;
  fputs(".Bl -tag -width Ds -compact\n", out);
  for (size_t i = 0; i < f->count; i++) {
    const lh_field *x = &f->list[i];
    fprintf(out, ".It Cm %s%s%s%s\n", x->key, x->unit ? " Pq \"" : "",
            x->unit ? x->unit : "", x->unit ? "\"" : "");
    man_text(x->help ? x->help : "", out);
    fputc('\n', out);
    if (x->sub) man_fields(x->sub, out);
  }
  fputs(".El\n", out);
}

void lh_help_man(FILE *out)
{
  const char *name, *more, *help;
  const lh_operation *op;

  fputs(".Dd $Mdocdate$\n.Dt LEATHERHARD 1\n.Os\n.Sh NAME\n.Nm leatherhard\n"
        ".Nd from a slip-decorated piece to picture, verdict and sheets\n"
        ".Sh SYNOPSIS\n.Nm\n.Ar operation\n.Op Ar file | -\n.Op Fl -json\n"
        ".Op Fl -out Ar file\n.Op Fl -set Ar pointer Ns = Ns Ar value\n"
        ".Op Fl -book Ar file\n"
        ".Nm\n.Cm demo\n.Op Ar folder\n.Nm\n.Cm book\n.Ar file\n"
        ".Ar word\n.Op Ar more ...\n.Nm\n.Cm serve\n"
        ".Op Fl -port Ar number\n.Op Fl -studio-network\n"
        ".Op Fl -host Ar name\n.Op Fl -tls-cert Ar file\n"
        ".Op Fl -tls-key Ar file\n.Op Fl -page-dir Ar folder\n"
        ".Nm\n.Cm help\n.Op Ar operation\n"
        ".Sh DESCRIPTION\nEach operation reads one JSON document and prints a "
        "table, or with\n.Fl -json\none JSON document; PDF and PNG go to\n"
        ".Fl -out .\nThe operations are:\n",
        out);
  for (size_t i = 0; (op = lh_operation_at(i)); i++) {
    fprintf(out, ".Ss %s\n", op->name);
    man_text(op->purpose, out);
    fputs("\n.Pp\n", out);
    man_fields(op->fields, out);
  }
  fputs(".Sh THE BOOK\nOne file keeps everything; each save is a new "
        "revision.\n.Bl -tag -width Ds\n",
        out);
  for (size_t i = 0; lh_book_word_at(i, &name, &more, &help); i++) {
    fprintf(out, ".It Cm %s%s%s\n", name, *more ? " Ar " : "", more);
    man_text(help, out);
    fputc('\n', out);
  }
  fputs(".El\n", out);
  fputs(".Sh ENVIRONMENT\n.Bl -tag -width Ds\n.It Ev NO_COLOR\n"
        "No colour on the terminal.\n.It Ev SOURCE_DATE_EPOCH\nThe date that "
        "sheets and pictures carry, in seconds since 1970.\n.El\n"
        ".Sh EXIT STATUS\n.Bl -tag -width Ds -compact\n.It 0\ndone\n.It 1\na "
        "verdict says stop\n.It 2\nthe input is wrong\n.It 3\nthe machine "
        "failed\n.El\n",
        out);
}

void lh_help_completion(FILE *out)
{
  const lh_operation *op;

  fputs("# bash completion for leatherhard; made from the table of operations\n"
        "_leatherhard() {\n"
        "  local word=${COMP_WORDS[COMP_CWORD]}\n"
        "  local ops=\"",
        out);
  for (size_t i = 0; (op = lh_operation_at(i)); i++)
    fprintf(out, "%s ", op->name);
  fputs(
      "demo book serve help\"\n"
      "  local flags=\"--json --out --book --set --schema --help --version\"\n"
      "  if [ \"$COMP_CWORD\" = 1 ] || [ \"${COMP_WORDS[1]}\" = help ]; then\n"
      "    COMPREPLY=($(compgen -W \"$ops $flags\" -- \"$word\"))\n"
      "  elif [[ $word == -* ]]; then\n"
      "    COMPREPLY=($(compgen -W \"$flags\" -- \"$word\"))\n"
      "  else\n"
      "    COMPREPLY=($(compgen -f -- \"$word\"))\n"
      "  fi\n"
      "}\n"
      "complete -o filenames -F _leatherhard leatherhard\n",
      out);
}
