/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spectra_doc.h -- an instrument's file in a document: `colour` and `learn`
** read it and tell of it alike.
**
** The file stands in the document as text, or is named there by its SHA-256
** (handed.h).  Whose the samples are is not known here.  Memory: the call's
** arena.
*/
#ifndef LH_SPECTRA_DOC_H
#define LH_SPECTRA_DOC_H

#include "operation.h"
#include "spectra.h"

/* What stands in the document. */
typedef struct {
  const char *file; /* its text, or "sha256:HEX"; NULL: none */
  int scale, light; /* of the choices below; -1: not told    */
} lh_spectra_doc;

/* The choices of spectra_scale and spectra_light. */
extern const char *const lh_spectra_doc_scales[];
extern const char *const lh_spectra_doc_lights[];

/* Rows for the table of fields of T, whose member `spectra` is a
** lh_spectra_doc. */
#define LH_SPECTRA_FILE_FIELDS(T, HELP)                                  \
  {.key = "spectra",                                                     \
   .kind = LH_F_TEXT,                                                    \
   .offset = offsetof(T, spectra.file),                                  \
   .file = true,                                                         \
   .handed = true,                                                       \
   .help = HELP},                                                        \
      LH_CHOICE(T, spectra.scale, "spectra_scale", false,                \
                lh_spectra_doc_scales, NAN,                              \
                "What its readings are; else as it says, else by their " \
                "size."),                                                \
      LH_CHOICE(T, spectra.light, "spectra_light", false,                \
                lh_spectra_doc_lights, NAN,                              \
                "Under which light its L*a*b* hold, where it does not say.")

/* Read the file.
**
** Given:     call, doc
** Returned:  *out
** Status:    as lh_spectra_read; LH_NOTFOUND when it was not handed in
*/
lh_status lh_spectra_doc_read(const lh_call *call, const lh_spectra_doc *doc,
                              lh_spectra *out, lh_fault *fault);

/* Put what it is and how it was brought to our wavelengths into an object. */
void lh_spectra_doc_put(const lh_spectra *s, lh_reply *r, json_t *to);

/* Say a sentence, and put it into a list, when there is one. */
void lh_spectra_doc_tell(lh_reply *r, json_t *list, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Say how it was read, resampled and held: into `list`, too, unless NULL. */
void lh_spectra_doc_say(const lh_spectra *s, lh_reply *r, json_t *list);

#endif
