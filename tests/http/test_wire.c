/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands in a request, against the words of the standards. */
#include <stdlib.h>

#include "check.h"
#include "wire.h"

/* RFC 3986: segments, escapes. */
static void test_target(void)
{
  lh_target t;

  CHECK(lh_target_read("/", &t) == LH_TARGET_OK && t.parts == 0 && t.folder,
        "the root has no part");
  CHECK(lh_target_read("/api/jobs/7?full=1&x=a%20b+c&", &t) == LH_TARGET_OK &&
            t.parts == 3 && !t.folder && t.pairs == 2,
        "three parts and two pairs");
  CHECK_TEXT(t.part[2], "7", "the third part");
  CHECK_TEXT(lh_target_value(&t, "x"), "a b c", "blanks in a query");
  CHECK(!lh_target_value(&t, "y"), "a key that is not there");
  CHECK(lh_target_read("/a%2Bb/%c3%a9%E2%82%ac+/", &t) == LH_TARGET_OK &&
            t.folder && t.parts == 2,
        "escapes in a path");
  CHECK_TEXT(t.part[0], "a+b", "%%2B is a plus");
  CHECK_TEXT(t.part[1], "\u00e9\u20ac+", "UTF-8; a plus stays one in a path");
  CHECK(lh_target_read("/...", &t) == LH_TARGET_OK, "three dots are a name");
  CHECK(lh_target_read("/%2525", &t) == LH_TARGET_OK &&
            strcmp(t.part[0], "%25") == 0,
        "decoded once, never twice");
}

/* What must never be taken. */
static void test_wrong_target(void)
{
  static const char *const wrong[] = {"",
                                      "api",
                                      "http://a/",
                                      "*",
                                      "//",
                                      "//a",
                                      "/a//b",
                                      "/.",
                                      "/..",
                                      "/a/..",
                                      "/a/../b",
                                      "/%2e%2e/a",
                                      "/%2E/a",
                                      "/a%2fb",
                                      "/a%5cb",
                                      "/a\\b",
                                      "/%00",
                                      "/a%00b",
                                      "/%",
                                      "/%1",
                                      "/%zz",
                                      "/%g1",
                                      "/a%",
                                      "/%ff",
                                      "/%c0%af",
                                      "/%ed%a0%80",
                                      "/%f4%90%80%80",
                                      "/\x01",
                                      "/%0a",
                                      "/%7f",
                                      "/%c2%85",
                                      "/a#b",
                                      "/1/2/3/4/5/6/7/8/9",
                                      "/?a=1&a=2",
                                      "/?%00=1",
                                      "/?a=%zz",
                                      "/?a&b&c&d&e&f&g&h&i"};
  lh_target t;
  char long_one[LH_TARGET_MOST + 3];

  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
    CHECK(lh_target_read(wrong[i], &t) == LH_TARGET_WRONG,
          "refused: target %zu", i);
  memset(long_one, 'a', sizeof long_one);
  long_one[0] = '/';
  long_one[LH_TARGET_MOST] = 0;
  CHECK(lh_target_read(long_one, &t) == LH_TARGET_OK, "2048 bytes are taken");
  long_one[LH_TARGET_MOST] = 'a';
  long_one[LH_TARGET_MOST + 1] = 0;
  CHECK(lh_target_read(long_one, &t) == LH_TARGET_LONG, "2049 are too many");
}

