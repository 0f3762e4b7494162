// SPDX-License-Identifier: GPL-3.0-or-later
// "This colour can no longer be had": the nearest blends, by the operation
// `match`, of the piece's other slips and those that come with the program, and
// of the stains that the book has with K and S.

import { useState } from 'preact/hooks';
import { css, seen, type Rgb, type Sight } from '../sight';
import { stainsOfBook } from '../stains';
import { glazeOf, layersOf } from '../stack';
import type { Piece, Slip } from '../store';
import { bare, fixed, num } from '../words';
import { askOnce, useWork } from '../ui/hooks';
import { Standing } from '../ui/answer';
import { ends, wanted, written } from '../windows';
import { each, mark, type Strip } from './chips';

type Lab = [number, number, number];
type Name = (id: string) => string;

const SHOWN = 2;
/** Most that `match` chooses from. */
const STAINS = 40;

interface Choice {
  additions: { stain: string; percent: number }[];
  delta_e00: number;
  delta_e00_window: number;
  delta_e00_lamp?: number;
  lab: Lab;
  reached: boolean;
}
interface Match {
  choices: Choice[];
  target_lab: Lab;
}
interface Blend extends Choice {
  /** In parts of a hundred of the dry blend, the most first. */
  parts: { name: string; percent: number }[];
  target: Lab;
  got: Rgb;
}
interface Blends {
  slip: string;
  target: Rgb;
  best: Blend[];
  /** What is to be said of slips whose colour nobody fired. */
  invented?: string;
}
type Part = Pick<
  Slip,
  | 'name'
  | 'absorption_m2_g'
  | 'scattering_m2_g'
  | 'coat_g_m2'
  | 'invented'
  | 'optics_from'
>;

const part = (s: Slip): Part => ({
  name: bare(s.name ?? s.id),
  absorption_m2_g: s.absorption_m2_g,
  scattering_m2_g: s.scattering_m2_g,
  coat_g_m2: s.coat_g_m2,
  ...(s.invented ? { invented: true } : {}),
  ...(s.optics_from === undefined ? {} : { optics_from: s.optics_from }),
});

/** What there is to blend: every slip but the one that is gone, and those of
 *  the program that the piece has no copy of. */
async function atHand(
  piece: Piece,
  gone: Slip,
  signal: AbortSignal,
): Promise<Part[]> {
  const made = await askOnce<{ slips: { slip: Slip }[] }>('slips', {}, signal);
  const here = new Set(piece.slips.map((s) => part(s).name?.toLowerCase()));
  const more = made.slips
    .map((m) => part(m.slip))
    .filter((s) => !here.has(s.name?.toLowerCase()));
  const own = piece.slips.filter((s) => s.id !== gone.id).map(part);
  return [...own, ...more].filter(
    (s, i, all) => all.findIndex((x) => x.name === s.name) === i,
  );
}

/** The window to hold the blend to: the best coat lies inside. */
function span(slip: Slip, strip: Strip): [number, number] {
  const best = wanted(slip);
  const [least, most] = ends(strip.window) ??
    written(slip) ?? [0.8 * best, 1.25 * best]; // as `match` itself
  const thick = Number.isFinite(most) ? most : 1.25 * best;
  return [Math.min(Math.max(least, 0.1), best), Math.max(thick, best)];
}

function docOf(
  piece: Piece,
  gone: Slip,
  strip: Strip,
  base: Part,
  others: Part[],
  stock: string[],
): unknown {
  const [least, most] = span(gone, strip);
  const sure = num(gone.uncertainty_percent, 15);
  return {
    target: { slip: part(gone) },
    base,
    stains: others.map((s) => ({
      name: s.name,
      absorption_m2_g: s.absorption_m2_g,
      scattering_m2_g: s.scattering_m2_g,
      most_percent: 100,
    })),
    ...(stock.length ? { stock } : {}),
    over: {
      reflectance: piece.body.reflectance,
      stack_top_first: layersOf(piece, strip.below),
    },
    glaze: glazeOf(piece),
    geometry: 'd8_ex',
    coat_g_m2: wanted(gone),
    least_g_m2: least,
    most_g_m2: most,
    most_total_percent: 300,
    choices: 1,
    uncertainty: { absorption_percent: sure, scattering_percent: sure },
  };
}

function blendOf(base: Part, c: Choice, target: Lab): Blend {
  const all = 100 + c.additions.reduce((s, a) => s + a.percent, 0);
  const parts = [
    { name: base.name ?? '', percent: 10000 / all },
    ...c.additions.map((a) => ({
      name: a.stain,
      percent: (100 * a.percent) / all,
    })),
  ].sort((a, b) => b.percent - a.percent);
  return { ...c, parts, target, got: [0, 0, 0] };
}
/** What it is made of, whatever stands first. */
const sort = (b: Blend) =>
  b.parts
    .map((x) => x.name)
    .sort()
    .join('\n');

