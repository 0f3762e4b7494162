// SPDX-License-Identifier: GPL-3.0-or-later
// An edit moved from the piece it was made on to one that others changed
// meanwhile: what has an id is found again by it.  The book does the same on
// its side (piece/patch_merge.c); here it is for what was not sent yet.

import { PatchError, applyPatch, pointer, same, steps } from './patch';
import type { Json, Op } from './patch';

const idOf = (v: Json): string | undefined => {
  const id = (v as { id?: unknown } | null)?.id;
  return typeof id === 'string' ? id : undefined;
};
const isObject = (v: Json): v is Record<string, Json> =>
  typeof v === 'object' && v !== null && !Array.isArray(v);

/** The same element in the other list; -1 when it is not there. */
function sameElement(ours: Json[], theirs: Json[], i: number): number {
  const id = idOf(ours[i]);
  if (id !== undefined) return theirs.findIndex((v) => idOf(v) === id);
  return i < theirs.length ? i : -1;
}

/** Where a new element goes: before the first that it stood before, else
 *  behind the last that it stood behind, else at the end. */
function sameGap(ours: Json[], theirs: Json[], i: number): number {
  if (i >= ours.length) return theirs.length;
  if (idOf(ours[i]) === undefined) return Math.min(i, theirs.length);
  for (let j = i; j < ours.length; j++) {
    const k = sameElement(ours, theirs, j);
    if (k >= 0) return k;
  }
  for (let j = i - 1; j >= 0; j--) {
    const k = sameElement(ours, theirs, j);
    if (k >= 0) return k + 1;
  }
  return theirs.length;
}

/** The pointer for the other piece; `gap`: its last step names the gap that a
 *  new element goes into. */
function translate(ours: Json, theirs: Json, at: string, gap: boolean): string {
  const path = steps(at);
  const out: (string | number)[] = [];
  path.forEach((key, n) => {
    const last = n === path.length - 1;
    if (Array.isArray(ours) && Array.isArray(theirs)) {
      const i = key === '-' ? ours.length : Number(key);
      const k =
        last && gap ? sameGap(ours, theirs, i) : sameElement(ours, theirs, i);
      if (k < 0) throw new PatchError(at, 'it is not there any more');
      out.push(k);
      [ours, theirs] = [ours[i], theirs[k]];
    } else if (isObject(ours) && isObject(theirs)) {
      out.push(key);
      [ours, theirs] = [ours[key], theirs[key]];
    } else {
      throw new PatchError(at, 'it is not there any more');
    }
    if (!last && (ours === undefined || theirs === undefined)) {
      throw new PatchError(at, 'it is not there any more');
    }
  });
  return pointer(...out);
}

const step = (doc: Json, op: Op): Json => applyPatch(doc, [op]).doc;

/** The patch that does to `to` what `patch` does to `from`; throws where what
 *  it changes is not there any more. */
export function movePatch(from: Json, to: Json, patch: Op[]): Op[] {
  let [ours, theirs] = [from, to];
  return patch.map((op) => {
    let moved: Op;
    if (op.op === 'move') {
      const source = translate(ours, theirs, op.from, false);
      // The place is meant as it is without what moves.
      const a = step(ours, { op: 'remove', path: op.from });
      const b = step(theirs, { op: 'remove', path: source });
      moved = { ...op, from: source, path: translate(a, b, op.path, true) };
    } else if (op.op === 'copy') {
      moved = {
        ...op,
        from: translate(ours, theirs, op.from, false),
        path: translate(ours, theirs, op.path, true),
      };
    } else {
      const path = translate(ours, theirs, op.path, op.op === 'add');
      moved = { ...op, path };
    }
    ours = step(ours, op);
    theirs = step(theirs, moved);
    return moved;
  });
}

/** Every thing with an id in a value; what a copy came from is none. */
function things(v: Json, into: Set<string>, key = ''): void {
  if (key === 'from') return;
  const id = idOf(v);
  if (id !== undefined) into.add('#' + id);
  if (Array.isArray(v)) v.forEach((x) => things(x, into));
  else if (isObject(v)) {
    for (const k of Object.keys(v)) things(v[k], into, k);
  }
}

/** The things that two pieces differ in: "#fish" for what has an id, "/pots"
 *  for fields of the piece itself.  The order of a list is none. */
export function changed(a: Json, b: Json): Set<string> {
  const out = new Set<string>();
  const walk = (x: Json, y: Json, owner: string, key: string): void => {
    if (same(x, y)) return;
    const ids = (v: Json): v is Json[] =>
      Array.isArray(v) && v.every((e) => idOf(e) !== undefined);
    if (ids(x) && ids(y)) {
      for (const e of x) {
        const other = y.find((o) => idOf(o) === idOf(e));
        if (other === undefined) things(e, out);
        else walk(e, other, '#' + idOf(e), '');
      }
      for (const e of y) {
        if (!x.some((o) => idOf(o) === idOf(e))) things(e, out);
      }
    } else if (isObject(x) && isObject(y)) {
      const id = key === 'from' ? undefined : idOf(x);
      const mine = id === undefined ? owner : '#' + id;
      for (const k of new Set([...Object.keys(x), ...Object.keys(y)])) {
        walk(x[k], y[k], mine || '/' + k, k);
      }
    } else {
      out.add(owner);
      things(x, out, key);
      things(y, out, key);
    }
  };
  walk(
    isObject(a) ? { ...a, id: undefined } : a,
    isObject(b) ? { ...b, id: undefined } : b,
    '',
    '',
  );
  return out;
}
