/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spectra.h -- measured spectra in, from the text files of instruments.
**
** Two kinds are read.  A table (CSV): wavelengths down the first column and a
** sample in each column behind it, or a sample in each row and wavelengths in
** the heading; separated by comma, semicolon or tab, with decimal point or
** comma.  And the exchange text of CGATS.17 and ISO 28178: keywords, a data
** format and data sets, perhaps several tables; with spectra, or with L*, a*
** and b* where there is no spectrum.
**
** Readings come out at the 36 wavelengths of spectrum.h (resample.h says
** how), as plain fractions.  What is not understood in them is refused by
** name:line:column, the whole file with it.  This room knows no tiles.
** Memory: the arena that is handed in.
*/
#ifndef LH_SPECTRA_H
#define LH_SPECTRA_H

#include <stdbool.h>
#include <stddef.h>

#include "arena.h"
#include "fault.h"
#include "glaze.h"
#include "resample.h"
#include "space.h"

enum {
  LH_SPECTRA_BYTES = 2 * 1024 * 1024, /* of a file, as cells.h (a judgement) */
  LH_SPECTRA_SAMPLES = 2000           /* in one file (a judgement)           */
};

/* How readings are written; LH_SCALE_UNTOLD where nothing says so. */
enum { LH_SCALE_UNTOLD = -1, LH_SCALE_FRACTION, LH_SCALE_PERCENT };

/* What told it. */
typedef enum {
  LH_SCALE_BY_ASKER,   /* who asked                         */
  LH_SCALE_BY_HEADING, /* the file, in words                */
  LH_SCALE_BY_VALUES   /* a reading above LH_SCALE_FRACTION_MOST, or none */
} lh_scale_by;

/* A fraction above this is a percentage.  Judgements: white tiles with
** fluorescence read up to 1.4, and no file of percents stays below 1.5 but
** that of a black hole; which one was taken is always told. */
#define LH_SCALE_FRACTION_MOST 1.5
#define LH_SCALE_MOST 1.4 /* the largest reflectance taken */

/* Where a file says how it was measured, but not whether gloss is shut out;
** or says it in words that are not understood. */
enum {
  LH_GEOMETRY_UNTOLD = -1,
  LH_GEOMETRY_SPHERE = -2,
  LH_GEOMETRY_STRANGE = -3
};

typedef struct {
  const char *name;             /* SAMPLE_NAME, or what stands for it        */
  const char *id;               /* SAMPLE_ID beside it; NULL                 */
  size_t line, column;          /* where it stands                           */
  double reflectance[LH_WAVES]; /* of spectra                                */
  lh_lab lab;                   /* of files without spectra, under D65       */
} lh_spectra_sample;

typedef struct {
  lh_spectra_sample *sample; /* in the order of the file                     */
  size_t count;
  bool exchange;        /* CGATS.17, not a table                          */
  bool lab;             /* three numbers a sample                         */
  lh_wave_grid grid;    /* as the file has it, rising                     */
  lh_resample_info how; /* it was brought to ours                         */
  int scale;            /* LH_SCALE_FRACTION or LH_SCALE_PERCENT          */
  lh_scale_by scale_by;
  int geometry;            /* lh_geometry, or one of the above               */
  const char *geometry_is; /* in the file's words; NULL                      */
  int light;               /* of L*, a*, b* in the file: LH_D65 or LH_D50    */
  size_t passed_over;      /* tables of the file without readings            */
} lh_spectra;

typedef struct {
  const char *name; /* what to call the file in messages          */
  int scale;        /* LH_SCALE_..., as the asker knows           */
  int light;        /* LH_D65, LH_D50; -1: as the file says       */
} lh_spectra_ask;

/* Read a file of spectra.
**
** Given:     bytes, n   the file
**            ask        how
** Returned:  *out
** Status:    LH_OK; LH_INPUT with name:line:column; LH_RANGE for wavelengths
**            that do not reach far enough; LH_TOOLARGE; LH_NOMEM
**
** Notes:  1) A file in which a line begins with BEGIN_DATA or
**            BEGIN_DATA_FORMAT is exchange text.  Bytes that are no UTF-8 are
**            taken as ISO 8859-1 there (the standard knows ASCII alone); a
**            table has to be UTF-8.
**         2) A reading of a sample that reads above LH_SCALE_FRACTION_MOST
**            makes all of them percent, unless the asker or the file say
**            otherwise, which then is a fault.
**         3) L*, a*, b* under D50 are carried to D65 by the Bradford
**            transform; without a light told they are refused.
** Ref:    ISO 28178:2009, ANSI CGATS.17 (from memory and their public
**         descriptions): keywords, NUMBER_OF_FIELDS, BEGIN_DATA_FORMAT,
**         NUMBER_OF_SETS, BEGIN_DATA; SPECTRAL_NM, SPECTRAL_PCT, SPECTRAL_DEC.
*/
lh_status lh_spectra_read(const void *bytes, size_t n,
                          const lh_spectra_ask *ask, lh_arena *a,
                          lh_spectra *out, lh_fault *fault);

/* What L*, a*, b* carried from D50 to D65 are off by, one standard deviation
** of each: the root of the mean square for 32 measured powders
** (tests/studio/test_spectra.c). */
#define LH_SPECTRA_D50_DOUBT 0.5

#endif
