// SPDX-License-Identifier: GPL-3.0-or-later
// What is in the hand while something painted is moved or turned, and what
// that makes of the piece.

import type { Chart } from '../core';
import { number } from '../core/numbers';
import type { Shapes } from '../core/shapes';
import type { Painted, Piece } from '../piece';
import type { Op } from '../store';
import * as edit from './edit';
import type { Hit } from './geometry';

export interface Grip {
  kind: 'move' | 'turn' | 'pan';
  hit: Hit | null;
  entry: Painted;
  piece: Piece;
  from: [number, number]; // css px
  chart: [number, number];
  pivot: [number, number];
  moved: boolean;
  ops: Op[];
  label: string;
}

/** Where it is held, and how much goes along. */
export interface Hold {
  chart: Chart;
  shapes: Shapes;
  instance: number;
  oneOnly: boolean; // this instance, not all
  together: boolean; // with what belongs to it
}

export const clamp = (x: number, a: number, b: number): number =>
  Math.min(b, Math.max(a, x));

/** An entry, and what goes with it: the eye with its fish. */
export function along(piece: Piece, e: Painted, together: boolean): Painted[] {
  return together ? [e, ...edit.beside(piece, e)] : [e];
}

/** How an instance stands to its motif: flips, and turn in a disc. */
function image(h: Hold, e: Painted): [number, number, number] {
  if (!e.repeat) return [1, 1, 0];
  const p = h.shapes.placings(e);
  for (let i = 0; i < p.length; i += 8) {
    if (p[i] !== h.instance) continue;
    return [p[i + 2] ? -1 : 1, p[i + 3] ? -1 : 1, p[i + 1] as number];
  }
  return [1, 1, 0];
}

/** Move by a way on the chart. */
export function shift(h: Hold, g: Grip, dx: number, dy: number): void {
  if (g.entry.mark?.kind === 'banding line') shiftLine(h, g, dy);
  else if (h.oneOnly && g.entry.repeat) shiftOne(h, g, dx, dy);
  else shiftAll(h, g, dx, dy);
}

function shiftLine({ chart: c, shapes: s }: Hold, g: Grip, dy: number): void {
  const e = g.entry;
  const off = number(e.mark?.y_mm, 0);
  const p = s.place(c, number(e.turns, 0), number(e.up_mm, 0) + off);
  const b = p && s.back(c, p[0], clamp(p[1] + dy, 0, c.height));
  if (!b) return;
  g.ops = edit.place(g.piece, e, { up: b[1] - off });
  g.label = 'move the banding line';
}

function shiftOne(h: Hold, g: Grip, dx: number, dy: number): void {
  const { chart: c, shapes: s } = h;
  const e = g.entry;
  const x = edit.oddOf(e, h.instance);
  const p = s.place(c, number(e.turns, 0), number(e.up_mm, 0));
  if (!p) return;
  // Where the pivot of this instance stands now, and is to stand.
  const y0 = image(h, e)[1] < 0 ? c.height - p[1] : p[1];
  const b0 = s.back(c, p[0], c.kind === 'band' ? y0 : p[1]);
  if (!b0) return;
  const up0 = b0[1] + number(x.move_up_mm, 0);
  const q = s.place(c, 0, clamp(up0, 0, c.length));
  const b1 =
    c.kind === 'band' && q
      ? s.back(c, q[0], clamp(q[1] + dy, 0, c.height))
      : null;
  const up = b1 ? b1[1] - b0[1] : number(x.move_up_mm, 0) + dy;
  const around = (c.hand * dx) / c.width;
  const higher = up - number(x.move_up_mm, 0);
  g.ops = along(g.piece, e, h.together).flatMap((q) => {
    const y = edit.oddOf(q, h.instance);
    return edit.differ(g.piece, q, h.instance, {
      move_turns: number(y.move_turns, 0) + around,
      move_up_mm: number(y.move_up_mm, 0) + higher,
    });
  });
  g.label = `move one of ${edit.nameOf(g.piece, e)}`;
}

function shiftAll(h: Hold, g: Grip, dx: number, dy: number): void {
  const { chart: c, shapes: s } = h;
  const e = g.entry;
  const t = number(e.turns, 0);
  const [fx, fy, turned] = image(h, e);
  const p = s.place(c, t, number(e.up_mm, 0));
  if (!p) return;
  let mx = fx * dx,
    my = fy * dy;
  if (c.kind === 'disc') {
    const a = -2 * Math.PI * c.hand * turned;
    [mx, my] = [
      Math.cos(a) * dx - Math.sin(a) * dy,
      Math.sin(a) * dx + Math.cos(a) * dy,
    ];
    my *= fx;
  }
  const y = c.kind === 'band' ? clamp(p[1] + my, 0, c.height) : p[1] + my;
  const b = s.back(c, p[0] + mx, y);
  if (!b) return;
  // The same time round as before, so that nothing jumps.
  const turns = b[0] + Math.round(t - b[0]);
  g.ops = along(g.piece, e, h.together).flatMap((q) =>
    edit.place(g.piece, q, { turns, up: b[1] }),
  );
  g.label = `move ${edit.nameOf(g.piece, e)}`;
}

/** Turn by degrees and scale. */
export function spin(h: Hold, g: Grip, turn: number, scale: number): void {
  const e = g.entry,
    name = edit.nameOf(g.piece, e);
  const [fx, fy] = image(h, e);
  if (h.oneOnly && e.repeat) {
    g.ops = along(g.piece, e, h.together).flatMap((q) => {
      const y = edit.oddOf(q, h.instance);
      return edit.differ(g.piece, q, h.instance, {
        turn_deg: number(y.turn_deg, 0) + turn,
        scale: number(y.scale, 1) * scale,
      });
    });
    g.label = `turn one of ${name}`;
    return;
  }
  g.ops = along(g.piece, e, h.together).flatMap((q) =>
    edit.place(g.piece, q, {
      turn: number(q.turn_deg, 0) + fx * fy * turn,
      scale: number(q.scale, 1) * scale,
    }),
  );
  g.label = `turn ${name}`;
}
