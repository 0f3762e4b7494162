// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers of the document as the program reads them.

import type { Num, Spectrum } from '../piece';

const NUMBER =
  /^[ \t\r\n]*[-+]?([0-9]+([.,][0-9]+)?|[.,][0-9]+)([eE][-+]?[0-9]+)?[ \t\r\n]*$/;

/** NaN where there is none, or none that can be read here (with a unit, say:
 *  the program reads those). */
export function number(v: Num | null | undefined, without = NaN): number {
  if (typeof v === 'number') return v;
  if (v === undefined || v === null) return without;
  return NUMBER.test(v) ? Number(v.replace(',', '.')) : NaN;
}

/** 36 numbers, 380 to 730 nm; one number stands for all. */
export function spectrum(v: Spectrum | undefined, without = 0): number[] {
  if (Array.isArray(v)) return v.map((x) => number(x));
  return new Array<number>(36).fill(number(v, without));
}
