// SPDX-License-Identifier: GPL-3.0-or-later
// White needed?  Where one slip lies on another: the colour with and without
// a white ground between, how heavy that white must be, or the better order.

import { css, seen, type Rgb, type Sight } from '../sight';
import type { Piece } from '../store';
import { capital, fixed, num, span } from '../words';
import { askOnce, useWork } from '../ui/hooks';
import { Standing } from '../ui/answer';
import { each } from './chips';

type Lab = [number, number, number];
type Name = (id: string) => string;

interface Least {
  least_g_m2?: number | null;
  least_coats?: number | null;
  least_g_m2_range?: [number, number];
}
interface Overlap {
  upper: string;
  lower: string;
  area_cm2: number;
  lab: Lab;
  lab_on_ground: Lab;
  delta_e00: number;
  white_needed: boolean;
  turned_delta_e00?: number;
  better_order?: 'turned' | 'as painted';
  white_between?: Least & {
    slip: string;
    coat_g_m2: number;
    lab: Lab;
    delta_e00: number;
  };
}
interface Overlaps {
  overlaps: Overlap[];
  ground?: Least & {
    slip: string;
    coat_g_m2: number;
    delta_e00: number;
    hides: boolean;
  };
}
interface Seen extends Overlap {
  painted: Rgb;
  onGround: Rgb;
  withWhite?: Rgb;
}
interface Found {
  all: Seen[];
  ground: Overlaps['ground'];
}

async function find(piece: Piece, signal: AbortSignal): Promise<Found> {
  const r = await askOnce<Overlaps>('overlaps', piece, signal);
  const srgb = async (lab: Lab) =>
    (await askOnce<{ srgb: Rgb }>('colour', { lab }, signal)).srgb;
  const all = await each(r.overlaps, async (o) => ({
    ...o,
    painted: await srgb(o.lab),
    onGround: await srgb(o.lab_on_ground),
    ...(o.white_between ? { withWhite: await srgb(o.white_between.lab) } : {}),
  }));
  return { all, ground: r.ground };
}

/** "at least 110 g/m² (90 to 140), 1.0 coats" */
function least(x: Least): string {
  const range = x.least_g_m2_range;
  return (
    `at least ${fixed(num(x.least_g_m2), 0)} g/m²` +
    (range ? ` (${span(range, 0)})` : '') +
    `, ${fixed(num(x.least_coats), 1)} coats`
  );
}

function verdict(o: Overlap, seenFrom: number, name: Name): string {
  const on = o.white_between ? name(o.white_between.slip) : 'the body';
  const off = `ΔE ${fixed(o.delta_e00, 1)}`;
  if (o.delta_e00 <= seenFrom) {
    return `fires as it does on ${on} (${off}): nothing is needed.`;
  }
  const turned =
    o.better_order === 'turned'
      ? ` Painted in the other order, ${name(o.lower)} on top is ΔE ${fixed(
          num(o.turned_delta_e00),
          1,
        )} from its own colour: that is better.`
      : '';
  const w = o.white_between;
  if (!w) {
    return (
      `fires to another colour than on ${on} (${off}).` +
      (turned ||
        ' Leave the lower out there, or give the piece a white ground.')
    );
  }
  if (!o.white_needed || !Number.isFinite(num(w.least_g_m2))) {
    return (
      `fires to another colour than on ${on} (${off}), and no weight of white ` +
      `takes that away.${turned || ' Leave the lower out there.'}`
    );
  }
  return (
    `fires to another colour than on ${on} (${off}). White between saves it: ` +
    `${least(w)}.${turned}`
  );
}

function Two({ of: o, sight }: { of: Seen; sight: Sight }) {
  const dabs: [string, Rgb][] = [['as painted', o.painted]];
  if (o.withWhite && o.white_between) {
    const g = fixed(o.white_between.coat_g_m2, 0);
    dabs.push([`white between, ${g} g/m²`, o.withWhite]);
  } else dabs.push(['by itself', o.onGround]);
  return (
    <span class="two">
      {dabs.map(([says, rgb]) => (
        <span key={says}>
          <span
            class="dab"
            style={{ backgroundColor: css(seen(rgb, sight)) }}
          />
          <span class="sure">{says}</span>
        </span>
      ))}
    </span>
  );
}

function Under({ of: g, name }: { of: Found['ground']; name: Name }) {
  if (!g) return null;
  const from = num(g.least_g_m2);
  return (
    <p class="sure">
      {capital(name(g.slip))} lies at {fixed(g.coat_g_m2, 0)} g/m², ΔE{' '}
      {fixed(g.delta_e00, 1)} from a thick coat of itself:{' '}
      {g.hides
        ? 'the body does not show through it.'
        : Number.isFinite(from)
          ? `the body still warms it. It no longer shows with ${least(g)}.`
          : 'the body shows through it at any weight.'}
    </p>
  );
}

export function Between(p: { piece: Piece; sight: Sight; name: Name }) {
  const { piece, name } = p;
  const found = useWork<Found>((signal) => find(piece, signal), [piece], 400);
  const seenFrom = num(piece.limits?.seen_de00, 3);
  const r = found.result;
  return (
    <>
      <h2>White needed?</h2>
      <Standing of={found} />
      {r?.all.map((o) => (
        <div key={`${o.upper} ${o.lower}`} class="overlap">
          <p>
            <b>{capital(name(o.upper))}</b> over {name(o.lower)},{' '}
            {fixed(o.area_cm2, 1)} cm² of each pot, {verdict(o, seenFrom, name)}
          </p>
          <Two of={o} sight={p.sight} />
        </div>
      ))}
      {r && !r.all.length ? (
        <p>Each slip lies on its ground: nowhere is white wanted between.</p>
      ) : null}
      <Under of={r?.ground} name={name} />
    </>
  );
}
