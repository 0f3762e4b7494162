// SPDX-License-Identifier: GPL-3.0-or-later
// How numbers are read and written, and words for what the document names.

import type { Num, Way } from './piece';

/**
 * A number as a person writes it, with point or comma.  The rules are those
 * of the program: two different separators, or one of them twice, are
 * refused and never guessed.
 */
export function readNumber(text: string): { value: number } | { why: string } {
  const t = text.trim();
  if (t === '') return { why: 'a number is wanted' };
  if (t.includes('.') && t.includes(',')) {
    return { why: 'point and comma in one number: write it with one of them' };
  }
  if (!/^[-+]?([0-9]+([.,][0-9]+)?|[.,][0-9]+)$/.test(t)) {
    return { why: 'this is not read as a number' };
  }
  return { value: Number(t.replace(',', '.')) };
}

/** A number of the document, or what stands without it. */
export function num(v: Num | null | undefined, without = NaN): number {
  if (typeof v === 'number') return v;
  if (typeof v !== 'string') return without;
  const r = readNumber(v);
  return 'value' in r ? r.value : without;
}

/** To so many decimals, without a minus before nothing. */
export function fixed(v: number, decimals: number): string {
  if (!Number.isFinite(v)) return '?';
  const s = v.toFixed(decimals);
  return Number(s) === 0 ? s.replace('-', '') : s.replace('-', '\u2212');
}
/** To three figures or so: 985, 62.3, 6.69. */
export function figures(v: number): string {
  const a = Math.abs(v);
  return fixed(v, a >= 100 ? 0 : a >= 10 ? 1 : 2);
}
/** For a field: as short as it is exact, never in powers of ten. */
export function plain(v: Num | null | undefined): string {
  const x = num(v);
  return Number.isFinite(x) ? String(Number(x.toFixed(6))) : '';
}
export function grams(g: number): string {
  return g >= 10000
    ? `${fixed(g / 1000, 1)} kg`
    : `${fixed(g, g < 10 ? 1 : 0)} g`;
}
export function span(
  r: [number, number] | number[] | undefined,
  decimals: number,
): string {
  if (!r || r.length < 2) return '';
  return `${fixed(r[0] as number, decimals)} to ${fixed(r[1] as number, decimals)}`;
}

const COUNT = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven'];
COUNT.push('eight', 'nine', 'ten', 'eleven', 'twelve');
/** "six pots", "one pot", "40 pots". */
export function count(n: number, one: string, many = one + 's'): string {
  return `${COUNT[n] ?? String(n)} ${n === 1 ? one : many}`;
}
export function capital(s: string): string {
  return s.charAt(0).toUpperCase() + s.slice(1);
}
/** "The wall" within a sentence: an article is not a name. */
export function small(s: string): string {
  return s.replace(/^(The|A|An|Below|Inside|Above) /, (m) => m.toLowerCase());
}

/** What a name says without the mark that it is invented. */
export function bare(name: string): string {
  return name.replace(/ \(invented\)$/, '');
}

/** The ways around a band or about the middle of a disc. */
export const WAYS: { way: Way; says: string; disc?: boolean }[] = [
  { way: 'repeat', says: 'the same each time' },
  { way: 'glide', says: 'and between them upside down' },
  { way: 'mirror', says: 'and between them left for right' },
  { way: 'turn', says: 'and between them turned by half' },
  { way: 'mirror and turn', says: 'left for right, upside down and turned' },
  { way: 'reflect', says: 'each with its reflection' },
  { way: 'mirror and reflect', says: 'left for right, and reflected' },
  { way: 'rosette', says: 'turned about the middle', disc: true },
  { way: 'mirror rosette', says: 'turned and left for right', disc: true },
];
