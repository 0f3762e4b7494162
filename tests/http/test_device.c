/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who may come in: codes are spent, tries are counted, the list is kept. */
#include <stdlib.h>
#include <unistd.h>

#include "check.h"
#include "device.h"

static lh_pair_end try(lh_devices *d, const char *word, long long now,
                       char token[LH_TOKEN_SIZE], char id[17])
{
  lh_fault fault = {0};

  return lh_devices_admit(d, word, "x", now, token, id, &fault);
}

static void wrong_code(const lh_devices *d, char code[LH_CODE_SIZE])
{
  strcpy(code, lh_devices_code(d));
  code[0] = code[0] == '9' ? '0' : (char)(code[0] + 1);
}

static void test_codes(void)
{
  char code[LH_CODE_SIZE], bare[LH_CODE_SIZE], token[LH_TOKEN_SIZE], id[17];
  char wrong[LH_CODE_SIZE], second[LH_TOKEN_SIZE];
  lh_devices *d;
  lh_fault fault = {0};

  CHECK(lh_devices_open(NULL, true, &d, &fault) == LH_OK, "opened");
  CHECK(strlen(lh_devices_key(d)) == 32, "a key of 128 bits");
  strcpy(code, lh_devices_code(d));
  CHECK(strlen(code) == 9 && code[4] == '-', "a code of eight figures");
  memcpy(bare, code, 4);
  strcpy(bare + 4, code + 5);
  CHECK(try(d, bare, 0, token, id) == LH_PAIR_IN, "typed without its hyphen");
  CHECK(strcmp(lh_devices_code(d), code) != 0, "it is spent");
  CHECK(try(d, code, 0, second, id) == LH_PAIR_WRONG, "and admits nobody else");
  CHECK(lh_devices_find(d, token) != NULL, "its token is known");
  token[31] ^= 1;
  CHECK(!lh_devices_find(d, token), "one bit off is not");
  CHECK(!lh_devices_find(d, "") && !lh_devices_find(d, "x"), "nor is nonsense");
  strcpy(code, lh_devices_code(d));
  wrong_code(d, wrong);
  for (int i = 0; i < LH_PAIR_TRIES - 2; i++)
    CHECK(try(d, wrong, 0, second, id) == LH_PAIR_WRONG, "wrong try %d", i + 2);
  CHECK_TEXT(lh_devices_code(d), code, "after four tries the code stands");
  CHECK(try(d, wrong, 0, second, id) == LH_PAIR_WRONG, "the fifth wrong try");
  CHECK(strcmp(lh_devices_code(d), code) != 0, "makes a new code");
  CHECK(try(d, lh_devices_code(d), LH_PAIR_WAIT_MS - 1, second, id) ==
            LH_PAIR_SLOWER,
        "which must wait");
  CHECK(try(d, lh_devices_key(d), 1, second, id) == LH_PAIR_IN,
        "the key need not");
  CHECK(try(d, lh_devices_code(d), LH_PAIR_WAIT_MS, second, id) == LH_PAIR_IN,
        "then it is taken");
  CHECK(strcmp(token, second) != 0, "no two tokens are alike");
  lh_devices_close(&d);
  CHECK(d == NULL, "closed");
}

static void test_no_codes(void)
{
  char token[LH_TOKEN_SIZE], id[17];
  lh_devices *d;
  lh_fault fault = {0};

  CHECK(lh_devices_open(NULL, false, &d, &fault) == LH_OK, "without codes");
  CHECK(try(d, lh_devices_code(d), 0, token, id) == LH_PAIR_WRONG,
        "on this machine alone no code is taken");
  for (int i = 0; i < LH_DEVICES_MOST; i++)
    if (try(d, lh_devices_key(d), 0, token, id) != LH_PAIR_IN) break;
  CHECK(lh_devices_at(d, LH_DEVICES_MOST - 1) &&
            !lh_devices_at(d, LH_DEVICES_MOST),
        "as many as may be");
  CHECK(try(d, lh_devices_key(d), 0, token, id) == LH_PAIR_FULL, "no more");
  CHECK(lh_devices_revoke(d, "none", &fault) == LH_NOTFOUND, "not there");
  fault = (lh_fault){0};
  CHECK(lh_devices_revoke(d, lh_devices_at(d, 3)->id, &fault) == LH_OK,
        "one revoked makes room");
  CHECK(try(d, lh_devices_key(d), 0, token, id) == LH_PAIR_IN, "for another");
  lh_devices_close(&d);
}

static void test_kept(void)
{
  char folder[] = "/tmp/leatherhard-XXXXXX", file[80], below[60];
  char one[LH_TOKEN_SIZE], two[LH_TOKEN_SIZE], id[17], id2[17], list[9];
  lh_devices *d;
  lh_fault fault = {0};

  if (!mkdtemp(folder)) {
    CHECK(0, "a folder");
    return;
  }
  snprintf(below, sizeof below, "%s/state", folder);
  snprintf(file, sizeof file, "%s/devices.json", below);
  CHECK(lh_devices_open(file, true, &d, &fault) == LH_OK, "no file yet");
  strcpy(list, lh_devices_id(d));
  CHECK(lh_devices_admit(d, lh_devices_key(d), "a tablet", 0, one, id,
                         &fault) == LH_PAIR_IN &&
            lh_devices_admit(d, lh_devices_key(d), "\xc3\xa9tag\xc3\xa8re\n", 0,
                             two, id2, &fault) == LH_PAIR_IN,
        "two are admitted");
  CHECK_TEXT(lh_devices_at(d, 1)->name, "\u00e9tag\u00e8re ",
             "a name is one line");
  lh_devices_revoke(d, id2, &fault);
  lh_devices_close(&d);
  CHECK(lh_devices_open(file, true, &d, &fault) == LH_OK, "opened again");
  CHECK_TEXT(lh_devices_id(d), list, "the list is the same one");
  CHECK(lh_devices_find(d, one) && lh_devices_at(d, 0) &&
            strcmp(lh_devices_at(d, 0)->name, "a tablet") == 0,
        "the first is still known");
  CHECK(!lh_devices_find(d, two) && !lh_devices_at(d, 1),
        "the one revoked is not");
  lh_devices_close(&d);
  unlink(file);
  rmdir(below);
  rmdir(folder);
}

/* Each figure of many codes about as often as any other: chi-square with 9
** degrees of freedom passes 40 once in 130,000 (its survival function).    */
static void test_chance(void)
{
  char token[LH_TOKEN_SIZE], id[17];
  int seen[10] = {0};
  double chi = 0, n = 0;
  lh_devices *d;
  lh_fault fault = {0};

  lh_devices_open(NULL, true, &d, &fault);
  for (long long i = 0; i < 2000; i++) {
    for (const char *c = lh_devices_code(d); *c; c++)
      if (*c != '-') seen[*c - '0']++, n++;
    lh_devices_admit(d, lh_devices_code(d), "x", i * LH_PAIR_WAIT_MS, token, id,
                     &fault);
    lh_devices_revoke(d, id, &fault);
  }
  for (int i = 0; i < 10; i++)
    chi += (seen[i] - n / 10) * (seen[i] - n / 10) / (n / 10);
  CHECK(n == 16000, "two thousand codes");
  CHECK(chi < 40, "their figures are even: chi-square %.1f", chi);
  lh_devices_close(&d);
}

int main(void)
{
  test_codes();
  test_no_codes();
  test_kept();
  test_chance();
  return CHECK_DONE();
}
