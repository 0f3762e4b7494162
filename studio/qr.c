/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "qr.h"

#include <errno.h>
#include <qrencode.h>

lh_status lh_qr_make(const char *text, lh_arena *a, lh_qr *qr)
{
  QRcode *code;
  unsigned char *squares;
  size_t side;

  if (!*text) return LH_RANGE;
  code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);
  if (!code) return errno == ERANGE ? LH_RANGE : LH_NOMEM;
  side = (size_t)code->width;
  squares = lh_arena_take(a, side, side);
  if (squares)
    for (size_t i = 0; i < side * side; i++) squares[i] = code->data[i] & 1;
  QRcode_free(code);
  if (!squares) return LH_NOMEM;
  *qr = (lh_qr){side, squares};
  return LH_OK;
}
