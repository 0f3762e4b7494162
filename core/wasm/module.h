/* SPDX-License-Identifier: GPL-3.0-or-later */
/* module.h -- the door of the WebAssembly module, through which a page lays
** marks with the very code of core.
**
** Numbers and plain memory only: a painted zone comes in as the flat array of
** flat.h, maps come out as places within a stretch of memory that the caller
** gives and keeps.  Nothing is remembered between calls but what lies in that
** memory.  The same functions compiled natively are what the test compares
** with.
*/
#ifndef LH_MODULE_H
#define LH_MODULE_H

#include <stddef.h>

/* What is told of a zone that was laid: numbers of a report. */
enum {
  LH_REPORT_STATUS, /* lh_status                                        */
  LH_REPORT_WHY,    /* lh_mark_why, when a mark is at fault             */
  LH_REPORT_MARK,   /* which mark, which nib                            */
  LH_REPORT_NIB,
  LH_REPORT_TAKEN, /* bytes of the room that are used, or were asked   */
                   /* for when it was too small                        */
  LH_REPORT_LAYERS,
  LH_REPORT_NX, /* columns, rows, side of a pixel [chart mm]        */
  LH_REPORT_NY,
  LH_REPORT_PIXEL,
  LH_REPORT_WIDTH, /* of the chart [mm]                                */
  LH_REPORT_HEIGHT,
  LH_REPORT_SLIPS = 16, /* slip of each layer                               */
  LH_REPORT_COATS = 32, /* where its coat map begins, in bytes from the     */
                        /* room's beginning: nx * ny floats                 */
  LH_REPORT_COVERS = 48,
  LH_REPORT_NUMBERS = 64
};

/* Lay a painted zone.
**
** Given:     in, n     as lh_decor_flatten writes it
**            room      memory, aligned to 16 bytes
**            bytes     how much; the zone's maps take 8 bytes a pixel and
**                      layer, the rest is small
** Returned:  report[LH_REPORT_NUMBERS]
**            the status, an lh_status
** Status:    of lh_decor_unflatten, lh_decor_ready and lh_lay; LH_NOMEM when
**            the room is too small
*/
int lh_module_lay(const double *in, size_t n, void *room, size_t bytes,
                  double *report);

/* Lay a rectangle of it afresh.
**
** Given:     room             as lh_module_lay left it
**            x0, y0, x1, y1   columns and rows, the last not among them
** Returned:  the status
*/
int lh_module_relay(void *room, int x0, int y0, int x1, int y1);

#endif
