// SPDX-License-Identifier: GPL-3.0-or-later
// What the hand does on the band: draws, picks, moves, turns.  It previews in
// the worker while it moves, and changes the piece once when it is lifted.

import { core, type Chart } from '../core';
import { number } from '../core/numbers';
import type { Mark, MarkKind, Painted, Piece, Repeat, Zone } from '../piece';
import { applyPatch } from '../patch';
import { lay, layOps, layingNow, strangers } from '../motifs';
import { store, type Op } from '../store';
import { bare } from '../words';
import * as edit from './edit';
import { Geometry } from './geometry';
import { along, clamp, shift, spin, type Grip, type Hold } from './grip';
import {
  anchorAt,
  frame,
  markOf,
  widthAt,
  type Anchor,
  type Held,
  type Sample,
} from './pen';
import { ARM, BandView, type Shown } from './view';

export type Tool = 'pick' | MarkKind;

/** What is set in the words above the band. */
export interface Setting {
  tool: Tool;
  slip: string;
  brush: string;
  coats: number;
  way: NonNullable<Repeat['way']>;
  count: number; // 1: once
  oneOnly: boolean;
  together: boolean;
}

const NEAR_PX = 9;

export class Hand {
  setting: Setting;
  /** Set when the picked instance is known. */
  instance = 0;
  private geometry: Geometry | null = null;
  private samples: Sample[] = [];
  private anchor: Anchor | null = null;
  private underWay: Painted | null = null;
  private ring = 0;
  private grip: Grip | null = null;
  private pointer = -1;
  private penSeen = false;
  private frameAt = 0.5; // where one draws; at first the middle
  cursor: { x: number; y: number } | null = null;
  private preview: Piece | null = null;

  constructor(
    readonly view: BandView,
    setting: Setting,
    private readonly again: () => void,
  ) {
    this.setting = setting;
  }

  zone: Zone | null = null;
  chart: Chart | null = null;

  /** The zone that is shown. */
  show(zone: Zone | null): void {
    this.zone = zone;
    this.chart = null;
    if (!zone || !core.shapes) return;
    try {
      this.chart = core.shapes.chart(store.piece.form, zone);
    } catch {
      this.chart = null;
    }
  }

  private get geo(): Geometry | null {
    if (!core.shapes || !this.zone) return null;
    this.geometry ??= new Geometry(core.shapes);
    this.geometry.set(this.preview ?? store.piece, this.zone);
    return this.geometry;
  }

  /** Entry that is chosen, if it lies in this zone. */
  chosen(): Painted | null {
    const e = store.piece.painting.find((x) => x.id === store.selected.entry);
    return e && e.zone === this.zone?.id ? e : null;
  }

  /* ---- what is drawn over the colours ----------------------------------- */

  shown(): Omit<Shown, 'thickness'> {
    const c = this.chart,
      e = this.chosen();
    const boxes: Shown['boxes'] = [];
    let ring = null;
    const picking = this.setting.tool === 'pick';
    const g = picking ? this.geo : null;
    if (g && e && picking) {
      const all = g.instances(e.id);
      if (!all.includes(this.instance)) this.instance = all[0] ?? 0;
      for (const i of all) {
        const box = g.box(e.id, i);
        if (box) boxes.push({ box, first: i === this.instance });
      }
      if (!boxes.length && movable(e)) ring = g.ring(e.id);
    }
    const { tool, count } = this.setting;
    const repeats = picking ? number(e?.repeat?.count, count) : count;
    const brush = this.held()?.brush;
    return {
      frame:
        repeats > 1 && c?.kind === 'band'
          ? { repeats, at: Math.floor(this.frameAt * repeats) / repeats }
          : null,
      boxes,
      ring,
      handle: picking && movable(e),
      pencil:
        this.setting.tool === 'fill'
          ? this.samples.map(({ x, y }) => ({ x, y }))
          : [],
      cursor:
        this.cursor && !picking && tool !== 'fill' && brush && c
          ? { ...this.cursor, wide: number(brush.width_mm) / this.scaleAt() }
          : null,
    };
  }
  private scaleAt(): number {
    if (!this.cursor || !this.chart) return 1;
    return (
      core.shapes?.back(this.chart, this.cursor.x, this.cursor.y)?.[2] ?? 1
    );
  }

