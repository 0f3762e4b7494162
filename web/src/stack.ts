// SPDX-License-Identifier: GPL-3.0-or-later
// Which slips lie over which on the piece, as documents for the operation
// `shade`.  The colours themselves are worked out by the program, not here.

import type { Coverage } from './results';
import type { Glaze, Piece, Spectrum } from './piece';
import { num } from './words';

export interface Coat {
  slip: string;
  g: number;
}

/** Over what a slip lies, the largest area first; specks are left out. */
export function lowers(c: Coverage, slip: string): Coverage['overlaps'] {
  const all = c.overlaps.filter((o) => o.upper === slip);
  const area = all.reduce((s, o) => s + o.area_cm2, 0);
  return all
    .filter((o) => o.area_cm2 >= 0.02 * area)
    .sort((a, b) => b.area_cm2 - a.area_cm2);
}

/** What lies below a coat on `lower`, uppermost first, down to the body. */
export function under(c: Coverage, lower: string, g: number): Coat[] {
  const stack: Coat[] = [];
  const met = new Set<string>();
  let at: { slip: string; g: number } | undefined = { slip: lower, g };
  while (at && at.slip !== 'body' && !met.has(at.slip)) {
    met.add(at.slip);
    stack.push(at);
    const next: Coverage['overlaps'][number] | undefined = lowers(
      c,
      at.slip,
    )[0];
    at = next && { slip: next.lower, g: next.lower_g_m2 };
  }
  return stack;
}

function depth(glaze: Glaze, g: number): number | number[] | undefined {
  const times = (v: Spectrum): number | number[] =>
    Array.isArray(v) ? v.map((x) => num(x) * g) : num(v) * g;
  return glaze.absorption_m2_g === undefined || glaze.absorption_m2_g === null
    ? undefined
    : times(glaze.absorption_m2_g);
}

/** The glaze on top, as the operations on colour want it. */
export function glazeOf(piece: Piece): Record<string, unknown> | null {
  const { glaze } = piece;
  if (!glaze) return null;
  const optical = depth(glaze, num(piece.glaze_g_m2, 600));
  return {
    ...(glaze.index === undefined ? {} : { index: glaze.index }),
    ...(optical === undefined ? {} : { optical_depth: optical }),
    ...(glaze.eats_g_m2 === undefined ? {} : { eats_g_m2: glaze.eats_g_m2 }),
    ...(glaze.dissolved_share === undefined
      ? {}
      : { dissolved_share: glaze.dissolved_share }),
  };
}

/** Coats as layers, the uppermost first. */
export function layersOf(piece: Piece, stack: Coat[]): unknown[] {
  return stack.map((c) => {
    const s = piece.slips.find((x) => x.id === c.slip);
    return {
      absorption_m2_g: s?.absorption_m2_g,
      scattering_m2_g: s?.scattering_m2_g,
      coat_g_m2: c.g,
    };
  });
}

/** The document for `shade`: daylight without the surface's shine, as the
 *  pictures are drawn. */
export function shadeOf(piece: Piece, stack: Coat[]): unknown {
  const top = piece.slips.find((s) => s.id === stack[0]?.slip);
  const sure = num(top?.uncertainty_percent, 15);
  return {
    stack_top_first: layersOf(piece, stack),
    substrate: { reflectance: piece.body.reflectance },
    glaze: glazeOf(piece),
    geometry: 'd8_ex',
    uncertainty: { absorption_percent: sure, scattering_percent: sure },
  };
}
