/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "viscosity.h"

#include <math.h>
#include <string.h>

#include "fluegel2007.h"
#include "fluegel2007_limits.h"
#include "lakatos1976.h"

enum { LEVELS = LH_VISCOSITY_LEVELS };

/* Half a 90 % range in standard errors, of a normal error. */
static const double NINETY = 1.645;

/* What an oxide that Lakatos did not have may amount to [wt%]. */
static const double TRACE = 0.2;

const char *lh_viscosity_name(lh_viscosity_model model)
{
  return model == LH_VISCOSITY_FLUEGEL ? "fluegel2007" : "lakatos1976";
}

static void refuse(lh_viscosity *v, size_t level, lh_melt_limit limit)
{
  /* The share by which it is out; of nothing allowed, any is the most. */
  double was = v->limit.limit > 0.0 ? v->limit.amount / v->limit.limit : 1e9;
  double is = limit.limit > 0.0 ? limit.amount / limit.limit : 1e9;

  if (limit.why == LH_MELT_BELOW) is = limit.limit / limit.amount;
  if (v->limit.why == LH_MELT_BELOW) was = v->limit.limit / v->limit.amount;
  v->t_c[level] = NAN;
  if (!v->valid && is <= was) return;
  v->valid = false;
  v->limit = limit;
}

/* ---- Fluegel 2007 ------------------------------------------------------- */

/* Mole per cent in the forms that the paper counts: manganese as MnO2,
** cobalt as Co3O4, all else as we do.  symbol is a component's name or the
** beginning of a product of names.
*/
static double component(const double p[LH_OXIDE_FORMS], const char *symbol,
                        size_t length)
{
  char word[8];
  size_t i;

  if (length >= sizeof word) return 0.0;
  memcpy(word, symbol, length);
  word[length] = 0;
  i = lh_oxide_find(word);
  return i < LH_OXIDE_FORMS ? p[i] : 0.0;
}

static size_t until_star(const char *s)
{
  const char *star = strchr(s, '*');

  return star ? (size_t)(star - s) : strlen(s);
}

static void into_components(const double mol[LH_OXIDE_FORMS],
                            double p[LH_OXIDE_FORMS])
{
  static const char as[][2][8] = {{"MnO", "MnO2"}, {"CoO", "Co3O4"}};
  double sum = 0.0;

  memcpy(p, mol, LH_OXIDE_FORMS * sizeof *p);
  for (size_t k = 0; k < 2; k++) {
    size_t from = lh_oxide_find(as[k][0]), to = lh_oxide_find(as[k][1]);
    p[to] += p[from] * lh_oxide_cations(from) / lh_oxide_cations(to);
    p[from] = 0.0;
  }
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) sum += p[i];
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) p[i] *= 100.0 / sum;
}

static size_t level_of(double level)
{
  return level < 2.0 ? 0 : level < 7.0 ? 1 : 2;
}

/* T = sum of coefficient times the product of mole per cent. */
static void fluegel_sums(const double p[LH_OXIDE_FORMS], double t[LEVELS])
{
  for (size_t k = 0; k < fluegel2007_count; k++) {
    const char *s = fluegel2007[k].term;
    double product = fluegel2007[k].coefficient;
    while (strcmp(s, "Constant") != 0 && *s) {
      size_t n = until_star(s);
      product *= component(p, s, n);
      s += n + (s[n] == '*');
    }
    t[level_of(fluegel2007[k].level)] += product;
  }
}

static void fluegel_limits(const double p[LH_OXIDE_FORMS], lh_viscosity *v)
{
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) {
    double least[LEVELS] = {0.0}, most[LEVELS] = {0.0};
    bool known = false;
    for (size_t k = 0; k < fluegel2007_limits_count; k++) {
      const fluegel2007_limits_row *r = &fluegel2007_limits[k];
      if (strcmp(r->component, lh_oxide_symbol(i)) != 0) continue;
      known = true;
      least[0] = r->least_thin, most[0] = r->most_thin;
      least[1] = r->least_soft, most[1] = r->most_soft;
      least[2] = r->least_stiff, most[2] = r->most_stiff;
    }
    for (size_t k = 0; k < LEVELS; k++) {
      lh_melt_why why =
          known && most[k] > 0.0 ? LH_MELT_ABOVE : LH_MELT_UNKNOWN;
      if (p[i] > most[k] + 0.005) /* printed to 0.01 */
        refuse(v, k, (lh_melt_limit){why, i, p[i], most[k]});
      if (p[i] < least[k] - 0.005)
        refuse(v, k, (lh_melt_limit){LH_MELT_BELOW, i, p[i], least[k]});
    }
  }
}

