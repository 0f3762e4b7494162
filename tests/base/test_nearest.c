/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "nearest.h"

int main(void)
{
  /* By hand; "optimal string alignment" as Damerau's edits, no piece edited
  ** twice: ca -> abc takes 3 there, not 2. */
  static const struct {
    const char *a, *b;
    size_t steps;
  } t[] = {
      {"", "", 0},
      {"", "abc", 3},
      {"kitten", "sitting", 3},
      {"ca", "abc", 3},
      {"ab", "ba", 1},
      {"Quartz", "qUARTZ", 0},
      {"quarz", "quartz", 1},
      {"flint", "flint", 0},
      {"kaolin", "koalin", 1},
  };
  static const char *const names[] = {"litre_weight_g", NULL, "volume_ml",
                                      "solids_density"};
  static const char *const twins[] = {"bat", "cat"};
  char a[200], b[200];

  for (size_t i = 0; i < sizeof t / sizeof t[0]; i++) {
    CHECK(lh_nearest_steps(t[i].a, t[i].b) == t[i].steps, "%s to %s in %zu",
          t[i].a, t[i].b, t[i].steps);
    CHECK(lh_nearest_steps(t[i].b, t[i].a) == t[i].steps, "and back");
  }
  CHECK(lh_nearest("litre_wieght_g", names, 4) == 0, "a swapped letter");
  CHECK(lh_nearest("volume", names, 4) == 2, "the beginning of a name");
  CHECK(lh_nearest("colour", names, 4) == 4, "nothing near is not named");
  CHECK(lh_nearest("rat", twins, 2) == 0, "the first of equals");
  CHECK(lh_nearest("rat", twins, 0) == 0, "no names at all");
  memset(a, 'x', sizeof a), memset(b, 'x', sizeof b);
  a[199] = b[150] = 0;
  CHECK(lh_nearest_steps(a, b) <= 199, "long names do not overrun");
  return CHECK_DONE();
}
