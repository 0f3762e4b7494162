/* SPDX-License-Identifier: GPL-3.0-or-later */
/* White between: the colours of overlaps, and how heavy white must be. */
#include "between.h"

#include "difference.h"
#include "pieces.h"

/* Slips of the piece: white ground, yellow, violet. */
enum { WHITE, YELLOW, VIOLET };

static const char yellow_under[] =
    "{\"id\": \"y\", \"zone\": \"wall\", \"up_mm\": 50, \"mark\": {\"id\":"
    " \"ym\", \"kind\": \"banding line\", \"slip\": \"yellow\","
    " \"width_mm\": 14}}";

static const lh_piece_overlap *find(const pot *p, int upper, int lower)
{
  const lh_piece_cover *c = &p->whole.cover;

  for (size_t i = 0; i < c->n_overlaps; i++)
    if (c->overlaps[i].upper == upper && c->overlaps[i].lower == lower)
      return &c->overlaps[i];
  return NULL;
}

static double apart(const pot *p, const lh_coat_of *a, size_t n,
                    const lh_coat_of *b, size_t m)
{
  return lh_delta_e00(lh_piece_optics_lab(&p->whole.optics, a, n),
                      lh_piece_optics_lab(&p->whole.optics, b, m));
}

/* Common practice, no source: yellow under violet darkens it, white between
** saves it. */
static void violet_on_yellow(void)
{
  const lh_piece_overlap *x;
  lh_between b, quick;
  pot p;

  pot_open(&p);
  pot_set(&p, "/painting/1", yellow_under);
  CHECK(pot_judge(&p, 0.5) == LH_OK, "violet berries on a yellow line");
  x = find(&p, VIOLET, YELLOW);
  CHECK(x != NULL, "violet lies on yellow");
  if (!x) {
    pot_close(&p);
    return;
  }
  CHECK(lh_between_look(&p.whole.optics, &p.whole.cover, x, true, &b) == LH_OK,
        "looked at");
  CHECK(b.painted.L < b.wanted.L - 3, "yellow under it darkens violet");
  CHECK(b.white == WHITE && b.needed, "white is needed between");
  CHECK(b.white_de00 < b.de00 / 3 && b.with_white.L > b.painted.L,
        "white between saves it: dE00 %.1f, not %.1f", b.white_de00, b.de00);

  double ground = p.whole.cover.slips[WHITE].mean_g_m2;
  double seen = p.whole.piece.limits->seen_de00;
  lh_coat_of least[] = {{VIOLET, x->upper_g_m2},
                        {WHITE, b.least.value},
                        {YELLOW, x->lower_g_m2},
                        {WHITE, ground}},
             thick[] = {{VIOLET, x->upper_g_m2}, {WHITE, 1e5}},
             turned[] = {{YELLOW, x->lower_g_m2},
                         {VIOLET, x->upper_g_m2},
                         {WHITE, ground}},
             own[] = {{YELLOW, x->lower_g_m2}, {WHITE, ground}};
  /* The end of a window is found to 1e-12 in weight; the window takes 3 kg/m2
  ** for endless, within which this white is endless to 1e-6. */
  CHECK_NEAR(apart(&p, least, 4, thick, 2), seen, 1e-4,
             "at the least weight the yellow is just seen");
  least[1].g_m2 *= 1.1;
  CHECK(apart(&p, least, 4, thick, 2) < seen, "a tenth more, and it is not");
  CHECK(lh_range_valid(b.least) && b.least.low < b.least.high,
        "its range: %.0f to %.0f g/m2", b.least.low, b.least.high);
  CHECK_NEAR(b.turned_de00, apart(&p, turned, 3, own, 2), 1e-12,
             "yellow over violet, off its own colour");
  CHECK(lh_between_look(&p.whole.optics, &p.whole.cover, x, false, &quick) ==
                LH_OK &&
            isnan(quick.least.low) && quick.least.value == b.least.value,
        "without its range, the same weight");
  pot_close(&p);
}

/* A lower slip so strong that it comes out on top as well: then the other
** order spoils nothing. */
static void turn(void)
{
  lh_between b;
  pot p;

  pot_open(&p);
  pot_set(&p, "/painting/1", yellow_under);
  pot_set(&p, "/slips/1/absorption_m2_g", "0.5");
  CHECK(pot_judge(&p, 0.5) == LH_OK, "the lower slip is a strong black");
  const lh_piece_overlap *x = find(&p, VIOLET, YELLOW);
  if (!x) return;
  CHECK(lh_between_look(&p.whole.optics, &p.whole.cover, x, false, &b) ==
                LH_OK &&
            b.turn && b.turned_de00 < 1 && b.de00 > 10,
        "it had better come last");
  CHECK(b.lower == YELLOW && b.least.value > 0, "or white between");
  pot_close(&p);
}

static void grounds(void)
{
  lh_thin_ground t, thicker;
  pot p;

  pot_open(&p);
  pot_set(&p, "/painting/0/mark/coat_g_m2", "60");
  CHECK(pot_judge(&p, 0.5) == LH_OK, "a thin ground");
  CHECK(lh_between_ground(&p.whole.cover) == WHITE, "is the ground");
  CHECK(lh_between_thin(&p.whole.optics, &p.whole.cover, WHITE, true, &t) ==
                LH_OK &&
            t.de00 > 1 && t.hides.value > t.g_m2,
        "the body shows: dE00 %.1f", t.de00);
  lh_coat_of just[] = {{WHITE, t.hides.value}}, thick[] = {{WHITE, 1e5}};
  CHECK_NEAR(apart(&p, just, 1, thick, 1), p.whole.piece.limits->hides_de00,
             1e-3, "from that weight on it is hidden");
  CHECK(lh_range_valid(t.hides) && t.hides.low < t.hides.high, "with a range");
  pot_set(&p, "/limits/hides_de00", "0.2");
  CHECK(pot_judge(&p, 0.5) == LH_OK &&
            lh_between_thin(&p.whole.optics, &p.whole.cover, WHITE, false,
                            &thicker) == LH_OK,
        "held to a stricter limit");
  CHECK(thicker.hides.value > 1.2 * t.hides.value, "it must be heavier");
  pot_set(&p, "/limits/hides_de00", "0");
  CHECK(pot_judge(&p, 0.5) == LH_OK &&
            lh_between_thin(&p.whole.optics, &p.whole.cover, WHITE, false,
                            &thicker) == LH_OK &&
            isnan(thicker.hides.value),
        "no weight hides altogether");
  pot_set(&p, "/limits/hides_de00", "1");
  pot_set(&p, "/slips/0/scattering_m2_g", "0.0001");
  CHECK(pot_judge(&p, 0.5) == LH_OK &&
            lh_between_thin(&p.whole.optics, &p.whole.cover, WHITE, false,
                            &t) == LH_OK &&
            isnan(t.hides.value),
        "a slip like glass hides at no weight");
  pot_close(&p);
}

int main(int argc, char **argv)
{
  pot_path = argc > 1 ? argv[1] : "";
  violet_on_yellow();
  turn();
  grounds();
  return CHECK_DONE();
}