/* RFC 6265, sections 4.1.1 and 4.2.1; the first example is its own (5.4). */
static void test_cookie(void)
{
  char v[40];

  CHECK(
      lh_cookie_find("SID=31d4d96e407aad42; lang=en-US", "lang", v, sizeof v) &&
          strcmp(v, "en-US") == 0,
      "RFC 6265, 3.1: the second of two");
  CHECK(
      lh_cookie_find("SID=31d4d96e407aad42; lang=en-US", "SID", v, sizeof v) &&
          strcmp(v, "31d4d96e407aad42") == 0,
      "the first of two");
  CHECK(!lh_cookie_find("xSID=1; SIDx=2", "SID", v, sizeof v),
        "a part of a name is not the name");
  CHECK(!lh_cookie_find(NULL, "a", v, sizeof v), "no header");
  CHECK(!lh_cookie_find("a", "a", v, sizeof v), "no equals sign");
  CHECK(lh_cookie_find("a=", "a", v, sizeof v) && !*v, "an empty value");
  CHECK(!lh_cookie_find("a=\"1\"", "a", v, sizeof v),
        "quotes are none of ours");
  CHECK(!lh_cookie_find("a=1 2", "a", v, sizeof v), "nor are blanks");
  CHECK(!lh_cookie_find("a=\x80", "a", v, sizeof v), "nor other bytes");
  CHECK(!lh_cookie_find("a=0123456789012345678901234567890123456789", "a", v,
                        sizeof v),
        "one that has no room");
  CHECK(lh_cookie_find("a=1; a=2", "a", v, sizeof v) && v[0] == '1',
        "the first counts");
  CHECK(!lh_cookie_find("b=a=1", "a", v, sizeof v), "no name within a value");
}

static void test_host(void)
{
  static const char *const wrong[] = {
      "",     ":",      ":80",       "a:",      "a:0", "a:65536", "a:1x",
      "a:-1", "a:+1",   "a: 1",      "a b",     "a/b", "a@b",     "a,b",
      "[::1", "[::1]x", "[::1]:",    "[]",      "[g]", "::1",     "a:1:2",
      "a?b",  "a#b",    "a:0000000", "\xc3\xa9"};
  char name[LH_HOST_MOST], big[400];
  unsigned port;

  CHECK(lh_host_read("LocalHost:8080", name, &port) && port == 8080 &&
            strcmp(name, "localhost") == 0,
        "a name and a port, in small letters");
  CHECK(lh_host_read("127.0.0.1", name, &port) && port == 0, "no port");
  CHECK(lh_host_read("[2001:DB8::1]:65535", name, &port) && port == 65535 &&
            strcmp(name, "2001:db8::1") == 0,
        "an address in brackets");
  CHECK(!lh_host_read(NULL, name, &port), "no header");
  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
    CHECK(!lh_host_read(wrong[i], name, &port), "refused: host %zu \"%s\"", i,
          wrong[i]);
  memset(big, 'a', sizeof big - 1);
  big[sizeof big - 1] = 0;
  CHECK(!lh_host_read(big, name, &port), "a name that has no room");
}

static void test_origin(void)
{
  CHECK(lh_origin_is("http://a:1", "http", "a:1"), "the place itself");
  CHECK(lh_origin_is("HTTP://A:1", "http", "a:1"), "letters of any size");
  CHECK(!lh_origin_is("https://a:1", "http", "a:1"), "another scheme");
  CHECK(!lh_origin_is("http://a:12", "http", "a:1"), "another port");
  CHECK(!lh_origin_is("http://a:1/", "http", "a:1"), "a path is no origin");
  CHECK(!lh_origin_is("http://a", "http", "a:1"), "a port that is missing");
  CHECK(!lh_origin_is("null", "http", "a:1"), "null");
  CHECK(!lh_origin_is("", "http", "a:1"), "nothing");
  CHECK(!lh_origin_is("http", "http", ""), "no more than a scheme");
  CHECK(!lh_origin_is(NULL, "http", "a"), "no header");
}

static void test_media(void)
{
  CHECK(lh_media_is("application/json", "application/json"), "JSON");
  CHECK(lh_media_is(" Application/JSON ; charset=UTF-8", "application/json"),
        "with its charset");
  CHECK(lh_media_is("application/json;charset=\"utf-8\"", "application/json"),
        "in quotes");
  CHECK(lh_media_is("application/json;", "application/json"), "a bare ;");
  CHECK(!lh_media_is("application/json; charset=latin1", "application/json"),
        "another charset");
  CHECK(!lh_media_is("application/jsonp", "application/json"), "longer");
  CHECK(!lh_media_is("application/js", "application/json"), "shorter");
  CHECK(!lh_media_is("application/json, text/plain", "application/json"),
        "two of them");
  CHECK(!lh_media_is("application/json text/plain", "application/json"),
        "two words");
  CHECK(!lh_media_is("", "application/json") &&
            !lh_media_is(NULL, "application/json"),
        "none");
}

