/* SPDX-License-Identifier: GPL-3.0-or-later */
/* routes.c -- what the server answers below /api, beside the page. */
#include "server_room.h"

#define SMALL_MOST 4096

const lh_route lh_routes[] = {
    {"GET", {"api"}, LH_OPEN, 0, lh_api_help},
    {"GET", {"api", "openapi.json"}, LH_OPEN, 0, lh_api_openapi},
    {"GET", {"api", "about"}, LH_OPEN, 0, lh_api_about},
    {"POST",
     {"api", "pair"},
     LH_OPEN | LH_BODY | LH_NO_TOKEN,
     SMALL_MOST,
     lh_api_pair},
    {"GET", {"api", "devices"}, 0, 0, lh_api_devices},
    {"DELETE", {"api", "devices", "*"}, 0, 0, lh_api_revoke},
    {"GET", {"api", "events"}, 0, 0, lh_api_events},
    {"GET", {"api", "jobs"}, 0, 0, lh_api_jobs},
    {"GET", {"api", "jobs", "*"}, 0, 0, lh_api_job},
    {"DELETE", {"api", "jobs", "*"}, 0, 0, lh_api_job_cancel},
    {"GET", {"api", "jobs", "*", "result"}, 0, 0, lh_api_job_result},
    {"GET", {"api", "book"}, 0, 0, lh_api_book},
    {"POST",
     {"api", "book", "blobs"},
     LH_BODY | LH_BYTES,
     LH_BOOK_BLOB_MOST,
     lh_api_book},
    {"GET", {"api", "book", "blobs", "*"}, 0, 0, lh_api_book},
    {"GET", {"api", "book", "*"}, 0, 0, lh_api_book},
    {"POST", {"api", "book", "*"}, LH_BODY, LH_DOCUMENT_MOST, lh_api_book},
    {"GET", {"api", "book", "*", "*"}, 0, 0, lh_api_book},
    {"PUT", {"api", "book", "*", "*"}, LH_BODY, LH_DOCUMENT_MOST, lh_api_book},
    {"PATCH",
     {"api", "book", "*", "*"},
     LH_BODY | LH_PATCH,
     LH_DOCUMENT_MOST,
     lh_api_book},
    {"DELETE", {"api", "book", "*", "*"}, 0, 0, lh_api_book},
    {"GET", {"api", "book", "*", "*", "*"}, 0, 0, lh_api_book},
    {"POST",
     {"api", "book", "*", "*", "*"},
     LH_BODY | LH_MAY_EMPTY,
     SMALL_MOST,
     lh_api_book},
    /* every operation of the table */
    {"POST", {"api", "*"}, LH_BODY, LH_DOCUMENT_MOST, lh_api_operation},
    {NULL, {NULL}, 0, 0, NULL},
};
