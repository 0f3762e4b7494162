// SPDX-License-Identifier: GPL-3.0-or-later
// Profiles, charts, repeats and dabs of a piece, by the module.

import { Module, SHAPE_ROOM } from './module';
import { number } from './numbers';
import { defaults, ways } from './schema';
import type { CaliperPoint, Form, Painted, Piece, Zone } from '../piece';

export const MULTIPLE = (piece: Piece, zone: string): number =>
  piece.painting.reduce((most, e) => {
    const n = e.zone === zone && e.repeat ? number(e.repeat.count) : 1;
    return n > most ? n : most;
  }, 1);

/** What a chart says of itself. */
export interface Chart {
  kind: 'band' | 'disc';
  width: number; // [chart mm]
  height: number;
  length: number; // along the profile [mm]
  radius: number;
  inner: number;
  hand: number;
  area: number; // [mm2]
  high: boolean; // the centre is at the upper end
  room: number;
}

/** Words for a person of what cannot be drawn. */
export class Fault extends Error {}

const STAGES = ['thrown', 'leather-hard', 'fired'];

export class Shapes {
  private readonly m: Module;
  private readonly scratch: number;
  private readonly at: number;
  private charts = new Map<string, { key: string; chart: Chart }>();

  constructor(readonly module: WebAssembly.Module) {
    this.m = new Module(module);
    this.scratch = this.m.take(SHAPE_ROOM);
    this.at = this.m.take(8 * 65536);
  }

  /** The points of a face, leather-hard: radius, height by turns. */
  profile(form: Form, face: string, stage = 'leather-hard'): Float64Array {
    const list: CaliperPoint[] =
      (face === 'inside' ? form.inside : form.outside) ?? [];
    const n = list.length;
    const p = this.m.f64(this.at, 2 * n + 4);
    list.forEach((c, i) => {
      p[2 * i] = number(c.diameter_mm) / 2;
      p[2 * i + 1] = number(c.height_mm);
    });
    const [a, b] = [form.to_leather_hard, form.to_fired];
    [
      a?.diameter_percent,
      a?.height_percent,
      b?.diameter_percent,
      b?.height_percent,
    ].forEach((v, i) => {
      p[2 * n + i] = number(v, 0) / 100;
    });
    const st = this.m.e.lh_module_resize(
      this.at,
      n,
      STAGES.indexOf(form.measured ?? defaults.measured),
      STAGES.indexOf(stage),
      this.at + 16 * n,
      this.at,
    );
    if (st) throw new Fault('the shrinkage cannot be');
    return this.m.f64(this.at, 2 * n).slice();
  }

  /** A face as rings: radius, height, normal (radius, height), mm up. */
  rings(form: Form, face: string, most: number): Float64Array {
    const p = this.profile(form, face);
    this.m.f64(this.at, p.length).set(p);
    const out = this.at + 8 * p.length;
    const n = this.m.e.lh_module_rings(
      this.at,
      p.length / 2,
      this.scratch,
      SHAPE_ROOM,
      most,
      out,
    );
    if (n < 0) throw new Fault('the profile cannot be drawn');
    return this.m.f64(out, 5 * n).slice();
  }

  /** A zone's chart; good until the zone or the form changes. */
  chart(form: Form, zone: Zone): Chart {
    const face = zone.face ?? defaults.face;
    const kind = (zone.kind ?? defaults.kind) as 'band' | 'disc';
    const p = this.profile(form, face);
    const z = [
      face === 'inside' ? 1 : 0,
      kind === 'disc' ? 1 : 0,
      number(zone.from_mm),
      number(zone.to_mm),
    ];
    const key = `${z.join()} ${p.join()}`;
    const known = this.charts.get(zone.id);
    if (known?.key === key) return known.chart;
    const room = known?.chart.room ?? this.m.take(SHAPE_ROOM);
    const all = this.m.f64(this.at, p.length + 12);
    all.set(p);
    all.set(z, p.length);
    const out = this.at + 8 * (p.length + 4);
    const st = this.m.e.lh_module_chart(
      this.at,
      p.length / 2,
      this.at + 8 * p.length,
      room,
      SHAPE_ROOM,
      out,
    );
    if (st)
      throw new Fault(`the zone "${zone.name ?? zone.id}" is off the form`);
    const [width, height, length, radius, inner, hand, area, high] = this.m.f64(
      out,
      8,
    ) as unknown as number[];
    const chart = {
      kind,
      width,
      height,
      length,
      radius,
      inner,
      hand,
      area,
      high: high !== 0,
      room,
    } as Chart;
    this.charts.set(zone.id, { key, chart });
    return chart;
  }

  /** From the pot to the chart: x, y, and true mm for one chart mm. */
  place(c: Chart, turns: number, up: number): [number, number, number] | null {
    if (this.m.e.lh_module_place(c.room, turns, up, this.at)) return null;
    const o = this.m.f64(this.at, 3);
    return [o[0] as number, o[1] as number, o[2] as number];
  }
  /** And back: turns, mm up, scale. */
  back(c: Chart, x: number, y: number): [number, number, number] | null {
    if (this.m.e.lh_module_back(c.room, x, y, this.at)) return null;
    const o = this.m.f64(this.at, 3);
    return [o[0] as number, o[1] as number, o[2] as number];
  }

  /** Placings of a repeat, eight numbers each (core/decor/flat.h). */
  placings(e: Painted): Float64Array {
    const r = e.repeat as NonNullable<Painted['repeat']>;
    const odd = r.exceptions ?? [];
    const list = this.m.f64(this.at, 6 * odd.length);
    odd.forEach((x, i) =>
      list.set(
        [
          number(x.instance),
          x.left_out ? 1 : 0,
          number(x.move_turns, 0),
          number(x.move_up_mm, 0),
          number(x.turn_deg, 0) / 360,
          number(x.scale, 1),
        ],
        6 * i,
      ),
    );
    const count = number(r.count),
      most = Math.min(4 * count, 4000);
    const need = SHAPE_ROOM + 4000 * 64 + odd.length * 64;
    const room = this.m.take(need),
      out = this.m.take(64 * most + 64);
    const n = this.m.e.lh_module_repeat(
      ways.indexOf(r.way ?? defaults.way),
      count,
      number(r.axis_turns, defaults.axis),
      this.at,
      odd.length,
      room,
      need,
      most,
      out,
    );
    const got = n >= 0 ? this.m.f64(out, 8 * n).slice() : null;
    this.m.give(room);
    this.m.give(out);
    if (!got) throw new Fault('the repeat cannot be made');
    return got;
  }

  /** The nibs of a dab, four numbers each. */
  dab(length: number, width: number, turn: number, coat: number): Float64Array {
    const n = this.m.e.lh_module_dab(length, width, turn, coat, 0.5, this.at);
    if (n < 0) {
      throw new Fault('a dab is at least one and a half times as long as wide');
    }
    return this.m.f64(this.at, 4 * n).slice();
  }
}