  private held(): Held | null {
    const { tool, slip, brush, coats } = this.setting;
    if (tool === 'pick') return null;
    return {
      kind: tool,
      slip: store.piece.slips.find((s) => s.id === slip),
      brush: store.piece.brushes?.find((b) => b.id === brush),
      coats,
    };
  }

  /* ---- pointers ---------------------------------------------------------- */

  private at(e: PointerEvent): [number, number] {
    const r = this.view.canvas.getBoundingClientRect();
    return [e.clientX - r.left, e.clientY - r.top];
  }
  private sample(e: PointerEvent): Sample {
    const [x, y] = this.view.toChart(...this.at(e));
    return {
      x,
      y,
      pressure: e.pressure,
      tiltX: e.tiltX,
      tiltY: e.tiltY,
      ms: e.timeStamp,
    };
  }

  down = (e: PointerEvent): void => {
    if (e.button !== 0 || !this.chart) return;
    if (layingNow() && this.pointer < 0 && !store.looking) {
      this.pointer = e.pointerId;
      e.preventDefault();
      this.hold(e);
      return;
    }
    if (this.pointer >= 0) {
      // A second finger: both move the paper, nothing is drawn.
      if (e.pointerType !== 'touch') return;
      this.cancel();
      this.pointer = e.pointerId;
      this.take(e, true);
      return;
    }
    if (e.pointerType === 'pen') this.penSeen = true;
    this.pointer = e.pointerId;
    try {
      this.view.canvas.setPointerCapture(e.pointerId);
    } catch {
      // a pointer that is gone already
    }
    e.preventDefault();
    this.view.canvas.focus({ preventScroll: true });
    // Who draws with a pen rests the hand, and moves the paper with fingers.
    const pan = this.penSeen && e.pointerType === 'touch';
    if (this.setting.tool === 'pick' || pan) this.take(e, pan);
    else this.begin(e);
  };

  move = (e: PointerEvent): void => {
    const [x, y] = this.view.toChart(...this.at(e));
    this.cursor = e.pointerType === 'touch' ? null : { x, y };
    if (layingNow() && (this.pointer < 0 || this.pointer === e.pointerId)) {
      this.hold(e);
      this.again();
      return;
    }
    if (this.pointer !== e.pointerId) {
      if (this.chart?.kind === 'band' && this.pointer < 0) this.framed(x);
      this.again();
      return;
    }
    if (this.grip) this.drag(e);
    else this.draw(e);
    this.again();
  };

  up = (e: PointerEvent): void => {
    if (this.pointer !== e.pointerId) return;
    this.pointer = -1;
    if (layingNow()) this.put(e);
    else if (this.grip) this.drop();
    else this.finish(e);
    this.again();
  };

  /** Nothing of what is under way stays. */
  cancel = (): void => {
    if (this.pointer < 0 && !this.underWay && !this.grip) return;
    this.pointer = -1;
    this.samples = [];
    this.underWay = null;
    this.grip = null;
    this.preview = null;
    core.preview(null);
    this.again();
  };

  leave = (): void => {
    this.cursor = null;
    if (layingNow() && this.pointer < 0) core.preview(null);
    this.again();
  };

  private framed(x: number): void {
    const c = this.chart;
    if (c) this.frameAt = x / c.width - Math.floor(x / c.width);
  }

  /* ---- laying a motif ------------------------------------------------------ */

