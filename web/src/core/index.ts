// SPDX-License-Identifier: GPL-3.0-or-later
// The page's side of the worker: follows the store, keeps the latest numbers
// and colours for whoever asks.

import type { Op } from '../patch';
import type { Piece } from '../piece';
import { store } from '../store';
import { paletteNumbers, type Look, type Numbers, type Rect } from './engine';
import { Module, PALETTE_ROOM } from './module';
import type { FromWorker, Skin, ToWorker } from './messages';
import { Shapes } from './shapes';
import type { Strength } from './strength';

export type { Look, Numbers, Rect } from './engine';
export { Fault, type Chart } from './shapes';
export type { Strength } from './strength';

/** A zone's colours, the lowest row first. */
export interface Painting {
  zone: string;
  look: Look;
  nx: number;
  ny: number;
  pixel: number;
  width: number;
  height: number;
  rgba: Uint8ClampedArray;
}
/** Where they changed; `fresh`: it is another array, of another size. */
export type OnPainting = (p: Painting, rects: Rect[], fresh: boolean) => void;

export interface WindowMap {
  nx: number;
  ny: number;
  says: Uint8Array; // 0 none, 1 thin, 2 right, 3 thick
  mm2: [number, number, number];
}

class Core {
  /** Charts, profiles and repeats at once, in the page itself. */
  shapes: Shapes | null = null;
  numbers: Numbers | null = null;
  /** The latest numbers of a piece without a change under way, and of which. */
  settled: { piece: Piece; numbers: Numbers } | null = null;
  /** How long the last change took in the worker: laid and measured, then
   *  coloured. [ms] */
  took = { numbers: 0, skins: 0 };
  private worker: Worker | null = null;
  private opening: Promise<void> | null = null;
  private asked = 0; // windows
  private n = 0; // asked
  private done = 0; // answered
  private numbered = 0;
  private pieces = new Map<number, Piece>(); // what the n-th was asked of
  private waiting: { n: number; go: (x: Numbers) => void }[] = [];
  private paintings = new Map<string, Painting>();
  private onPaintings = new Set<OnPainting>();
  private onNumberss = new Set<(x: Numbers) => void>();
  private next: { patch: Op[] | null } | null = null; // preview to be sent
  private windows = new Map<number, (w: WindowMap | null) => void>();
  private looks: Look[] = ['fired'];

  /** Begin; resolves when shapes can be asked for. */
  open(): Promise<void> {
    this.opening ??= this.begin();
    return this.opening;
  }

  private async begin(): Promise<void> {
    const got = await fetch(new URL('core.wasm', document.baseURI));
    const module = await WebAssembly.compile(await got.arrayBuffer());
    this.shapes = new Shapes(module);
    this.worker = new Worker(new URL('worker.js', document.baseURI), {
      type: 'module',
    });
    this.worker.onmessage = ({ data }: MessageEvent<FromWorker>) =>
      this.hear(data);
    this.send({ kind: 'module', module });
    if (this.strengthNow !== 'expected') {
      this.send({ kind: 'strength', strength: this.strengthNow, n: ++this.n });
    }
    if (store.isOpen) this.whole();
    store.subscribe((_, patch) => {
      if (!patch.length) return;
      if (patch.length === 1 && patch[0]?.op === 'replace' && !patch[0].path) {
        this.whole();
      } else {
        const settles = this.settling;
        this.settling = false;
        this.send({ kind: 'patch', patch, settles, n: ++this.n });
      }
    });
  }

  private whole(): void {
    this.send({ kind: 'piece', piece: store.piece, n: ++this.n });
  }
  private send(m: ToWorker): void {
    if ('n' in m) this.pieces.set(m.n, store.piece);
    this.worker?.postMessage(m);
    this.tellBusy();
  }
  private onBusys = new Set<(busy: boolean) => void>();
  /** Hear when the worker has something to do, and when it has done it. */
  onBusy(fn: (busy: boolean) => void): () => void {
    this.onBusys.add(fn);
    fn(this.done < this.n);
    return () => void this.onBusys.delete(fn);
  }
  private tellBusy(): void {
    for (const fn of [...this.onBusys]) fn(this.done < this.n);
  }

  /** The numbers of the piece as it stands in the store. */
  async measure(_piece?: Piece): Promise<Numbers> {
    await this.open();
    if (this.numbers && this.numbered === this.n) return this.numbers;
    return new Promise((go) => this.waiting.push({ n: this.n, go }));
  }

  /** Show a change that is not made yet; null takes it back.  While the
   *  worker is busy only the latest is kept. */
  preview(patch: Op[] | null): void {
    this.next = { patch };
    if (this.done === this.n) this.sendNext();
  }
  private sendNext(): void {
    if (!this.next) return;
    this.send({ kind: 'preview', patch: this.next.patch, n: ++this.n });
    this.next = null;
  }
  /** The change that was shown is made: the preview goes in the same breath. */
  settle(make: () => void): void {
    this.next = null;
    this.settling = true;
    try {
      make();
    } catch (e) {
      this.settling = false;
      this.preview(null);
      throw e;
    }
  }
  private settling = false;

  /** Which looks are kept up to date. */
  want(look: Look): void {
    if (this.looks.includes(look)) return;
    this.looks = [...this.looks, look];
    this.send({ kind: 'looks', looks: this.looks, n: ++this.n });
  }

