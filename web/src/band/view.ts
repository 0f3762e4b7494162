// SPDX-License-Identifier: GPL-3.0-or-later
// The band on the screen: the zone's colours from the worker, unrolled edge to
// edge, and pencil lines over them.

import type { Chart, Painting, Rect, WindowMap } from '../core';
import type { Outline } from './geometry';

export interface Frame {
  repeats: number;
  /** Where the framed repeat begins. [turns along the chart] */
  at: number;
}

export interface Shown {
  frame: Frame | null;
  boxes: { box: Outline; first: boolean }[];
  ring: Outline | null;
  handle: boolean;
  /** Pencil lines of a mark under way, chart mm. */
  pencil: { x: number; y: number }[];
  thickness: WindowMap | null;
  cursor: { x: number; y: number; wide: number } | null;
}

const INK = '#1d1d1d';
const PALE = 'rgb(255 255 255 / 0.75)';
/** The handle's way from the box's corner. [px] */
export const ARM = 16;
/** A band is at least so high. [px] (judgement) */
const LEAST = 160;
/** Side of a cell of the patterns. [px] */
const CELL = 8;
/** As it should be. */
const GREY = 138;

/** How dark a place of the patterns is; v: 0 none, 1 thin, 2 right, 3 thick.
 *  k: dots for one css px. */
function inkOf(
  v: number,
  i: number,
  j: number,
  cell: number,
  k: number,
): number {
  if (v === 1) {
    const row = Math.floor(j / cell);
    const a = (i + (row % 2) * (cell / 2)) % cell,
      b = j % cell;
    return a < 2 * k && b < 2 * k ? 1 : 0;
  }
  if (v !== 3) return 0;
  const a = (i + j) % cell,
    b = (((i - j) % cell) + cell) % cell;
  return a < 1.3 * k || b < 1.3 * k ? 1 : 0;
}

export class BandView {
  readonly canvas: HTMLCanvasElement;
  private ctx: CanvasRenderingContext2D;
  private map = document.createElement('canvas');
  private over = document.createElement('canvas');
  private painting: Painting | null = null;
  private chart: Chart | null = null;
  private dots = 1;
  width = 0; // css px
  height = 0;
  /** css px for one chart mm. */
  scale = 1;
  /** The chart's place at the left, and at the lower edge. [chart mm] */
  ox = 0;
  oy = 0;
  closer = 1;

  constructor(canvas: HTMLCanvasElement) {
    this.canvas = canvas;
    this.ctx = canvas.getContext('2d', {
      alpha: false,
    }) as CanvasRenderingContext2D;
  }

  /** Fit a chart into the width given; the height follows. */
  fit(chart: Chart, width: number, most: number): void {
    const other = this.chart !== chart;
    this.chart = chart;
    this.width = Math.max(1, width);
    const mid = this.ox + this.width / this.scale / 2;
    const half = this.oy + this.height / this.scale / 2;
    if (chart.kind === 'band') {
      // On a narrow screen not all of it: what is drawn on wants some height.
      const least = LEAST / chart.height;
      const base = Math.min(
        Math.max(this.width / chart.width, least),
        most / chart.height,
      );
      this.scale = base * this.closer;
      this.height = Math.round(Math.min(this.scale * chart.height, most));
    } else {
      this.scale = (most / chart.height) * this.closer;
      this.height = Math.round(most);
    }
    if (other) {
      this.ox = chart.kind === 'band' ? 0 : -this.width / this.scale / 2;
      this.oy = chart.kind === 'band' ? 0 : -chart.height / 2;
    } else {
      this.ox = mid - this.width / this.scale / 2;
      this.oy = half - this.height / this.scale / 2;
    }
    this.pan(0, 0);
    this.dots = Math.min(3, devicePixelRatio || 1);
    this.canvas.width = Math.round(this.width * this.dots);
    this.canvas.height = Math.round(this.height * this.dots);
    this.canvas.style.height = `${this.height}px`;
  }

  /** Move what is seen, css px. */
  pan(dx: number, dy: number): void {
    const c = this.chart;
    if (!c) return;
    this.ox -= dx / this.scale;
    this.oy += dy / this.scale;
    const low = c.kind === 'band' ? 0 : -c.height / 2;
    const room = c.height - this.height / this.scale;
    this.oy = Math.min(Math.max(this.oy, low), low + Math.max(0, room));
    if (c.kind === 'disc') {
      const wide = this.width / this.scale,
        spare = c.width - wide;
      if (spare <= 0) this.ox = -wide / 2;
      else
        this.ox = Math.min(Math.max(this.ox, -c.width / 2), c.width / 2 - wide);
    }
  }

  toChart(px: number, py: number): [number, number] {
    return [
      this.ox + px / this.scale,
      this.oy + (this.height - py) / this.scale,
    ];
  }
  toScreen(x: number, y: number): [number, number] {
    return [
      (x - this.ox) * this.scale,
      this.height - (y - this.oy) * this.scale,
    ];
  }

