/* SPDX-License-Identifier: GPL-3.0-or-later */
/* check.h -- the tests' own few words, speaking TAP.
**
** CHECK(cond, ...) and CHECK_NEAR(got, want, tol, ...) each print one TAP
** line; CHECK_DONE() prints the plan and gives main's exit code.  CHECK_NEAR
** fails on NaN.  The message is a printf format with its arguments.
*/
#ifndef LH_CHECK_H
#define LH_CHECK_H

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static int check_count, check_failed;

__attribute__((format(printf, 2, 3), unused)) static int check_line(
    int ok, const char *format, ...)
{
  va_list ap;

  check_count++;
  if (!ok) check_failed++;
  printf("%sok %d - ", ok ? "" : "not ", check_count);
  va_start(ap, format);
  vprintf(format, ap);
  va_end(ap);
  putchar('\n');
  return ok;
}

#define CHECK(cond, ...)                                  \
  do {                                                    \
    if (!check_line((cond) ? 1 : 0, __VA_ARGS__))         \
      printf("# %s:%d: %s\n", __FILE__, __LINE__, #cond); \
  } while (0)

#define CHECK_NEAR(got, want, tol, ...)                                \
  do {                                                                 \
    double got_ = (got), want_ = (want), tol_ = (tol);                 \
    if (!check_line(fabs(got_ - want_) <= tol_, __VA_ARGS__))          \
      printf("# %s:%d: got %.15g want %.15g tolerance %g\n", __FILE__, \
             __LINE__, got_, want_, tol_);                             \
  } while (0)

#define CHECK_TEXT(got, want, ...)                                           \
  do {                                                                       \
    const char *got_ = (got), *want_ = (want);                               \
    if (!check_line(got_ && want_ && strcmp(got_, want_) == 0, __VA_ARGS__)) \
      printf("# %s:%d: got \"%s\" want \"%s\"\n", __FILE__, __LINE__,        \
             got_ ? got_ : "(null)", want_ ? want_ : "(null)");              \
  } while (0)

#define CHECK_DONE() (printf("1..%d\n", check_count), check_failed ? 1 : 0)

#endif
