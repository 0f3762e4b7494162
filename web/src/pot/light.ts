// SPDX-License-Identifier: GPL-3.0-or-later
// One large soft light from the upper left, a pale room above, a grey table
// below: the light of the program's own pictures (piece/light.c).  Because the
// pot is turned, light and shadow stay where they are while it turns, and are
// worked out once for a form.  All strengths are judgements: they make a calm
// picture; colours are judged on the band.

import type { Lathe, Ring, Turned } from './lathe';

export type V3 = [number, number, number];

export const KEY = 0.62; // the softbox, on a sheet that faces it
export const CARD = 0.3; // a pale card on the viewer's side
export const SKY = 0.42; // the room, on a level sheet
export const BOX_ACROSS = 0.3; // half the softbox's width over its distance
export const BOX_UP = 0.4;
export const BOX_EDGE = 0.1;
export const SOFT = 0.12; // softness of what hides what [rad]
const WIDE = 0.6; // of the card
const SHADOW = 0.5; // of the shadow on the table
const HIGHER = 0.3;
const REACH = 4; // table looked at, in radii of the pot
const AROUND = 12,
  UP = 8,
  PARTS = 5,
  PLACES = 64;
export const LEVELS = 24;
export const TABLE_STEPS = 128;

const BOX: V3 = [-0.52, -0.6, 0.6];
const CARD_TO: V3 = [-0.15, -0.97, 0.1];

