/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bytes2c.c -- a file's bytes as a C array.
**
**   bytes2c NAME <file >file.h
*/
#include <stdio.h>

int main(int argc, char **argv)
{
  size_t n = 0;
  int c;

  if (argc != 2) {
    fprintf(stderr, "use: bytes2c NAME <file >file.h\n");
    return 1;
  }
  printf("/* Made by bytes2c; change the file, not this. */\n"
         "static const unsigned char %s[] = {",
         argv[1]);
  for (; (c = getchar()) != EOF; n++)
    printf("%s%d,", n % 20 == 0 ? "\n" : "", c);
  printf("\n};\nenum { %s_size = %zu };\n", argv[1], n);
  if (n == 0) {
    fprintf(stderr, "bytes2c: %s: the file is empty\n", argv[1]);
    return 1;
  }
  return 0;
}
