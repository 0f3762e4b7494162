/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "paper.h"

#include <cairo-pdf.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "version.h"

#define MM (72.0 / 25.4) /* points in a mm */

/* ---- the document ------------------------------------------------------- */

static cairo_status_t keep(void *closure, const unsigned char *data, unsigned n)
{
  lh_paper *p = closure;

  if (p->n + n > p->room) {
    size_t room = p->room ? 2 * p->room : 256 * 1024;
    unsigned char *wider;
    while (room < p->n + n) room *= 2;
    wider = lh_arena_take(p->arena, room, 1);
    if (!wider) {
      p->st = LH_NOMEM;
      return CAIRO_STATUS_NO_MEMORY;
    }
    if (p->n) memcpy(wider, p->bytes, p->n);
    p->bytes = wider;
    p->room = room;
  }
  memcpy(p->bytes + p->n, data, n);
  p->n += n;
  return CAIRO_STATUS_SUCCESS;
}

void lh_paper_open(lh_paper *p, lh_arena *a, lh_paper_size size, int pages,
                   const char *title, const char *date, const char *foot_left,
                   const char *foot_right)
{
  cairo_font_options_t *options = cairo_font_options_create();

  *p = (lh_paper){.arena = a,
                  .pages = pages,
                  .foot_left = foot_left,
                  .foot_right = foot_right};
  /* ISO 216 A4; ANSI Y14.1 size A. */
  p->width = size == LH_A4 ? 210 : 215.9;
  p->height = size == LH_A4 ? 297 : 279.4;
  p->left = 19;
  p->right = p->width - 19;
  p->top = 18;
  p->bottom = p->height - 20;
  p->surface = cairo_pdf_surface_create_for_stream(keep, p, p->width * MM,
                                                   p->height * MM);
  cairo_pdf_surface_restrict_to_version(p->surface, CAIRO_PDF_VERSION_1_5);
  cairo_pdf_surface_set_metadata(p->surface, CAIRO_PDF_METADATA_TITLE, title);
  cairo_pdf_surface_set_metadata(p->surface, CAIRO_PDF_METADATA_CREATOR,
                                 "leatherhard " LH_VERSION);
  cairo_pdf_surface_set_metadata(p->surface, CAIRO_PDF_METADATA_CREATE_DATE,
                                 date);
  p->cr = cairo_create(p->surface);
  /* Text is set for the page, not for a screen's pixels. */
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_set_font_options(p->cr, options);
  cairo_font_options_destroy(options);
}

static void footer(lh_paper *p)
{
  char right[300];
  double y = p->height - 17;

  if (p->pages > 0) {
    snprintf(right, sizeof right, "%s  \xc2\xb7  %d of %d", p->foot_right,
             p->page, p->pages);
  } else {
    snprintf(right, sizeof right, "%s  \xc2\xb7  %d", p->foot_right, p->page);
  }
  lh_paper_rule(p, p->left, p->right, y, 0.15);
  lh_paper_cut(p, LH_PLAIN, 9, p->left, y + 1.8, (p->right - p->left) * 0.55,
               0.25, 1, p->foot_left);
  lh_paper_right(p, LH_PLAIN, 9, p->right, y + 1.8, 0.25, right);
}

void lh_paper_page(lh_paper *p)
{
  if (p->page > 0) cairo_show_page(p->cr);
  p->page++;
  p->y = p->top;
  footer(p);
}

bool lh_paper_room(const lh_paper *p, double mm)
{
  return p->y + mm <= p->bottom;
}

lh_status lh_paper_close(lh_paper *p)
{
  cairo_status_t status;

  if (p->page > 0) cairo_show_page(p->cr);
  cairo_destroy(p->cr);
  cairo_surface_finish(p->surface);
  status = cairo_surface_status(p->surface);
  cairo_surface_destroy(p->surface);
  if (p->st != LH_OK) return p->st;
  if (status == CAIRO_STATUS_NO_MEMORY) return LH_NOMEM;
  return status == CAIRO_STATUS_SUCCESS ? LH_OK : LH_IO;
}

/* ---- text --------------------------------------------------------------- */

