// SPDX-License-Identifier: GPL-3.0-or-later
// How colours look to eyes that lack one of the three cones.
//
// Ref: Machado, Oliveira & Fernandes (2009), A Physiologically-based Model
//      for Simulation of Color Vision Deficiency, IEEE TVCG 15(6), 1291-1298;
//      their printed matrices, severity 0 to 1 in tenths (data/).  They
//      belong to linear light, not to the encoded numbers of sRGB.

import table from '../../data/cvd_machado2009.csv';

export type Sight = 'usual' | 'protanomaly' | 'deuteranomaly' | 'tritanomaly';
export type Rgb = [number, number, number];

const matrices = new Map<string, number[]>();
for (const line of table.split('\n')) {
  if (line === '' || line.startsWith('#') || line.startsWith('type')) continue;
  const [type, severity, ...m] = line.trim().split(',');
  matrices.set(`${type} ${Number(severity)}`, m.map(Number));
}

/** IEC 61966-2-1, mirrored below zero so that nothing is lost. */
export function linear(v: number): number {
  const a = Math.abs(v);
  const l = a <= 0.04045 ? a / 12.92 : ((a + 0.055) / 1.055) ** 2.4;
  return Math.sign(v) * l;
}
/** Back; below zero it goes straight on. */
export function encoded(v: number): number {
  return v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055;
}

/** An sRGB colour (0 to 1) as such eyes see it; it may leave 0 to 1. */
export function seen(rgb: Rgb, sight: Sight, severity = 1): Rgb {
  if (sight === 'usual') return rgb;
  const m = matrices.get(`${sight} ${severity}`);
  if (!m) throw new RangeError(`no such sight: ${sight} ${severity}`);
  const [r, g, b] = rgb.map(linear) as Rgb;
  const row = (i: number) =>
    encoded(
      (m[i] as number) * r +
        (m[i + 1] as number) * g +
        (m[i + 2] as number) * b,
    );
  return [row(0), row(3), row(6)];
}

/** As CSS wants it, clipped to what the screen shows. */
export function css(rgb: Rgb): string {
  const byte = (v: number) =>
    Math.round(255 * Math.min(1, Math.max(0, v)))
      .toString(16)
      .padStart(2, '0');
  return '#' + rgb.map(byte).join('');
}
