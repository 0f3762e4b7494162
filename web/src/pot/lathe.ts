// SPDX-License-Identifier: GPL-3.0-or-later
// The pot as rings around its axis, at fired size, cut where zones begin and
// end, so that each stretch takes its colours from one zone or is bare.
//
// The world: x to the right, y away from the viewer, z up [fired mm].  Turns
// run anticlockwise from above, 0 in front.

import { type Chart, type Shapes } from '../core/shapes';
import { number } from '../core/numbers';
import { defaults } from '../core/schema';
import type { Piece, Zone } from '../piece';

export interface Ring {
  r: number;
  z: number;
  nr: number; // unit normal, out of the clay
  nz: number;
  s: number; // along the profile [leather-hard mm]
}

/** A stretch of rings with one colouring. */
export interface Stretch {
  rings: Ring[];
  zone: Zone | null;
  chart: Chart | null;
  /** For each ring the height on the chart (band), or the distance from its
   *  centre (disc). [chart mm] */
  at: number[];
}

/** A face of the pot, its rim, or its floor. */
export interface Lathe {
  rim: boolean;
  cavity: boolean; // light comes in through the mouth
  inward: boolean; // seen from the axis
  stretches: Stretch[];
}

export interface Turned {
  lathes: Lathe[];
  outside: Ring[];
  inside: Ring[];
  radius: number;
  low: number;
  high: number;
  mouthR: number;
  mouthZ: number;
}

const MOST = 112; // rings of a face

/** Normals evened out along the profile, but not across a corner: over 4.5 %
 *  of the profile, corners from 40 degrees (piece/lathe.c). */
function even(rings: Ring[]): void {
  const first = rings[0],
    last = rings[rings.length - 1];
  if (!first || !last) return;
  const width = 0.045 * (last.s - first.s),
    corner = 0.766;
  const out = rings.map((x) => {
    let nr = 0,
      nz = 0;
    rings.forEach((y, k) => {
      const t = (y.s - x.s) / width;
      const alike = (x.nr * y.nr + x.nz * y.nz - corner) / (1 - corner);
      if (t * t > 9 || alike <= 0) return;
      const a = rings[Math.max(0, k - 1)] as Ring;
      const b = rings[Math.min(rings.length - 1, k + 1)] as Ring;
      const w = (b.s - a.s) * alike * Math.exp((-t * t) / 2);
      nr += w * y.nr;
      nz += w * y.nz;
    });
    const h = Math.hypot(nr, nz) || 1;
    return [nr / h, nz / h] as const;
  });
  rings.forEach((x, i) => {
    [x.nr, x.nz] = out[i] as readonly [number, number];
  });
}

const mix = (a: Ring, b: Ring, t: number): Ring => {
  const m = (p: number, q: number) => p + t * (q - p);
  const nr = m(a.nr, b.nr),
    nz = m(a.nz, b.nz),
    h = Math.hypot(nr, nz) || 1;
  return {
    r: m(a.r, b.r),
    z: m(a.z, b.z),
    nr: nr / h,
    nz: nz / h,
    s: m(a.s, b.s),
  };
};

function ringAt(rings: Ring[], s: number): Ring {
  let k = 0;
  while (k < rings.length - 2 && (rings[k + 1] as Ring).s < s) k++;
  const a = rings[k] as Ring,
    b = rings[k + 1] as Ring;
  const t = (s - a.s) / Math.max(1e-9, b.s - a.s);
  return { ...mix(a, b, Math.min(1, Math.max(0, t))), s };
}

