// SPDX-License-Identifier: GPL-3.0-or-later
// A piece laid, coloured and measured by the module; after a change only what
// changed.  Runs in the page's worker, and in the tests.

import { Flattener } from './flat';
import {
  LAYERS_MOST,
  MEASURE_MOST,
  Module,
  NOMEM,
  PALETTE_ROOM,
  REPORT,
  TILE,
} from './module';
import { number, spectrum } from './numbers';
import { defaults } from './schema';
import { Fault, Shapes } from './shapes';
import { Strengths, type Strength } from './strength';
import type { Piece, Zone } from '../piece';

export interface Rect {
  x: number;
  y: number;
  w: number;
  h: number;
}
/** A zone's size, its map's size, and where it changed. */
export interface Laid {
  zone: string;
  nx: number;
  ny: number;
  pixel: number; // [chart mm]
  width: number; // [chart mm]
  height: number;
  all: boolean;
  rects: Rect[];
}
export interface Covered {
  slip: string;
  area_mm2: number;
  grams: number;
  mean: number;
  most: number;
}
export interface ZoneNumbers {
  zone: string;
  zone_mm2: number;
  bare_mm2: number;
  layers: Covered[]; // from the lowest up
  slips: Covered[];
  overlaps: {
    upper: string;
    lower: string;
    area_mm2: number;
    upper_g_m2: number;
    lower_g_m2: number;
  }[];
}
export type Look = 'fired' | 'painted';
export interface Trouble {
  entry: string;
  what: string;
}

// core/colour: LH_D8_EX, LH_D65 (the shine is the light's affair).
const GEOMETRY = 1,
  ILLUMINANT = 0;

export function paletteNumbers(piece: Piece, look: Look): Float64Array {
  const g = look === 'fired' ? piece.glaze : undefined;
  const weight = number(piece.glaze_g_m2, defaults.glaze);
  const depth = spectrum(g?.absorption_m2_g).map((x) => x * weight);
  const out = [
    GEOMETRY,
    ILLUMINANT,
    g ? 1 : 0,
    number(g?.index, defaults.index),
    number(g?.eats_g_m2, defaults.eats),
    number(g?.dissolved_share, defaults.share),
    ...depth,
    ...spectrum(piece.body.reflectance),
  ];
  for (const s of piece.slips) {
    out.push(...spectrum(s.absorption_m2_g), ...spectrum(s.scattering_m2_g));
  }
  return new Float64Array(out);
}

/** How far each slip runs at its edges in the fire; 0: not, or not known. */
export function bleedNumbers(piece: Piece, look: Look): number[] {
  return piece.slips.map((s) =>
    look === 'fired' ? Math.max(0, number(s.bleed_mm, 0)) : 0,
  );
}

