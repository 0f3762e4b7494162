/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spectra_room.h -- what the files that read spectra share. */
#ifndef LH_SPECTRA_ROOM_H
#define LH_SPECTRA_ROOM_H

#include "spectra.h"

typedef struct {
  size_t line, column;
} lh_spectra_place;

/* A sample as it is gathered, before it is known what the file is. */
typedef struct {
  lh_spectra_sample is;
  const double *reading; /* at the file's wavelengths, rising; NULL: L*a*b* */
} lh_spectra_raw;

typedef struct {
  const lh_spectra_ask *ask;
  lh_arena *arena;
  lh_fault *fault;
  lh_spectra *out;
  lh_spectra_raw *raw; /* room for all the file can hold */
  size_t count;
  bool falling; /* the file's wavelengths fall */
  lh_spectra_place grid_at;
  double most; /* the largest reading */
  lh_spectra_place most_at;
  int says; /* LH_SCALE_... by headings */
  lh_spectra_place says_at;
  int light; /* of L*a*b*, by the file; -1: untold, -2: another */
  bool ten;  /* for the 10 degree observer */
} lh_spectra_work;

/* ---- spectra_line.c ------------------------------------------------------ */

enum { LH_SPECTRA_WORDS = 4200 }; /* in a line: 2001 pairs, and names */

typedef struct {
  char *text, *end; /* ended with a 0 once its line was read */
  lh_spectra_place at;
} lh_spectra_word;

typedef struct {
  lh_spectra_word *word; /* of the line */
  size_t n, room;
  char *at, *end, *counted; /* in the copy; up to where columns are counted */
  size_t line, column;
} lh_spectra_lines;

/* Open exchange text; bytes that are no UTF-8 are taken as ISO 8859-1. */
lh_status lh_spectra_lines_open(const lh_spectra_work *w, const void *bytes,
                                size_t n, lh_spectra_lines *x);

/* The words of the next line that has any; none at the end of the file.  The
** texts of lines before it stay as they are. */
lh_status lh_spectra_line(const lh_spectra_work *w, lh_spectra_lines *x);

/* ---- spectra_table.c, spectra_exchange.c --------------------------------- */

lh_status lh_spectra_table(lh_spectra_work *w, const void *bytes, size_t n);
lh_status lh_spectra_exchange(lh_spectra_work *w, const void *bytes, size_t n);
bool lh_spectra_is_exchange(const char *s, size_t n);

/* ---- spectra.c ----------------------------------------------------------- */

lh_status lh_spectra_fail(const lh_spectra_work *w, lh_status st,
                          lh_spectra_place at, const char *todo,
                          const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* Read a number; a negative one is refused unless it may be so. */
lh_status lh_spectra_number(const lh_spectra_work *w, const char *text,
                            lh_spectra_place at, bool negative, double *v);

/* One reading: as lh_spectra_number, and the largest is noted. */
lh_status lh_spectra_reading(lh_spectra_work *w, const char *text,
                             lh_spectra_place at, double *v);

/* What a heading says of percent or fractions; two that differ are a fault. */
lh_status lh_spectra_says(lh_spectra_work *w, int scale, lh_spectra_place at);

/* The file's wavelengths, n of them, rising or falling; told again, they must
** be the same. */
lh_status lh_spectra_waves(lh_spectra_work *w, const double *nm, size_t n,
                           lh_spectra_place at);

/* A sample.  Its readings stand in the order of the file and are the work's
** from now on (n as the wavelengths); NULL: it has lab. */
lh_status lh_spectra_add(lh_spectra_work *w, const char *name, const char *id,
                         lh_spectra_place at, double *reading, lh_lab lab);

/* ---- spectra_words.c ----------------------------------------------------- */

/* A heading without signs and spaces, in small letters and digits; '%', '/',
** ':', '=' and ',' stay. */
void lh_spectra_fold(const char *text, char *to, size_t size);

/* A heading as a wavelength [nm]; NAN when it is none.  *scale: what it says
** of the readings below it, else left alone. */
double lh_spectra_wave(const char *text, int *scale);

/* A heading as L* (0), a* (1), b* (2); -1 when it is none. */
int lh_spectra_lab_head(const char *text);

/* Whether a heading is that of the samples' names (2 of a name, 1 of an id or
** a number; 0: none), or of the wavelengths. */
int lh_spectra_name_head(const char *text);
bool lh_spectra_wave_head(const char *text);

/* What a text says of geometry: LH_GEOMETRY_... or lh_geometry. */
int lh_spectra_geometry(const char *text);

/* Whether a filter that polarises is told of. */
bool lh_spectra_polarised(const char *keyword, const char *text);

/* What a text says of the light of L*a*b*: as lh_spectra_work.light; *ten. */
void lh_spectra_light(const char *keyword, const char *text, int *light,
                      bool *ten);

#endif