static PangoLayout *layout_of(lh_paper *p, lh_face_of_type face, double pt,
                              double width, const char *text)
{
  PangoLayout *l = pango_cairo_create_layout(p->cr);
  PangoFontDescription *d = pango_font_description_new();
  PangoAttrList *attrs = pango_attr_list_new();

  pango_font_description_set_family(d, face == LH_TITLE ? "Vollkorn" : "Lato");
  if (face == LH_TITLE) pango_font_description_set_style(d, PANGO_STYLE_ITALIC);
  if (face == LH_STRONG)
    pango_font_description_set_weight(d, PANGO_WEIGHT_BOLD);
  /* Absolute: cairo's unit is the point here, whatever pango thinks of dpi. */
  pango_font_description_set_absolute_size(d, pt * PANGO_SCALE);
  pango_layout_set_font_description(l, d);
  pango_font_description_free(d);
  pango_attr_list_insert(attrs, pango_attr_font_features_new("lnum=1, tnum=1"));
  pango_layout_set_attributes(l, attrs);
  pango_attr_list_unref(attrs);
  if (width > 0) {
    pango_layout_set_width(l, (int)(width * MM * PANGO_SCALE));
    pango_layout_set_wrap(l, PANGO_WRAP_WORD_CHAR);
  }
  pango_layout_set_line_spacing(l, face == LH_TITLE ? 1.0F : 1.05F);
  pango_layout_set_text(l, text, -1);
  return l;
}

static void show(lh_paper *p, PangoLayout *l, double x, double y, double grey)
{
  cairo_save(p->cr);
  cairo_set_source_rgb(p->cr, grey, grey, grey);
  cairo_move_to(p->cr, x * MM, y * MM);
  pango_cairo_show_layout(p->cr, l);
  cairo_restore(p->cr);
}

static void size_of(PangoLayout *l, double *width, double *height)
{
  PangoRectangle r;

  pango_layout_get_extents(l, NULL, &r);
  *width = (double)r.width / PANGO_SCALE / MM;
  *height = (double)r.height / PANGO_SCALE / MM;
}

double lh_paper_text(lh_paper *p, lh_face_of_type face, double pt, double x,
                     double y, double width, double grey, const char *text)
{
  PangoLayout *l = layout_of(p, face, pt, width, text);
  double w, h;

  show(p, l, x, y, grey);
  size_of(l, &w, &h);
  g_object_unref(l);
  return h;
}

double lh_paper_cut(lh_paper *p, lh_face_of_type face, double pt, double x,
                    double y, double width, double grey, int lines,
                    const char *text)
{
  PangoLayout *l = layout_of(p, face, pt, width, text);
  double w, h;

  pango_layout_set_height(l, -lines);
  pango_layout_set_ellipsize(l, PANGO_ELLIPSIZE_END);
  show(p, l, x, y, grey);
  size_of(l, &w, &h);
  g_object_unref(l);
  return h;
}

static int lines_of(lh_paper *p, double pt, double width, const char *text)
{
  PangoLayout *l = layout_of(p, LH_TITLE, pt, width, text);
  int n = pango_layout_get_line_count(l);

  g_object_unref(l);
  return n;
}

double lh_paper_heading(lh_paper *p, double pt, double x, double y,
                        double width, const char *text)
{
  const double least = 14; /* [pt] still read at arm's length (judgement) */

  while (pt > least && lines_of(p, pt, width, text) > 2)
    pt = fmax(least, pt - 2);
  return lh_paper_cut(p, LH_TITLE, pt, x, y, width, 0, 4, text);
}

static void bar_beside(lh_paper *p, double width, double height)
{
  cairo_save(p->cr);
  cairo_set_source_rgb(p->cr, 0, 0, 0);
  cairo_rectangle(p->cr, p->left * MM, p->y * MM, width * MM, height * MM);
  cairo_fill(p->cr);
  cairo_restore(p->cr);
}

