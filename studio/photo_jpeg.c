/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_jpeg.c -- rows of a JPEG picture. */
#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

/* After jpeglib.h, whose version shifts the numbers of the messages. */
#include <jerror.h>

#include "photo_room.h"

/* More scans than any camera makes: each is gone over the whole picture
** again (a judgement; a progressive picture has about ten). */
enum { SCANS = 100 };

enum { EXIF = JPEG_APP0 + 1, ICC = JPEG_APP0 + 2 };

/* libjpeg speaks by longjmp. */
typedef struct {
  struct jpeg_error_mgr errors; /* first: libjpeg knows only this */
  struct jpeg_progress_mgr progress;
  struct jpeg_decompress_struct jpeg;
  jmp_buf out;
  lh_photo *p;
  lh_status st; /* with which it came out */
  unsigned char *icc;
  unsigned char *row;
} reading;

static void leave(reading *r, lh_status st)
{
  r->st = st;
  longjmp(r->out, 1);
}

static void failed(j_common_ptr jpeg)
{
  reading *r = jpeg->client_data;

  leave(r, jpeg->err->msg_code == JERR_OUT_OF_MEMORY ? LH_NOMEM : LH_INPUT);
}

/* Not a word on standard error.  A warning is damage, but for three that
** cameras cause and that change no pixel, and a profile's, which gets words of
** its own. */
static void warned(j_common_ptr jpeg, int level)
{
  int code = jpeg->err->msg_code;

  if (level >= 0) return;
  if (code == JWRN_EXTRANEOUS_DATA || code == JWRN_ADOBE_XFORM ||
      code == JWRN_JFIF_MAJOR || code == JWRN_BOGUS_ICC)
    return;
  leave(jpeg->client_data, LH_INPUT);
}

static void hush(j_common_ptr jpeg)
{
  (void)jpeg;
}

static void going(j_common_ptr jpeg)
{
  reading *r = jpeg->client_data;
  const struct jpeg_progress_mgr *g = &r->progress;
  double pass =
      g->pass_limit > 0 ? (double)g->pass_counter / (double)g->pass_limit : 0;

  if (r->jpeg.input_scan_number > SCANS) leave(r, LH_INPUT);
  if (!lh_watch_go(r->p->watch,
                   0.9 * (g->completed_passes + pass) /
                       (g->total_passes > 0 ? g->total_passes : 1)))
    leave(r, LH_CANCELLED);
}

/* Which way up, and the profile. */
static lh_status markers(reading *r)
{
  lh_photo *p = r->p;
  bool icc = false;
  unsigned size = 0;

  for (jpeg_saved_marker_ptr m = r->jpeg.marker_list; m; m = m->next) {
    if (m->marker == EXIF && m->data_length > 6 &&
        memcmp(m->data, "Exif\0", 6) == 0 && p->about->turned == 1)
      p->about->turned = lh_photo_exif(m->data + 6, m->data_length - 6);
    if (m->marker == ICC && m->data_length >= 12 &&
        memcmp(m->data, "ICC_PROFILE", 12) == 0)
      icc = true;
  }
  if (!icc) return LH_OK;
  if (!jpeg_read_icc_profile(&r->jpeg, &r->icc, &size))
    return lh_photo_refuse(p, LH_INPUT,
                           "save the picture again with its "
                           "profile, or as sRGB",
                           "the picture's colour profile is broken");
  p->icc = r->icc;
  p->icc_size = size;
  p->about->told = LH_PHOTO_ICC;
  return LH_OK;
}

static lh_status kind(reading *r)
{
  lh_photo *p = r->p;

  switch (r->jpeg.jpeg_color_space) {
  case JCS_YCbCr:
  case JCS_RGB: break;
  case JCS_GRAYSCALE:
    return lh_photo_refuse(p, LH_INPUT, "take it in colour",
                           "a grey picture says nothing of colours");
  default:
    return lh_photo_refuse(p, LH_INPUT, "save it as an RGB picture",
                           "a picture for printing (CMYK) is not taken");
  }
  r->jpeg.out_color_space = JCS_RGB;
  r->jpeg.dct_method = JDCT_ISLOW;
  return LH_OK;
}

static lh_status rows(reading *r)
{
  lh_photo *p = r->p;

  r->row = malloc(3 * p->width);
  if (!r->row) return LH_NOMEM;
  r->progress.progress_monitor = going;
  r->jpeg.progress = &r->progress;
  jpeg_start_decompress(&r->jpeg);
  if (r->jpeg.output_components != 3) return LH_INPUT;
  while ((long)r->jpeg.output_scanline < p->needed) {
    size_t y = r->jpeg.output_scanline;
    JSAMPROW row = r->row;
    if (jpeg_read_scanlines(&r->jpeg, &row, 1) == 1)
      lh_photo_row_8(p, y, r->row, 3);
  }
  return LH_OK;
}

/* r lives with the caller and is not changed by the jump. */
static lh_status read_all(reading *r)
{
  lh_photo *p = r->p;
  lh_status st;

  r->jpeg.err = jpeg_std_error(&r->errors);
  r->errors.error_exit = failed;
  r->errors.emit_message = warned;
  r->errors.output_message = hush;
  r->jpeg.client_data = r;
  if (setjmp(r->out)) return r->st;
  jpeg_create_decompress(&r->jpeg);
  jpeg_mem_src(&r->jpeg, p->bytes, p->n);
  jpeg_save_markers(&r->jpeg, EXIF, 0xffff);
  jpeg_save_markers(&r->jpeg, ICC, 0xffff);
  if (jpeg_read_header(&r->jpeg, TRUE) != JPEG_HEADER_OK) return LH_INPUT;
  st = kind(r);
  if (st == LH_OK) st = markers(r);
  if (st == LH_OK)
    st = lh_photo_begin(p, r->jpeg.image_width, r->jpeg.image_height, 8);
  return st == LH_OK ? rows(r) : st;
}

lh_status lh_photo_jpeg(lh_photo *p)
{
  reading *r = lh_arena_take(p->arena, 1, sizeof *r);
  lh_status st;

  if (!r) return lh_fault_plain(p->fault, LH_NOMEM, p->where);
  r->p = p;
  st = read_all(r);
  jpeg_destroy_decompress(&r->jpeg);
  free(r->row);
  if (st == LH_OK && r->icc) {
    unsigned char *kept = lh_arena_take(p->arena, p->icc_size, 1);
    if (kept) p->icc = memcpy(kept, r->icc, p->icc_size);
    if (!kept) st = LH_NOMEM;
  }
  free(r->icc);
  if (st == LH_INPUT) return lh_photo_broken(p);
  return st == LH_OK ? st : lh_fault_plain(p->fault, st, p->where);
}
