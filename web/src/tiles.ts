// SPDX-License-Identifier: GPL-3.0-or-later
// Tiles of a slip: kept in the book, held against what the piece says of them,
// learned from.
//
// A tile is a slip of known coat weight over a ground under a weighed glaze,
// and what was read of it.  The piece's slips are copies, so a tile says what
// its slip is called; where both came from the book, its id counts.

import { Refusal, ask, onServer, request, serverHere } from './api';
import { hasBook, onNews } from './book';
import type { Firing, Num, Piece, Slip } from './piece';
import { glazeOf } from './stack';
import { bare, count, fixed, num, small } from './words';

/* ---- what a tile is ------------------------------------------------------ */

export type Lab = [number, number, number];
export type Reader = 'spectrophotometer' | 'colorimeter' | 'photograph';

export interface Disc {
  x: number; // of the picture's width, from the left
  y: number; // of its height, from the top
  radius: number; // of its width
}
export interface Patch extends Disc {
  name: string;
  lab: Lab;
}

/** As the book keeps it (docs/book.md). */
export interface Tile {
  id: string;
  name: string;
  body_name?: string;
  under?: string;
  under_name?: string;
  under_g_m2?: Num;
  slip?: string;
  slip_name?: string;
  coat_g_m2?: Num;
  coats?: Num;
  coat_error_percent?: Num;
  glaze_name?: string;
  glaze_g_m2?: Num;
  fired?: Firing;
  reflectance?: Num[];
  geometry?: 'd8_in' | 'd8_ex' | '45_0';
  read_by?: Reader;
  lab_l?: Num;
  lab_a?: Num;
  lab_b?: Num;
  reading_de00?: Num;
  seen?: Disc & { patches: Patch[] };
  date?: string;
  pictures?: string[];
  note?: string;
}

/** One coat of it, or of what lies under that. */
export interface Coated {
  name: string;
  id?: string;
  g: number;
}

/** The coats of a tile, the uppermost first; none: the body alone. */
export function coatsOf(t: Tile): Coated[] {
  return [
    { name: t.slip_name ?? '', id: t.slip, g: num(t.coat_g_m2, 0) },
    { name: t.under_name ?? '', id: t.under, g: num(t.under_g_m2, 0) },
  ].filter((c) => c.g > 0 && (c.name || c.id));
}

const fromId = (s: Slip): string | undefined =>
  (s.from as { id?: string } | undefined)?.id;
const same = (a: string, b: string) =>
  bare(a).trim().toLowerCase() === bare(b).trim().toLowerCase();

/** Is it this slip? */
export function isOf(c: Coated, s: Slip): boolean {
  const id = fromId(s);
  if (c.id && id) return c.id === id;
  return c.name !== '' && same(c.name, s.name ?? s.id);
}
/** Two coats of one slip, near enough in weight to be one ground: within a
 *  fifth. (judgement) */
function alike(a: Coated, b: Coated): boolean {
  const one = a.id && b.id ? a.id === b.id : same(a.name, b.name);
  return one && Math.abs(Math.log(a.g / b.g)) < Math.log(1.2);
}

export const labOf = (t: Tile): Lab | undefined =>
  t.lab_l === undefined
    ? undefined
    : [num(t.lab_l), num(t.lab_a), num(t.lab_b)];

/** How much hotter or cooler a firing still counts as the same. [°C]
 *  (judgement) */
const AS_HOT = 20;

/** Why a tile says nothing of this piece's colours; '' when it does. */
export function strange(piece: Piece, t: Tile): string {
  const glazed = num(t.glaze_g_m2, 0) > 0;
  if (glazed && !piece.glaze) return 'glazed, and the piece is not';
  if (!glazed && piece.glaze) return 'bare, and the piece is glazed';
  if (
    glazed &&
    t.glaze_name &&
    piece.glaze?.name &&
    !same(t.glaze_name, piece.glaze.name)
  ) {
    return `under another glaze, ${bare(t.glaze_name)}`;
  }
  if (t.body_name && piece.body.name && !same(t.body_name, piece.body.name)) {
    return `on another body, ${bare(t.body_name)}`;
  }
  const peak = num(t.fired?.peak_c);
  const now = num(piece.glaze_firing?.peak_c);
  if (Math.abs(peak - now) > AS_HOT) return `fired to ${fixed(peak, 0)} °C`;
  return '';
}