void lh_paper_flow(lh_paper *p, lh_face_of_type face, double pt, double x,
                   double width, double grey, double bar, const char *text)
{
  PangoLayout *l = layout_of(p, face, pt, width, text);
  PangoLayoutIter *i = pango_layout_get_iter(l);
  bool more = true;

  while (more) {
    PangoLayoutLine *line = pango_layout_iter_get_line_readonly(i);
    int base = pango_layout_iter_get_baseline(i);
    PangoRectangle now, next;
    double high, step;
    pango_layout_iter_get_line_extents(i, NULL, &now);
    /* The way to the next line is more than this one's height. */
    more = pango_layout_iter_next_line(i);
    pango_layout_iter_get_line_extents(i, NULL, &next);
    high = (double)now.height / PANGO_SCALE / MM;
    step = more ? (double)(next.y - now.y) / PANGO_SCALE / MM : high;
    if (!lh_paper_room(p, high)) lh_paper_page(p);
    if (bar > 0) bar_beside(p, bar, step);
    cairo_save(p->cr);
    cairo_set_source_rgb(p->cr, grey, grey, grey);
    cairo_move_to(p->cr, x * MM,
                  p->y * MM + (double)(base - now.y) / PANGO_SCALE);
    pango_cairo_show_layout_line(p->cr, line);
    cairo_restore(p->cr);
    p->y += step;
  }
  pango_layout_iter_free(i);
  g_object_unref(l);
}

double lh_paper_right(lh_paper *p, lh_face_of_type face, double pt, double x,
                      double y, double grey, const char *text)
{
  PangoLayout *l = layout_of(p, face, pt, 0, text);
  double w, h;

  size_of(l, &w, &h);
  show(p, l, x - w, y, grey);
  g_object_unref(l);
  return w;
}

double lh_paper_text_height(lh_paper *p, lh_face_of_type face, double pt,
                            double width, const char *text)
{
  PangoLayout *l = layout_of(p, face, pt, width, text);
  double w, h;

  size_of(l, &w, &h);
  g_object_unref(l);
  return h;
}

double lh_paper_text_width(lh_paper *p, lh_face_of_type face, double pt,
                           const char *text)
{
  PangoLayout *l = layout_of(p, face, pt, 0, text);
  double w, h;

  size_of(l, &w, &h);
  g_object_unref(l);
  return w;
}

/* ---- rules, boxes, pictures --------------------------------------------- */

void lh_paper_rule(lh_paper *p, double x0, double x1, double y, double weight)
{
  cairo_save(p->cr);
  cairo_set_source_rgb(p->cr, 0, 0, 0);
  cairo_set_line_width(p->cr, weight * MM);
  cairo_move_to(p->cr, x0 * MM, y * MM);
  cairo_line_to(p->cr, x1 * MM, y * MM);
  cairo_stroke(p->cr);
  cairo_restore(p->cr);
}

void lh_paper_box(lh_paper *p, double x, double y, double side)
{
  cairo_save(p->cr);
  cairo_set_source_rgb(p->cr, 0, 0, 0);
  cairo_set_line_width(p->cr, 0.25 * MM);
  cairo_rectangle(p->cr, x * MM, y * MM, side * MM, side * MM);
  cairo_stroke(p->cr);
  cairo_restore(p->cr);
}

double lh_paper_image(lh_paper *p, const unsigned char *rgb, size_t width,
                      size_t height, double x, double y, double mm)
{
  cairo_surface_t *s =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)width, (int)height);
  double scale = mm * MM / (double)width;
  unsigned char *data;
  int stride;

  if (cairo_surface_status(s) != CAIRO_STATUS_SUCCESS) {
    cairo_surface_destroy(s);
    p->st = LH_NOMEM;
    return 0;
  }
  cairo_surface_flush(s);
  data = cairo_image_surface_get_data(s);
  stride = cairo_image_surface_get_stride(s);
  for (size_t j = 0; j < height; j++) {
    for (size_t i = 0; i < width; i++) {
      const unsigned char *c = rgb + 3 * (j * width + i);
      unsigned px = (unsigned)c[0] << 16 | (unsigned)c[1] << 8 | c[2];
      memcpy(data + (size_t)stride * j + 4 * i, &px, sizeof px);
    }
  }
  cairo_surface_mark_dirty(s);
  cairo_save(p->cr);
  cairo_translate(p->cr, x * MM, y * MM);
  cairo_scale(p->cr, scale, scale);
  cairo_set_source_surface(p->cr, s, 0, 0);
  cairo_paint(p->cr);
  cairo_restore(p->cr);
  cairo_surface_destroy(s);
  return mm * (double)height / (double)width;
}