const dot = (a: V3, b: V3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const unit = (a: V3): V3 => {
  const h = Math.sqrt(dot(a, a));
  return [a[0] / h, a[1] / h, a[2] / h];
};
const smooth = (x: number): number => {
  const t = x > 0 ? (x < 1 ? x : 1) : 0;
  return t * t * (3 - 2 * t);
};

export interface Levels {
  r: Float32Array;
  z: Float32Array;
}
export function levelsOf(rings: Ring[]): Levels {
  const n = Math.min(LEVELS, rings.length);
  const r = new Float32Array(LEVELS),
    z = new Float32Array(LEVELS);
  for (let i = 0; i < LEVELS; i++) {
    const k = Math.floor((Math.min(i, n - 1) * (rings.length - 1)) / (n - 1));
    r[i] = (rings[k] as Ring).r;
    z[i] = (rings[k] as Ring).z;
  }
  return { r, z };
}

/** How much of a ray gets out past the rings that it passes. */
function open(
  v: Levels,
  at: V3,
  to: V3,
  within: boolean,
  soft: number,
): number {
  const span = (v.z[LEVELS - 1] as number) - (v.z[0] as number);
  const near = 0.004 * span;
  let worst = 1;
  for (let i = 0; i < LEVELS; i++) {
    const up = (v.z[i] as number) - at[2];
    if (!(to[2] > 0 ? up > near : up < -near)) continue;
    const way = up / to[2];
    const x = at[0] + way * to[0],
      y = at[1] + way * to[1];
    let gap = Math.sqrt(x * x + y * y) - (v.r[i] as number);
    if (within) gap = -gap;
    gap = 0.5 + (0.5 * gap) / (soft * way);
    if (gap < worst) worst = gap;
    if (worst <= 0) return 0;
  }
  return smooth(worst);
}

const room = (z: number): number => 0.6 + 0.6 * z;

function ray(i: number, k: number): V3 {
  const a = (Math.PI * (i + 0.5)) / AROUND,
    z = (k + 0.5) / UP;
  const h = Math.sqrt(1 - z * z);
  return [h * Math.cos(a), h * Math.sin(a), z];
}

/** The light of a pot. */
export interface Light {
  to: V3;
  across: V3;
  up: V3;
  shadow: V3;
  shadowSoft: number;
  outside: Levels;
  inside: Levels;
  table: Float32Array; // sky on the table over the distance from the axis
  tableStep: number;
  own: V3; // what the outside sends to itself
  cavity: V3; // what the inside sends back to itself
  /** For each lathe and stretch: key (rings x PLACES), sky (rings x 3). */
  of: Map<Lathe, { key: Float32Array; sky: Float32Array }[]>;
  places: number;
}

function aim(
  t: Turned,
): Pick<Light, 'to' | 'across' | 'up' | 'shadow' | 'shadowSoft'> {
  const to = unit(BOX),
    h = Math.hypot(to[0], to[1]);
  const slim = (SHADOW * t.radius) / (t.high - t.low);
  const lean = Math.min(HIGHER, (slim * to[2]) / h);
  return {
    to,
    across: [-to[1] / h, to[0] / h, 0],
    up: [(-to[2] * to[0]) / h, (-to[2] * to[1]) / h, h],
    shadow: unit([to[0] * lean, to[1] * lean, to[2]]),
    shadowSoft: Math.min(SHADOW, slim),
  };
}

function boxParts(a: { to: V3; across: V3; up: V3 }): V3[] {
  const out: V3[] = [];
  for (let i = 0; i < PARTS; i++) {
    for (let k = 0; k < PARTS; k++) {
      const x = BOX_ACROSS * ((2 * (i + 0.5)) / PARTS - 1);
      const y = BOX_UP * ((2 * (k + 0.5)) / PARTS - 1);
      out.push(
        unit(
          [0, 1, 2].map(
            (c) =>
              (a.to[c] as number) +
              x * (a.across[c] as number) +
              y * (a.up[c] as number),
          ) as V3,
        ),
      );
    }
  }
  return out;
}

function tableOf(
  t: Turned,
  outside: Levels,
): { table: Float32Array; step: number } {
  const table = new Float32Array(TABLE_STEPS + 1);
  const step = (REACH * t.radius) / TABLE_STEPS;
  for (let n = 0; n <= TABLE_STEPS; n++) {
    let sum = 0,
      all = 0;
    for (let i = 0; i < AROUND; i++) {
      for (let k = 0; k < UP; k++) {
        const to = ray(i, k),
          w = to[2] * room(to[2]);
        all += w;
        sum += w * open(outside, [n * step, 0, t.low], to, false, SOFT);
      }
    }
    table[n] = sum / all;
  }
  return { table, step };
}

/** The soft light on a ring, at PLACES around; turns 0 in front. */
function keyRing(
  l: Light,
  parts: V3[],
  p: Lathe,
  x: Ring,
  out: Float32Array,
  from: number,
): void {
  const levels = p.cavity ? l.inside : l.outside,
    card = unit(CARD_TO);
  for (let j = 0; j < PLACES; j++) {
    const a = (2 * Math.PI * j) / PLACES,
      c = Math.sin(a),
      d = -Math.cos(a);
    const at: V3 = [x.r * c, x.r * d, x.z],
      n: V3 = [x.nr * c, x.nr * d, x.nz];
    let sum = 0;
    for (const to of parts) {
      let w = dot(n, to);
      if (w <= 0) continue;
      if (!p.rim) w *= open(levels, at, to, p.cavity, SOFT);
      sum += w;
    }
    sum *= KEY / parts.length;
    let w = dot(n, card);
    if (w > 0) {
      w *= CARD;
      if (!p.rim) w *= open(levels, at, card, p.cavity, WIDE);
      sum += w;
    }
    out[from + j] = sum;
  }
}

function skyOutside(
  l: Light,
  t: Turned,
  p: Lathe,
  x: Ring,
  grey: number,
  own: V3,
): V3 {
  const at: V3 = [x.r, 0, x.z];
  let free = 0,
    hidden = 0;
  for (let i = 0; i < AROUND; i++) {
    for (let k = 0; k < 2 * UP; k++) {
      const to = ray(i, k >> 1);
      if (k % 2) to[2] = -to[2];
      const w = ((x.nr * to[0] + x.nz * to[2]) * 2) / (AROUND * UP);
      if (w <= 0) continue;
      const o = p.rim ? 1 : open(l.outside, at, to, false, SOFT);
      let seen = SKY * room(to[2]);
      if (to[2] <= 0) {
        const way = (t.low - at[2]) / to[2];
        const far = Math.hypot(at[0] + way * to[0], way * to[1]) / l.tableStep;
        seen =
          grey * (l.table[Math.min(TABLE_STEPS, Math.floor(far))] as number);
      }
      free += w * o * seen;
      hidden += w * (1 - o);
    }
  }
  return own.map((c) => free + 0.5 * hidden * c) as V3;
}

function skyInside(l: Light, x: Ring): { open: number; sum: number } {
  const at: V3 = [x.r, 0, x.z];
  let sum = 0,
    free = 0;
  for (let i = 0; i < AROUND; i++) {
    for (let k = 0; k < UP; k++) {
      const to = ray(i, k);
      let w = ((x.nr * to[0] + x.nz * to[2]) * 2) / (AROUND * UP);
      if (w <= 0) continue;
      w *= open(l.inside, at, to, true, SOFT);
      free += w;
      sum += w * SKY * room(to[2]);
    }
  }
  return { open: Math.min(1, free), sum };
}

/** The inside throws light back to itself, as if it were one grey hollow. */
function lightInside(l: Light, p: Lathe, colour: V3): void {
  const of = l.of.get(p) ?? [];
  let area = 0,
    free = 0,
    light = 0;
  const opens = p.stretches.map((s, i) =>
    s.rings.map((x, k) => {
      const o = of[i] as { key: Float32Array; sky: Float32Array };
      const here = skyInside(l, x);
      let key = 0;
      for (let j = 0; j < PLACES; j++)
        key += (o.key[k * PLACES + j] as number) / PLACES;
      area += x.r;
      free += x.r * here.open;
      light += x.r * (key + here.sum);
      o.sky.fill(here.sum, 3 * k, 3 * k + 3);
      return here.open;
    }),
  );
  if (area <= 0) return;
  l.cavity = colour.map(
    (c) => (c * light) / area / (1 - c * (1 - free / area)),
  ) as V3;
  p.stretches.forEach((s, i) =>
    s.rings.forEach((_, k) => {
      const sky = of[i]?.sky;
      for (let c = 0; sky && c < 3; c++) {
        sky[3 * k + c] =
          (sky[3 * k + c] as number) +
          (1 - (opens[i]?.[k] ?? 1)) * (l.cavity[c] as number);
      }
    }),
  );
}

/** Light a pot.  grey: of the table, linear; outside, inside: the mean
 *  colours of the faces, linear. */
export function light(t: Turned, grey: number, outside: V3, inside: V3): Light {
  const a = aim(t),
    parts = boxParts(a);
  const l: Light = {
    ...a,
    outside: levelsOf(t.outside),
    inside: levelsOf(t.inside),
    table: new Float32Array(0),
    tableStep: 1,
    own: outside.map((c) => 0.5 * c) as V3,
    cavity: [0, 0, 0],
    of: new Map(),
    places: PLACES,
  };
  const { table, step } = tableOf(t, l.outside);
  l.table = table;
  l.tableStep = step;
  for (const p of t.lathes) {
    const of = p.stretches.map((s) => {
      const key = new Float32Array(s.rings.length * PLACES);
      s.rings.forEach((x, k) => keyRing(l, parts, p, x, key, k * PLACES));
      return { key, sky: new Float32Array(3 * s.rings.length) };
    });
    l.of.set(p, of);
    if (p.cavity) lightInside(l, p, inside);
    else {
      p.stretches.forEach((s, i) =>
        s.rings.forEach((x, k) =>
          of[i]?.sky.set(skyOutside(l, t, p, x, grey, outside), 3 * k),
        ),
      );
    }
  }
  return l;
}
