/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "made.h"

#include <stdio.h>
#include <string.h>

#include "made_optics.h"
#include "made_slips.h"
#include "nearest.h"

static const char invented_mark[] = "invented: make your own tiles";

/* How much of a mark tells the one from the other. */
static const char powders_mark[] = "invented from measured powders";

_Static_assert((int)made_optics_count == LH_WAVES * (int)made_slips_count,
               "each slip has a row a wavelength");

size_t lh_made_count(void)
{
  return made_slips_count;
}

/* Rows stand slip by slip, each from 380 nm up. */
void lh_made_take(size_t i, lh_made *out)
{
  const made_slips_row *s = &made_slips[i];
  const made_optics_row *row = &made_optics[i * LH_WAVES];

  *out = (lh_made){.id = s->id,
                   .name = s->name,
                   .powders = s->powders,
                   .left_out_de00 = s->left_out_de00,
                   .worst_de00 = s->worst_de00,
                   .uncertainty_percent = s->uncertainty_percent,
                   .coat_g_m2 = s->coat_g_m2,
                   .litre_weight_g = s->litre_weight_g};
  for (size_t w = 0; w < LH_WAVES; w++) {
    out->absorption[w] = row[w].absorption_m2_g;
    out->scattering[w] = row[w].scattering_m2_g;
    out->absorption_error[w] = row[w].absorption_error_percent;
    out->scattering_error[w] = row[w].scattering_error_percent;
  }
}

size_t lh_made_find(const char *name)
{
  size_t i = 0;

  while (i < made_slips_count && strcmp(name, made_slips[i].name) != 0 &&
         strcmp(name, made_slips[i].id) != 0)
    i++;
  return i;
}

const char *lh_made_near(const char *name)
{
  const char *names[made_slips_count];
  size_t near;

  for (size_t i = 0; i < made_slips_count; i++) names[i] = made_slips[i].name;
  near = lh_nearest(name, names, made_slips_count);
  return near < made_slips_count ? names[near] : NULL;
}

static json_t *numbers(const double v[LH_WAVES])
{
  json_t *list = json_array();

  for (size_t w = 0; list && w < LH_WAVES; w++)
    if (json_array_append_new(list, json_real(v[w])) != 0) {
      json_decref(list);
      return NULL;
    }
  return list;
}

json_t *lh_made_document(const lh_made *m)
{
  char name[80], from[256];

  snprintf(name, sizeof name, "%s (invented)", m->name);
  if (name[0] >= 'a' && name[0] <= 'z') name[0] -= 'a' - 'A';
  snprintf(from, sizeof from, LH_MADE_MARK "; here %s", m->powders);
  return json_pack("{s:s,s:s,s:b,s:s,s:o,s:o,s:f,s:f,s:f,s:b,s:s}", "id", m->id,
                   "name", name, "invented", 1, "optics_from", from,
                   "absorption_m2_g", numbers(m->absorption), "scattering_m2_g",
                   numbers(m->scattering), "uncertainty_percent",
                   m->uncertainty_percent, "litre_weight_g", m->litre_weight_g,
                   "coat_g_m2", m->coat_g_m2, "ground",
                   strcmp(m->id, "white") == 0, "tiles_read_by",
                   lh_slip_readers[LH_READ_SPECTROPHOTOMETER]);
}

/* ---- the mark ----------------------------------------------------------- */

const char *lh_made_mark(bool invented, const char *optics_from)
{
  if (!invented) return NULL;
  return optics_from && strncmp(optics_from, powders_mark,
                                sizeof powders_mark - 1) == 0
             ? LH_MADE_MARK
             : invented_mark;
}

const char *lh_slip_doc_mark(const lh_slip_doc *s)
{
  return lh_made_mark(s->invented, s->optics_from);
}

const char *lh_made_plainer(const char *one, const char *other)
{
  if (!one || !other) return one ? one : other;
  return strcmp(one, LH_MADE_MARK) == 0 ? one : other;
}

const char *lh_piece_mark(const lh_piece_doc *doc)
{
  const lh_slip_doc *s = doc->slips.items;
  const char *mark = lh_piece_invented(doc) ? invented_mark : NULL;

  for (size_t i = 0; i < doc->slips.count; i++)
    mark = lh_made_plainer(mark, lh_slip_doc_mark(&s[i]));
  return mark;
}
