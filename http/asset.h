/* SPDX-License-Identifier: GPL-3.0-or-later */
/* asset.h -- the page's files as tools/pack.c put them into the program.
**
** Each is there as it is and, where that is smaller, packed by brotli and
** gzip.  The table is in the order of the names and ends with a NULL name.
*/
#ifndef LH_ASSET_H
#define LH_ASSET_H

#include <stddef.h>

typedef struct {
  const char *name;  /* "app.js", "fonts/text.woff2"          */
  const char *media; /* its type                              */
  const char *tag;   /* of what it holds, without quotes      */
  size_t plain, plain_size;
  size_t gzip, gzip_size; /* size 0: not smaller              */
  size_t brotli, brotli_size;
} lh_asset;

extern const lh_asset lh_assets[];
extern const unsigned char lh_asset_bytes[]; /* the places point into it */

#endif
