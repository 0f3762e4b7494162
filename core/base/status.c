/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "status.h"

int lh_status_exit(lh_status st)
{
  switch (st) {
#define X(name, exit, http, text) \
  case name: return exit;
    LH_STATUS_LIST(X)
#undef X
  }
  return 3;
}

int lh_status_http(lh_status st)
{
  switch (st) {
#define X(name, exit, http, text) \
  case name: return http;
    LH_STATUS_LIST(X)
#undef X
  }
  return 500;
}

const char *lh_status_text(lh_status st)
{
  switch (st) {
#define X(name, exit, http, text) \
  case name: return text;
    LH_STATUS_LIST(X)
#undef X
  }
  return "unknown outcome";
}
