// SPDX-License-Identifier: GPL-3.0-or-later
// Told apart: the slips from dark to light, how far apart they look under
// three lights and to four kinds of eyes, and which will be confused.

import type { ComponentChildren } from 'preact';
import type { Coverage, ShadeResult } from '../results';
import { seen, type Sight } from '../sight';
import { lowers, shadeOf, under, type Coat } from '../stack';
import type { Piece } from '../store';
import { capital, fixed, num } from '../words';
import { askOnce, useWork } from '../ui/hooks';
import { Standing, Why } from '../ui/answer';
import { each } from './chips';

const LIGHTS = ['D65', 'D50', 'A'] as const;
type Light = (typeof LIGHTS)[number];
const LIT: Record<Light, string> = {
  D65: 'by daylight',
  D50: 'by warm daylight',
  A: 'by lamplight',
};
const EYES = ['usual', 'protan', 'deutan', 'tritan'] as const;
type Eyes = (typeof EYES)[number];
const EYES_OF: Record<Sight, Eyes> = {
  usual: 'usual',
  protanomaly: 'protan',
  deuteranomaly: 'deutan',
  tritanomaly: 'tritan',
};
const WHO: Record<Eyes, string> = {
  usual: 'Most eyes',
  protan: 'Eyes without the red cones',
  deutan: 'Eyes without the green cones',
  tritan: 'Eyes without the blue cones',
};
/** Shown at once; the others are folded away. */
const NEAREST = 4;
const PAIRS_MOST = 40;
const SAID_MOST = 6;
/** Nearer than this in lightness only hue parts two slips (L*, a judgement,
 *  as the program's own `alike_lightness`). */
const ALIKE = 5;

interface Lit {
  lab: [number, number, number];
  hex: string;
  seen: Record<Exclude<Eyes, 'usual'>, string>;
  from_ground_de00: number;
}
interface Pair {
  slip1: string;
  slip2: string;
  lightness: number;
  under: Record<Light, Record<Eyes, number>>;
}
interface Palette {
  slips: { slip: string; under: Record<Light, Lit> }[];
  lightness_order: string[];
  pairs: Pair[];
  confused: {
    slip1: string;
    slip2: string;
    illuminant: Light;
    sight: Eyes;
    delta_e00: number;
  }[];
}
interface Line {
  says: string;
  apart: (number | undefined)[]; // under each light
}

type Name = (id: string) => string;

/** In words; the steps are a judgement. */
const told = (delta: number) =>
  delta < 3 ? 'hardly told apart' : delta < 10 ? 'close' : 'clear';

/** One slip on another that is no ground: what `palette` does not look at. */
async function onAnother(
  piece: Piece,
  c: Coverage,
  sight: Sight,
  name: Name,
  signal: AbortSignal,
): Promise<Line[]> {
  const lab = async (stack: Coat[]) => {
    const doc = shadeOf(piece, stack);
    const s = await askOnce<ShadeResult>('shade', doc, signal);
    if (sight === 'usual') return s.lab;
    const clip = (v: number) => Math.min(1, Math.max(0, v));
    const srgb = seen(s.srgb, sight).map(clip);
    return (await askOnce<{ lab: number[] }>('colour', { srgb }, signal)).lab;
  };
  const ground = new Set(piece.slips.filter((s) => s.ground).map((s) => s.id));
  const todo = piece.slips.flatMap((s) =>
    lowers(c, s.id)
      .filter((o) => o.lower !== 'body' && !ground.has(o.lower))
      .map((o) => ({ s, o })),
  );
  return each(todo, async ({ s, o }) => {
    const below = under(c, o.lower, o.lower_g_m2);
    const lab1 = await lab([{ slip: s.id, g: o.upper_g_m2 }, ...below]);
    const lab2 = await lab(below);
    const r = await askOnce<{ delta_e00: number }>(
      'difference',
      { lab1, lab2 },
      signal,
    );
    const says = `${name(s.id)} on ${name(o.lower)}`;
    return { says, apart: [r.delta_e00, undefined, undefined] };
  });
}

function lines(r: Palette, eyes: Eyes, ground: string | undefined, name: Name) {
  const out: Line[] = r.pairs.map((p) => ({
    says: `${name(p.slip1)} beside ${name(p.slip2)}`,
    apart: LIGHTS.map((l) => p.under[l][eyes]),
  }));
  if (ground !== undefined && eyes === 'usual') {
    for (const s of r.slips) {
      out.push({
        says: `${name(s.slip)} on ${ground}`,
        apart: LIGHTS.map((l) => s.under[l].from_ground_de00),
      });
    }
  }
  return out;
}
const worst = (l: Line) => Math.min(...l.apart.filter((d) => d !== undefined));

/** The slips from dark to light. */
function Order(p: { of: Palette; sight: Sight; name: Name }) {
  const { of: r } = p;
  const eyes = EYES_OF[p.sight];
  const all = r.lightness_order.map((id) => r.slips.find((s) => s.slip === id));
  return (
    <ol class="lightness" aria-label="from dark to light">
      {all.map((s) =>
        s ? (
          <li key={s.slip}>
            <span
              class="dab"
              style={{
                backgroundColor:
                  eyes === 'usual' ? s.under.D65.hex : s.under.D65.seen[eyes],
              }}
            />
            <span>{p.name(s.slip)}</span>
            <span class="sure">{fixed(s.under.D65.lab[0], 0)}</span>
          </li>
        ) : null,
      )}
    </ol>
  );
}

