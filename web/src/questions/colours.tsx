// SPDX-License-Identifier: GPL-3.0-or-later
// Which colours?  Each slip thin to thick over what lies below it on this
// piece, its window, and how well neighbours are told apart.

import { useState } from 'preact/hooks';
import { store, type Piece, type Slip } from '../store';
import { pointer } from '../patch';
import { bare, capital, fixed, num } from '../words';
import type { Coverage, ShadeResult } from '../results';
import { css, seen, type Rgb, type Sight } from '../sight';
import { lowers, shadeOf, under, type Coat } from '../stack';
import { askOnce, useOp, usePiece, useWork } from '../ui/hooks';
import { Choice, NumberField } from '../ui/field';
import { Head, Standing, Why } from '../ui/answer';
import { Tiles } from '../ui/tiles';
import { Materials, Without, useMissing } from './without';

const DABS = 10;
const GROUNDS_MOST = 3;
const PAIRS_MOST = 12;

interface Strip {
  over: string; // a slip's id or "body"
  dabs: { g: number; shade: ShadeResult }[];
}
interface Pair {
  one: string;
  other: string;
  on: boolean; // one lies over the other; else side by side
  delta: number;
}

/** The weights of the dabs: a quarter of the least to half past the most. */
export function weights(slip: Slip): number[] {
  const w = slip.window;
  const most = w ? 1.6 * num(w.most_g_m2) : 4 * num(slip.coat_g_m2);
  let least = 0.25 * (w ? num(w.least_g_m2) : num(slip.coat_g_m2));
  if (!(least > 0)) least = most / 20;
  return Array.from(
    { length: DABS },
    (_, i) => least * (most / least) ** (i / (DABS - 1)),
  );
}

/** Do `work` for each, a few at a time. */
async function each<T, R>(all: T[], work: (t: T) => Promise<R>): Promise<R[]> {
  const out: R[] = new Array<R>(all.length);
  let next = 0;
  const hand = async () => {
    while (next < all.length) {
      const i = next++;
      out[i] = await work(all[i] as T);
    }
  };
  await Promise.all(Array.from({ length: 4 }, hand));
  return out;
}

async function strips(
  piece: Piece,
  c: Coverage,
  slip: Slip,
  signal: AbortSignal,
): Promise<Strip[]> {
  let grounds = lowers(c, slip.id).slice(0, GROUNDS_MOST);
  if (!grounds.length) {
    // Painted nowhere yet: as it would be on the first ground.
    const ground = piece.slips.find((s) => s.ground && s !== slip);
    const use = ground && c.slips.find((s) => s.slip === ground.id);
    grounds = [
      {
        upper: slip.id,
        lower: ground?.id ?? 'body',
        area_cm2: 0,
        upper_g_m2: num(slip.coat_g_m2),
        lower_g_m2: use?.coat_g_m2 || num(ground?.coat_g_m2, 0),
      },
    ];
  }
  return each(grounds, async (o) => ({
    over: o.lower,
    dabs: await each(weights(slip), async (g) => {
      const stack = [{ slip: slip.id, g }, ...under(c, o.lower, o.lower_g_m2)];
      const doc = shadeOf(piece, stack);
      return { g, shade: await askOnce<ShadeResult>('shade', doc, signal) };
    }),
  }));
}

/** A colour as the chosen eyes see it, as Lab. */
async function labSeen(
  s: ShadeResult,
  sight: Sight,
  signal: AbortSignal,
): Promise<[number, number, number]> {
  if (sight === 'usual') return s.lab;
  const clip = (v: number) => Math.min(1, Math.max(0, v));
  const srgb = seen(s.srgb, sight).map(clip);
  return (
    await askOnce<{ lab: [number, number, number] }>('colour', { srgb }, signal)
  ).lab;
}

