// SPDX-License-Identifier: GPL-3.0-or-later
// The numbers beside the drawing come from the core in the page at once; the
// server works the same revision out, and either says the same or it is told.

import { useEffect, useState } from 'preact/hooks';
import { core, type Numbers } from '../core';
import type { Piece } from '../piece';
import type { Coverage } from '../results';
import { askOnce, useWork } from '../ui/hooks';
import { bare, fixed } from '../words';

/** Both are the same C on the same piece, and the server's answer has 15
 *  figures: what is further apart than this is no rounding. */
const APART = 1e-9;

export interface Confirmed {
  is: 'asking' | 'same' | 'away' | 'refused' | 'apart';
  /** Of what is apart, in words. */
  what: string;
}

const near = (a: number, b: number) =>
  Math.abs(a - b) <= APART * Math.max(1, Math.abs(a), Math.abs(b));

/** Where page and server differ, in words; '' where they say the same. */
export function apart(piece: Piece, here: Numbers, there: Coverage): string {
  for (const s of piece.slips) {
    const a = here.slips.find((x) => x.slip === s.id);
    const b = there.slips.find((x) => x.slip === s.id);
    const name = bare(s.name ?? s.id).toLowerCase();
    const grams = [a?.dry_g ?? 0, b?.dry_g ?? 0] as const;
    const area = [a?.area_cm2 ?? 0, b?.area_cm2 ?? 0] as const;
    const most = [a?.heaviest_g_m2 ?? 0, b?.heaviest_g_m2 ?? 0] as const;
    const say = (x: readonly [number, number], unit: string, of: string) =>
      `${of}${name}: here ${fixed(x[0], 3)} ${unit}, there ${fixed(x[1], 3)} ${unit}`;
    if (!near(...grams)) return say(grams, 'g', '');
    if (!near(...area)) return say(area, 'cm²', 'area of ');
    if (!near(...most)) return say(most, 'g/m²', 'heaviest ');
  }
  return '';
}

/** Whether the server says what the page says of the piece as it stands. */
export function useConfirmed(piece: Piece): Confirmed {
  const answer = useWork(
    async (signal) => ({
      of: piece,
      says: await askOnce<Coverage>('coverage', piece, signal),
    }),
    ['coverage', piece],
    400,
  );
  const [settled, set] = useState(core.settled);
  useEffect(() => core.onNumbers(() => set(core.settled)), []);
  const plain = (is: Confirmed['is']): Confirmed => ({ is, what: '' });
  if (answer.away) return plain('away');
  if (answer.result?.of !== piece || answer.refusal) {
    return plain(answer.refusal ? 'refused' : 'asking');
  }
  if (settled?.piece !== piece) return plain('asking');
  const what = apart(piece, settled.numbers, answer.result.says);
  return { is: what ? 'apart' : 'same', what };
}

const SAYS: Record<Confirmed['is'], string> = {
  asking: 'being confirmed',
  same: 'confirmed',
  away: 'not confirmed yet',
  refused: 'not confirmed',
  apart: 'not confirmed',
};

/** Quietly, after a number of the page's own. */
export function Sign({ of }: { of: Confirmed }) {
  return (
    <span class="band-sign" data-is={of.is}>
      , {SAYS[of.is]}
    </span>
  );
}

/** Loudly, where they differ. */
export function Apart({ of }: { of: Confirmed }) {
  if (of.is !== 'apart') return null;
  return (
    <p class="band-words" role="alert">
      Page and server differ ({of.what}). The server&rsquo;s numbers stand: open
      the page again.
    </p>
  );
}