  /** What laying it here would do. */
  private laid(e: PointerEvent): { ops: Op[]; id: string } | null {
    const l = layingNow(),
      c = this.chart,
      z = this.zone;
    if (!l || !c || !z || !core.shapes || store.looking) return null;
    if (strangers(store.piece, l.motif).length) return null;
    const { x, y } = this.sample(e);
    const up = c.kind === 'band' ? clamp(y, 0, c.height) : y;
    const a = anchorAt(core.shapes, c, x, up);
    return a && layOps(store.piece, l, z, a.turns, a.up);
  }
  private hold(e: PointerEvent): void {
    core.preview(this.laid(e)?.ops ?? null);
  }
  private put(e: PointerEvent): void {
    const made = this.laid(e),
      l = layingNow();
    if (!made || !l) return core.preview(null);
    const name = bare(l.motif.name ?? l.motif.id);
    core.settle(() => store.apply(made.ops, `lay ${name}`));
    lay(null);
    store.selected = { zone: this.zone?.id ?? '', entry: made.id };
    this.instance = 0;
  }

  /* ---- drawing ------------------------------------------------------------ */

  private begin(e: PointerEvent): void {
    const c = this.chart,
      s = this.sample(e);
    if (!c || !core.shapes) return;
    this.samples = [s];
    if (c.kind === 'band') this.framed(s.x);
    this.anchor = anchorAt(
      core.shapes,
      c,
      s.x,
      c.kind === 'band' ? Math.min(Math.max(s.y, 0), c.height) : s.y,
    );
    this.ring = this.anchor?.up ?? 0;
    this.show1();
  }

  private draw(e: PointerEvent): void {
    if (!this.samples.length) return;
    // Every sample the device took, where the browser gives them.
    const all = e.getCoalescedEvents?.() ?? [];
    for (const x of all.length ? all : [e]) {
      const s = this.sample(x),
        last = this.samples[this.samples.length - 1];
      if (last && last.x === s.x && last.y === s.y) {
        last.pressure = Math.max(last.pressure, s.pressure);
      } else this.samples.push(s);
    }
    this.show1();
  }

  private finish(e: PointerEvent): void {
    // Lifting tells no pressure worth keeping.
    void e;
    const entry = this.entry();
    this.samples = [];
    this.underWay = null;
    if (!entry) {
      core.preview(null);
      return;
    }
    const slip = store.piece.slips.find((s) => s.id === entry.mark?.slip);
    const of = slip ? ` of ${bare(slip.name ?? slip.id)}` : '';
    core.settle(() =>
      store.apply(edit.add(entry), `a ${entry.mark?.kind}${of}`),
    );
    store.selected = { zone: entry.zone, entry: entry.id };
    this.instance = 0;
  }

  private show1(): void {
    this.underWay = this.entry();
    core.preview(this.underWay ? edit.add(this.underWay) : null);
  }

  /** The entry of what is drawn so far. */
  private entry(): Painted | null {
    const h = this.held(),
      c = this.chart,
      a = this.anchor,
      z = this.zone;
    if (!h || !c || !a || !z || !core.shapes) return null;
    if (h.kind !== 'sgraffito' && !h.slip) return null;
    const id =
      this.underWay?.id ?? edit.freshId(store.piece, h.kind.replace(' ', '-'));
    const mark = markOf(h, `${id}-mark`, c, a, this.samples);
    if (!mark) return null;
    const e: Painted = { id, zone: z.id, turns: a.turns, up_mm: a.up, mark };
    if (h.kind === 'banding line') {
      const last = this.samples[this.samples.length - 1] as Sample;
      const at = core.shapes.back(c, last.x, last.y);
      e.turns = 0;
      e.up_mm = Math.round(1000 * (at ? at[1] : this.ring)) / 1000;
      return e;
    }
    const { count, way } = this.setting;
    if (count > 1) {
      e.repeat = { way, count };
      if (this.wider(c, a, mark, count)) e.repeat.may_overlap = true;
    }
    return e;
  }

