/* SPDX-License-Identifier: GPL-3.0-or-later */
/* digest.h -- names for bytes: their SHA-256, as 64 digits.
**
** Knows nothing of what the bytes are.  The caller owns all memory.
** Ref: FIPS 180-4.
*/
#ifndef LH_DIGEST_H
#define LH_DIGEST_H

#include <stdbool.h>
#include <stddef.h>

/* The SHA-256 of n bytes. */
void lh_digest(const void *bytes, size_t n, unsigned char hash[32]);

/* Its 64 digits, in lower case, and back; false for anything else. */
void lh_digest_hex(const unsigned char hash[32], char hex[65]);
bool lh_digest_unhex(const char *hex, unsigned char hash[32]);

#endif