  /** How strong the fired views (band and pot) are shown: as the tiles say, or
   *  at either end of what they leave open.  Chips stay as expected. */
  strength(to: Strength): void {
    if (to === this.strengthNow) return;
    this.strengthNow = to;
    this.send({ kind: 'strength', strength: to, n: ++this.n });
    for (const fn of [...this.onStrengths]) fn(to);
  }
  strengthNow: Strength = 'expected';
  private onStrengths = new Set<(to: Strength) => void>();
  /** Hear of the strength shown, and at once of the present one. */
  onStrength(fn: (to: Strength) => void): () => void {
    this.onStrengths.add(fn);
    fn(this.strengthNow);
    return () => void this.onStrengths.delete(fn);
  }

  painting(zone: string, look: Look): Painting | undefined {
    return this.paintings.get(`${look} ${zone}`);
  }
  /** Hear of colours, and at once of those that are there. */
  onPainting(fn: OnPainting): () => void {
    this.onPaintings.add(fn);
    for (const p of this.paintings.values()) {
      fn(p, [{ x: 0, y: 0, w: p.nx, h: p.ny }], true);
    }
    return () => void this.onPaintings.delete(fn);
  }
  onNumbers(fn: (x: Numbers) => void): () => void {
    this.onNumberss.add(fn);
    if (this.numbers) fn(this.numbers);
    return () => void this.onNumberss.delete(fn);
  }

  /** Where a slip is too thin or too thick, for its own window or for the
   *  least and most told. [g/m2] */
  window(
    zone: string,
    slip: string,
    within: [number, number] | null = null,
  ): Promise<WindowMap | null> {
    const id = ++this.asked;
    return new Promise((go) => {
      this.windows.set(id, go);
      this.send({ kind: 'window', zone, slip, within, id });
    });
  }

  private stacks: { m: Module; palette: number; of: unknown[] } | null = null;

  /** The fired colour of coats, the lowest first, as "rgb(...)". */
  colour(coats: { slip: string; g_m2: number }[]): string {
    const { piece } = store;
    if (!this.shapes) return 'transparent';
    this.stacks ??= { m: new Module(this.shapes.module), palette: 0, of: [] };
    const t = this.stacks,
      { m } = t;
    const of = [piece.slips, piece.body, piece.glaze, piece.glaze_g_m2];
    const at = m.take(64 * 1024);
    if (!t.palette || of.some((x, i) => x !== t.of[i])) {
      t.palette ||= m.take(PALETTE_ROOM);
      const numbers = paletteNumbers(piece, 'fired');
      m.f64(at, numbers.length).set(numbers);
      if (m.e.lh_module_palette(at, numbers.length, t.palette, PALETTE_ROOM)) {
        m.give(at);
        return 'transparent';
      }
      t.of = of;
    }
    const stack = coats.flatMap((c) => [
      piece.slips.findIndex((s) => s.id === c.slip),
      c.g_m2,
    ]);
    m.f64(at, stack.length).set(stack);
    const bad = m.e.lh_module_colour(t.palette, at, coats.length, at + 512);
    const o = m.f64(at + 512, 6);
    const rgb = [o[3], o[4], o[5]].map((v) => Math.round(255 * (v as number)));
    m.give(at);
    return bad ? 'transparent' : `rgb(${rgb.join(' ')})`;
  }

  private hear(m: FromWorker): void {
    switch (m.kind) {
      case 'numbers':
        this.numbers = m.numbers;
        this.numbered = m.n;
        this.took.numbers = m.ms;
        this.keepSettled(m.n, m.previewed ? null : m.numbers);
        for (const w of this.waiting.filter((x) => x.n <= m.n)) w.go(m.numbers);
        this.waiting = this.waiting.filter((x) => x.n > m.n);
        for (const fn of [...this.onNumberss]) fn(m.numbers);
        break;
      case 'skins':
        this.took.skins = m.ms;
        for (const s of m.skins) this.take(s);
        this.done = Math.max(this.done, m.n);
        if (this.done === this.n) this.sendNext();
        this.tellBusy();
        break;
      case 'lost':
        this.whole();
        break;
      case 'window':
        this.windows.get(m.id)?.(
          m.says ? { nx: m.nx, ny: m.ny, says: m.says, mm2: m.mm2 } : null,
        );
        this.windows.delete(m.id);
    }
  }

  private keepSettled(n: number, numbers: Numbers | null): void {
    const piece = this.pieces.get(n);
    for (const k of [...this.pieces.keys()]) if (k <= n) this.pieces.delete(k);
    if (piece && numbers) this.settled = { piece, numbers };
  }

  private take(s: Skin): void {
    const key = `${s.look} ${s.zone}`;
    const had = this.paintings.get(key);
    const fresh = !had || had.nx !== s.nx || had.ny !== s.ny;
    const p: Painting = fresh
      ? {
          zone: s.zone,
          look: s.look,
          nx: s.nx,
          ny: s.ny,
          pixel: s.pixel,
          width: s.width,
          height: s.height,
          rgba: new Uint8ClampedArray(4 * s.nx * s.ny),
        }
      : had;
    Object.assign(p, { pixel: s.pixel, width: s.width, height: s.height });
    for (const q of s.patches) {
      for (let y = 0; y < q.h; y++) {
        p.rgba.set(
          q.rgba.subarray(4 * y * q.w, 4 * (y + 1) * q.w),
          4 * ((q.y + y) * s.nx + q.x),
        );
      }
    }
    this.paintings.set(key, p);
    const rects = s.patches.map(({ x, y, w, h }) => ({ x, y, w, h }));
    for (const fn of [...this.onPaintings]) fn(p, rects, fresh);
  }
}

export const core = new Core();
