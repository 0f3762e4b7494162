// SPDX-License-Identifier: GPL-3.0-or-later
// Motifs: marks gathered into one, kept in the book, laid again.
//
// A motif of the piece is a copy of its own: what changes in the book later
// changes no piece.  Where it came from stands beside it, with the revision
// and the SHA-256 of what was copied.

import { request } from './api';
import { freshId } from './band/edit';
import { frame } from './band/pen';
import { core } from './core';
import { number } from './core/numbers';
import { marksOf } from './core/flat';
import type { Chart } from './core/shapes';
import { sha256 } from './sha256';
import { pointer, type Op } from './patch';
import type { Mark, Motif, Painted, Piece, Repeat, Zone } from './piece';

export interface From {
  id: string;
  revision?: number;
  hash?: string;
}
export const fromOf = (m: Motif | undefined): From | undefined =>
  m?.from as From | undefined;

/* ---- what the hand lays -------------------------------------------------- */

export interface Laying {
  motif: Motif; // as it will stand in the piece
  way: NonNullable<Repeat['way']>;
  count: number;
}
let laying: Laying | null = null;
const listeners = new Set<() => void>();

/** The motif that the next touch of the band lays; null: none. */
export const layingNow = (): Laying | null => laying;
export function lay(next: Laying | null): void {
  if (next === laying) return;
  laying = next;
  for (const fn of [...listeners]) fn();
}
export function onLaying(fn: () => void): () => void {
  listeners.add(fn);
  return () => void listeners.delete(fn);
}

/* ---- gathering ----------------------------------------------------------- */

const round = (x: number): number => Math.round(x * 1000) / 1000;

/** A way from one drawing's mm to another's: turned, larger, turned over. */
interface Way {
  x: [number, number]; // where a mm around goes
  y: [number, number]; // where a mm up goes
  at: [number, number];
  size: number;
}

/** An entry's own mm on the chart (core/decor/place.c). */
function onChart(c: Chart, e: Painted): Way | null {
  const turns = number(e.turns, 0);
  const p = core.shapes?.place(c, turns, number(e.up_mm, 0));
  if (!p) return null;
  const f = frame(c, turns),
    a = (number(e.turn_deg, 0) * Math.PI) / 180,
    size = number(e.scale, 1) / p[2],
    flip = e.flip ? -1 : 1;
  const to = (x: number, y: number): [number, number] => {
    const u = size * (Math.cos(a) * x - Math.sin(a) * y),
      v = size * (Math.sin(a) * x + Math.cos(a) * y);
    return [f[0] * u + f[1] * v, f[2] * u + f[3] * v];
  };
  return { x: to(flip, 0), y: to(0, 1), at: [p[0], p[1]], size };
}

/** From the mm of `b` to those of `a`, the nearest time round. */
function between(c: Chart, a: Way, b: Way): Way {
  const k = a.size * a.size;
  const back = (v: [number, number]): [number, number] => [
    (a.x[0] * v[0] + a.x[1] * v[1]) / k,
    (a.y[0] * v[0] + a.y[1] * v[1]) / k,
  ];
  let dx = b.at[0] - a.at[0];
  if (c.kind === 'band') dx -= c.width * Math.round(dx / c.width);
  return {
    x: back(b.x),
    y: back(b.y),
    at: back([dx, b.at[1] - a.at[1]]),
    size: b.size / a.size,
  };
}

/** A mark as it stands when it is seen from another anchor. */
export function moved(m: Mark, w: Way, wide: number): Mark {
  const to = (x: number, y: number): [number, number] => [
    round(w.at[0] + w.x[0] * x + w.y[0] * y),
    round(w.at[1] + w.x[1] * x + w.y[1] * y),
  ];
  const out: Mark = { ...m };
  const larger = Math.abs(w.size - 1) > 1e-6;
  if (m.path) {
    out.path = m.path.map((p) => {
      const [x_mm, y_mm] = to(number(p.x_mm), number(p.y_mm));
      const q = { ...p, x_mm, y_mm };
      if (larger && p.width_mm !== undefined) {
        q.width_mm = round(number(p.width_mm) * w.size);
      }
      return q;
    });
  }
  if (m.kind === 'dot' || m.kind === 'dab') {
    [out.x_mm, out.y_mm] = to(number(m.x_mm, 0), number(m.y_mm, 0));
  }
  if (m.kind === 'dab') {
    const a = (number(m.turn_deg, 0) * Math.PI) / 180;
    const dx = w.x[0] * Math.cos(a) + w.y[0] * Math.sin(a),
      dy = w.x[1] * Math.cos(a) + w.y[1] * Math.sin(a);
    out.turn_deg = round((Math.atan2(dy, dx) * 180) / Math.PI);
  }
  if (larger) {
    if (Number.isFinite(wide)) out.width_mm = round(wide * w.size);
    if (m.length_mm !== undefined) {
      out.length_mm = round(number(m.length_mm) * w.size);
    }
  }
  if (m.pen?.x && m.pen.y) {
    const at = m.pen.x.map((x, i) => to(x, m.pen?.y?.[i] ?? 0));
    out.pen = { ...m.pen, x: at.map((p) => p[0]), y: at.map((p) => p[1]) };
  }
  return out;
}