/** Each slip in turn takes the others: the best of all. */
async function find(
  piece: Piece,
  gone: Slip,
  strip: Strip,
  signal: AbortSignal,
): Promise<Blends> {
  const parts = await atHand(piece, gone, signal);
  const stock = await stainsOfBook(STAINS - parts.length);
  const srgb = async (lab: Lab) =>
    (await askOnce<{ srgb: Rgb }>('colour', { lab }, signal)).srgb;
  const all = await each(parts, async (base) => {
    const others = parts.filter((x) => x !== base);
    const doc = docOf(piece, gone, strip, base, others, stock);
    const r = await askOnce<Match>('match', doc, signal);
    return r.choices.map((c) => blendOf(base, c, r.target_lab));
  });
  const best = all
    .flat()
    .sort((a, b) => a.delta_e00_window - b.delta_e00_window)
    .filter((b, i, s) => s.findIndex((x) => sort(x) === sort(b)) === i)
    .slice(0, SHOWN);
  for (const b of best) b.got = await srgb(b.lab);
  const target = best[0] ? await srgb(best[0].target) : ([1, 1, 1] as Rgb);
  const used = new Set(best.flatMap((b) => b.parts.map((x) => x.name)));
  const invented = parts
    .filter((x) => used.has(x.name ?? ''))
    .map(mark)
    .find((m) => m !== undefined);
  return { slip: gone.id, target, best, invented };
}

/** In which way the nearest fails. */
function fails(b: Blend): string {
  const chroma = ([, x, y]: Lab) => Math.hypot(x, y);
  const light = b.lab[0] - b.target[0];
  const strong = chroma(b.lab) - chroma(b.target);
  const lights = light < -1 ? 'darker' : light > 1 ? 'lighter' : 'as light';
  const strength =
    strong < -1 ? 'duller' : strong > 1 ? 'stronger' : 'of another hue';
  const and = lights === 'as light' ? 'but' : 'and';
  return (
    'With these the colour cannot be reached: the nearest is ' +
    `${lights} ${and} ${strength}.`
  );
}

function One({ of: b, next }: { of: Blend; next: boolean }) {
  const lamp = num(b.delta_e00_lamp);
  return (
    <p data-exactly={JSON.stringify(b.parts.map((x) => [x.name, x.percent]))}>
      {next ? 'The next: ' : ''}
      {b.parts
        .map((x) => `${fixed(x.percent, 0)} % ${x.name}`)
        .join(', ')}.{' '}
      <span class="sure">
        ΔE {fixed(b.delta_e00, 1)} at the best coat, up to{' '}
        {fixed(b.delta_e00_window, 1)} across the window
        {Number.isFinite(lamp) ? `, ${fixed(lamp, 1)} by lamplight` : ''}.
      </span>
    </p>
  );
}

function Found(p: { of: Blends; sight: Sight; name: string }) {
  const { of: r } = p;
  const first = r.best[0];
  if (!first) return <p>There is no other slip to blend.</p>;
  const dabs: [string, Rgb][] = [
    ['wanted', r.target],
    ...r.best.map((b, i): [string, Rgb] => [
      i ? 'the next' : first.reached ? 'reached' : 'nearest',
      b.got,
    ]),
  ];
  return (
    <>
      <span class="two">
        {dabs.map(([says, rgb]) => (
          <span key={says}>
            <span
              class="dab"
              style={{ backgroundColor: css(seen(rgb, p.sight)) }}
            />
            <span class="sure">{says}</span>
          </span>
        ))}
      </span>
      {r.best.map((b, i) => (
        <One key={sort(b)} of={b} next={i > 0} />
      ))}
      {first.reached ? null : <p>{fails(first)}</p>}
      <p class="sure">
        By dry weight, as powders that mix without changing each other. A
        prediction: no tile yet. Make one of the first before the batch: an
        oxide that dissolves in the glaze does not mix like this.
        {r.invented ? ` Some of it is ${r.invented}.` : ''}
      </p>
    </>
  );
}

export function Blended(p: {
  piece: Piece;
  slip: Slip;
  strip: Strip | undefined;
  sight: Sight;
  name: Name;
}) {
  const { piece, slip, strip } = p;
  const [open, setOpen] = useState(false);
  const name = p.name(slip.id);
  const found = useWork<Blends>(
    open && strip ? (signal) => find(piece, slip, strip, signal) : undefined,
    [open, strip?.window, slip, piece.slips, piece.glaze, piece.body],
  );
  const r = found.result?.slip === slip.id ? found.result : undefined;
  return (
    <details class="why blend" onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>{name} can no longer be had</summary>
      {open ? (
        <div class="why-body">
          <Standing of={{ ...found, result: r }} />
          {r ? <Found of={r} sight={p.sight} name={name} /> : null}
        </div>
      ) : null}
    </details>
  );
}