const same = (a: ArrayLike<number> | null, b: ArrayLike<number>): boolean => {
  if (!a || a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
};

/** A colouring of a zone's maps. */
interface Tint {
  numbers: Float64Array | null;
  palette: number;
  memo: number;
  rgba: number;
  serial: number; // of the laying that it shows
}

/** One zone with its memory. */
class ZoneMaps {
  readonly m: Module;
  private input = 0;
  private rooms: [number, number] = [0, 0];
  private now = 0; // which room holds what is laid
  private laid = false;
  private maps: number[] = [];
  private spare: number[] = [];
  private stale = 0;
  private sums = 0;
  private small: number; // report, answer, pointers
  private out: number;
  private tints = new Map<Look, Tint>();
  /** Of a coat map, by its place: the same spread by its slip's bleed. */
  private bled = new Map<number, number>();
  private last: Float64Array | null = null;
  private layers: number[] = [];
  private serial = 0;
  size: Laid;

  constructor(
    module: WebAssembly.Module,
    readonly id: string,
  ) {
    this.m = new Module(module);
    this.small = this.m.take(8 * REPORT.NUMBERS + 256 + 256);
    this.out = this.m.take(8 * MEASURE_MOST);
    this.size = {
      zone: id,
      nx: 0,
      ny: 0,
      pixel: 0,
      width: 0,
      height: 0,
      all: true,
      rects: [],
    };
  }

  private get room(): number {
    return this.rooms[this.now] as number;
  }

  /** Ready in the other room; its report. */
  private ready(flat: Float64Array): Float64Array {
    const { m } = this;
    this.input = m.atLeast(this.input, flat.byteLength);
    m.f64(this.input, flat.length).set(flat);
    const other = 1 - this.now;
    let want = Math.max(1 << 20, m.size(this.rooms[other] as number));
    for (;;) {
      this.rooms[other] = m.atLeast(this.rooms[other] as number, want);
      const room = this.rooms[other] as number,
        bytes = m.size(room);
      const st = m.e.lh_module_ready(
        this.input,
        flat.length,
        room,
        bytes,
        this.small,
      );
      if (st !== NOMEM || bytes > 1 << 29) {
        return m.f64(this.small, REPORT.NUMBERS).slice();
      }
      want = 2 * bytes;
    }
  }

  private pointers(): number {
    const at = this.small + 8 * REPORT.NUMBERS + 256;
    this.m.u32(at, this.maps.length).set(this.maps);
    return at;
  }

  private map(pixels: number): number {
    const at = this.spare.pop() ?? this.m.take(4 * pixels);
    this.m.u8(at, 4 * pixels).fill(0);
    const bled = this.bled.get(at);
    if (bled) this.m.u8(bled, 4 * pixels).fill(0);
    return at;
  }

  /** Take over what is still good of the maps. */
  private takeMaps(
    from: Int32Array,
    layers: number,
    pixels: number,
    resized: boolean,
  ): void {
    const old = this.maps,
      kept = new Set<number>();
    if (resized) {
      for (const at of [...old, ...this.spare, ...this.bled.values()])
        this.m.give(at);
      this.spare = [];
      this.bled.clear();
    }
    this.maps = [];
    for (let k = 0; k < layers; k++) {
      const f = resized ? -1 : (from[k] as number);
      for (let c = 0; c < 2; c++) {
        const at = f < 0 ? -1 : (old[2 * f + c] as number);
        if (at >= 0) kept.add(at);
        this.maps.push(at);
      }
    }
    if (!resized) for (const at of old) if (!kept.has(at)) this.spare.push(at);
    this.maps = this.maps.map((at) => (at < 0 ? this.map(pixels) : at));
  }

  /** Lay what changed.  A word when it cannot be; then nothing has changed. */
  lay(flat: Float64Array): string | null {
    if (same(this.last, flat)) {
      const { nx, ny } = this.size;
      const tiles = Math.ceil(nx / TILE) * Math.ceil(ny / TILE);
      this.m.u8(this.stale, tiles).fill(0);
      this.size = { ...this.size, all: false, rects: [] };
      return null;
    }
    const { m } = this;
    const r = this.ready(flat);
    if (r[REPORT.STATUS]) return why(r);
    const nx = r[REPORT.NX] as number,
      ny = r[REPORT.NY] as number;
    const tiles = Math.ceil(nx / TILE) * Math.ceil(ny / TILE);
    const resized = !this.laid || nx !== this.size.nx || ny !== this.size.ny;
    const answer = this.small + 8 * REPORT.NUMBERS;
    const other = this.rooms[1 - this.now] as number;
    this.stale = m.atLeast(this.stale, tiles);
    m.e.lh_module_since(this.laid ? this.room : 0, other, this.stale, answer);
    const a = m.i32(answer, 3 + LAYERS_MOST).slice();
    this.now = 1 - this.now;
    this.laid = true;
    this.serial++;
    this.last = flat;
    this.layers = Array.from(
      r.subarray(REPORT.SLIPS, REPORT.SLIPS + (r[REPORT.LAYERS] as number)),
    );
    this.takeMaps(a.subarray(3), this.layers.length, nx * ny, resized);
    this.sums = m.atLeast(this.sums, m.e.lh_module_sums(this.room));
    m.e.lh_module_paint(this.room, this.pointers(), this.stale);
    this.size = {
      zone: this.id,
      nx,
      ny,
      pixel: r[REPORT.PIXEL] as number,
      width: r[REPORT.WIDTH] as number,
      height: r[REPORT.HEIGHT] as number,
      all: a[0] !== 0,
      rects: rects(m.u8(this.stale, tiles), nx, ny),
    };
    return null;
  }

  /** The numbers of what is laid. */
  measure(slips: string[]): ZoneNumbers {
    const { m } = this;
    m.e.lh_module_measure(
      this.room,
      this.pointers(),
      this.stale,
      this.sums,
      this.out,
    );
    const o = m.f64(this.out, MEASURE_MOST);
    const name = (k: number) => (k < 0 ? 'body' : (slips[k] ?? ''));
    const at = (i: number) => o[i] as number;
    let n = 5;
    const covered = (count: number): Covered[] =>
      Array.from({ length: count }, () => {
        const c = {
          slip: name(at(n)),
          area_mm2: at(n + 1),
          grams: at(n + 2),
          mean: at(n + 3),
          most: at(n + 4),
        };
        n += 5;
        return c;
      });
    const layers = covered(at(2)),
      used = covered(at(3));
    const overlaps = Array.from({ length: at(4) }, () => {
      const x = {
        upper: name(at(n)),
        lower: name(at(n + 1)),
        area_mm2: at(n + 2),
        upper_g_m2: at(n + 3),
        lower_g_m2: at(n + 4),
      };
      n += 5;
      return x;
    });
    return {
      zone: this.id,
      zone_mm2: at(0),
      bare_mm2: at(1),
      layers,
      slips: used,
      overlaps,
    };
  }

  /** Colours as bytes, and where they are others than the last time. */
  tint(
    look: Look,
    numbers: Float64Array,
    bleeds: number[],
  ): { rgba: Uint8Array; rects: Rect[] } {
    const { m } = this;
    const { nx, ny } = this.size;
    const t: Tint = this.tints.get(look) ?? {
      numbers: null,
      rgba: 0,
      palette: m.take(PALETTE_ROOM),
      memo: m.take(m.e.lh_module_memo()),
      serial: -1,
    };
    this.tints.set(look, t);
    const key = new Float64Array([
      ...numbers,
      ...bleeds,
      nx,
      ny,
      ...this.layers,
    ]);
    let rects = t.serial === this.serial ? [] : this.size.rects;
    if (t.serial < this.serial - 1 || (this.size.all && rects.length)) {
      rects = [{ x: 0, y: 0, w: nx, h: ny }];
    }
    if (!same(t.numbers, key)) {
      const n = numbers.length + bleeds.length;
      if (
        !t.numbers ||
        !same(t.numbers.subarray(0, n + 2), key.subarray(0, n + 2))
      ) {
        this.prepare(t, numbers);
        rects = [{ x: 0, y: 0, w: nx, h: ny }];
      }
      m.u8(t.memo, m.e.lh_module_memo()).fill(0);
      t.numbers = key;
    }
    t.rgba = m.atLeast(t.rgba, 4 * nx * ny);
    t.serial = this.serial;
    if (rects.length) rects = this.tintTiles(t, rects, bleeds);
    return { rgba: m.u8(t.rgba, 4 * nx * ny), rects };
  }

  private prepare(t: Tint, numbers: Float64Array): void {
    const { m } = this;
    const at = m.take(numbers.byteLength);
    m.f64(at, numbers.length).set(numbers);
    const st = m.e.lh_module_palette(
      at,
      numbers.length,
      t.palette,
      PALETTE_ROOM,
    );
    m.give(at);
    if (st) throw new Fault('the fired colours cannot be worked out');
  }

  /** The maps as they fire, in the stale tiles: coats of slips that bleed
   *  spread, the others as they are.  Gives where the pointers stand. */
  private fired(stale: number, bleeds: number[]): number {
    const { m } = this;
    const pixels = this.size.nx * this.size.ny;
    const maps = this.maps.map((coat, i) => {
      const mm = i % 2 ? 0 : (bleeds[this.layers[i / 2] as number] ?? 0);
      if (!(mm > 0)) return coat;
      let out = this.bled.get(coat);
      if (!out) {
        this.bled.set(coat, (out = m.take(4 * pixels)));
        m.u8(out, 4 * pixels).fill(0);
      }
      const work = m.take(m.e.lh_module_work(this.room, mm));
      const st = m.e.lh_module_bleed(this.room, mm, coat, stale, work, out);
      m.give(work);
      if (st) throw new Fault('the bleed cannot be drawn');
      return out;
    });
    const at = this.pointers();
    m.u32(at, maps.length).set(maps);
    return at;
  }

  /** Colour them, and what bleeds into them; gives where. */
  private tintTiles(t: Tint, given: Rect[], bleeds: number[]): Rect[] {
    const { m } = this;
    const { nx, ny } = this.size;
    const across = Math.ceil(nx / TILE);
    const tiles = across * Math.ceil(ny / TILE);
    const widest = Math.max(0, ...this.layers.map((k) => bleeds[k] ?? 0));
    let spots = given;
    const at = m.take(tiles),
      flags = m.u8(at, tiles).fill(0);
    for (const r of given) {
      for (let y = r.y / TILE; y < (r.y + r.h) / TILE; y++) {
        for (let x = r.x / TILE; x < (r.x + r.w) / TILE; x++) {
          flags[y * across + x] = 1;
        }
      }
    }
    if (widest > 0 && m.e.lh_module_reach(this.room, widest, at) === 0) {
      spots = rects(m.u8(at, tiles), nx, ny);
    }
    const st = m.e.lh_module_tint(
      t.palette,
      this.room,
      this.fired(at, bleeds),
      at,
      t.memo,
      1,
      t.rgba,
    );
    m.give(at);
    if (st) throw new Fault('the fired colours cannot be worked out');
    return spots;
  }

  /** Where a slip is too thin or too thick, a byte for each pixel. */
  window(
    slip: number,
    least: number,
    most: number,
  ): { says: Uint8Array; mm2: [number, number, number] } {
    const { m } = this;
    const n = this.size.nx * this.size.ny,
      at = m.take(n),
      mm2 = m.take(24);
    m.e.lh_module_window(
      this.room,
      this.pointers(),
      slip,
      least,
      most,
      at,
      mm2,
    );
    const says = m.u8(at, n).slice();
    const [thin, right, thick] = m.f64(mm2, 3) as unknown as [
      number,
      number,
      number,
    ];
    m.give(at);
    m.give(mm2);
    return { says, mm2: [thin, right, thick] };
  }

  /** Coat weights of a layer, row 0 lowest. [g/m2] */
  coat(layer: number): Float32Array {
    return this.m
      .f32(this.maps[2 * layer] as number, this.size.nx * this.size.ny)
      .slice();
  }
  cover(layer: number): Float32Array {
    return this.m
      .f32(this.maps[2 * layer + 1] as number, this.size.nx * this.size.ny)
      .slice();
  }
  get layerSlips(): number[] {
    return this.layers;
  }
}

/** lh_mark_why, as far as a drawn mark can be at fault. */
const WHY: Record<number, string> = {
  9: 'the mark is larger than any pot',
  10: 'the mark is off its zone',
  11: 'the fill goes more than once round the pot',
  12: 'more marks than are taken in one zone',
  13: 'this begins layer 13; at most 12 layers are taken in one zone',
};
function why(r: Float64Array): string {
  return WHY[r[REPORT.WHY] as number] ?? 'this cannot be painted';
}

/** Stale tiles as rectangles, along the rows first. */
function rects(stale: Uint8Array, nx: number, ny: number): Rect[] {
  const across = Math.ceil(nx / TILE),
    up = Math.ceil(ny / TILE);
  const left = stale.slice(),
    out: Rect[] = [];
  for (let i = 0; i < across * up; i++) {
    if (!left[i]) continue;
    const x = i % across,
      y = Math.floor(i / across);
    let w = 1,
      h = 1;
    while (x + w < across && left[i + w]) w++;
    const whole = (row: number) => {
      for (let k = 0; k < w; k++) if (!left[row + k]) return false;
      return true;
    };
    while (y + h < up && whole(i + h * across)) h++;
    for (let k = 0; k < h; k++)
      left.fill(0, i + k * across, i + k * across + w);
    out.push({
      x: x * TILE,
      y: y * TILE,
      w: Math.min(w * TILE, nx - x * TILE),
      h: Math.min(h * TILE, ny - y * TILE),
    });
  }
  return out;
}

export class Engine {
  readonly shapes: Shapes;
  private readonly flattener: Flattener;
  private zones = new Map<string, ZoneMaps>();
  private piece: Piece | null = null;
  private readonly strengths: Strengths;
  /** Of the fired look. */
  strength: Strength = 'expected';
  troubles: Trouble[] = [];

  constructor(private readonly module: WebAssembly.Module) {
    this.shapes = new Shapes(module);
    this.flattener = new Flattener(this.shapes);
    this.strengths = new Strengths(module);
  }

  /** The array that a zone is laid from. */
  flat(piece: Piece, zone: Zone): Float64Array {
    return this.flattener.zone(piece, zone, this.troubles);
  }

  /** Lay a piece: those of its zones that changed. */
  lay(piece: Piece): Laid[] {
    const laid: Laid[] = [];
    this.troubles = [];
    this.piece = piece;
    for (const id of [...this.zones.keys()]) {
      if (!piece.zones.some((z) => z.id === id)) this.zones.delete(id);
    }
    for (const z of piece.zones) {
      try {
        const flat = this.flat(piece, z);
        let maps = this.zones.get(z.id);
        if (!maps)
          this.zones.set(z.id, (maps = new ZoneMaps(this.module, z.id)));
        const what = maps.lay(flat);
        if (what) this.troubles.push({ entry: z.id, what });
        else laid.push(maps.size);
      } catch (x) {
        if (!(x instanceof Fault)) throw x;
        this.troubles.push({ entry: z.id, what: x.message });
      }
    }
    return laid;
  }

  zone(id: string): ZoneMaps | undefined {
    return this.zones.get(id);
  }

  private slipIds(): string[] {
    return (this.piece?.slips ?? []).map((s) => s.id);
  }

  measure(): ZoneNumbers[] {
    const ids = this.slipIds();
    return [...this.zones.values()]
      .filter((z) => z.size.nx > 0)
      .map((z) => z.measure(ids));
  }

  palette(look: Look): Float64Array {
    const piece = this.piece as Piece,
      numbers = paletteNumbers(piece, look);
    return look === 'fired'
      ? this.strengths.palette(piece, numbers, this.strength)
      : numbers;
  }

  tint(zone: string, look: Look): { rgba: Uint8Array; rects: Rect[] } | null {
    const z = this.zones.get(zone);
    if (!z || !(z.size.nx > 0)) return null;
    const bleeds = bleedNumbers(this.piece as Piece, look);
    return z.tint(look, this.palette(look), bleeds);
  }

  window(
    zone: string,
    slip: string,
    within: [number, number] | null,
  ): { says: Uint8Array; mm2: [number, number, number] } | null {
    const z = this.zones.get(zone),
      k = this.slipIds().indexOf(slip);
    const w = this.piece?.slips[k]?.window;
    const [least, most] =
      within ?? (w ? [number(w.least_g_m2), number(w.most_g_m2)] : [NaN, NaN]);
    if (!z || k < 0 || Number.isNaN(least) || Number.isNaN(most)) return null;
    return z.window(k, least, most);
  }
}

/** One pot's slips, summed over its zones. */
export interface SlipNumbers {
  slip: string;
  area_cm2: number;
  dry_g: number;
  coat_g_m2: number;
  heaviest_g_m2: number;
}
export interface Numbers {
  slips: SlipNumbers[];
  overlaps: {
    upper: string;
    lower: string;
    area_cm2: number;
    upper_g_m2: number;
    lower_g_m2: number;
  }[];
  zones: ZoneNumbers[];
  area_cm2: number;
  bare_cm2: number;
  troubles: Trouble[];
}

/** The sums that `leatherhard coverage` prints. */
export function sum(
  piece: Piece,
  zones: ZoneNumbers[],
  troubles: Trouble[],
): Numbers {
  const slips = piece.slips.map((s) => {
    let area = 0,
      dry = 0,
      most = 0;
    for (const z of zones) {
      const c = z.slips.find((x) => x.slip === s.id);
      if (!c) continue;
      area += c.area_mm2;
      dry += c.grams;
      most = Math.max(most, c.most);
    }
    return {
      slip: s.id,
      area_cm2: area / 100,
      dry_g: dry,
      coat_g_m2: area > 0 ? (dry / area) * 1e6 : 0,
      heaviest_g_m2: most,
    };
  });
  const overlaps: Numbers['overlaps'] = [];
  for (const z of zones) {
    for (const o of z.overlaps) {
      let x = overlaps.find((y) => y.upper === o.upper && y.lower === o.lower);
      if (!x) {
        x = {
          upper: o.upper,
          lower: o.lower,
          area_cm2: 0,
          upper_g_m2: 0,
          lower_g_m2: 0,
        };
        overlaps.push(x);
      }
      const area = x.area_cm2 * 100 + o.area_mm2;
      if (!(area > 0)) continue;
      x.upper_g_m2 =
        (x.upper_g_m2 * x.area_cm2 * 100 + o.upper_g_m2 * o.area_mm2) / area;
      x.lower_g_m2 =
        (x.lower_g_m2 * x.area_cm2 * 100 + o.lower_g_m2 * o.area_mm2) / area;
      x.area_cm2 = area / 100;
    }
  }
  return {
    slips,
    overlaps,
    zones,
    troubles,
    area_cm2: zones.reduce((s, z) => s + z.zone_mm2, 0) / 100,
    bare_cm2: zones.reduce((s, z) => s + z.bare_mm2, 0) / 100,
  };
}
