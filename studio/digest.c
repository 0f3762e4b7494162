/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "digest.h"

#include <nettle/sha2.h>
#include <stdio.h>
#include <string.h>

void lh_digest(const void *bytes, size_t n, unsigned char hash[32])
{
  struct sha256_ctx c;

  sha256_init(&c);
  sha256_update(&c, n, bytes);
  sha256_digest(&c, SHA256_DIGEST_SIZE, hash);
}

void lh_digest_hex(const unsigned char hash[32], char hex[65])
{
  for (size_t i = 0; i < 32; i++) snprintf(hex + 2 * i, 3, "%02x", hash[i]);
}

bool lh_digest_unhex(const char *hex, unsigned char hash[32])
{
  static const char digits[] = "0123456789abcdef";

  if (strlen(hex) != 64) return false;
  for (size_t i = 0; i < 32; i++) {
    const char *high = strchr(digits, hex[2 * i]);
    const char *low = strchr(digits, hex[2 * i + 1]);
    if (!high || !low) return false;
    hash[i] = (unsigned char)((high - digits) * 16 + (low - digits));
  }
  return true;
}
