// SPDX-License-Identifier: GPL-3.0-or-later
// A piece's colours as pale, or as strong, as its tiles leave open
// (core/colour/strength.h).

import type { Piece, Slip } from '../piece';
import { Module } from './module';
import { number } from './numbers';
import { defaults } from './schema';
import { Fault } from './shapes';

/** Expected: what the tiles say; pale and strong: the ends of their doubt. */
export type Strength = 'expected' | 'pale' | 'strong';

// In the order of lh_strength.
const STRENGTHS: Strength[] = ['expected', 'pale', 'strong'];

/** The coat that one would lay: the best of its window, or two of the brush
 *  (piece/optics.h). [g/m2] */
function usualCoat(s: Slip): number {
  const best = number(s.window?.best_g_m2, 0);
  return best > 0 ? best : 2 * number(s.coat_g_m2);
}

/** For each slip: doubt, coat, the slip below (-1: the body), its coat. */
export function laidNumbers(piece: Piece): Float64Array {
  const ground = piece.slips.findIndex((s) => s.ground);
  const under = piece.slips[ground];
  return new Float64Array(
    piece.slips.flatMap((s) => [
      number(s.uncertainty_percent, defaults.uncertainty) / 100,
      usualCoat(s),
      s.ground || !under ? -1 : ground,
      s.ground || !under ? 0 : usualCoat(under),
    ]),
  );
}

/** Shifts palettes; the last one is kept. */
export class Strengths {
  private m: Module | null = null;
  private of: string | null = null;
  private shifted: Float64Array | null = null;

  constructor(private readonly module: WebAssembly.Module) {}

  /** A palette's numbers (engine.ts) at a strength. */
  palette(piece: Piece, numbers: Float64Array, to: Strength): Float64Array {
    if (to === 'expected') return numbers;
    const laid = laidNumbers(piece);
    const of = `${to} ${laid.join()} ${numbers.join()}`;
    if (of === this.of && this.shifted) return this.shifted;
    const m = (this.m ??= new Module(this.module));
    const n = numbers.length,
      at = m.take(8 * (2 * n + laid.length));
    m.f64(at, n).set(numbers);
    m.f64(at + 16 * n, laid.length).set(laid);
    const st = m.e.lh_module_strength(
      at,
      n,
      at + 16 * n,
      STRENGTHS.indexOf(to),
      at + 8 * n,
    );
    const out = m.f64(at + 8 * n, n).slice();
    m.give(at);
    if (st) throw new Fault('the fired colours cannot be worked out');
    this.of = of;
    this.shifted = out;
    return out;
  }
}