/** How a tile was read: those read in different ways are not put together. */
export function way(t: Tile): string {
  return `${t.geometry ?? '45_0'} ${t.reflectance ? 'spectrum' : 'lab'}`;
}

/** The slip's own tiles, thin to thick over each ground. */
export function tilesOf(all: Tile[], slip: Slip): Tile[] {
  return all
    .filter((t) => {
      const top = coatsOf(t)[0];
      return top !== undefined && isOf(top, slip);
    })
    .sort(
      (a, b) =>
        underOf(a).localeCompare(underOf(b)) ||
        num(a.coat_g_m2) - num(b.coat_g_m2),
    );
}

/** Tiles of a ground alone; `ground` undefined: of the body. */
export function alone(all: Tile[], ground: Coated | undefined): Tile[] {
  return all.filter((t) => {
    const c = coatsOf(t);
    const [top] = c;
    if (!ground) return c.length === 0;
    return c.length === 1 && top !== undefined && alike(top, ground);
  });
}

/** What a tile's slip lies on: "White ground, 220 g/m²". */
export function underOf(t: Tile): string {
  const under = coatsOf(t)[1];
  return under
    ? `${small(bare(under.name))}, ${fixed(under.g, 0)} g/m²`
    : 'the body';
}
/** How much of it: "75 g/m²". */
export function coatOf(t: Tile): string {
  const n = num(t.coats);
  const counted = Number.isFinite(n) ? `, ${count(n, 'coat')} counted` : '';
  return `${fixed(num(t.coat_g_m2), 0)} g/m²${counted}`;
}

/* ---- the book ------------------------------------------------------------ */

let all: Tile[] | undefined;
let waiting: Tile[] = [];
let trouble = '';
const listeners = new Set<() => void>();
const tell = () => {
  for (const fn of [...listeners]) fn();
};
export function onTiles(fn: () => void): () => void {
  listeners.add(fn);
  return () => void listeners.delete(fn);
}
/** Every tile that the book keeps or that waits to be sent there; undefined
 *  while it was not heard. */
export const tilesNow = () => all && [...all, ...waiting];
export const isWaiting = (t: Tile) => waiting.some((w) => w.id === t.id);
/** Why the book did not take a tile, in words; or ''. */
export const tilesTrouble = () => trouble;

const WAITING = 'leatherhard tiles waiting';
/** What this device keeps in a word; some private windows keep nothing. */
export function keepHere(key: string, value: unknown): void {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // it lasts as long as the page is open
  }
}
export function keptHere<T>(key: string): T | undefined {
  try {
    const text = localStorage.getItem(key);
    return text ? (JSON.parse(text) as T) : undefined;
  } catch {
    return undefined;
  }
}

const MOST = 500;
const known = new Map<string, Tile>();
let reading = false;
let again = false;

async function readAll(): Promise<Tile[]> {
  const list: { id: string; revision?: number }[] = [];
  for (let skip = 0; ; skip += MOST) {
    const r = await request({
      method: 'GET',
      path: `book/tile?most=${MOST}&skip=${skip}`,
    });
    const { records } = (await r.json()) as { records: typeof list };
    list.push(...records);
    if (records.length < MOST) break;
  }
  const out: Tile[] = [];
  for (const { id, revision } of list) {
    const key = `${id} ${revision ?? ''}`;
    let t = revision === undefined ? undefined : known.get(key);
    if (!t) {
      const r = await request({
        method: 'GET',
        path: `book/tile/${encodeURIComponent(id)}`,
      });
      t = { ...((await r.json()) as Tile), id };
      known.set(key, t);
    }
    out.push(t);
  }
  return out;
}