  /** Does it reach beyond one repeat?  Then neighbours may meet: it is drawn
   *  so on purpose. */
  private wider(c: Chart, a: Anchor, m: Mark, count: number): boolean {
    const xs = (m.path ?? []).flatMap((p) => {
      const x = number(p.x_mm),
        r = number(p.width_mm, number(m.width_mm, 4)) / 2;
      return [x - r, x + r];
    });
    const wide = xs.length
      ? Math.max(...xs) - Math.min(...xs)
      : Math.max(number(m.length_mm, 0), number(m.width_mm, 4) * widthAt(1));
    if (c.kind === 'disc') return true;
    return wide / a.scale > 0.98 * (c.width / count);
  }

  /* ---- picking and moving ------------------------------------------------- */

  private take(e: PointerEvent, pan: boolean): void {
    const px = this.at(e),
      [x, y] = this.view.toChart(...px);
    const g = this.geo;
    const chosen = this.chosen();
    const none = {
      from: px,
      chart: [x, y] as [number, number],
      moved: false,
      ops: [],
      label: '',
      piece: store.piece,
      pivot: [0, 0] as [number, number],
    };
    if (!pan && chosen && movable(chosen) && g) {
      const box = g.box(chosen.id, this.instance);
      const hot =
        box &&
        this.view
          .handles(box)
          .find((p) => Math.hypot(p[0] - px[0], p[1] - px[1]) < 22);
      if (box && hot) {
        // The image of the anchor that belongs to this handle.
        this.grip = {
          ...none,
          kind: 'turn',
          hit: null,
          entry: chosen,
          pivot: [
            hot[0] - ARM - box.right * this.view.scale,
            this.view.toScreen(0, box.y)[1],
          ],
        };
        return;
      }
    }
    const hit = pan ? null : (g?.hit(x, y, NEAR_PX / this.view.scale) ?? null);
    const entry = hit && store.piece.painting.find((p) => p.id === hit.entry);
    if (!hit || !entry || (entry.mark?.whole_zone && chosen)) {
      this.grip = {
        ...none,
        kind: 'pan',
        hit: null,
        entry: chosen ?? ({ id: '', zone: '' } as Painted),
      };
      return;
    }
    this.instance = hit.instance;
    store.selected = { zone: entry.zone, entry: entry.id, mark: hit.mark };
    this.grip = { ...none, kind: movable(entry) ? 'move' : 'pan', hit, entry };
  }

  private drag(e: PointerEvent): void {
    const g = this.grip;
    if (!g) return;
    const px = this.at(e);
    const dx = px[0] - g.from[0],
      dy = px[1] - g.from[1];
    if (!g.moved && Math.hypot(dx, dy) < 4) return;
    g.moved = true;
    if (g.kind === 'pan') {
      this.view.pan(dx, dy);
      g.from = px;
      return;
    }
    const h = this.holding();
    if (!h) return;
    if (g.kind === 'move') {
      shift(h, g, dx / this.view.scale, -dy / this.view.scale);
    } else {
      const a0 = Math.atan2(g.pivot[1] - g.from[1], g.from[0] - g.pivot[0]);
      const a1 = Math.atan2(g.pivot[1] - px[1], px[0] - g.pivot[0]);
      const r0 = Math.hypot(g.from[0] - g.pivot[0], g.from[1] - g.pivot[1]);
      const r1 = Math.hypot(px[0] - g.pivot[0], px[1] - g.pivot[1]);
      let turn = ((a1 - a0) * 180) / Math.PI;
      if (turn > 180) turn -= 360;
      if (turn < -180) turn += 360;
      spin(h, g, turn, Math.min(20, Math.max(0.05, r1 / Math.max(r0, 1))));
    }
    this.showOps(g.ops);
  }

  private showOps(ops: Op[]): void {
    this.preview = ops.length ? applyPatch(store.piece, ops).doc : null;
    core.preview(ops.length ? ops : null);
  }

  private drop(): void {
    const g = this.grip;
    this.grip = null;
    this.preview = null;
    if (!g) return;
    if (!g.moved && g.kind === 'pan' && !g.hit) {
      store.selected = { zone: this.zone?.id ?? '' };
    }
    if (g.ops.length) core.settle(() => store.apply(g.ops, g.label));
  }

