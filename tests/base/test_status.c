/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One list of outcomes: exit codes as the design states them (0 done, 1 a
** verdict says stop, 2 the input is wrong, 3 the machine failed), HTTP
** statuses by RFC 9110 classes. */
#include "check.h"
#include "status.h"

int main(void)
{
  static const struct {
    lh_status st;
    int exit, http;
  } want[] = {
      {LH_OK, 0, 200},       {LH_STOP, 1, 200},     {LH_INPUT, 2, 422},
      {LH_RANGE, 2, 422},    {LH_NOTFOUND, 2, 404}, {LH_CONFLICT, 2, 412},
      {LH_TOOLARGE, 2, 413}, {LH_NOCONV, 3, 500},   {LH_CANCELLED, 3, 499},
      {LH_NOMEM, 3, 503},    {LH_IO, 3, 500},
  };
  size_t n = sizeof want / sizeof want[0];

  CHECK(LH_OK == 0, "done is zero, so that a plain test reads well");
  CHECK(n == LH_IO + 1, "every outcome is looked at here");
  for (size_t i = 0; i < n; i++) {
    CHECK(lh_status_exit(want[i].st) == want[i].exit, "exit code of %s",
          lh_status_text(want[i].st));
    CHECK(lh_status_http(want[i].st) == want[i].http, "HTTP status of %s",
          lh_status_text(want[i].st));
    for (size_t j = 0; j < i; j++)
      if (strcmp(lh_status_text(want[i].st), lh_status_text(want[j].st)) == 0)
        CHECK(0, "outcomes %zu and %zu have one wording", j, i);
  }
  CHECK(lh_status_exit((lh_status)99) == 3 &&
            lh_status_http((lh_status)99) == 500,
        "an outcome nobody knows is a failure of the machine");
  CHECK_TEXT(lh_status_text((lh_status)99), "unknown outcome", "and says so");
  return CHECK_DONE();
}