  /** New colours. */
  take(p: Painting, rects: Rect[], fresh: boolean): void {
    this.painting = p;
    if (fresh || this.map.width !== p.nx || this.map.height !== p.ny) {
      this.map.width = p.nx;
      this.map.height = p.ny;
    }
    const to = this.map.getContext('2d') as CanvasRenderingContext2D;
    for (const r of rects) {
      const img = new ImageData(r.w, r.h);
      for (let y = 0; y < r.h; y++) {
        const from = 4 * ((r.y + y) * p.nx + r.x);
        img.data.set(p.rgba.subarray(from, from + 4 * r.w), 4 * y * r.w);
      }
      to.putImageData(img, r.x, r.y);
    }
  }
  clear(): void {
    this.painting = null;
  }

  draw(s: Shown): void {
    const { ctx, width, height, chart } = this;
    ctx.setTransform(this.dots, 0, 0, this.dots, 0, 0);
    ctx.fillStyle = getComputedStyle(this.canvas).backgroundColor;
    ctx.fillRect(0, 0, width, height);
    if (!chart || !this.painting) return;
    this.drawMap(chart);
    if (s.thickness) this.drawThickness(s.thickness, chart);
    if (s.frame && chart.kind === 'band') this.drawFrame(s.frame, chart);
    this.drawChosen(s, chart);
    this.drawPencil(s);
  }

  private drawMap(c: Chart): void {
    const { ctx, painting, scale } = this;
    if (!painting) return;
    const k = scale * painting.pixel;
    const pattern = ctx.createPattern(
      this.map,
      c.kind === 'band' ? 'repeat-x' : 'no-repeat',
    );
    if (!pattern) return;
    const [x0, y0] =
      c.kind === 'band'
        ? [0, 0]
        : [
            (-painting.nx * painting.pixel) / 2,
            (-painting.ny * painting.pixel) / 2,
          ];
    const [px, py] = this.toScreen(x0, y0);
    pattern.setTransform(new DOMMatrix([k, 0, 0, -k, px, py]));
    ctx.save();
    ctx.imageSmoothingEnabled = true;
    ctx.imageSmoothingQuality = 'high';
    ctx.beginPath();
    if (c.kind === 'band') {
      const top = this.toScreen(0, c.height)[1],
        low = this.toScreen(0, 0)[1];
      ctx.rect(0, top, this.width, low - top);
    } else {
      const [mx, my] = this.toScreen(0, 0);
      ctx.arc(mx, my, c.radius * scale, 0, 2 * Math.PI);
      if (c.inner > 0) ctx.arc(mx, my, c.inner * scale, 0, 2 * Math.PI, true);
    }
    ctx.fillStyle = pattern;
    ctx.fill();
    ctx.restore();
  }

  /** Too thin: dots, far apart.  Too thick: crossed lines.  As it should be:
   *  an even grey.  Colours are paled so that the patterns stand out. */
  private drawThickness(w: WindowMap, c: Chart): void {
    const { ctx, painting } = this;
    if (!painting) return;
    const band = c.kind === 'band',
      n = w.nx,
      m = w.ny;
    const k = this.dots,
      wide = this.canvas.width,
      high = this.canvas.height;
    const img = new ImageData(wide, high),
      cell = CELL * k;
    const columns = new Int32Array(wide);
    for (let i = 0; i < wide; i++) {
      const x = this.toChart((i + 0.5) / k, 0)[0] / painting.pixel;
      const at = Math.floor(x + (band ? 0 : n / 2));
      columns[i] = band ? ((at % n) + n) % n : at >= 0 && at < n ? at : -1;
    }
    for (let j = 0; j < high; j++) {
      const y = this.toChart(0, (j + 0.5) / k)[1] / painting.pixel;
      const row = Math.floor(y + (band ? 0 : m / 2));
      if (row < 0 || row >= m) continue;
      for (let i = 0; i < wide; i++) {
        const at = columns[i] as number;
        const v = at < 0 ? 0 : (w.says[row * n + at] as number);
        const ink = inkOf(v, i, j, cell, k),
          to = 4 * (j * wide + i);
        // On paper, whatever colour the slip has; beside it all is paled.
        const tone = v === 2 ? GREY : ink > 0.5 ? 29 : 246;
        img.data[to] = tone;
        img.data[to + 1] = tone - (tone > 200 ? 1 : 0);
        img.data[to + 2] = tone - (tone > 200 ? 4 : 0);
        img.data[to + 3] = v === 0 ? 200 : 255;
      }
    }
    this.over.width = wide;
    this.over.height = high;
    this.over.getContext('2d')?.putImageData(img, 0, 0);
    ctx.drawImage(this.over, 0, 0, this.width, this.height);
  }