/* RFC 9110, 12.5.3: "Accept-Encoding: compress;q=0.5, gzip;q=1.0" and its
** other examples. */
static void test_lists(void)
{
  static const char one[] = "compress;q=0.5, gzip;q=1.0";
  static const char two[] = "gzip;q=1.0, identity; q=0.5, *;q=0";

  CHECK(lh_list_weight(one, "compress") == 500, "a half");
  CHECK(lh_list_weight(one, "gzip") == 1000, "one");
  CHECK(lh_list_weight(one, "br") == -1, "not named");
  CHECK(lh_list_weight(two, "identity") == 500, "a blank before q");
  CHECK(lh_list_weight(two, "*") == 0, "none");
  CHECK(lh_list_weight("compress, gzip", "gzip") == 1000, "without weights");
  CHECK(lh_list_weight("", "gzip") == -1 && lh_list_weight(NULL, "gzip") == -1,
        "empty, absent");
  CHECK(lh_list_weight("gzip;q=0.123", "gzip") == 123, "three figures");
  CHECK(lh_list_weight("gzip;q=1.5", "gzip") == 1000, "no weight: ignored");
  CHECK(
      lh_list_weight("text/*;q=0.3, text/plain;q=0.7, text/plain;format=flowed",
                     "text/plain") == 700,
      "media types (12.5.1)");
  CHECK(lh_list_weight("respond-async, wait=10", "respond-async") == 1000,
        "RFC 7240: a preference");
  CHECK(lh_list_weight("xgzip, gzipx", "gzip") == -1, "parts of words");
  CHECK(lh_list_weight("a\x01, gzip", "gzip") == 1000, "after odd bytes");
}

/* RFC 9110, 13.1.2 and 8.8.3.2 */
static void test_tags(void)
{
  CHECK(lh_etag_listed("\"xyzzy\"", "\"xyzzy\"", true), "one");
  CHECK(lh_etag_listed("\"xyzzy\", \"r2d2xxxx\", \"c3piozzzz\"",
                       "\"c3piozzzz\"", true),
        "the last of three");
  CHECK(lh_etag_listed("W/\"xyzzy\", W/\"r2d2xxxx\"", "\"r2d2xxxx\"", true),
        "weak ones, compared weakly");
  CHECK(!lh_etag_listed("W/\"xyzzy\"", "\"xyzzy\"", false),
        "and strongly: W/\"1\" is not \"1\"");
  CHECK(lh_etag_listed("*", "\"x\"", true), "any");
  CHECK(!lh_etag_listed("\"xyzz\"", "\"xyzzy\"", true), "shorter");
  CHECK(!lh_etag_listed("xyzzy", "\"xyzzy\"", true), "without quotes");
  CHECK(!lh_etag_listed("\"a", "\"a\"", true), "never closed");
  CHECK(!lh_etag_listed("*, \"x\"", "\"y\"", true), "a star among others");
  CHECK(!lh_etag_listed("", "\"x\"", true) &&
            !lh_etag_listed(NULL, "\"x\"", true),
        "none");
}

static void test_secrets(void)
{
  CHECK_TEXT(lh_bearer("Bearer mF_9.B5f-4.1JqM"), "mF_9.B5f-4.1JqM",
             "RFC 6750, 2.1");
  CHECK_TEXT(lh_bearer("bearer  x"), "x", "in small letters");
  CHECK(!lh_bearer("Basic x") && !lh_bearer("Bearer ") &&
            !lh_bearer("Bearer") && !lh_bearer("") && !lh_bearer(NULL),
        "none");
  CHECK(lh_same_secret("abc", "abc"), "the same");
  CHECK(!lh_same_secret("abd", "abc") && !lh_same_secret("ab", "abc") &&
            !lh_same_secret("abcabc", "abc") && !lh_same_secret("", "abc") &&
            !lh_same_secret("abc", ""),
        "not the same: other, shorter, twice, nothing");
}

int main(void)
{
  test_target();
  test_wrong_target();
  test_cookie();
  test_host();
  test_origin();
  test_media();
  test_lists();
  test_tags();
  test_secrets();
  return CHECK_DONE();
}