/** Hear all tiles of the book, anew. */
export async function loadTiles(): Promise<void> {
  if (!hasBook() || !serverHere()) return;
  again = true;
  if (reading) return;
  reading = true;
  try {
    while (again) {
      again = false;
      all = await readAll();
      tell();
    }
  } catch (e) {
    if (e instanceof Refusal) trouble = e.message;
  } finally {
    reading = false;
    tell();
  }
}

let sending = false;
/** Send the tiles that wait, in their order. */
async function send(): Promise<void> {
  if (sending || !serverHere()) return;
  sending = true;
  try {
    for (let t = waiting[0]; t; t = waiting[0]) {
      try {
        const body = JSON.stringify(t);
        await request({ method: 'POST', path: 'book/tile', body });
      } catch (e) {
        if (!(e instanceof Refusal)) throw e;
        if (e.where === '/slip' || e.where === '/under') {
          // The piece's copy came from another book: its name will do.
          const { slip, under, ...named } = t;
          if (slip || under) {
            waiting = [named, ...waiting.slice(1)];
            continue;
          }
        }
        // An answer was lost, and it is there already.
        if (e.where !== '/id') trouble = `${t.name}: ${e.message}`;
      }
      waiting = waiting.slice(1);
      keepHere(WAITING, waiting);
    }
  } catch {
    // away: they wait
  } finally {
    sending = false;
    await loadTiles();
    tell();
  }
}

/** Keep a tile.  While the server is away it waits on this device. */
export async function keepTile(t: Omit<Tile, 'id'>): Promise<void> {
  const random = crypto.getRandomValues(new Uint32Array(3));
  const id = 'tile-' + [...random].map((x) => x.toString(36)).join('');
  trouble = '';
  waiting = [...waiting, { ...t, id }];
  keepHere(WAITING, waiting);
  tell();
  await send();
}

/** Take a tile out; the book hides it, and keeps it. */
export async function takeOut(t: Tile): Promise<void> {
  if (isWaiting(t)) {
    waiting = waiting.filter((w) => w.id !== t.id);
    keepHere(WAITING, waiting);
    return tell();
  }
  const path = `book/tile/${encodeURIComponent(t.id)}`;
  await request({ method: 'DELETE', path });
  await loadTiles();
}

let followed = false;
/** Keep up with the book's tiles; may be called again. */
export function followTiles(): void {
  if (followed) return;
  followed = true;
  waiting = keptHere<Tile[]>(WAITING) ?? [];
  onServer(() => void send());
  onNews((kind) => {
    if (kind === 'tile') void loadTiles();
  });
  void (waiting.length ? send() : loadTiles());
}

/* ---- predicted and measured ---------------------------------------------- */

/** The document for `shade` as a tile was made and read; undefined where the
 *  piece does not know what lies on it. */
export function predictedDoc(piece: Piece, t: Tile): unknown {
  const layers = coatsOf(t).map((c) => {
    const s = piece.slips.find((x) => isOf(c, x));
    return (
      s && {
        absorption_m2_g: s.absorption_m2_g,
        scattering_m2_g: s.scattering_m2_g,
        coat_g_m2: c.g,
      }
    );
  });
  if (layers.includes(undefined)) return undefined;
  const g = num(t.glaze_g_m2, 0);
  return {
    stack_top_first: layers,
    substrate: { reflectance: piece.body.reflectance },
    glaze: g > 0 ? glazeOf({ ...piece, glaze_g_m2: g }) : null,
    geometry: t.geometry ?? '45_0',
  };
}

/** In which way a tile's colour is another than predicted: "darker and
 *  greener than predicted". */