  private drawFrame(f: Frame, c: Chart): void {
    const { ctx } = this;
    const wide = c.width / f.repeats;
    if (wide * this.scale < 12) return;
    ctx.save();
    const first = Math.floor((this.ox - f.at * c.width) / wide);
    const last = Math.ceil(
      (this.ox + this.width / this.scale - f.at * c.width) / wide,
    );
    ctx.lineWidth = 1;
    for (let k = first; k <= last; k++) {
      const x =
        Math.round(this.toScreen(f.at * c.width + k * wide, 0)[0]) + 0.5;
      ctx.strokeStyle = 'rgb(29 29 29 / 0.38)';
      ctx.setLineDash([1, 5]);
      ctx.beginPath();
      ctx.moveTo(x, 0);
      ctx.lineTo(x, this.height);
      ctx.stroke();
    }
    // The framed repeat, every time round.
    ctx.setLineDash([]);
    const turns = Math.ceil(this.width / this.scale / c.width) + 1;
    const begin = Math.floor(this.ox / c.width) - 1;
    for (let k = begin; k <= begin + turns + 1; k++) {
      const x = this.toScreen((f.at + k) * c.width, 0)[0];
      const w = wide * this.scale;
      if (x + w < 0 || x > this.width) continue;
      ctx.strokeStyle = PALE;
      ctx.lineWidth = 3;
      ctx.strokeRect(x, 1, w, this.height - 2);
      ctx.strokeStyle = INK;
      ctx.lineWidth = 1.25;
      ctx.strokeRect(x, 1, w, this.height - 2);
    }
    ctx.restore();
  }

  /** Where on the screen the images of a chart place x are. */
  private images(x: number): number[] {
    const c = this.chart;
    if (!c || c.kind === 'disc') return [x];
    const out: number[] = [];
    const from = Math.floor((this.ox - x) / c.width) - 1;
    const to = Math.ceil((this.ox + this.width / this.scale - x) / c.width) + 1;
    for (let k = from; k <= to; k++) out.push(x + k * c.width);
    return out;
  }

  /** Where the handle of a box is, in each of its images. */
  handles(b: Outline): [number, number][] {
    return this.images(b.x).map((x) => {
      const [px, py] = this.toScreen(x + b.right, b.y + b.high);
      return [px + ARM, Math.min(this.height - 10, Math.max(10, py - ARM))];
    });
  }

  private drawChosen(s: Shown, c: Chart): void {
    const { ctx } = this;
    ctx.save();
    for (const { box, first } of s.boxes) {
      ctx.setLineDash(first ? [] : [2, 4]);
      for (const x of this.images(box.x)) {
        const [l, t] = this.toScreen(x + box.left, box.y + box.high);
        const w = (box.right - box.left) * this.scale;
        const h = (box.high - box.low) * this.scale;
        if (l + w < -40 || l > this.width + 40) continue;
        for (const [style, wide] of [
          [PALE, 3],
          [INK, 1],
        ] as const) {
          ctx.strokeStyle = style;
          ctx.lineWidth = wide;
          ctx.strokeRect(l - 3, t - 3, w + 6, h + 6);
        }
      }
      if (!first || !s.handle) continue;
      ctx.setLineDash([]);
      for (const [px, py] of this.handles(box)) {
        ctx.beginPath();
        ctx.moveTo(px - ARM + 3, py + ARM - 3);
        ctx.lineTo(px, py);
        ctx.strokeStyle = INK;
        ctx.lineWidth = 1;
        ctx.stroke();
        ctx.beginPath();
        ctx.arc(px, py, 5.5, 0, 2 * Math.PI);
        ctx.fillStyle = '#f6f5f2';
        ctx.fill();
        ctx.stroke();
      }
    }
    if (s.ring && c.kind === 'band') {
      const [, t] = this.toScreen(0, s.ring.high),
        [, b] = this.toScreen(0, s.ring.low);
      for (const [style, wide] of [
        [PALE, 3],
        [INK, 1],
      ] as const) {
        ctx.strokeStyle = style;
        ctx.lineWidth = wide;
        ctx.strokeRect(-4, t - 3, this.width + 8, b - t + 6);
      }
    }
    ctx.restore();
  }

  private drawPencil(s: Shown): void {
    const { ctx } = this;
    ctx.save();
    if (s.pencil.length > 1) {
      ctx.beginPath();
      s.pencil.forEach((q, i) => {
        const [x, y] = this.toScreen(q.x, q.y);
        if (i) ctx.lineTo(x, y);
        else ctx.moveTo(x, y);
      });
      ctx.strokeStyle = INK;
      ctx.lineWidth = 1;
      ctx.setLineDash([4, 3]);
      ctx.stroke();
    }
    if (s.cursor) {
      const [x, y] = this.toScreen(s.cursor.x, s.cursor.y);
      const r = Math.max(1.5, (s.cursor.wide / 2) * this.scale);
      ctx.setLineDash([]);
      for (const [style, wide] of [
        [PALE, 2.5],
        [INK, 1],
      ] as const) {
        ctx.beginPath();
        ctx.arc(x, y, r, 0, 2 * Math.PI);
        ctx.strokeStyle = style;
        ctx.lineWidth = wide;
        ctx.stroke();
      }
    }
    ctx.restore();
  }
}
