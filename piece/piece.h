/* SPDX-License-Identifier: GPL-3.0-or-later */
/* piece.h -- a whole piece: one decorated pot, and how many of it.
**
** The document holds everything that the piece needs: form, body, glaze,
** slips, brushes, zones, motifs and the painting, as copies, so that a later
** change elsewhere never changes an old piece.  Geometry is in leather-hard
** mm: an anchor on the form and a local path, never chart coordinates.  The
** painting is a list whose order is the painting order.
**
** This room joins what core keeps apart.  It reads no files and draws no
** sheets.  Memory: all of it lives in the arena of the call; texts point into
** the JSON document, which must live as long.
** Units: as the keys say; inside core the units of docs/units.md.
*/
#ifndef LH_PIECE_H
#define LH_PIECE_H

#include "chart.h"
#include "fields.h"
#include "flat.h"
#include "recipe_doc.h"
#include "verdict_limits.h"

enum { LH_PIECE_VERSION = 1 };

/* Most of each in one document.  (judgement) */
enum { LH_SLIPS_MOST = 24, LH_ZONES_MOST = 16, LH_PAINTING_MOST = 20000 };

/* ---- the document, as read ---------------------------------------------- */

/* Where an embedded copy came from. */
typedef struct {
  const char *id;
  long revision;
  const char *hash;
} lh_from_doc;

typedef struct {
  double diameter_mm, height_mm;
} lh_caliper_doc;

typedef struct {
  double diameter_percent, height_percent;
} lh_shrink_doc;

typedef struct {
  const char *id, *name;
  lh_from_doc *from;
  int measured;            /* lh_stage                    */
  lh_list outside, inside; /* lh_caliper_doc              */
  lh_shrink_doc *to_leather_hard, *to_fired;
} lh_form_doc;

typedef struct {
  const char *id, *name;
  lh_from_doc *from;
  double *reflectance;     /* internal, as glazed [36]            */
  double moisture_percent; /* of dry, when slip is laid           */
  double soft_percent;     /* of dry: caution above               */
  double slump_percent;    /* of dry: stop above                  */
  double density_g_cm3;    /* of the leather-hard clay            */
  double solids_density;   /* of its grains                       */
  bool invented;
} lh_body_doc;

typedef struct {
  const char *id, *name;
  lh_from_doc *from;
  lh_recipe_doc *recipe;
  double index;
  double *absorption_m2_g; /* depth per coat weight [36]          */
  double eats_g_m2;        /* slip it dissolves                   */
  double dissolved_share;  /* of its absorption that stays        */
  bool invented;
} lh_glaze_doc;

typedef struct {
  double least_g_m2, best_g_m2, most_g_m2;
  int safer; /* 0 thin, 1 thick                     */
  const char *why;
} lh_window_doc;

typedef struct {
  const char *id, *name;
  lh_from_doc *from;
  lh_recipe_doc *recipe;
  double *absorption_m2_g, *scattering_m2_g; /* [36] */
  double uncertainty_percent; /* of both, one standard deviation     */
  double litre_weight_g;
  double solids_density;
  double coat_g_m2; /* dry, of one coat                    */
  double bleed_mm;  /* each side, fired, in leather-hard mm; 0: not known */
  double bleed_error_mm; /* one standard deviation            */
  lh_window_doc *window;
  bool ground; /* laid first, all over                */
  bool invented;
  const char *optics_from; /* where the optical numbers are from  */
  int read_by;             /* lh_read_by; -1: not told            */
  const char *note;
} lh_slip_doc;

typedef struct {
  const char *id, *name;
  double width_mm;
} lh_brush_doc;

typedef struct {
  const char *id, *name;
  int kind;              /* lh_chart_kind                       */
  int face;              /* lh_face                             */
  double from_mm, to_mm; /* up the profile                      */
} lh_zone_doc;

/* Raw samples of a pen, kept beside what was derived from them. */
typedef struct {
  lh_list x, y, pressure, tilt_x, tilt_y, time_ms;
} lh_pen_doc;

typedef struct {
  double x_mm, y_mm, width_mm, coat_g_m2;
} lh_nib_doc;

typedef struct {
  const char *id;
  int kind; /* lh_mark_kind                        */
  const char *slip, *brush;
  lh_list path;               /* lh_nib_doc                          */
  double x_mm, y_mm;          /* of a dab or a dot                   */
  double width_mm, length_mm; /* width: also of a banding line       */
  double turn_deg;            /* of a dab: the way it is pulled      */
  double coats, coat_g_m2;
  double edge_mm;
  bool whole_zone; /* a fill of all of it                 */
  lh_pen_doc *pen;
} lh_mark_doc;

typedef struct {
  const char *id, *name;
  lh_from_doc *from;
  lh_list marks; /* lh_mark_doc                         */
} lh_motif_doc;

typedef struct {
  long instance;
  bool left_out;
  double move_turns, move_up_mm, turn_deg, scale;
} lh_exception_doc;

typedef struct {
  int way; /* lh_symmetry                         */
  long count;
  double axis_turns;
  bool may_overlap;
  lh_list exceptions; /* lh_exception_doc                    */
} lh_repeat_doc;

