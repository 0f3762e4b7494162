/* SPDX-License-Identifier: GPL-3.0-or-later */
/* wire.h -- what stands in a request, taken apart.
**
** The library reads lines and headers; here is read what stands in them: the
** target, cookies, hosts, origins, lists with weights.  Whatever is not
** plainly right is refused.  Nothing here knows of sockets or of what the
** program does; nothing allocates.
**
** Memory: the caller's.
*/
#ifndef LH_WIRE_H
#define LH_WIRE_H

#include <stdbool.h>
#include <stddef.h>

enum {
  LH_TARGET_MOST = 2048, /* bytes of a request's target                 */
  LH_TARGET_PARTS = 8,   /* of its path                                 */
  LH_TARGET_PAIRS = 8,   /* of its query                                */
  LH_HOST_MOST = 256     /* bytes of a host's name, with its ending zero */
};

typedef struct {
  char text[2 * LH_TARGET_MOST + 2]; /* what the pointers point into */
  size_t parts;
  const char *part[LH_TARGET_PARTS]; /* decoded; "/" has none        */
  bool folder;                       /* the path ends with a slash   */
  size_t pairs;
  const char *key[LH_TARGET_PAIRS], *value[LH_TARGET_PAIRS];
} lh_target;

typedef enum { LH_TARGET_OK, LH_TARGET_WRONG, LH_TARGET_LONG } lh_target_end;

/* Take a request's target apart: "/api/jobs/7?full=1".
**
** Given:     raw   the target as it was sent
** Returned:  *t    its parts, percent-decoded
** Status:    LH_TARGET_OK; LH_TARGET_LONG past LH_TARGET_MOST bytes;
**            LH_TARGET_WRONG: no absolute path, broken escapes or UTF-8,
**            control characters, slashes or backslashes in a part, a part
**            that is empty, "." or "..", too many parts, a key twice
** Ref:       RFC 3986, sections 2.1 and 3.3
*/
lh_target_end lh_target_read(const char *raw, lh_target *t);

/* The value of a key of the query; NULL when it is not there. */
const char *lh_target_value(const lh_target *t, const char *key);

/* Find a cookie.
**
** Given:     header   a Cookie header, or NULL
**            name     whose value is wanted
**            size     room in value
** Returned:  value    of the first of that name
** Status:    false when it is not there, too long, or has bytes that a cookie
**            cannot have
** Ref:       RFC 6265, sections 4.1.1 and 4.2.1
*/
bool lh_cookie_find(const char *header, const char *name, char *value,
                    size_t size);

/* Take a Host header apart: "name", "name:port", "[address]:port".
**
** Returned:  name    in small letters, without brackets; LH_HOST_MOST bytes
**            *port   0 when none is given
** Ref:       RFC 9110, section 7.2
*/
bool lh_host_read(const char *header, char *name, unsigned *port);

/* Is this Origin the place itself: scheme "://" host?
** Ref: RFC 6454, section 6.2 */
bool lh_origin_is(const char *origin, const char *scheme, const char *host);

/* Is this media type the one wanted, in UTF-8 if it says so?
** Ref: RFC 9110, section 8.3.1 */
bool lh_media_is(const char *header, const char *media);

/* How welcome something is in a list such as Accept or Accept-Encoding:
** thousandths, 1000 without a weight, 0 for q=0, -1 when it is not named.
** Ref: RFC 9110, section 12.4.2 */
int lh_list_weight(const char *header, const char *name);

/* Is the tag in an If-None-Match or If-Match list?  tag has its quotes; weak
** tags count as the strong ones of the same text when weak is true.
** Ref: RFC 9110, sections 8.8.3.2 and 13.1 */
bool lh_etag_listed(const char *header, const char *tag, bool weak);

/* The token of "Authorization: Bearer TOKEN"; NULL when it is none.
** Ref: RFC 6750, section 2.1 */
const char *lh_bearer(const char *header);

/* Are two texts the same?  The time it takes tells nothing of where they
** differ. */
bool lh_same_secret(const char *a, const char *b);

#endif
