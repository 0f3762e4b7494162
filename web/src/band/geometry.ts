// SPDX-License-Identifier: GPL-3.0-or-later
// Where the marks of a zone stand on its chart, and what lies under a point.
// The module says; here its numbers become entries and marks again.

import { Module, NOMEM, REPORT } from '../core/module';
import { Flattener, marksOf } from '../core/flat';
import type { Shapes } from '../core/shapes';
import type { Painted, Piece, Zone } from '../piece';

/** A shape's box on the chart, about its anchor. */
export interface Outline {
  entry: string;
  mark: string;
  instance: number;
  ring: boolean;
  x: number;
  y: number;
  left: number;
  right: number;
  low: number;
  high: number;
  scale: number;
}

export interface Hit {
  entry: string;
  mark: string;
  instance: number;
}

const NUMBERS = 10; // core/wasm/module.h: LH_SHAPE_NUMBERS

export class Geometry {
  private m: Module;
  private flattener: Flattener;
  private room = 0;
  private input = 0;
  private out = 0;
  private report: number;
  private ids: { entry: string; mark: string }[] = [];
  private of: { piece: Piece; zone: Zone } | null = null;
  private ok = false;
  private known: Outline[] | null = null;

  constructor(shapes: Shapes) {
    this.m = new Module(shapes.module);
    this.flattener = new Flattener(shapes);
    this.report = this.m.take(8 * REPORT.NUMBERS);
  }

  /** Make ready for a zone; nothing is done when it is the same as before. */
  set(piece: Piece, zone: Zone): void {
    if (this.of?.piece === piece && this.of.zone === zone) return;
    this.of = { piece, zone };
    this.known = null;
    this.ok = false;
    const { m } = this;
    const faults: { entry: string; what: string }[] = [];
    let flat: Float64Array;
    try {
      flat = this.flattener.zone(piece, zone, faults);
    } catch {
      return;
    }
    const bad = new Set(faults.map((f) => f.entry));
    this.ids = [];
    for (const e of piece.painting) {
      if (e.zone !== zone.id || bad.has(e.id)) continue;
      for (const k of marksOf(piece, e)) {
        this.ids.push({ entry: e.id, mark: k.id });
      }
    }
    this.input = m.atLeast(this.input, flat.byteLength);
    m.f64(this.input, flat.length).set(flat);
    let want = Math.max(1 << 20, m.size(this.room));
    for (;;) {
      this.room = m.atLeast(this.room, want);
      const bytes = m.size(this.room);
      const st = m.e.lh_module_ready(
        this.input,
        flat.length,
        this.room,
        bytes,
        this.report,
      );
      if (st !== NOMEM || bytes > 1 << 28) {
        this.ok = st === 0;
        return;
      }
      want = 2 * bytes;
    }
  }

  outlines(): Outline[] {
    if (!this.ok) return [];
    if (this.known) return this.known;
    const { m } = this;
    const n = m.e.lh_module_shapes(this.room, 0, 0);
    this.out = m.atLeast(this.out, 8 * NUMBERS * n);
    m.e.lh_module_shapes(this.room, n, this.out);
    const o = m.f64(this.out, NUMBERS * n);
    this.known = Array.from({ length: n }, (_, i) => {
      const at = (k: number) => o[NUMBERS * i + k] as number;
      return {
        ...(this.ids[at(1)] ?? { entry: '', mark: '' }),
        ring: at(0) === 2,
        instance: at(2),
        x: at(3),
        y: at(4),
        left: at(5),
        right: at(6),
        low: at(7),
        high: at(8),
        scale: at(9),
      };
    });
    return this.known;
  }

  hit(x: number, y: number, reach: number): Hit | null {
    if (!this.ok) return null;
    this.out = this.m.atLeast(this.out, 64);
    if (!this.m.e.lh_module_hit(this.room, x, y, reach, this.out)) return null;
    const o = this.m.f64(this.out, 2);
    const id = this.ids[o[0] as number];
    return id ? { ...id, instance: o[1] as number } : null;
  }

  /** The box of one instance of an entry, or of one mark of it. */
  box(entry: string, instance: number, mark?: string): Outline | null {
    let all: Outline | null = null;
    for (const o of this.outlines()) {
      if (o.entry !== entry || o.instance !== instance || o.ring) continue;
      if (mark && o.mark !== mark) continue;
      if (!all) {
        all = { ...o };
        continue;
      }
      const dx = o.x - all.x,
        dy = o.y - all.y;
      all.left = Math.min(all.left, dx + o.left);
      all.right = Math.max(all.right, dx + o.right);
      all.low = Math.min(all.low, dy + o.low);
      all.high = Math.max(all.high, dy + o.high);
    }
    return all;
  }

  ring(entry: string): Outline | null {
    return this.outlines().find((o) => o.entry === entry && o.ring) ?? null;
  }

  instances(entry: string): number[] {
    const seen = new Set<number>();
    for (const o of this.outlines())
      if (o.entry === entry) seen.add(o.instance);
    return [...seen];
  }
}

export const entryOf = (piece: Piece, id: string | undefined): Painted | null =>
  piece.painting.find((e) => e.id === id) ?? null;
