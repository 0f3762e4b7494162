// SPDX-License-Identifier: GPL-3.0-or-later
// Between which coat weights a slip fires right, as the operation `window`
// works it out for each ground that the slip lies on.  What the answer hangs
// on are the optical numbers and what lies below, not the strokes: so it is
// kept until one of those changes.

import type { Coverage } from './results';
import { askable } from './refer';
import { layersOf, lowers, under, type Coat } from './stack';
import { store, type Piece, type Slip, type Window } from './store';
import { fixed, num } from './words';
import { askOnce } from './ui/hooks';

/** One coat weight under all its names. */
type Named<K extends string> = Record<`${K}_g_m2`, number> &
  Partial<
    Record<`${K}_coats` | `${K}_wet_mm` | `${K}_dry_mm` | `${K}_dry_g`, number>
  >;

/** What `window` gives.  Without an end most_g_m2 is not there. */
export interface WindowResult
  extends
    Named<'least'>,
    Named<'best'>,
    Omit<Named<'most'>, 'most_g_m2'>,
    Partial<Pick<Named<'most'>, 'most_g_m2'>> {
  reached: boolean;
  no_upper_end: boolean;
  tolerance: number;
  covering_g_m2?: number | null;
  contrast_98_g_m2?: number | null;
  safer_side?: 'thin' | 'thick';
  thin_de00_per_10_percent?: number;
  thick_de00_per_10_percent?: number;
  other_windows: { least_g_m2: number; most_g_m2?: number | null }[];
  range: Partial<
    Record<
      | 'least_g_m2'
      | 'best_g_m2'
      | 'most_g_m2'
      | 'covering_g_m2'
      | 'contrast_98_g_m2',
      [number, number]
    >
  > & { reached_percent: number };
}

/** What a slip lies on, and how much of it does. */
export interface Ground {
  over: string; // a slip's id, or "body"
  area_cm2: number;
  upper_g_m2: number;
  below: Coat[]; // uppermost first
}

const MOST = 3;

/** Half a gram more or less below changes nothing that is seen. */
const rounded = (stack: Coat[]): Coat[] =>
  stack.map((s) => ({ ...s, g: Math.round(2 * s.g) / 2 }));

/** The grounds that a slip lies on, the largest first.  Painted nowhere yet:
 *  the first ground, as if it were painted there. */
export function grounds(piece: Piece, c: Coverage, slip: Slip): Ground[] {
  const on = lowers(c, slip.id).slice(0, MOST);
  if (on.length) {
    return on.map((o) => ({
      over: o.lower,
      area_cm2: o.area_cm2,
      upper_g_m2: o.upper_g_m2,
      below: rounded(under(c, o.lower, o.lower_g_m2)),
    }));
  }
  const ground = piece.slips.find((s) => s.ground && s.id !== slip.id);
  const use = ground && c.slips.find((s) => s.slip === ground.id);
  const g = use?.coat_g_m2 || num(ground?.coat_g_m2, 0);
  return [
    {
      over: ground?.id ?? 'body',
      area_cm2: 0,
      upper_g_m2: num(slip.coat_g_m2),
      below: ground ? rounded(under(c, ground.id, g)) : [],
    },
  ];
}

/** The coat weight whose colour is wanted. [g/m2] */
export function wanted(slip: Slip): number {
  const w = slip.window;
  const coat = num(slip.coat_g_m2);
  if (!w) return coat;
  const [least, most] = [num(w.least_g_m2), num(w.most_g_m2)];
  const inside = coat >= least && coat <= most;
  return num(w.best_g_m2, inside ? coat : Math.sqrt(Math.max(least, 1) * most));
}

/** The piece as it stands when the server can be asked about it. */
async function pieceNow(signal: AbortSignal): Promise<Piece> {
  for (;;) {
    const piece = store.piece;
    await askable(signal);
    if (piece === store.piece) return piece;
  }
}

function askOf(piece: Piece, slip: Slip, on: Ground): Record<string, unknown> {
  return {
    slip: slip.id,
    best: wanted(slip),
    // As the dabs are drawn: daylight without the surface's shine.
    geometry: 'd8_ex',
    over: {
      reflectance: piece.body.reflectance,
      stack_top_first: layersOf(piece, on.below),
    },
  };
}

/** All that a window hangs on, in one line. */
function hangsOn(piece: Piece, slip: Slip, ask: unknown): string {
  const ground = piece.slips.find((s) => s.ground);
  return JSON.stringify([
    ask,
    slip.absorption_m2_g,
    slip.scattering_m2_g,
    slip.uncertainty_percent,
    slip.tiles_read_by,
    [slip.litre_weight_g, slip.solids_density, slip.coat_g_m2],
    [ground?.absorption_m2_g, ground?.scattering_m2_g, ground?.coat_g_m2],
    [piece.body.reflectance, piece.glaze, piece.glaze_g_m2],
    piece.limits?.coat_doubt_percent,
  ]);
}

const kept = new Map<string, WindowResult>();
const KEPT_MOST = 60;

/** The window of a slip on one of its grounds. */
export async function windowOf(
  id: string,
  on: Ground,
  signal: AbortSignal,
): Promise<WindowResult | undefined> {
  const piece = await pieceNow(signal);
  const slip = piece.slips.find((s) => s.id === id);
  if (!slip) return undefined;
  const ask = askOf(piece, slip, on);
  const key = hangsOn(piece, slip, ask);
  const had = kept.get(key);
  if (had) return had;
  const r = await askOnce<WindowResult>('window', piece, signal, ask);
  kept.set(key, r);
  if (kept.size > KEPT_MOST) kept.delete(kept.keys().next().value as string);
  return r;
}

/** Least and most as numbers; most is Infinity where nothing is too thick.
 *  Undefined where the colour cannot be reached. */
export function ends(
  w: WindowResult | undefined,
): [number, number] | undefined {
  if (!w?.reached) return undefined;
  return [w.least_g_m2, w.no_upper_end ? Infinity : num(w.most_g_m2, Infinity)];
}
export function written(slip: Slip): [number, number] | undefined {
  const w = slip.window;
  return w && [num(w.least_g_m2), num(w.most_g_m2)];
}
/** "64 to 88 g/m²", "from 45 g/m² on". */
export function inWords([least, most]: [number, number]): string {
  return Number.isFinite(most)
    ? `${fixed(least, 0)} to ${fixed(most, 0)} g/m²`
    : `from ${fixed(least, 0)} g/m² on`;
}

/** No end to the thick side: a window that is written down wants one.  The
 *  potter's own, else this many times the best. (judgement) */
const THICK = 4;

/** A window worked out, as the piece writes windows: to whole grams. */
export function asWritten(
  w: WindowResult,
  slip: Slip,
  ground: string,
): Window | undefined {
  const e = ends(w);
  if (!e) return undefined;
  const best = wanted(slip);
  const own = num(slip.window?.most_g_m2, 0);
  const open = !Number.isFinite(e[1]);
  const most = open ? (own > best ? own : THICK * best) : e[1];
  return {
    // Inward, so that both ends are still right.
    least_g_m2: Math.min(Math.ceil(e[0]), best),
    best_g_m2: best,
    most_g_m2: Math.max(Math.floor(most), best),
    ...(w.safer_side ? { safer_side: w.safer_side } : {}),
    why:
      `Worked out: within \u0394E ${fixed(w.tolerance, 0)} of its colour at ` +
      `${fixed(best, 0)} g/m² over ${ground}` +
      (open ? '; no coat is too thick for the colour.' : '.'),
  };
}