export function against(of: Lab, is: Lab, de00: number, sure = 0): string {
  if (de00 < 1) return 'as predicted';
  if (de00 < sure) return 'as predicted, as far as it can be read';
  const d = is.map((v, i) => v - (of[i] as number)) as Lab;
  const rich = Math.hypot(is[1], is[2]) - Math.hypot(of[1], of[2]);
  const whole = Math.hypot(d[1], d[2]);
  const words: [number, string][] = [[d[0], d[0] < 0 ? 'darker' : 'lighter']];
  // Along its own hue it is greyer or fuller, else it goes to another hue.
  if (whole > 0 && Math.abs(rich) > 0.85 * whole) {
    words.push([rich, rich < 0 ? 'greyer' : 'fuller']);
  } else {
    words.push([d[1], d[1] < 0 ? 'greener' : 'redder']);
    words.push([d[2], d[2] < 0 ? 'bluer' : 'yellower']);
  }
  words.sort((a, b) => Math.abs(b[0]) - Math.abs(a[0]));
  const most = Math.abs(words[0]?.[0] ?? 0);
  return (
    words
      .filter(([v]) => Math.abs(v) >= Math.max(1, 0.6 * most))
      .slice(0, 2)
      .map(([, w]) => w)
      .join(' and ') + ' than predicted'
  );
}

/** Which of these misses stand apart: by the rule of `learn`, three times the
 *  median and more than 3. (judgements) */
export function apart(misses: number[]): boolean[] {
  const order = [...misses].sort((a, b) => a - b);
  const n = order.length;
  const middle = ((order[(n - 1) >> 1] ?? 0) + (order[n >> 1] ?? 0)) / 2;
  return misses.map((m) => n > 2 && m > 3 && m > 3 * middle);
}

/* ---- photographs ----------------------------------------------------------- */

export interface PhotoRead {
  readings: {
    name: string;
    lab: Lab;
    srgb: Lab;
    hex: string;
    delta_e00: number;
  }[];
  patches: { name: string; delta_e00: number | null }[];
  patches_mean_delta_e00: number | null;
  patches_worst_delta_e00: number | null;
  lighting_percent: number;
}

/** The picture's bytes go to the book; its SHA-256. */
export async function upload(file: File): Promise<string> {
  const r = await request({
    method: 'POST',
    path: 'book/blobs',
    body: file,
    media: file.type || 'application/octet-stream',
  });
  return ((await r.json()) as { sha256: string }).sha256;
}

export async function readPhoto(
  sha256: string,
  patches: Patch[],
  tile: Disc,
  signal?: AbortSignal,
): Promise<PhotoRead> {
  const photograph = {
    file: `sha256:${sha256}`,
    patches,
    tiles: [{ name: 'tile', ...tile }],
  };
  return ask<PhotoRead>('colour', { photograph }, signal);
}

/** Today, as the book writes days. */
export function today(): string {
  const d = new Date();
  const two = (n: number) => String(n).padStart(2, '0');
  return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}`;
}

/** What a tile of `slip` over `under` is, before it was read; `slip` undefined:
 *  the ground alone. */
export function begun(
  piece: Piece,
  slip: Slip | undefined,
  g: number,
  under: { slip: Slip; g: number } | undefined,
): Omit<Tile, 'id'> {
  // A ground by itself is a tile of that slip.
  const top = slip ? { slip, g } : under;
  const below = slip ? under : undefined;
  const name = (s: Slip) => bare(s.name ?? s.id);
  const round = (x: number) => Math.round(10 * x) / 10;
  const words = top
    ? `${name(top.slip)}, ${fixed(top.g, 0)} g/m² over ${
        below ? small(name(below.slip)) : 'the body'
      }`
    : 'The body alone';
  const id = (s: Slip) => fromId(s);
  return {
    name: words,
    ...(piece.body.name ? { body_name: piece.body.name } : {}),
    ...(below
      ? {
          ...(id(below.slip) ? { under: id(below.slip) } : {}),
          under_name: name(below.slip),
          under_g_m2: round(below.g),
        }
      : {}),
    ...(top
      ? {
          ...(id(top.slip) ? { slip: id(top.slip) } : {}),
          slip_name: name(top.slip),
          coat_g_m2: round(top.g),
        }
      : { coat_g_m2: 0 }),
    ...(piece.glaze
      ? {
          ...(piece.glaze.name ? { glaze_name: piece.glaze.name } : {}),
          glaze_g_m2: num(piece.glaze_g_m2, 600),
        }
      : {}),
    ...(piece.glaze_firing ? { fired: piece.glaze_firing } : {}),
    date: today(),
  };
}
