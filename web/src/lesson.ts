// SPDX-License-Identifier: GPL-3.0-or-later
// What is learned from a slip's tiles: what the operation `learn` is asked,
// and its numbers put into the piece as one edit.

import type { Piece, Slip } from './piece';
import { store } from './store';
import {
  alone,
  coatsOf,
  labOf,
  strange,
  underOf,
  way,
  type Reader,
  type Tile,
} from './tiles';
import { bare, num } from './words';

export interface Learned {
  slip: {
    absorption_m2_g: number[];
    scattering_m2_g: number[];
    absorption_error_percent: number[];
    scattering_error_percent: number[];
  };
  grounds: { name: string; reflectance: number[] }[];
  tiles: {
    name: string;
    coat_g_m2: number;
    delta_e00: number;
    left_out_delta_e00: number | null;
    coat_factor: number;
    outlier: boolean;
  }[];
  left_out_delta_e00: number | null;
  left_out_worst_delta_e00: number | null;
  trusted_to_delta_e00: number | null;
  settled: boolean;
  provisional: boolean;
}

export interface Lesson {
  /** Tiles of the slip that go into it. */
  tiles: Tile[];
  /** Grounds of which no tile was fired alone, so what lies on them is left
   *  out. */
  missing: string[];
  doc: unknown;
}

/** What lies under a slip that lies on no other. */
const BODY = 'the body';

/** What a 90 % range in three numbers is wide, in standard deviations: the
 *  root of chi-squared's 6.251; a photograph is good to 2 at best, one
 *  standard deviation (a judgement, as `learn` has it). */
const SIGMAS = 2.5003;
const PHOTO_SD = 2;

/** What `learn` is asked of tiles that were read in one way. */
export function lesson(
  piece: Piece,
  slip: Slip,
  tiles: Tile[],
  every: Tile[],
): Lesson | undefined {
  const first = tiles[0];
  if (!first) return undefined;
  const names = new Set<string>();
  const named = (t: Tile) => {
    let name = t.name;
    for (let i = 2; names.has(name); i++) name = `${t.name} (${i})`;
    names.add(name);
    return name;
  };
  const grounds = new Map<string, string>(); // a tile alone -> its ground
  const missing = new Set<string>();
  const docs: Record<string, unknown>[] = [];
  const used: Tile[] = [];
  const kin = every.filter(
    (t) => way(t) === way(first) && strange(piece, t) === '',
  );
  const doc = (t: Tile, ground: string, coat: number) => ({
    name: named(t),
    ground,
    coat_g_m2: coat,
    ...(coat > 0 && t.coat_error_percent !== undefined
      ? { coat_error_percent: t.coat_error_percent }
      : {}),
    ...(num(t.glaze_g_m2, 0) > 0 ? { glaze_g_m2: t.glaze_g_m2 } : {}),
    ...(t.reflectance ? { reflectance: t.reflectance } : { lab: labOf(t) }),
  });
  const readings: Tile[] = [];
  for (const t of tiles) {
    const under = coatsOf(t)[1];
    const own = alone(kin, under);
    if (!own[0]) {
      missing.add(under ? bare(under.name) : BODY);
      continue;
    }
    const key = own.map((o) => o.id).join(' ');
    let ground = grounds.get(key);
    if (!ground) {
      ground = under ? underOf(t) : BODY;
      grounds.set(key, ground);
      for (const o of own) {
        docs.push(doc(o, ground, 0));
        readings.push(o);
      }
    }
    used.push(t);
    readings.push(t);
    const g = num(t.coat_g_m2);
    docs.push(doc(t, ground, g));
  }
  const photograph = readings.some((t) => t.read_by === 'photograph');
  const ranges = readings.map((t) => num(t.reading_de00, 0) / SIGMAS);
  const { index, absorption_m2_g, eats_g_m2, dissolved_share } =
    piece.glaze ?? {};
  return {
    tiles: used,
    missing: [...missing],
    doc: {
      slip: bare(slip.name ?? slip.id),
      geometry: first.geometry ?? '45_0',
      ...(first.reflectance
        ? {}
        : { tiles_read_by: photograph ? 'photograph' : 'colorimeter' }),
      ...(photograph ? { lab_error: Math.max(PHOTO_SD, ...ranges) } : {}),
      ...(piece.glaze
        ? {
            glaze: {
              ...(index === undefined ? {} : { index }),
              ...(absorption_m2_g === undefined ? {} : { absorption_m2_g }),
              // K and S of a piece are those before its glaze ate.
              eats_g_m2: num(eats_g_m2, 0),
              ...(dissolved_share === undefined ? {} : { dissolved_share }),
            },
          }
        : {}),
      tiles: docs,
    },
  };
}

/** With what the tiles of a lesson were read: the least sure counts. */
export function readerOf(tiles: Tile[]): Reader {
  if (tiles.some((t) => t.read_by === 'photograph')) return 'photograph';
  return tiles.some((t) => !t.reflectance)
    ? 'colorimeter'
    : 'spectrophotometer';
}

/** How sure K and S are in one number [%]: the quadratic mean of the two
 *  medians over the wavelengths, no more than the piece may hold.
 *  (judgement) */
export function surely(of: Learned['slip']): number {
  const median = (v: number[]) =>
    [...v].sort((a, b) => a - b)[v.length >> 1] ?? 0;
  const k = median(of.absorption_error_percent);
  const s = median(of.scattering_error_percent);
  const both = Math.sqrt((k * k + s * s) / 2);
  return Number(Math.min(100, both).toPrecision(2));
}

const four = (v: number[]) => v.map((x) => Number(x.toPrecision(4)));

/** Put what was learned into the piece: one edit, which undo takes back. */
export function putToUse(slip: Slip, of: Learned, l: Lesson): void {
  const at = store.piece.slips.findIndex((s) => s.id === slip.id);
  const now = store.piece.slips[at];
  if (!now) return;
  const reader = readerOf(l.tiles);
  const dates = l.tiles.map((t) => t.date ?? '').sort();
  const date = dates[dates.length - 1];
  const n = l.tiles.length;
  const { invented: _, ...rest } = now;
  const value: Slip = {
    ...rest,
    absorption_m2_g: four(of.slip.absorption_m2_g),
    scattering_m2_g: four(of.slip.scattering_m2_g),
    uncertainty_percent: surely(of.slip),
    tiles_read_by: reader,
    optics_from:
      `learned from ${n} ${n === 1 ? 'tile' : 'tiles'}, ${reader}` +
      (date ? `, ${date}` : ''),
  };
  store.apply(
    [{ op: 'replace', path: `/slips/${at}`, value }],
    `learn ${bare(slip.name ?? slip.id)} from its tiles`,
  );
}

/** What was learned of the body by its own tiles; undefined: nothing. */
export const bodyOf = (of: Learned): number[] | undefined =>
  of.grounds.find((g) => g.name === BODY)?.reflectance;

/** Put the body's own colour into the piece. */
export function putBody(reflectance: number[]): void {
  const { invented: _, ...rest } = store.piece.body;
  const value = { ...rest, reflectance: four(reflectance) };
  store.apply(
    [{ op: 'replace', path: '/body', value }],
    'take the body’s colour from its tile',
  );
}