/* The curve log10 = a + b/(T - t0) through the three bare sums; false when
** they are not those of a melt that stiffens as it cools.
*/
static bool curve(lh_viscosity *v)
{
  const double *l = v->level, *t = v->sum_c;
  double u, w;

  if (!(t[0] > t[1] && t[1] > t[2])) return false;
  /* (l0 - l1)/(t1 - t0) = b/((t0 - T0)(t1 - T0)), and so on. */
  u = (l[0] - l[1]) / (t[1] - t[0]);
  w = (l[1] - l[2]) / (t[2] - t[1]);
  v->t0 = (u * t[0] - w * t[2]) / (u - w);
  v->b = u * (t[0] - v->t0) * (t[1] - v->t0);
  v->a = l[0] - v->b / (t[0] - v->t0);
  if (v->b > 0.0 && v->t0 < t[2]) return true;
  v->a = v->b = v->t0 = NAN;
  return false;
}

static void fluegel(const double mol[LH_OXIDE_FORMS], lh_viscosity *v)
{
  static const double level[LEVELS] = {1.5, 6.6, 12.0};
  double p[LH_OXIDE_FORMS];
  bool melts;

  into_components(mol, p);
  memcpy(v->level, level, sizeof level);
  fluegel_sums(p, v->sum_c);
  melts = curve(v);
  for (size_t k = 0; k < LEVELS; k++) {
    v->t_c[k] = v->sum_c[k];
    v->e_c[k] = NINETY * 17.0;
  }
  fluegel_limits(p, v);
  for (size_t k = 0; k < LEVELS && !melts; k++)
    refuse(v, k, (lh_melt_limit){LH_MELT_CURVE, LH_OXIDE_FORMS, 1.0, 0.0});
}

/* ---- Lakatos 1976 ------------------------------------------------------- */

static const lakatos1976_row *lakatos_row(const char *symbol)
{
  if (strcmp(symbol, "SiO2") == 0) symbol = "Constant";
  for (size_t k = 0; k < lakatos1976_count; k++)
    if (strcmp(lakatos1976[k].oxide, symbol) == 0) return &lakatos1976[k];
  return NULL;
}

static void lakatos_limits(const double p[LH_OXIDE_FORMS], lh_viscosity *v)
{
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) {
    const lakatos1976_row *r = lakatos_row(lh_oxide_symbol(i));
    double least = r ? r->least : 0.0, most = r ? r->most : TRACE;
    for (size_t k = 0; k < LEVELS; k++) {
      lh_melt_why above = r ? LH_MELT_ABOVE : LH_MELT_UNKNOWN;
      if (p[i] > most) refuse(v, k, (lh_melt_limit){above, i, p[i], most});
      if (p[i] < least)
        refuse(v, k, (lh_melt_limit){LH_MELT_BELOW, i, p[i], least});
    }
  }
}

/* log10 of poise = -A + B/(T - T0), the constants linear in the weight parts
** per 100 of SiO2, with a square of B2O3.
*/
static void lakatos(const double mol[LH_OXIDE_FORMS], lh_viscosity *v)
{
  static const double level[LEVELS] = {1.0, 3.0, 5.0};
  static const double error[LEVELS] = {4.63, 3.34, 3.14};
  double p[LH_OXIDE_FORMS], sum = 0.0, a = 0.0;
  size_t silica = lh_oxide_find("SiO2"), boron = lh_oxide_find("B2O3");

  for (size_t i = 0; i < LH_OXIDE_FORMS; i++)
    sum += p[i] = mol[i] * lh_oxide_weight(i);
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) p[i] *= 100.0 / sum;
  v->b = v->t0 = 0.0;
  for (size_t k = 0; k < lakatos1976_count; k++) {
    const lakatos1976_row *r = &lakatos1976[k];
    double x = 100.0 * component(p, r->oxide, strlen(r->oxide)) / p[silica];
    if (strcmp(r->oxide, "Constant") == 0) x = 1.0;
    if (strcmp(r->oxide, "B2O3*B2O3") == 0)
      x = pow(100.0 * p[boron] / p[silica], 2.0);
    a += r->A * x;
    v->b += r->B * x;
    v->t0 += r->T0 * x;
  }
  memcpy(v->level, level, sizeof level);
  for (size_t k = 0; k < LEVELS; k++) {
    v->sum_c[k] = v->t0 + v->b / (level[k] + 1.0 + a); /* Pa s to poise */
    v->t_c[k] = v->sum_c[k];
    v->e_c[k] = NINETY * error[k];
  }
  v->a = -a - 1.0;
  lakatos_limits(p, v);
}

lh_status lh_viscosity_of(const double mol[LH_OXIDE_FORMS],
                          lh_viscosity_model model, lh_viscosity *v)
{
  double sum = 0.0;

  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) {
    if (!(mol[i] >= 0.0) || !isfinite(mol[i])) return LH_RANGE;
    sum += mol[i];
  }
  if (!(sum > 0.0) || !isfinite(sum)) return LH_RANGE;
  *v = (lh_viscosity){.valid = true,
                      .limit = {LH_MELT_FINE, LH_OXIDE_FORMS, 0.0, 0.0},
                      .a = NAN,
                      .b = NAN,
                      .t0 = NAN};
  if (model == LH_VISCOSITY_FLUEGEL)
    fluegel(mol, v);
  else
    lakatos(mol, v);
  return LH_OK;
}
