// SPDX-License-Identifier: GPL-3.0-or-later
// From what the pen did to a mark: its samples are kept as they came, and the
// widths and coats of the mark are derived from them here.

import type { Chart, Shapes } from '../core/shapes';
import { number } from '../core/numbers';
import type { Brush, Mark, MarkKind, PathPoint, Slip } from '../piece';

export interface Sample {
  x: number; // on the chart [mm]
  y: number;
  pressure: number; // 0..1
  tiltX: number;
  tiltY: number;
  ms: number;
}

/** What the hand holds. */
export interface Held {
  kind: MarkKind;
  slip: Slip | undefined;
  brush: Brush | undefined;
  coats: number;
}

/** A brush pressed half way is as wide as its name says; pressed down it
 *  spreads to 1.75 times, lifted it draws a quarter.  (judgement: a round
 *  brush) */
export const widthAt = (pressure: number): number => 0.25 + 1.5 * pressure;
/** And it lays a little more.  (judgement) */
export const coatAt = (pressure: number): number => 0.6 + 0.8 * pressure;

/** How near a path may be drawn with fewer points. [mm] (judgement: a fifth of
 *  a pixel of the maps) */
const NEAR = 0.04;
/** A stroke without pressure begins and ends over this many brush widths, as
 *  one that is set down and lifted does. (judgement) */
const LIFT = 1.6;
const THIN = 0.25;

const round = (x: number, step = 1000): number => Math.round(x * step) / step;

/** Chart directions at an anchor (core/decor/place.c): local mm to chart. */
export function frame(
  c: Chart,
  turns: number,
): [number, number, number, number] {
  if (c.kind === 'band') return [1, 0, 0, 1];
  const a = 2 * Math.PI * c.hand * turns,
    up = c.high ? -1 : 1;
  const s = Math.sin(a),
    k = Math.cos(a);
  return [up * s, up * k, -up * k, up * s];
}

/** Drop points that lie on the straight way between others; widths count as
 *  much as places (Douglas and Peucker). */
function thin(p: PathPoint[]): PathPoint[] {
  const keep = new Array<boolean>(p.length).fill(false);
  const v = (q: PathPoint): [number, number, number] => [
    number(q.x_mm),
    number(q.y_mm),
    number(q.width_mm) / 2,
  ];
  const todo: [number, number][] = [[0, p.length - 1]];
  keep[0] = keep[p.length - 1] = true;
  for (let span = todo.pop(); span; span = todo.pop()) {
    const [i, j] = span;
    const a = v(p[i] as PathPoint),
      b = v(p[j] as PathPoint);
    const d = [b[0] - a[0], b[1] - a[1], b[2] - a[2]] as const;
    const l2 = d[0] * d[0] + d[1] * d[1];
    let worst = NEAR,
      at = -1;
    for (let k = i + 1; k < j; k++) {
      const q = v(p[k] as PathPoint);
      let t = l2 > 0 ? ((q[0] - a[0]) * d[0] + (q[1] - a[1]) * d[1]) / l2 : 0;
      t = Math.min(1, Math.max(0, t));
      const far =
        Math.hypot(q[0] - a[0] - t * d[0], q[1] - a[1] - t * d[1]) +
        Math.abs(q[2] - a[2] - t * d[2]);
      if (far > worst) {
        worst = far;
        at = k;
      }
    }
    if (at < 0) continue;
    keep[at] = true;
    todo.push([i, at], [at, j]);
  }
  return p.filter((_, k) => keep[k]);
}

/** A hand trembles, and screens step: each place is mixed with its
 *  neighbours, ends stay. */
function calm(s: Sample[]): Sample[] {
  return s.map((q, i) => {
    const a = s[i - 1],
      b = s[i + 1];
    if (!a || !b) return q;
    return {
      ...q,
      x: (a.x + 2 * q.x + b.x) / 4,
      y: (a.y + 2 * q.y + b.y) / 4,
      pressure: (a.pressure + 2 * q.pressure + b.pressure) / 4,
    };
  });
}

/** Does the device tell pressure?  A mouse says 0.5 throughout. */
export function pressed(s: Sample[]): boolean {
  const first = s[0]?.pressure ?? 0.5;
  return (
    s.some((q) => Math.abs(q.pressure - first) > 0.01) ||
    (first !== 0.5 && first !== 0)
  );
}

export interface Anchor {
  turns: number;
  up: number;
  x: number;
  y: number;
  scale: number;
  frame: [number, number, number, number];
}

export function anchorAt(
  shapes: Shapes,
  c: Chart,
  x: number,
  y: number,
): Anchor | null {
  const b = shapes.back(c, x, y);
  if (!b) return null;
  const turns = round(b[0], 1e6),
    up = round(b[1]);
  const p = shapes.place(c, turns, Math.min(up, c.length));
  if (!p) return null;
  return { turns, up, x: p[0], y: p[1], scale: p[2], frame: frame(c, turns) };
}