async function pairs(
  piece: Piece,
  c: Coverage,
  sight: Sight,
  signal: AbortSignal,
): Promise<Pair[]> {
  const colour = async (stack: Coat[]) =>
    labSeen(
      await askOnce<ShadeResult>('shade', shadeOf(piece, stack), signal),
      sight,
      signal,
    );
  const todo: {
    one: string;
    other: string;
    on: boolean;
    a: Coat[];
    b: Coat[];
  }[] = [];
  const painted = piece.slips.filter((s) => lowers(c, s.id).length);
  for (const s of painted) {
    for (const o of lowers(c, s.id)) {
      if (o.lower === 'body') continue;
      const below = under(c, o.lower, o.lower_g_m2);
      todo.push({
        one: s.id,
        other: o.lower,
        on: true,
        a: [{ slip: s.id, g: o.upper_g_m2 }, ...below],
        b: below,
      });
    }
  }
  const drawn = painted.filter((s) => !s.ground);
  drawn.forEach((s, i) => {
    for (const t of drawn.slice(i + 1)) {
      if (todo.some((p) => p.on && isPair(p, s.id, t.id))) continue;
      const own = (x: Slip) => {
        const o = lowers(c, x.id)[0] as Coverage['overlaps'][number];
        const g = o.upper_g_m2;
        return [{ slip: x.id, g }, ...under(c, o.lower, o.lower_g_m2)];
      };
      todo.push({ one: s.id, other: t.id, on: false, a: own(s), b: own(t) });
    }
  });
  const found = await each(todo, async ({ a, b, ...p }) => {
    const lab1 = await colour(a);
    const lab2 = await colour(b);
    const r = await askOnce<{ delta_e00: number }>(
      'difference',
      { lab1, lab2 },
      signal,
    );
    return { ...p, delta: r.delta_e00 };
  });
  return found.sort((x, y) => x.delta - y.delta).slice(0, PAIRS_MOST);
}
const isPair = (p: { one: string; other: string }, a: string, b: string) =>
  (p.one === a && p.other === b) || (p.one === b && p.other === a);

/** In words; the steps are a judgement. */
const told = (delta: number) =>
  delta < 3 ? 'hardly told apart' : delta < 10 ? 'close' : 'clear';

/** Where a coat weight stands along the strip, in % of its width. */
function along(dabs: { g: number }[], g: number): number {
  const first = dabs[0]?.g ?? 1;
  const last = dabs[dabs.length - 1]?.g ?? 1;
  const i = ((dabs.length - 1) * Math.log(g / first)) / Math.log(last / first);
  return (100 * (Math.min(Math.max(i, -0.5), DABS - 0.5) + 0.5)) / DABS;
}

function Dabs({
  strip,
  slip,
  sight,
}: {
  strip: Strip;
  slip: Slip;
  sight: Sight;
}) {
  const w = slip.window;
  const from = w && along(strip.dabs, Math.max(num(w.least_g_m2), 1e-6));
  const to = w && along(strip.dabs, num(w.most_g_m2));
  return (
    <div class="strip">
      {strip.dabs.map((d, i) => (
        <span
          key={i}
          class="dab"
          style={{ backgroundColor: css(seen(d.shade.srgb as Rgb, sight)) }}
        />
      ))}
      {w && from !== undefined && to !== undefined ? (
        <span
          class="bracket"
          style={{ left: `${from}%`, width: `${to - from}%` }}
        >
          <span>{fixed(num(w.least_g_m2), 0)}</span>
          <span>{fixed(num(w.most_g_m2), 0)}</span>
        </span>
      ) : null}
    </div>
  );
}

function coats(slip: Slip): string {
  const w = slip.window;
  const coat = num(slip.coat_g_m2);
  if (!w) return '1';
  const r = (v: number) => {
    const n = v / coat;
    return fixed(n, n < 1 || n % 1 > 0.05 ? 1 : 0);
  };
  return `${r(num(w.least_g_m2))}\u2013${r(num(w.most_g_m2))}`;
}