/** Can it be part of a motif? */
const single = (e: Painted): boolean =>
  !e.mark?.whole_zone && e.mark?.kind !== 'banding line';
const around = (e: Painted): string =>
  JSON.stringify(
    e.repeat
      ? [
          e.repeat.way ?? 'repeat',
          number(e.repeat.count),
          number(e.repeat.axis_turns, 0),
        ]
      : null,
  );

/** Which repeats differ, and about which anchor they do. */
const odd = (e: Painted): string =>
  e.repeat?.exceptions?.length
    ? JSON.stringify([
        e.repeat.exceptions,
        number(e.turns, 0),
        number(e.up_mm, 0),
      ])
    : '';

/** What could be gathered with an entry: it lies in the same zone and goes
 *  around in the same way; where repeats differ, the same ones in the same
 *  way about the same anchor. */
export function companions(piece: Piece, e: Painted): Painted[] {
  if (!single(e)) return [];
  return piece.painting.filter(
    (q) =>
      q.id !== e.id &&
      q.zone === e.zone &&
      single(q) &&
      around(q) === around(e) &&
      odd(q) === odd(e),
  );
}
/** Can an entry be kept as a motif at all? */
export const keepable = single;

const brushWidth = (piece: Piece, m: Mark): number =>
  number(
    m.width_mm,
    number(piece.brushes?.find((b) => b.id === m.brush)?.width_mm),
  );

/** The entries as one motif about the first one's anchor; what they look like
 *  on the pot stays the same. */
export function gather(
  piece: Piece,
  entries: Painted[],
  id: string,
  name: string,
): Motif | null {
  const first = entries[0];
  const zone = piece.zones.find((z) => z.id === first?.zone);
  if (!first || !zone || !core.shapes) return null;
  const c = core.shapes.chart(piece.form, zone);
  const home = onChart(c, first);
  if (!home) return null;
  const marks: Mark[] = [];
  const order = [...entries].sort(
    (a, b) => piece.painting.indexOf(a) - piece.painting.indexOf(b),
  );
  for (const e of order) {
    const here = onChart(c, e);
    if (!here) return null;
    const w = between(c, home, here);
    for (const m of marksOf(piece, e)) {
      const mark = e === first ? { ...m } : moved(m, w, brushWidth(piece, m));
      marks.push({ ...mark, id: `${id}-${marks.length + 1}` });
    }
  }
  return { id, name, marks };
}

/** Put a motif in place of the entries that it was gathered from. */
export function gatherOps(
  piece: Piece,
  entries: Painted[],
  motif: Motif,
): Op[] {
  const first = entries[0] as Painted;
  const { mark: _mark, ...rest } = first;
  const at = (e: Painted) => piece.painting.findIndex((q) => q.id === e.id);
  const ops = addMotif(piece, motif);
  ops.push({
    op: 'replace',
    path: pointer('painting', at(first)),
    value: {
      ...rest,
      motif: motif.id,
      ...(rest.repeat && entries.length > 1
        ? { repeat: { ...rest.repeat, may_overlap: true } }
        : {}),
    },
  });
  const others = entries.slice(1).map(at);
  for (const i of others.sort((a, b) => b - a)) {
    ops.push({ op: 'remove', path: pointer('painting', i) });
  }
  return ops;
}

function addMotif(piece: Piece, motif: Motif): Op[] {
  return piece.motifs
    ? [{ op: 'add', path: '/motifs/-', value: motif }]
    : [{ op: 'add', path: '/motifs', value: [motif] }];
}

/* ---- laying -------------------------------------------------------------- */

/** How wide a motif is about its anchor. [mm] */
export function extent(piece: Piece, motif: Motif): number {
  let [low, high] = [Infinity, -Infinity];
  for (const m of motif.marks) {
    const wide = brushWidth(piece, m);
    const reach = m.kind === 'dab' ? number(m.length_mm, 2 * wide) : wide;
    const all = m.path ?? [{ x_mm: m.x_mm ?? 0, width_mm: reach }];
    for (const p of all) {
      const r = number(p.width_mm, m.kind === 'fill' ? 0 : wide) / 2;
      low = Math.min(low, number(p.x_mm, 0) - (r || 0));
      high = Math.max(high, number(p.x_mm, 0) + (r || 0));
    }
  }
  return high > low ? high - low : 0;
}

