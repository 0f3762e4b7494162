// SPDX-License-Identifier: GPL-3.0-or-later
// Where the slip in hand lies thinner or thicker than its window: the window
// that the piece holds, else the one that is worked out for the slip on the
// ground that it lies on most.

import { useEffect, useState } from 'preact/hooks';
import { core, type WindowMap } from '../core';
import type { Piece, Slip, Zone } from '../piece';
import type { Coverage } from '../results';
import { askOnce, useWork, type Answer } from '../ui/hooks';
import { ends, grounds, inWords, windowOf, written } from '../windows';
import { bare, figures, fixed } from '../words';

type Span = [number, number];

export interface Thickness {
  map: WindowMap | null;
  /** The window that it is held against. */
  within: Span | undefined;
  /** It was worked out, or is being. */
  worked: Answer<Worked>;
}
interface Worked {
  slip: string; // what was there before may be another's
  ends: Span | undefined;
}

/** The window worked out, of a slip that has none of its own. */
function useWorked(piece: Piece, slip: Slip | undefined): Answer<Worked> {
  return useWork<Worked>(
    slip && !slip.window
      ? async (signal) => {
          const c = await askOnce<Coverage>('coverage', piece, signal);
          const on = grounds(piece, c, slip)[0];
          const w = on && (await windowOf(slip.id, on, signal));
          return { slip: slip.id, ends: ends(w) };
        }
      : undefined,
    [piece, slip],
    400,
  );
}

export function useThickness(
  on: boolean,
  piece: Piece,
  zone: Zone | null,
  slip: Slip | undefined,
): Thickness {
  const [map, setMap] = useState<WindowMap | null>(null);
  const worked = useWorked(piece, on ? slip : undefined);
  const own = slip && written(slip);
  const found = worked.result?.slip === slip?.id ? worked.result : undefined;
  const within = own ?? found?.ends;
  const [least, most] = within ?? [];
  useEffect(() => {
    if (!on || !zone || !slip) return;
    if (least === undefined || most === undefined) return setMap(null);
    let live = true;
    void core.measure().then(async () => {
      const w = await core.window(zone.id, slip.id, [least, most]);
      if (live) setMap(w);
    });
    return () => void (live = false);
  }, [on, zone?.id, slip?.id, least, most, piece.painting, piece.motifs]);
  return { map: on ? map : null, within, worked };
}

/** How much of the slip lies outside its window, in words. */
export function Outside({ of, slip }: { of: Thickness; slip: Slip }) {
  const { map, within, worked } = of;
  const name = bare(slip.name ?? slip.id);
  if (!within) {
    if (worked.busy) return <>Working it out …</>;
    const why = worked.refusal
      ? `: ${worked.refusal.what}`
      : worked.away
        ? ': the server is away'
        : '';
    return (
      <>
        between which weights {name} is right is not known{why}
      </>
    );
  }
  const [thin, right, thick] = map?.mm2 ?? [0, 0, 0];
  const all = thin + right + thick;
  const much = (mm2: number) =>
    `${figures(mm2 / 100)} cm²` +
    (all > 0 ? `, ${fixed((100 * mm2) / all, 0)} %` : '');
  return (
    <>
      <span class="key-dots" aria-hidden="true" /> dotted: too thin,{' '}
      {much(thin)}
      <span class="key-even" aria-hidden="true" /> even: right, {much(right)}
      <span class="key-lines" aria-hidden="true" /> crossed: too thick,{' '}
      {much(thick)}
      <span class="key-within">
        {slip.window ? 'your window' : 'the window worked out'},{' '}
        {inWords(within)}
      </span>
    </>
  );
}