/* One entry of the painting: a mark, or a motif in its repeats. */
typedef struct {
  const char *id, *zone;
  double turns, up_mm; /* the anchor                          */
  double turn_deg, scale;
  bool flip; /* left for right                      */
  const char *motif;
  lh_mark_doc *mark;
  lh_repeat_doc *repeat;
} lh_painted_doc;

typedef struct {
  const char *scale;
  const char *number;
} lh_cone_doc;

typedef struct {
  double peak_c, hold_min;
  lh_cone_doc *cone;
  const char *atmosphere;
} lh_firing_doc;

typedef struct {
  double waste_percent, residue_g, scale_step_g;
  double least_g; /* dry: smaller jars are not mixed */
} lh_mixing_doc;

typedef struct {
  int format; /* 0: there is one */
  long version;
  const char *id, *name, *note;
  bool invented;
  long pots;
  int stage; /* of the ware when slip is laid       */
  lh_form_doc *form;
  lh_body_doc *body;
  lh_glaze_doc *glaze;
  double glaze_g_m2;
  lh_list slips, materials, brushes, zones, motifs, painting;
  lh_firing_doc *bisque_firing, *glaze_firing;
  lh_mixing_doc *mixing;
  lh_limits *limits;
  json_t *ask; /* the operation's own fields          */
} lh_piece_doc;

/* Stages at which slip is laid. */
enum { LH_ON_LEATHER_HARD, LH_ON_DRY, LH_ON_BISQUE };

/* With what the tiles of a slip were read. */
typedef enum {
  LH_READ_SPECTROPHOTOMETER,
  LH_READ_COLORIMETER,
  LH_READ_PHOTOGRAPH
} lh_read_by;
extern const char *const lh_slip_readers[];

extern const lh_fields lh_piece_table;
extern const lh_fields lh_form_table; /* also the operation `form` */
/* Parts of a piece, as a book keeps them on their own. */
extern const lh_fields lh_body_fields, lh_glaze_fields, lh_slip_fields,
    lh_brush_fields, lh_motif_fields, lh_firing_fields;

/* ---- the piece, joined -------------------------------------------------- */

/* What one entry of the painting became. */
typedef struct {
  const lh_painted_doc *doc;
  size_t number;            /* in the painting                         */
  const lh_mark_doc *marks; /* of the motif, or the one mark           */
  size_t n_marks;
  size_t first_shape, n_shapes;
  lh_extent extent; /* of one instance                         */
  double stretch_least, stretch_most; /* true size over drawn size        */
} lh_piece_entry;

typedef struct {
  const lh_zone_doc *doc;
  const lh_curve *curve; /* of its face                                 */
  lh_zone zone;
  lh_chart chart;
  lh_group *groups;        /* one an entry of the painting in this zone   */
  lh_piece_entry *entries; /* beside groups                               */
  size_t n_groups;
  lh_shapes shapes; /* of all entries, in painting order           */
} lh_piece_zone;

typedef struct {
  const lh_piece_doc *doc;
  json_t *json;               /* borrowed                                 */
  lh_curve *outside, *inside; /* leather-hard; inside NULL when not given */
  lh_shrinkage shrinkage;
  const lh_limits *limits; /* the piece's own, or the house's         */
  lh_point *outside_points, *inside_points; /* leather-hard [mm]          */
  size_t n_zones;
  lh_piece_zone *zones;
  lh_recipe_found *recipes;     /* one a slip; count 0 where there is none  */
  lh_recipe_found glaze_recipe; /* count 0: none                        */
} lh_piece;

/* Read a piece: check the document, its references and its geometry, and
** join them.
**
** Given:     json      the document; stays the caller's
**            a         arena
** Returned:  *p
** Status:    LH_OK; LH_INPUT, LH_RANGE, LH_TOOLARGE with the fault filled;
**            LH_NOMEM
** Notes:  1) A document of an older version is brought up first
**            (lh_piece_migrate); a newer one is refused by name.
*/
lh_status lh_piece_read(json_t *json, lh_arena *a, lh_piece *p,
                        lh_fault *fault);

/* Bring a document to the present version, step by step.
**
** Given:     json      the document; changed in place
** Status:    LH_OK; LH_INPUT when it is no piece, or a newer one
*/
lh_status lh_piece_migrate(json_t *json, lh_fault *fault);

/* Is each id of slips, zones, motifs, brushes, marks and entries of the
** painting used once?
**
** Given:     doc      a piece, as read by lh_piece_table
** Status:    LH_OK; LH_INPUT naming both places; LH_NOMEM
*/
lh_status lh_piece_check_ids(const lh_piece_doc *doc, lh_arena *a,
                             lh_fault *fault);

/* The number of a slip by its id; the count of slips when there is none. */
size_t lh_piece_slip(const lh_piece_doc *doc, const char *id);

/* The slip's name, its id when it has none. */
const char *lh_slip_doc_name(const lh_slip_doc *s);

/* Coat weight that a mark lays, where a nib does not say otherwise. [g/m2] */
double lh_mark_doc_coat(const lh_mark_doc *m, const lh_slip_doc *s);

/* Is any part of it invented? */
bool lh_piece_invented(const lh_piece_doc *doc);

#endif