/** Lay a motif once more: the motif itself comes along where the piece has it
 *  not yet. */
export function layOps(
  piece: Piece,
  l: Laying,
  zone: Zone,
  turns: number,
  up: number,
): { ops: Op[]; id: string } | null {
  if (!core.shapes) return null;
  const c = core.shapes.chart(piece.form, zone);
  const p = core.shapes.place(c, turns, up);
  if (!p) return null;
  const has = piece.motifs?.some((m) => m.id === l.motif.id);
  const id = freshId(has ? piece : withMotif(piece, l.motif), 'painted');
  const e: Painted = { id, zone: zone.id, motif: l.motif.id, turns, up_mm: up };
  if (l.count > 1) {
    const disc = zone.kind === 'disc';
    const fits = /rosette/.test(l.way) === disc;
    const way = fits ? l.way : disc ? 'rosette' : 'repeat';
    e.repeat = { way, count: l.count };
    // It may stand wherever it is touched: neighbours are told, not refused.
    const share = (c.width / l.count) * p[2];
    if (disc || way !== 'repeat' || extent(piece, l.motif) > 0.98 * share) {
      e.repeat.may_overlap = true;
    }
  }
  const ops: Op[] = has ? [] : addMotif(piece, l.motif);
  return { ops: [...ops, { op: 'add', path: '/painting/-', value: e }], id };
}
const withMotif = (piece: Piece, m: Motif): Piece => ({
  ...piece,
  motifs: [...(piece.motifs ?? []), m],
});

/** Slips that a motif names and the piece has not. */
export function strangers(piece: Piece, motif: Motif): string[] {
  const all = motif.marks.map((m) => m.slip).filter((s) => s !== undefined);
  return [...new Set(all)].filter(
    (s) => !piece.slips.some((x) => x.id === s),
  ) as string[];
}

/** A motif of the book as it may stand in the piece: under ids that nothing
 *  there has, with brushes and slips that are there. */
export function fitted(
  piece: Piece,
  motif: Motif,
  from: From,
  slips: Record<string, string>,
): Motif {
  const word = (motif.name ?? 'motif')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '');
  const id = freshId(piece, word || 'motif');
  return {
    id,
    ...(motif.name ? { name: motif.name } : {}),
    from,
    marks: motif.marks.map((m, i) => {
      const mark: Mark = { ...m, id: `${id}-${i + 1}` };
      if (m.slip) mark.slip = slips[m.slip] ?? m.slip;
      if (m.brush && !piece.brushes?.some((b) => b.id === m.brush)) {
        delete mark.brush; // its width stands in the mark
      }
      return mark;
    }),
  };
}

/* ---- in the book --------------------------------------------------------- */

export interface Kept {
  id: string;
  name: string;
  revision: number;
}

/** RFC 8785 for documents of numbers with at most 15 digits. */
export function canonical(v: unknown): string {
  if (Array.isArray(v)) return `[${v.map(canonical).join()}]`;
  if (typeof v !== 'object' || v === null) return JSON.stringify(v);
  const o = v as Record<string, unknown>;
  const keys = Object.keys(o).sort();
  return `{${keys
    .map((k) => `${JSON.stringify(k)}:${canonical(o[k])}`)
    .join()}}`;
}

export async function bookMotifs(signal?: AbortSignal): Promise<Kept[]> {
  const r = await request({
    method: 'GET',
    path: 'book/motif?most=100',
    ...(signal ? { signal } : {}),
  });
  return ((await r.json()) as { records: Kept[] }).records;
}

/** A motif of the book, and where the copy comes from. */
export async function bookMotif(
  id: string,
): Promise<{ motif: Motif; from: From }> {
  const r = await request({
    method: 'GET',
    path: `book/motif/${encodeURIComponent(id)}`,
  });
  const revision = Number((r.headers.get('etag') ?? '').replace(/\D/g, ''));
  const motif = (await r.json()) as Motif;
  return { motif, from: { id, revision, hash: sha256(canonical(motif)) } };
}

/** Keep a motif as a new record; where the piece's copy then comes from.
 *  Widths stand in its marks, since another piece may have other brushes. */
export async function keepInBook(piece: Piece, motif: Motif): Promise<From> {
  const marks = motif.marks.map((m) => {
    const wide = brushWidth(piece, m);
    return m.width_mm === undefined && Number.isFinite(wide)
      ? { ...m, width_mm: wide }
      : m;
  });
  const r = await request({
    method: 'POST',
    path: 'book/motif',
    body: JSON.stringify({ name: motif.name ?? motif.id, marks }),
  });
  const { id } = (await r.json()) as { id: string };
  return (await bookMotif(id)).from;
}