const SIGHTS: { value: Sight; says: string }[] = [
  { value: 'usual', says: 'as most eyes see' },
  { value: 'protanomaly', says: 'without red cones' },
  { value: 'deuteranomaly', says: 'without green' },
  { value: 'tritanomaly', says: 'without blue' },
];

export function Colours() {
  const piece = usePiece();
  const [chosen, setChosen] = useState('');
  const [sight, setSight] = useState<Sight>('usual');
  const coverage = useOp<Coverage>('coverage', piece, 400);
  const c = coverage.result;
  const stuff = [piece.slips, piece.body, piece.glaze, piece.glaze_g_m2];
  const shades = useWork<Map<string, Strip[]>>(
    c &&
      (async (signal) => {
        const m = new Map<string, Strip[]>();
        for (const s of piece.slips)
          m.set(s.id, await strips(piece, c, s, signal));
        return m;
      }),
    [c, ...stuff],
  );
  const near = useWork<Pair[]>(
    c && ((signal) => pairs(piece, c, sight, signal)),
    [c, sight, ...stuff],
  );
  const slip =
    piece.slips.find((s) => s.id === chosen) ??
    piece.slips.find((s) => !s.ground) ??
    piece.slips[0];
  const missing = useMissing(slip);
  const wet = useOp<{ wet_mm: number; coats: number }>(
    'coat',
    slip && {
      coat_g_m2: num(slip.window?.best_g_m2, num(slip.coat_g_m2)),
      litre_weight_g: slip.litre_weight_g,
      ...(slip.solids_density === undefined
        ? {}
        : { solids_density: slip.solids_density }),
    },
    0,
  );
  if (!slip) return <p>There is no slip in this piece yet.</p>;

  const name = (id: string) =>
    id === 'body'
      ? 'the body'
      : bare(piece.slips.find((s) => s.id === id)?.name ?? id);
  const w = slip.window;
  const i = piece.slips.indexOf(slip);
  const strip = shades.result?.get(slip.id)?.[0];
  const best = num(w?.best_g_m2, num(slip.coat_g_m2));
  const doubt = strip?.dabs.reduce((a, b) =>
    Math.abs(b.g - best) < Math.abs(a.g - best) ? b : a,
  ).shade.range.delta_e00;
  const use = c?.slips.find((s) => s.slip === slip.id);
  const window = (key: 'least_g_m2' | 'best_g_m2' | 'most_g_m2', v: number) =>
    w
      ? store.apply(
          [{ op: 'add', path: pointer('slips', i, 'window', key), value: v }],
          `change the window of ${name(slip.id)}`,
        )
      : store.apply(
          [
            {
              op: 'add',
              path: pointer('slips', i, 'window'),
              value: {
                least_g_m2: 0.5 * num(slip.coat_g_m2),
                most_g_m2: 2 * num(slip.coat_g_m2),
                [key]: v,
              },
            },
          ],
          `give ${name(slip.id)} a window`,
        );
  return (
    <>
      <Head
        number={coats(slip)}
        what={`coats of ${name(slip.id)}`}
        plain={
          <>
            {w
              ? `${fixed(num(w.least_g_m2), 0)} to ${fixed(
                  num(w.most_g_m2),
                  0,
                )} g/m² dry; aim for ${fixed(best, 0)}`
              : `${fixed(best, 0)} g/m² dry`}
            {wet.result ? `, ${fixed(wet.result.wet_mm, 2)} mm wet` : ''}.{' '}
            {w?.why ?? ''}
          </>
        }
        sure={
          <>
            {use && use.area_cm2 > 0
              ? `As drawn it lies ${fixed(use.coat_g_m2, 0)} g/m² on average, ${fixed(
                  use.heaviest_g_m2,
                  0,
                )} at the thickest. `
              : 'It lies nowhere on this piece. '}
            {doubt !== undefined
              ? `Nine in ten fire within \u0394E ${fixed(doubt, 1)} of the dab. `
              : ''}
            {slip.invented ? 'Its colour is invented: no tile was fired.' : ''}
          </>
        }
      />
      <Choice
        legend="Whose eyes"
        value={sight}
        choices={SIGHTS}
        onChoice={setSight}
      />
      <Standing of={coverage.result ? shades : coverage} />
      <div class="slips">
        {piece.slips.map((s) => (
          <section key={s.id} class={'slip' + (s === slip ? ' chosen' : '')}>
            <h2>
              <button
                type="button"
                aria-pressed={s === slip}
                onClick={() => setChosen(s.id)}
              >
                {name(s.id)}
              </button>
              <span class="sure">
                {coats(s)} coats
                {s.window?.safer_side
                  ? `, the ${s.window.safer_side} side is safer`
                  : ''}
              </span>
            </h2>
            {(shades.result?.get(s.id) ?? []).map((t) => (
              <figure key={t.over}>
                <Dabs strip={t} slip={s} sight={sight} />
                <figcaption>
                  over {name(t.over)}
                  <span class="unseen">
                    , thin to thick, {fixed(t.dabs[0]?.g ?? NaN, 0)} to{' '}
                    {fixed(t.dabs[DABS - 1]?.g ?? NaN, 0)} g/m²
                  </span>
                </figcaption>
              </figure>
            ))}
            <Tiles slip={s} chosen={s === slip} />
          </section>
        ))}
      </div>

      <h2>Told apart</h2>
      <Standing of={near} />
      <table class="plain-table pairs">
        <caption class="unseen">
          How far apart neighbouring colours look, the closest first
        </caption>
        <tbody>
          {(near.result ?? []).map((p) => (
            <tr key={`${p.one} ${p.other}`}>
              <th scope="row">
                {name(p.one)} {p.on ? 'on' : 'beside'} {name(p.other)}
              </th>
              <td>{told(p.delta)}</td>
              <td>{fixed(p.delta, 0)}</td>
            </tr>
          ))}
        </tbody>
      </table>

      <h2>{capital(name(slip.id))}, its window</h2>
      <div class="fields">
        <NumberField
          label="least"
          unit="g/m²"
          value={w?.least_g_m2}
          least={0}
          most={num(w?.most_g_m2, 20000)}
          onNumber={(v) => window('least_g_m2', v as number)}
        />
        <NumberField
          label="best"
          unit="g/m²"
          value={w?.best_g_m2}
          least={num(w?.least_g_m2, 0)}
          most={num(w?.most_g_m2, 20000)}
          onNumber={(v) => window('best_g_m2', v as number)}
        />
        <NumberField
          label="most"
          unit="g/m²"
          value={w?.most_g_m2}
          least={num(w?.least_g_m2, 0)}
          most={20000}
          onNumber={(v) => window('most_g_m2', v as number)}
        />
        <NumberField
          label="one coat of your brush"
          unit="g/m²"
          value={slip.coat_g_m2}
          least={0.1}
          most={5000}
          onNumber={(v) =>
            store.apply(
              [
                {
                  op: 'replace',
                  path: pointer('slips', i, 'coat_g_m2'),
                  value: v,
                },
              ],
              `change the coat of ${name(slip.id)}`,
            )
          }
        />
      </div>
      {slip.recipe ? (
        <>
          <h2>{capital(name(slip.id))}, what it is made of</h2>
          <Materials of={missing} />
          <Without of={missing} dry={500} />
        </>
      ) : null}
      <Why>
        <p>
          Dabs are fired colours under this glaze, in daylight and without its
          shine, by the absorption and scattering that the piece gives for each
          slip (Kubelka and Munk). The bracket is the window: coat weights whose
          colour you want.
        </p>
        <p>
          The figure is the colour difference ΔE00 (CIEDE2000): about 1 is just
          seen side by side. Below 3 counts here as hardly told apart, below 10
          as close: judgements. Eyes that lack one kind of cone are simulated
          after Machado, Oliveira and Fernandes (2009), at full strength.
        </p>
        {slip.optics_from ? <p>{`${slip.optics_from as string}.`}</p> : null}
      </Why>
    </>
  );
}