  /** Where what is moved is held; null: nowhere. */
  private holding(): Hold | null {
    const { oneOnly, together } = this.setting;
    return this.chart && core.shapes
      ? {
          chart: this.chart,
          shapes: core.shapes,
          instance: this.instance,
          oneOnly,
          together,
        }
      : null;
  }

  /* ---- by keyboard --------------------------------------------------------- */

  key = (k: KeyboardEvent): void => {
    if (k.ctrlKey || k.metaKey || k.altKey) return;
    if (k.key === 'Escape') {
      lay(null);
      this.cancel();
      return;
    }
    if (this.pick(k) || this.nudge(k)) k.preventDefault();
    this.again();
  };

  /** Page up and down go through what is painted in this zone. */
  private pick(k: KeyboardEvent): boolean {
    const step = k.key === 'PageDown' ? 1 : k.key === 'PageUp' ? -1 : 0;
    if (!step || !this.zone) return false;
    const all = store.piece.painting.filter((e) => e.zone === this.zone?.id);
    const now = all.findIndex((e) => e.id === store.selected.entry);
    const next = all[(now + step + all.length) % all.length];
    if (next) store.selected = { zone: next.zone, entry: next.id };
    return true;
  }

  private nudge(k: KeyboardEvent): boolean {
    const e = this.chosen(),
      c = this.chart;
    const by = k.shiftKey ? 5 : 1; // [mm]
    const h = this.holding();
    if (!c || !h) return false;
    const ways: Record<string, [number, number]> = {
      ArrowLeft: [-by, 0],
      ArrowRight: [by, 0],
      ArrowUp: [0, by],
      ArrowDown: [0, -by],
    };
    const way = ways[k.key];
    if (!e || !movable(e)) {
      if (way) this.view.pan(-way[0] * 40, way[1] * 40);
      return way !== undefined;
    }
    if (k.key === 'Delete' || k.key === 'Backspace') {
      this.remove();
      return true;
    }
    const g: Grip = {
      kind: 'move',
      hit: null,
      entry: e,
      piece: store.piece,
      from: [0, 0],
      chart: [0, 0],
      pivot: [0, 0],
      moved: true,
      ops: [],
      label: '',
    };
    if (way) {
      // A millimetre on the pot, not on the chart.
      const larger =
        core.shapes?.place(c, 0, clamp(number(e.up_mm, 0), 0, c.length))?.[2] ??
        1;
      shift(h, g, way[0] / larger, way[1] / larger);
    } else if (k.key === '[' || k.key === ']')
      spin(h, g, k.key === '[' ? by : -by, 1);
    else if (k.key === '+' || k.key === '=') spin(h, g, 0, 1.02);
    else if (k.key === '-') spin(h, g, 0, 1 / 1.02);
    else return false;
    if (g.ops.length) store.apply(g.ops, g.label);
    return true;
  }

  /* ---- words --------------------------------------------------------------- */

  copy(): void {
    const e = this.chosen();
    if (!e) return;
    const { ops, id } = edit.copy(store.piece, e);
    store.apply(ops, `${edit.nameOf(store.piece, e)} once more`);
    store.selected = { zone: e.zone, entry: id };
  }
  remove(): void {
    const e = this.chosen();
    if (!e || store.piece.painting.length < 2) return;
    store.apply(
      edit.away(store.piece, e),
      `take ${edit.nameOf(store.piece, e)} away`,
    );
    store.selected = { zone: e.zone };
  }
  leaveOut(): void {
    const e = this.chosen();
    if (!e?.repeat) return;
    store.apply(
      along(store.piece, e, this.setting.together).flatMap((q) =>
        edit.differ(store.piece, q, this.instance, { left_out: true }),
      ),
      `leave one of ${edit.nameOf(store.piece, e)} out`,
    );
  }
}

const movable = edit.movable;

// Directions at an anchor are also wanted by whoever draws by numbers.
export { frame };