/** Cut at the ends of the zones of a face. */
function cut(
  shapes: Shapes,
  piece: Piece,
  face: string | null,
  rings: Ring[],
): Stretch[] {
  const end = (rings[rings.length - 1] as Ring).s;
  const zones = piece.zones
    .filter((z) => (z.face ?? defaults.face) === face)
    .map((z) => ({
      z,
      from: number(z.from_mm),
      to: Math.min(number(z.to_mm), end),
    }))
    .filter((z) => z.to > z.from)
    .sort((a, b) => a.from - b.from);
  const out: Stretch[] = [];
  const part = (from: number, to: number, zone: Zone | null) => {
    if (to - from < 1e-3) return;
    const list = [
      ringAt(rings, from),
      ...rings.filter((r) => r.s > from + 1e-3 && r.s < to - 1e-3),
      ringAt(rings, to),
    ];
    let chart: Chart | null = null;
    let at: number[] = [];
    try {
      if (zone) chart = shapes.chart(piece.form, zone);
    } catch {
      zone = null;
    }
    if (chart && zone) {
      const c = chart,
        begin = number(zone.from_mm);
      at = list.map((r) => {
        const p = shapes.place(
          c,
          0,
          Math.min(Math.max(r.s - begin, 0), c.length),
        );
        if (!p) return 0;
        return c.kind === 'band' ? p[1] : Math.hypot(p[0], p[1]);
      });
    }
    out.push({ rings: list, zone, chart, at });
  };
  let now = (rings[0] as Ring).s;
  for (const { z, from, to } of zones) {
    part(now, from, null);
    part(Math.max(from, now), to, z);
    now = Math.max(now, to);
  }
  part(now, end, null);
  return out;
}

export function turn(shapes: Shapes, piece: Piece): Turned {
  const { form } = piece;
  const kr = 1 - number(form.to_fired?.diameter_percent, 0) / 100;
  const kz = 1 - number(form.to_fired?.height_percent, 0) / 100;
  const faceOf = (face: string, side: number): Ring[] => {
    const flat = shapes.rings(form, face, MOST),
      rings: Ring[] = [];
    for (let i = 0; i < flat.length; i += 5) {
      const [r, z, a, b, s] = flat.subarray(i, i + 5) as unknown as number[];
      const nr = (side * (a as number)) / kr,
        nz = (side * (b as number)) / kz;
      const h = Math.hypot(nr, nz) || 1;
      rings.push({
        r: (r as number) * kr,
        z: (z as number) * kz,
        nr: nr / h,
        nz: nz / h,
        s: s as number,
      });
    }
    even(rings);
    return rings;
  };
  const outside = faceOf('outside', 1);
  const own = (form.inside?.length ?? 0) > 1;
  const inside = faceOf(own ? 'inside' : 'outside', -1);
  const lip = inside[inside.length - 1] as Ring;
  const lathes: Lathe[] = [
    {
      rim: false,
      cavity: false,
      inward: false,
      stretches: cut(shapes, piece, 'outside', outside),
    },
    {
      rim: false,
      cavity: true,
      inward: true,
      stretches: cut(shapes, piece, own ? 'inside' : null, inside),
    },
  ];
  const bare = (rings: Ring[]): Stretch[] => [
    { rings, zone: null, chart: null, at: [] },
  ];
  const edge = inside[0] as Ring;
  if (edge.r > 0.01) {
    lathes.push({
      rim: false,
      cavity: true,
      inward: true,
      stretches: bare(
        Array.from({ length: 9 }, (_, i) => ({
          r: (edge.r * i) / 8,
          z: edge.z,
          nr: 0,
          nz: 1,
          s: i,
        })),
      ),
    });
  }
  const rim = rimOf(outside[outside.length - 1] as Ring, lip);
  if (rim)
    lathes.push({
      rim: true,
      cavity: false,
      inward: false,
      stretches: bare(rim),
    });
  const all = lathes.flatMap((l) => l.stretches.flatMap((x) => x.rings));
  return {
    lathes,
    outside,
    inside,
    radius: Math.max(...all.map((x) => x.r)),
    low: Math.min(...all.map((x) => x.z)),
    high: Math.max(...all.map((x) => x.z)),
    mouthR: lip.r,
    mouthZ: lip.z,
  };
}

/** From lip to lip, rounded as a sponge leaves it (piece/lathe.c). */
function rimOf(from: Ring, to: Ring): Ring[] | null {
  const dr = to.r - from.r,
    dz = to.z - from.z;
  if (Math.hypot(dr, dz) < 0.05) return null;
  const first = Math.atan2(from.nz, from.nr);
  let last = Math.atan2(to.nz, to.nr);
  if (last < first) last += 2 * Math.PI;
  return Array.from({ length: 13 }, (_, i) => {
    const w = i / 12,
      up = 0.8 * w * (1 - w),
      a = first + w * (last - first);
    return {
      r: from.r + w * dr + up * dz,
      z: from.z + w * dz - up * dr,
      nr: Math.cos(a),
      nz: Math.sin(a),
      s: i,
    };
  });
}
