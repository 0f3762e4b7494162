// SPDX-License-Identifier: GPL-3.0-or-later
// The WebAssembly module (core/wasm/module.h), and its memory: stretches that
// are taken, given back, and taken again.

export interface Exports {
  memory: WebAssembly.Memory;
  __heap_base: WebAssembly.Global;
  _initialize(): void;
  lh_module_ready(
    at: number,
    n: number,
    room: number,
    bytes: number,
    report: number,
  ): number;
  lh_module_since(
    before: number,
    room: number,
    stale: number,
    answer: number,
  ): number;
  lh_module_paint(room: number, maps: number, stale: number): number;
  lh_module_sums(room: number): number;
  lh_module_measure(
    room: number,
    maps: number,
    stale: number,
    sums: number,
    out: number,
  ): number;
  lh_module_window(
    room: number,
    maps: number,
    slip: number,
    least: number,
    most: number,
    says: number,
    mm2: number,
  ): number;
  lh_module_shapes(room: number, cap: number, out: number): number;
  lh_module_hit(
    room: number,
    x: number,
    y: number,
    reach: number,
    out: number,
  ): number;
  lh_module_palette(at: number, n: number, room: number, bytes: number): number;
  lh_module_strength(
    at: number,
    n: number,
    laid: number,
    to: number,
    out: number,
  ): number;
  lh_module_colour(
    palette: number,
    stack: number,
    n: number,
    out: number,
  ): number;
  lh_module_reach(room: number, mm: number, stale: number): number;
  lh_module_work(room: number, mm: number): number;
  lh_module_bleed(
    room: number,
    mm: number,
    coat: number,
    stale: number,
    work: number,
    out: number,
  ): number;
  lh_module_memo(): number;
  lh_module_tint(
    palette: number,
    room: number,
    maps: number,
    stale: number,
    memo: number,
    rounded: number,
    rgba: number,
  ): number;
  lh_module_resize(
    p: number,
    n: number,
    from: number,
    to: number,
    shrink: number,
    q: number,
  ): number;
  lh_module_rings(
    p: number,
    n: number,
    room: number,
    bytes: number,
    cap: number,
    out: number,
  ): number;
  lh_module_chart(
    p: number,
    n: number,
    zone: number,
    room: number,
    bytes: number,
    out: number,
  ): number;
  lh_module_place(room: number, turns: number, up: number, out: number): number;
  lh_module_back(room: number, x: number, y: number, out: number): number;
  lh_module_repeat(
    way: number,
    count: number,
    axis: number,
    odd: number,
    n: number,
    room: number,
    bytes: number,
    cap: number,
    out: number,
  ): number;
  lh_module_dab(
    length: number,
    width: number,
    turn: number,
    coat: number,
    tip: number,
    out: number,
  ): number;
}

// core/wasm/module.h
export const REPORT = {
  NUMBERS: 64,
  STATUS: 0,
  WHY: 1,
  MARK: 2,
  TAKEN: 4,
  LAYERS: 5,
  NX: 6,
  NY: 7,
  PIXEL: 8,
  WIDTH: 9,
  HEIGHT: 10,
  SLIPS: 16,
} as const;
export const LAYERS_MOST = 12;
export const TILE = 32; // core/decor/measure.h
export const MEASURE_MOST = 5 + 5 * (2 * 12 + 12 * 13);
export const PALETTE_ROOM = 128 * 1024;
export const SHAPE_ROOM = 160 * 1024;
export const NOMEM = 9; // core/base/status.h: LH_NOMEM

/** One instance with its memory. */
export class Module {
  readonly e: Exports;
  private next: number;
  private free: { at: number; bytes: number }[] = [];
  private sizes = new Map<number, number>();

  constructor(module: WebAssembly.Module) {
    this.e = new WebAssembly.Instance(module, {}).exports as unknown as Exports;
    this.e._initialize();
    this.next = Math.ceil((this.e.__heap_base.value as number) / 64) * 64;
  }

  /** So many bytes; what is in them is not said. */
  take(bytes: number): number {
    const n = Math.max(64, Math.ceil(bytes / 64) * 64);
    const i = this.free.findIndex((f) => f.bytes >= n && f.bytes <= 2 * n);
    let at = this.next;
    if (i >= 0) {
      const f = this.free.splice(i, 1)[0] as { at: number; bytes: number };
      at = f.at;
      this.sizes.set(at, f.bytes);
      return at;
    }
    this.next += n;
    const lack = this.next - this.e.memory.buffer.byteLength;
    if (lack > 0) this.e.memory.grow(Math.ceil(lack / 65536) + 16);
    this.sizes.set(at, n);
    return at;
  }
  give(at: number): void {
    const bytes = this.sizes.get(at);
    if (!bytes) return;
    this.sizes.delete(at);
    this.free.push({ at, bytes });
  }
  /** Room for at least so many bytes: what is there, or more of it. */
  atLeast(at: number, bytes: number): number {
    if (at && (this.sizes.get(at) ?? 0) >= bytes) return at;
    if (at) this.give(at);
    return this.take(Math.ceil(bytes * 1.25));
  }
  size(at: number): number {
    return this.sizes.get(at) ?? 0;
  }

  f64(at: number, n: number): Float64Array {
    return new Float64Array(this.e.memory.buffer, at, n);
  }
  f32(at: number, n: number): Float32Array {
    return new Float32Array(this.e.memory.buffer, at, n);
  }
  u8(at: number, n: number): Uint8Array {
    return new Uint8Array(this.e.memory.buffer, at, n);
  }
  u32(at: number, n: number): Uint32Array {
    return new Uint32Array(this.e.memory.buffer, at, n);
  }
  i32(at: number, n: number): Int32Array {
    return new Int32Array(this.e.memory.buffer, at, n);
  }
}
