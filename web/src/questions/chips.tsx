// SPDX-License-Identifier: GPL-3.0-or-later
// A slip's chips: dabs from thin to thick over each ground that it lies on,
// with the window that was worked out and the potter's own.

import type { Coverage, ShadeResult } from '../results';
import { Refusal } from '../api';
import { css, seen, type Rgb, type Sight } from '../sight';
import { shadeOf } from '../stack';
import type { Piece, Slip } from '../store';
import { fixed, num } from '../words';
import { askOnce, useWork, type Answer } from '../ui/hooks';
import {
  ends,
  grounds,
  inWords,
  wanted,
  windowOf,
  written,
  type Ground,
  type WindowResult,
} from '../windows';

const DABS = 10;

export interface Strip extends Ground {
  slip: string;
  window?: WindowResult;
  /** Why there is none. */
  refused?: string;
  dabs: { g: number; shade: ShadeResult }[];
}

/** Do `work` for each, a few at a time. */
export async function each<T, R>(
  all: T[],
  work: (t: T) => Promise<R>,
): Promise<R[]> {
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

/** The weights of the dabs: a quarter of the least to half past the most, of
 *  whichever windows there are. (judgements) */
export function weights(slip: Slip, w?: WindowResult): number[] {
  const spans = [written(slip), ends(w)].filter((x) => x !== undefined);
  const best = wanted(slip);
  const mosts = spans.map((s) => s[1]).filter(Number.isFinite);
  const most = 1.6 * Math.max(1.5 * best, ...mosts);
  const leasts = spans.map((s) => s[0]);
  let least = 0.25 * (leasts.length ? Math.min(...leasts) : best);
  if (!(least > 0)) least = most / 20;
  return Array.from(
    { length: DABS },
    (_, i) => least * (most / least) ** (i / (DABS - 1)),
  );
}

async function strip(
  piece: Piece,
  slip: Slip,
  on: Ground,
  signal: AbortSignal,
): Promise<Strip> {
  let window: WindowResult | undefined, refused: string | undefined;
  try {
    window = await windowOf(slip.id, on, signal);
  } catch (e) {
    if (!(e instanceof Refusal) || e.status === 401) throw e;
    refused = e.what;
  }
  const dabs = await each(weights(slip, window), async (g) => {
    const doc = shadeOf(piece, [{ slip: slip.id, g }, ...on.below]);
    return { g, shade: await askOnce<ShadeResult>('shade', doc, signal) };
  });
  return { ...on, slip: slip.id, window, refused, dabs };
}

/** The strips of one slip, kept up with the piece. */
export function useStrips(
  piece: Piece,
  c: Coverage | undefined,
  slip: Slip | undefined,
): Answer<Strip[]> {
  const on = c && slip ? grounds(piece, c, slip) : undefined;
  // A stroke changes areas; the colours hang on what lies below.
  const below = on && JSON.stringify(on.map((o) => [o.over, o.below]));
  const answer = useWork<Strip[]>(
    on && slip
      ? (signal) => Promise.all(on.map((o) => strip(piece, slip, o, signal)))
      : undefined,
    [below, piece.slips, piece.body, piece.glaze, piece.glaze_g_m2, slip?.id],
  );
  // What was there before may be another slip's.
  const result = answer.result
    ?.filter((s) => s.slip === slip?.id)
    .map((s) => ({
      ...s,
      area_cm2: on?.find((o) => o.over === s.over)?.area_cm2 ?? s.area_cm2,
    }));
  return { ...answer, result: result?.length ? result : undefined };
}

/** Where a coat weight stands along the strip, in % of its width. */
function along(dabs: { g: number }[], g: number): number {
  const n = dabs.length;
  const first = dabs[0]?.g ?? 1;
  const last = dabs[n - 1]?.g ?? 1;
  const i = ((n - 1) * Math.log(g / first)) / Math.log(last / first);
  return (100 * (Math.min(Math.max(i, -0.5), n - 0.5) + 0.5)) / n;
}

function between(dabs: { g: number }[], span: [number, number]) {
  const left = along(dabs, Math.max(span[0], 1e-6));
  return { left: `${left}%`, width: `${along(dabs, span[1]) - left}%` };
}

/** The ends are not known to the gram: so far they may lie. */
function Doubt({ strip, of }: { strip: Strip; of?: [number, number] }) {
  return of ? <span class="doubt" style={between(strip.dabs, of)} /> : null;
}

/** From here on it covers what is below. */
function Covers({ strip }: { strip: Strip }) {
  const from = num(strip.window?.covering_g_m2);
  const last = strip.dabs[strip.dabs.length - 1]?.g ?? 0;
  if (!(from < last)) return null;
  const contrast = num(strip.window?.contrast_98_g_m2);
  return (
    <>
      <span class="covers" style={between(strip.dabs, [from, Infinity])}>
        <span>covers</span>
      </span>
      {contrast < last ? (
        <span
          class="contrast"
          title="contrast ratio 0.98"
          style={{ left: `${along(strip.dabs, contrast)}%` }}
        />
      ) : null}
    </>
  );
}

export function Dabs(p: { strip: Strip; slip: Slip; sight: Sight }) {
  const { strip } = p;
  const own = written(p.slip);
  const found = ends(strip.window);
  return (
    <div class="strip" aria-hidden="true">
      <Covers strip={strip} />
      {strip.dabs.map((d, i) => (
        <span
          key={i}
          class="dab"
          style={{ backgroundColor: css(seen(d.shade.srgb as Rgb, p.sight)) }}
        />
      ))}
      {found ? (
        <>
          <Doubt strip={strip} of={strip.window?.range.least_g_m2} />
          <Doubt strip={strip} of={strip.window?.range.most_g_m2} />
          <span
            class={'bracket' + (Number.isFinite(found[1]) ? '' : ' open')}
            style={between(strip.dabs, found)}
          >
            <span>{fixed(found[0], 0)}</span>
            {Number.isFinite(found[1]) ? (
              <span>{fixed(found[1], 0)}</span>
            ) : null}
          </span>
        </>
      ) : null}
      {own ? (
        <span class="bracket own" style={between(strip.dabs, own)} />
      ) : null}
    </div>
  );
}

/** What the strip shows, in words. */
export function Said(p: { strip: Strip; slip: Slip; over: string }) {
  const { strip } = p;
  const own = written(p.slip);
  const found = ends(strip.window);
  return (
    <figcaption>
      over {p.over}
      {found ? <span class="unseen">: right {inWords(found)}</span> : null}
      {own ? `; ${found ? 'dotted ' : ''}yours, ${inWords(own)}` : ''}
      {strip.refused ? `. No window can be worked out: ${strip.refused}` : ''}
      <span class="unseen">
        . Dabs from thin to thick, {fixed(strip.dabs[0]?.g ?? NaN, 0)} to{' '}
        {fixed(strip.dabs[strip.dabs.length - 1]?.g ?? NaN, 0)} g/m²
      </span>
    </figcaption>
  );
}

/** Where K and S are from, but for what the mark says already. */
export function origin(slip: Slip): string {
  return (slip.optics_from ?? '').replace(
    /^invented from measured powders: make your own tiles(; *|$)/,
    '',
  );
}

/** The words that stand beside a slip whose colour nobody fired; undefined
 *  where it was learned from tiles. */
export function mark(
  slip: Pick<Slip, 'invented' | 'optics_from'>,
): string | undefined {
  if (!slip.invented) return undefined;
  return /measured powders/.test(String(slip.optics_from ?? ''))
    ? 'invented from measured powders: make your own tiles'
    : 'invented: make your own tiles';
}
