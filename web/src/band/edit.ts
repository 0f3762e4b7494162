// SPDX-License-Identifier: GPL-3.0-or-later
// Changes of the painting that the band makes, as JSON Patches.

import { number } from '../core/numbers';
import { pointer } from '../patch';
import type { Exception, Mark, Op, Painted, Piece } from '../store';
import { bare } from '../words';

/** An id that nothing in the piece has: "stroke-7". */
export function freshId(piece: Piece, word: string): string {
  const used = new Set<string>();
  for (const list of [piece.slips, piece.zones, piece.brushes ?? []]) {
    for (const x of list) used.add(x.id);
  }
  for (const m of piece.motifs ?? []) {
    used.add(m.id);
    for (const k of m.marks) used.add(k.id);
  }
  for (const e of piece.painting) {
    used.add(e.id);
    if (e.mark) used.add(e.mark.id);
  }
  let n = 1;
  while (used.has(`${word}-${n}`) || used.has(`${word}-${n}-mark`)) n++;
  return `${word}-${n}`;
}

export const indexOf = (piece: Piece, id: string): number =>
  piece.painting.findIndex((e) => e.id === id);

export function nameOf(piece: Piece, e: Painted): string {
  if (e.mark) return e.mark.whole_zone ? 'all over' : e.mark.kind;
  const m = piece.motifs?.find((x) => x.id === e.motif);
  return bare(m?.name ?? e.motif ?? e.id).toLowerCase();
}

/** What stands at the very same place and goes around in the same way: parts
 *  of one drawing in other slips. */
export function beside(piece: Piece, e: Painted): Painted[] {
  if (!movable(e) || !e.repeat) return [];
  const place = (q: Painted) =>
    JSON.stringify([
      q.zone,
      number(q.turns, 0),
      number(q.up_mm, 0),
      q.repeat?.way ?? 'repeat',
      number(q.repeat?.count, 1),
    ]);
  const here = place(e);
  return piece.painting.filter(
    (q) => q.id !== e.id && q.repeat && movable(q) && place(q) === here,
  );
}

export const movable = (e: Painted | null): boolean =>
  e !== null && !e.mark?.whole_zone;

const at = (piece: Piece, e: Painted, ...more: (string | number)[]): string =>
  pointer('painting', indexOf(piece, e.id), ...more);

export function add(e: Painted): Op[] {
  return [{ op: 'add', path: '/painting/-', value: e }];
}

export function away(piece: Piece, e: Painted): Op[] {
  return [{ op: 'remove', path: at(piece, e) }];
}

/** The same once more, just after it and a little aside. */
export function copy(piece: Piece, e: Painted): { ops: Op[]; id: string } {
  const id = freshId(piece, e.mark?.kind.replace(' ', '-') ?? 'painted');
  const value: Painted = { ...e, id };
  if (e.mark) value.mark = { ...e.mark, id: `${id}-mark` } as Mark;
  const n = number(e.repeat?.count, 1);
  value.turns = number(e.turns, 0) + 0.25 / n;
  const path = pointer('painting', indexOf(piece, e.id) + 1);
  return { ops: [{ op: 'add', path, value }], id };
}

const tidy = (x: number, step: number): number => Math.round(x * step) / step;

/** Put an entry's own numbers. */
export function place(
  piece: Piece,
  e: Painted,
  to: {
    turns?: number;
    up?: number;
    turn?: number;
    scale?: number;
  },
): Op[] {
  const ops: Op[] = [];
  const put = (key: string, v: number | undefined, step: number) => {
    if (v === undefined) return;
    ops.push({ op: 'add', path: at(piece, e, key), value: tidy(v, step) });
  };
  put('turns', to.turns, 1e6);
  put('up_mm', to.up, 1e3);
  put('turn_deg', to.turn, 1e2);
  put('scale', to.scale, 1e4);
  return ops;
}

/** Change what one instance differs by. */
export function differ(
  piece: Piece,
  e: Painted,
  instance: number,
  change: Partial<Exception>,
): Op[] {
  const all = e.repeat?.exceptions;
  const i = (all ?? []).findIndex((x) => number(x.instance) === instance);
  const value: Exception = { ...(all?.[i] ?? { instance }), ...change };
  for (const k of ['move_turns', 'move_up_mm', 'turn_deg', 'scale'] as const) {
    if (value[k] !== undefined) {
      value[k] = tidy(number(value[k]), k === 'move_turns' ? 1e6 : 1e3);
    }
  }
  if (!all) {
    return [
      { op: 'add', path: at(piece, e, 'repeat', 'exceptions'), value: [value] },
    ];
  }
  if (i < 0) {
    return [
      { op: 'add', path: at(piece, e, 'repeat', 'exceptions', '-'), value },
    ];
  }
  return [
    { op: 'replace', path: at(piece, e, 'repeat', 'exceptions', i), value },
  ];
}

export function oddOf(e: Painted, instance: number): Exception {
  return (
    e.repeat?.exceptions?.find((x) => number(x.instance) === instance) ?? {
      instance,
    }
  );
}
