// SPDX-License-Identifier: GPL-3.0-or-later
// A painted zone as the array of numbers that the module reads
// (core/decor/flat.h).  Only fields are carried over here, with what they are
// when the piece does not say (piece/piece_paint.c does the same).

import { number } from './numbers';
import { defaults, kinds } from './schema';
import { Fault, MULTIPLE, type Shapes } from './shapes';
import type { Mark, Painted, Piece, Zone } from '../piece';

/** Side of a pixel of the maps, leather-hard (piece/cover.h). [mm] */
export const PIXEL = 0.2;

const RING = kinds.indexOf('banding line');
const NO_SLIP = -1;

interface Hand {
  piece: Piece;
  shapes: Shapes;
  length: number; // of the zone along the profile [mm]
}

function widthOf(h: Hand, m: Mark): number {
  if (!m.brush) return number(m.width_mm);
  const b = h.piece.brushes?.find((x) => x.id === m.brush);
  if (!b) throw new Fault(`no brush "${m.brush}" in this piece`);
  return number(m.width_mm, number(b.width_mm));
}

function slipOf(h: Hand, m: Mark): number {
  if (m.kind === 'sgraffito') return NO_SLIP;
  const k = h.piece.slips.findIndex((s) => s.id === m.slip);
  if (k < 0) throw new Fault(`no slip "${m.slip ?? ''}" in this piece`);
  return k;
}

function coatOf(h: Hand, m: Mark, slip: number): number {
  if (slip < 0) return 0;
  const s = h.piece.slips[slip];
  return number(
    m.coat_g_m2,
    number(m.coats, defaults.coats) * number(s?.coat_g_m2),
  );
}

function nibsOf(h: Hand, m: Mark, width: number, coat: number): number[] {
  if (m.kind === 'dot' || m.kind === 'dab') {
    const x = number(m.x_mm, 0),
      y = number(m.y_mm, 0);
    if (Number.isNaN(width)) throw new Fault('nothing says how wide it is');
    if (m.kind === 'dot') return [x, y, width, coat];
    const nibs = Array.from(
      h.shapes.dab(
        number(m.length_mm, 2 * width),
        width,
        number(m.turn_deg, 0) / 360,
        coat,
      ),
    );
    for (let i = 0; i < nibs.length; i += 4) {
      nibs[i] = (nibs[i] as number) + x;
      nibs[i + 1] = (nibs[i + 1] as number) + y;
    }
    return nibs;
  }
  const out: number[] = [];
  for (const p of m.path ?? []) {
    out.push(
      number(p.x_mm),
      number(p.y_mm),
      m.kind === 'fill' ? 0 : number(p.width_mm, width),
      number(p.coat_g_m2, coat),
    );
  }
  if (out.length < (m.kind === 'fill' ? 12 : 4)) {
    throw new Fault('the path has too few points');
  }
  return out;
}

/** One mark as it stands in an entry. */
function markNumbers(h: Hand, e: Painted, m: Mark): number[] {
  const slip = slipOf(h, m),
    width = widthOf(h, m),
    coat = coatOf(h, m, slip);
  const up = number(e.up_mm, 0);
  const head = [
    kinds.indexOf(m.kind),
    slip,
    number(e.turns, 0),
    up,
    0,
    0,
    number(e.turn_deg, 0) / 360,
    number(e.scale, 1),
    e.flip ? 1 : 0,
    0,
    number(m.edge_mm, defaults.edge),
    coat,
  ];
  if (m.kind === 'banding line' || (m.kind === 'fill' && m.whole_zone)) {
    head[0] = RING;
    if (m.whole_zone) return [...head, 0, h.length, 0];
    if (Number.isNaN(width))
      throw new Fault('nothing says how wide the line is');
    const y = up + number(m.y_mm, 0);
    return [
      ...head,
      Math.max(y - width / 2, 0),
      Math.min(y + width / 2, h.length),
      0,
    ];
  }
  const nibs = nibsOf(h, m, width, coat);
  return [...head, 0, 0, nibs.length / 4, ...nibs];
}

export function marksOf(piece: Piece, e: Painted): Mark[] {
  if (e.mark) return [e.mark];
  const motif = piece.motifs?.find((m) => m.id === e.motif);
  if (!motif) throw new Fault(`no motif "${e.motif ?? ''}" in this piece`);
  return motif.marks;
}

function group(h: Hand, e: Painted): Float64Array {
  const marks = marksOf(h.piece, e);
  const placings = e.repeat ? h.shapes.placings(e) : null;
  const out = [
    marks.length,
    placings ? 1 : 0,
    (placings?.length ?? 0) / 8,
    1,
    number(e.turns, 0),
    number(e.up_mm, 0),
  ];
  if (placings) for (const x of placings) out.push(x);
  for (const m of marks) for (const x of markNumbers(h, e, m)) out.push(x);
  return new Float64Array(out);
}

/** Arrays of entries that did not change are kept, by the very objects they
 *  came from. */
interface Known {
  from: unknown[];
  numbers: Float64Array;
}

export class Flattener {
  private known = new WeakMap<Painted, Known>();

  constructor(private readonly shapes: Shapes) {}

  /** What of an entry's numbers depends on. */
  private numbersOf(h: Hand, e: Painted): Float64Array {
    const motif = e.motif && h.piece.motifs?.find((m) => m.id === e.motif);
    const from = [motif, h.piece.brushes, h.piece.slips, h.length];
    const k = this.known.get(e);
    if (k && k.from.every((x, i) => x === from[i])) return k.numbers;
    const numbers = group(h, e);
    this.known.set(e, { from, numbers });
    return numbers;
  }

  /** The array; entries that cannot be painted are left out and named. */
  zone(
    piece: Piece,
    zone: Zone,
    faults: { entry: string; what: string }[],
  ): Float64Array {
    const chart = this.shapes.chart(piece.form, zone);
    const profile = this.shapes.profile(piece.form, zone.face ?? defaults.face);
    const h = { piece, shapes: this.shapes, length: chart.length };
    const groups: Float64Array[] = [];
    for (const e of piece.painting) {
      if (e.zone !== zone.id) continue;
      try {
        groups.push(this.numbersOf(h, e));
      } catch (x) {
        if (!(x instanceof Fault)) throw x;
        faults.push({ entry: e.id, what: x.message });
      }
    }
    const size = groups.reduce((n, g) => n + g.length, 9 + profile.length);
    const out = new Float64Array(size);
    out.set([
      1,
      zone.face === 'inside' ? 1 : 0,
      chart.kind === 'disc' ? 1 : 0,
      number(zone.from_mm),
      number(zone.to_mm),
      PIXEL,
      MULTIPLE(piece, zone.id),
      profile.length / 2,
      groups.length,
    ]);
    out.set(profile, 9);
    let at = 9 + profile.length;
    for (const g of groups) {
      out.set(g, at);
      at += g.length;
    }
    return out;
  }
}
