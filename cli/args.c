/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "args.h"

#include <string.h>

#include "nearest.h"

static lh_status unknown(const char *flag, lh_fault *fault)
{
  static const char *const known[] = {
      "--json", "--out", "--set", "--book", "--help", "--schema", "--version"};
  enum { KNOWN = sizeof known / sizeof known[0] };
  size_t near = lh_nearest(flag, known, KNOWN);

  if (near < KNOWN) {
    return lh_fault_say(fault, LH_INPUT, flag, "see leatherhard help",
                        "this flag is not known; the nearest is %s",
                        known[near]);
  }
  return lh_fault_say(fault, LH_INPUT, flag, "see leatherhard help",
                      "this flag is not known");
}

/* The value of "--flag value" or "--flag=value".  What looks like another
** flag is none: "--out --json" has lost its file. */
static const char *value(int argc, char **argv, int *i, const char *flag)
{
  size_t n = strlen(flag);

  if (strncmp(argv[*i], flag, n) != 0) return NULL;
  if (argv[*i][n] == '=') return argv[*i] + n + 1;
  if (argv[*i][n] == 0 && *i + 1 < argc && strncmp(argv[*i + 1], "--", 2) != 0)
    return argv[++*i];
  return NULL;
}

static lh_status flag(int argc, char **argv, int *i, lh_args *args,
                      lh_fault *fault)
{
  const char *s = argv[*i], *v;

  if (strcmp(s, "--json") == 0)
    args->json = true;
  else if (strcmp(s, "--schema") == 0)
    args->schema = true;
  else if (strcmp(s, "--help") == 0 || strcmp(s, "-h") == 0)
    args->help = true;
  else if (strcmp(s, "--version") == 0)
    args->version = true;
  else if ((v = value(argc, argv, i, "--out")))
    args->out = v;
  else if ((v = value(argc, argv, i, "--book")))
    args->book = v;
  else if ((v = value(argc, argv, i, "--set"))) {
    if (args->sets == LH_SETS) {
      return lh_fault_say(fault, LH_TOOLARGE, "--set", "write a document",
                          "more than %d are not taken", LH_SETS);
    }
    args->set[args->sets++] = v;
  } else if (strcmp(s, "--out") == 0 || strcmp(s, "--set") == 0 ||
             strcmp(s, "--book") == 0) {
    return lh_fault_say(fault, LH_INPUT, s, "write it behind the flag",
                        "its value is missing");
  } else {
    return unknown(s, fault);
  }
  return LH_OK;
}

lh_status lh_args_read(int argc, char **argv, lh_args *args, lh_fault *fault)
{
  lh_status st = LH_OK;

  *args = (lh_args){0};
  for (int i = 1; i < argc && st == LH_OK; i++) {
    if (argv[i][0] == '-' && argv[i][1] != 0) {
      st = flag(argc, argv, &i, args, fault);
    } else if (args->words == LH_WORDS) {
      st = lh_fault_say(fault, LH_INPUT, argv[i], "see leatherhard help",
                        "too many words");
    } else {
      args->word[args->words++] = argv[i];
    }
  }
  return st;
}