/** A place of the chart in the anchor's own mm; on a band the nearest time
 *  round. */
export function local(
  c: Chart,
  a: Anchor,
  x: number,
  y: number,
): [number, number] {
  let dx = x - a.x;
  const dy = y - a.y;
  if (c.kind === 'band' && Math.abs(dx) > 8 * c.width) dx %= c.width;
  const f = a.frame;
  return [a.scale * (f[0] * dx + f[2] * dy), a.scale * (f[1] * dx + f[3] * dy)];
}

function pathOf(h: Held, c: Chart, a: Anchor, samples: Sample[]): PathPoint[] {
  const brush = number(h.brush?.width_mm, 4);
  const coat = number(h.slip?.coat_g_m2, 0) * h.coats;
  const told = pressed(samples);
  const all = calm(samples).map((s) => {
    const [x, y] = local(c, a, s.x, s.y);
    return { x, y, p: told ? s.pressure : 0.5 };
  });
  const along = [0];
  for (let i = 1; i < all.length; i++) {
    const p = all[i - 1],
      q = all[i];
    if (p && q)
      along.push((along[i - 1] as number) + Math.hypot(q.x - p.x, q.y - p.y));
  }
  const length = along[along.length - 1] ?? 0;
  const lift = Math.min(LIFT * brush, length / 2);
  return thin(
    all.map((q, i) => {
      let w = brush * widthAt(q.p);
      if (!told && h.kind === 'stroke' && lift > 0) {
        const at = along[i] as number;
        const t = Math.min(1, at / (0.5 * lift), (length - at) / lift);
        w *= THIN + (1 - THIN) * Math.sqrt(Math.max(0, t));
      }
      const point: PathPoint = {
        x_mm: round(q.x),
        y_mm: round(q.y),
        width_mm: round(w),
      };
      if (h.kind !== 'sgraffito')
        point.coat_g_m2 = round(coat * coatAt(q.p), 100);
      return point;
    }),
  );
}

function penOf(c: Chart, a: Anchor, s: Sample[]): Mark['pen'] {
  const at = s.map((q) => local(c, a, q.x, q.y));
  const first = s[0]?.ms ?? 0;
  return {
    x: at.map((q) => round(q[0])),
    y: at.map((q) => round(q[1])),
    pressure: s.map((q) => round(q.pressure)),
    tilt_x: s.map((q) => q.tiltX),
    tilt_y: s.map((q) => q.tiltY),
    time_ms: s.map((q) => round(q.ms - first, 10)),
  };
}

/** The mark, or null while it is none yet. */
export function markOf(
  h: Held,
  id: string,
  c: Chart,
  a: Anchor,
  samples: Sample[],
): Mark | null {
  const first = samples[0],
    last = samples[samples.length - 1];
  if (!first || !last) return null;
  const brush = number(h.brush?.width_mm, 4);
  const m: Mark = { id, kind: h.kind };
  if (h.slip && h.kind !== 'sgraffito') m.slip = h.slip.id;
  if (h.brush) m.brush = h.brush.id;
  if (h.coats !== 1 && h.kind !== 'sgraffito') m.coats = h.coats;
  const [x, y] = local(c, a, last.x, last.y);
  const length = Math.hypot(x, y);
  const most = Math.max(...samples.map((s) => s.pressure));
  const told = pressed(samples);
  switch (h.kind) {
    case 'dot':
      m.x_mm = m.y_mm = 0;
      if (told) m.width_mm = round(brush * widthAt(most));
      break;
    case 'dab': {
      const wide = told ? brush * widthAt(most) : brush;
      m.width_mm = round(wide);
      m.length_mm = round(Math.max(length + wide / 2, 2 * wide));
      m.turn_deg =
        length > wide / 2 ? round((Math.atan2(y, x) * 180) / Math.PI, 10) : 90;
      m.x_mm = length > wide / 2 ? round(x / 2) : 0;
      m.y_mm = length > wide / 2 ? round(y / 2) : 0;
      break;
    }
    case 'line':
      if (length < 0.3) return null;
      m.path = [
        { x_mm: 0, y_mm: 0 },
        { x_mm: round(x), y_mm: round(y) },
      ];
      break;
    case 'fill': {
      delete m.brush;
      const path = thin(
        calm(samples).map((s) => {
          const [px, py] = local(c, a, s.x, s.y);
          return { x_mm: round(px), y_mm: round(py), width_mm: 0 };
        }),
      ).map(({ x_mm, y_mm }) => ({ x_mm, y_mm }));
      if (path.length < 3) return null;
      m.path = path;
      break;
    }
    case 'banding line':
      break;
    default:
      m.path = pathOf(h, c, a, samples);
  }
  if (h.kind !== 'banding line') m.pen = penOf(c, a, samples);
  return m;
}
