// SPDX-License-Identifier: GPL-3.0-or-later
// What a slip's tiles teach: the operation `learn`, how far it is to be
// trusted, and its numbers put into the piece.

import { useEffect, useState } from 'preact/hooks';
import { Away, Refusal, ask } from '../api';
import {
  bodyOf,
  lesson,
  putBody,
  putToUse,
  readerOf,
  type Learned,
  type Lesson,
} from '../lesson';
import type { Piece, Slip } from '../store';
import { way, type Tile } from '../tiles';
import { capital, count, fixed } from '../words';

/** In how many ways were they read?  Each is a lesson of its own. */
export function ways(tiles: Tile[]): Tile[][] {
  const by = new Map<string, Tile[]>();
  for (const t of tiles) by.set(way(t), [...(by.get(way(t)) ?? []), t]);
  return [...by.values()].sort((a, b) => b.length - a.length);
}

const READ: Record<string, string> = {
  photograph: 'photographed',
  colorimeter: 'read by colorimeter',
  spectrophotometer: 'measured as spectra',
};

function Trust({ of }: { of: Learned }) {
  const miss = of.left_out_delta_e00;
  const worst = of.left_out_worst_delta_e00;
  const trust = of.trusted_to_delta_e00;
  if (miss === null || trust === null) {
    return <p class="plain">No tile could be left out to try these numbers.</p>;
  }
  return (
    <p class="plain">
      A tile left out is predicted within <b>ΔE {fixed(miss, 1)}</b> in the
      mean, {fixed(worst ?? NaN, 1)} at worst. Trust its colours to ΔE{' '}
      {fixed(trust, 1)}.
    </p>
  );
}

function Result(p: {
  slip: Slip;
  name: string;
  of: Learned;
  lesson: Lesson;
  onUsed: () => void;
}) {
  const { of } = p;
  const odd = of.tiles.filter((t) => t.outlier);
  const body = bodyOf(of);
  return (
    <div class="learned" role="status">
      <Trust of={of} />
      {of.provisional ? (
        <p>
          <b>Provisional:</b> good for these stacks only. Make tiles at three
          coat weights or more.
        </p>
      ) : null}
      {of.settled ? null : (
        <p>
          <b>The fit did not come to rest:</b> look for a tile that was written
          down wrongly.
        </p>
      )}
      {odd.map((t) => (
        <p key={t.name}>
          <b>{t.name}</b> stands apart from the others
          {t.left_out_delta_e00 === null
            ? ''
            : `: ΔE ${fixed(t.left_out_delta_e00, 1)} when left out`}
          . Look at it again; it was used all the same.
        </p>
      ))}
      <p class="words">
        <button
          type="button"
          onClick={() => {
            putToUse(p.slip, of, p.lesson);
            p.onUsed();
          }}
        >
          use these numbers<span class="unseen"> for {p.name}</span>
        </button>
        {body ? (
          <button type="button" onClick={() => putBody(body)}>
            take the body’s colour from its tile
          </button>
        ) : null}
      </p>
    </div>
  );
}

interface Props {
  piece: Piece;
  slip: Slip;
  name: string;
  tiles: Tile[];
  every: Tile[];
  /** Said with which it is, when there is more than one. */
  several: boolean;
}

/** One lesson: tiles that were all read in one way. */
export function Learn(p: Props) {
  const l = lesson(p.piece, p.slip, p.tiles, p.every);
  const doc = l && JSON.stringify(l.doc);
  const [of, setOf] = useState<Learned>();
  const [busy, setBusy] = useState(false);
  const [why, setWhy] = useState('');
  const [used, setUsed] = useState('');
  useEffect(() => {
    setOf(undefined);
    setWhy('');
  }, [doc]);
  if (!l) return null;
  const learn = async () => {
    setBusy(true);
    setWhy('');
    setUsed('');
    try {
      setOf(await ask<Learned>('learn', l.doc));
    } catch (e) {
      setOf(undefined);
      setWhy(
        e instanceof Away
          ? 'The server is away, and it is what learns.'
          : e instanceof Refusal
            ? capital(e.what) + (e.todo ? `. Then: ${e.todo}.` : '.')
            : String(e),
      );
    } finally {
      setBusy(false);
    }
  };
  const n = l.tiles.length;
  const how = READ[readerOf(l.tiles.length ? l.tiles : p.tiles)];
  const missing = l.missing.map((g) => (
    <p class="sure" key={g}>
      A tile of {g} alone is missing: fire one and touch its square. Without it
      nothing is learned from the tiles on {g}.
    </p>
  ));
  return (
    <div class="learn">
      {missing}
      {n > 0 ? (
        <p class="words">
          <button type="button" disabled={busy} onClick={() => void learn()}>
            {busy
              ? 'Working it out …'
              : n === 1
                ? 'learn from this tile'
                : `learn from these ${count(n, 'tile')}`}
            {p.several ? `, ${how}` : ''}
          </button>
        </p>
      ) : null}
      {why ? (
        <p class="refusal" role="alert">
          {why}
        </p>
      ) : null}
      {of ? (
        <Result
          slip={p.slip}
          name={p.name}
          of={of}
          lesson={l}
          onUsed={() => {
            setOf(undefined);
            setUsed(`${capital(p.name)} goes by its tiles now.`);
          }}
        />
      ) : null}
      {used ? (
        <p class="sure" role="status">
          {used}
        </p>
      ) : null}
    </div>
  );
}