/** Neighbours in that row that are as light as each other. */
function Alike({ of: r, name }: { of: Palette; name: Name }) {
  const pairs = r.lightness_order.flatMap((id, i) => {
    const next = r.lightness_order[i + 1];
    const p = r.pairs.find(
      (x) =>
        (x.slip1 === id && x.slip2 === next) ||
        (x.slip2 === id && x.slip1 === next),
    );
    return p && Math.abs(p.lightness) < ALIKE ? [p] : [];
  });
  if (!pairs.length) return null;
  return (
    <p class="sure">
      {pairs
        .map((p) => `${capital(name(p.slip1))} and ${name(p.slip2)}`)
        .join('; ')}
      {pairs.length === 1 ? ' are' : ': each pair is'} about as light as each
      other: only their hue parts them.
    </p>
  );
}

interface Mistaken {
  says: string;
  lights: Light[];
}

/** Who confuses what, and by which lights; what all eyes confuse in any light
 *  is said once. */
function mistaken(r: Palette, name: Name): Mistaken[] {
  const by = new Map<string, Mistaken>();
  const anyhow = new Set<string>();
  for (const eyes of EYES) {
    for (const x of r.confused.filter((c) => c.sight === eyes)) {
      const pair = `${x.slip1} ${x.slip2}`;
      if (anyhow.has(pair)) continue;
      const key = `${eyes} ${pair}`;
      const says = `${WHO[eyes]} confuse ${name(x.slip1)} and ${name(x.slip2)}`;
      const m = by.get(key) ?? { says, lights: [] };
      m.lights.push(x.illuminant);
      by.set(key, m);
    }
    for (const [key, m] of by) {
      if (eyes === 'usual' && m.lights.length === LIGHTS.length) {
        anyhow.add(key.slice(eyes.length + 1));
      }
    }
  }
  return [...by.values()];
}

function Confused({ of: r, name }: { of: Palette; name: Name }) {
  const all = mistaken(r, name);
  if (!all.length) {
    return (
      <p>
        No two of them will be confused, by daylight or lamplight, also not by
        eyes that lack one kind of cone.
      </p>
    );
  }
  return (
    <ul class="confused">
      {all.slice(0, SAID_MOST).map((x) => (
        <li key={x.says}>
          {x.says}
          {x.lights.length === LIGHTS.length
            ? ', in any light.'
            : ` ${x.lights.map((l) => LIT[l]).join(' and ')}.`}
        </li>
      ))}
      {all.length > SAID_MOST ? (
        <li>And {all.length - SAID_MOST} more.</li>
      ) : null}
      <li class="sure">
        Part them by ground or a line, or make one of them lighter.
      </li>
    </ul>
  );
}

function Table({ of: lines, caption }: { of: Line[]; caption: string }) {
  return (
    <table class="plain-table pairs">
      <caption class="unseen">{caption}</caption>
      <thead>
        <tr>
          <td />
          <td />
          <th scope="col">daylight</th>
          <th scope="col">warm</th>
          <th scope="col">lamp</th>
        </tr>
      </thead>
      <tbody>
        {lines.map((l) => (
          <tr key={l.says}>
            <th scope="row">{l.says}</th>
            <td>{told(worst(l))}</td>
            {l.apart.map((d, i) => (
              <td key={i}>{d === undefined ? '' : fixed(num(d), 0)}</td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** The nearest at once, the others for who wants to know. */
function Tables({ of: all }: { of: Line[] }) {
  const sorted = [...all].sort((a, b) => worst(a) - worst(b));
  const others = sorted.slice(NEAREST, PAIRS_MOST);
  return (
    <>
      <Table
        of={sorted.slice(0, NEAREST)}
        caption="How far apart colours look, ΔE00, the closest first"
      />
      {others.length ? (
        <Why summary={`The others, ${told(worst(others[0] as Line))}`}>
          <Table of={others} caption="How far apart the others look, ΔE00" />
        </Why>
      ) : null}
    </>
  );
}

export function Apart(p: {
  piece: Piece;
  c: Coverage | undefined;
  sight: Sight;
  name: Name;
  /** Where one says whose eyes see it. */
  eyes: ComponentChildren;
}) {
  const { piece, c, sight, name } = p;
  const drawn = piece.slips.filter((s) => !s.ground).length;
  const palette = useWork<Palette>(
    drawn > 1
      ? (signal) => askOnce('palette', piece, signal, { geometry: 'd8_ex' })
      : undefined,
    [piece],
    400,
  );
  const more = useWork<Line[]>(
    c && ((signal) => onAnother(piece, c, sight, name, signal)),
    [c, sight, piece.slips, piece.body, piece.glaze, piece.glaze_g_m2],
  );
  if (drawn < 2) return null;
  const r = palette.result;
  const ground = piece.slips.find((s) => s.ground);
  return (
    <>
      <h2>Told apart</h2>
      {p.eyes}
      <Standing of={r ? more : palette} />
      {r ? (
        <>
          <Order of={r} sight={sight} name={name} />
          <Alike of={r} name={name} />
          <Confused of={r} name={name} />
          <Tables
            of={[
              ...lines(r, EYES_OF[sight], ground && name(ground.id), name),
              ...(more.result ?? []),
            ]}
          />
        </>
      ) : null}
    </>
  );
}
