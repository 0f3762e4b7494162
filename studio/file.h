/* SPDX-License-Identifier: GPL-3.0-or-later */
/* file.h -- whole files in, whole files out.
**
** A file is written beside its place, synced and renamed: a reader sees the
** old one or the new one, never a half, and a full disk leaves the old one.
** Memory: what is read lives in the arena.
*/
#ifndef LH_FILE_H
#define LH_FILE_H

#include <stddef.h>

#include "arena.h"
#include "fault.h"

/* Read a file, or standard input for "-".
**
** Given:     path   its name
**            most   the largest taken                           [bytes]
** Returned:  *bytes, *n   what it holds
** Status:    LH_OK; LH_NOTFOUND (exit code 2) when the name leads to no file;
**            LH_IO; LH_TOOLARGE; LH_NOMEM; the fault names the file
** Notes:  1) Of a file that is too large nothing is read; of a pipe no more
**            than one byte past the most.
*/
lh_status lh_file_read(const char *path, size_t most, lh_arena *a,
                       const void **bytes, size_t *n, lh_fault *fault);

/* Write a file whole, or leave what was there.
**
** Status:    LH_OK; LH_IO with the reason and what to do
*/
lh_status lh_file_write(const char *path, const void *bytes, size_t n,
                        lh_fault *fault);

/* A file to be written. */
typedef struct {
  const char *path;
  const void *bytes;
  size_t n;
} lh_file;

/* Write several files: all of them, or none.
**
** Status:    LH_OK; LH_IO with the file at fault, and what was there stays
** Notes:  1) All are written beside their places first, then renamed; only a
**            machine that stops between two renames leaves some of them.
*/
lh_status lh_file_write_all(const lh_file *files, size_t count,
                            lh_fault *fault);

/* Make a folder, and those above it, unless they are there. */
lh_status lh_file_folder(const char *path, lh_fault *fault);

#endif
