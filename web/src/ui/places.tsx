// SPDX-License-Identifier: GPL-3.0-or-later
// The pot's place and the band's.  Where the browser cannot turn the pot, or
// the page was built without it, the program's own pictures stand there.

import type { FunctionComponent, VNode } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { file } from '../api';
import { capable } from '../capable';
import { bodyOf } from '../refer';
import type { Piece } from '../store';
import { fixed, num } from '../words';
import { usePiece, useWork } from './hooks';
import { Choice } from './field';
import { StrengthChoice, useStrength } from './strength';

/** A picture that the program draws. */
function Picture(p: {
  piece: Piece;
  ask: Record<string, unknown>;
  alt: string;
  class: string;
}) {
  const key = JSON.stringify(p.ask);
  const answer = useWork<string>(
    async (signal) => {
      const body = await bodyOf(p.piece, p.ask, signal);
      return URL.createObjectURL(
        await file('picture', body, 'image/png', signal),
      );
    },
    [p.piece, key],
    500,
  );
  const url = answer.result;
  useEffect(() => () => void (url && URL.revokeObjectURL(url)), [url]);
  if (!url) {
    return (
      <p class="no-picture">
        {answer.away
          ? 'The picture comes when the server is back.'
          : answer.refusal
            ? answer.refusal.message
            : 'The picture is being drawn …'}
      </p>
    );
  }
  return <img class={p.class} src={url} alt={p.alt} />;
}

function DrawnPot({ piece, hand }: { piece: Piece; hand: VNode }) {
  const [view, setView] = useState<'side' | 'above'>('side');
  const [eighths, setEighths] = useState(0);
  const [strength, setStrength, asked] = useStrength();
  return (
    <>
      <div class="pot-place">
        <Picture
          class={`pot-picture ${view}`}
          piece={piece}
          ask={{ view, turn_turns: eighths / 8, width_px: 1400, strength }}
          alt={`${piece.name} as it may fire, ${
            view === 'side' ? 'from the side' : 'from above'
          }`}
        />
      </div>
      <div class="pot-row">
        <div class="pot-words words">
          <Choice
            legend="How the pot is seen"
            value={view}
            choices={[
              { value: 'side', says: 'from the side' },
              { value: 'above', says: 'from above' },
            ]}
            onChoice={setView}
          />
          <p class="words">
            <button
              type="button"
              onClick={() => setEighths((n) => (n + 7) % 8)}
            >
              turn left
            </button>
            <button
              type="button"
              onClick={() => setEighths((n) => (n + 1) % 8)}
            >
              turn right
            </button>
          </p>
          {asked ? (
            <StrengthChoice value={strength} onChoice={setStrength} />
          ) : null}
        </div>
        {hand}
      </div>
    </>
  );
}

type View = 'fired' | 'painted' | 'both';

/** `hand` stands at the right below the pot. */
export function PotPlace({ hand }: { hand: VNode }) {
  const piece = usePiece();
  const [view, setView] = useState<View>('fired');
  const [Pot, setPot] = useState<FunctionComponent<{ view: View }> | null>(
    null,
  );
  useEffect(() => {
    if (!capable().webgl2) return;
    void import('place:pot').then((m) => setPot(() => m.Pot));
  }, []);
  const [strength, setStrength, asked] = useStrength();
  const points = piece.form.outside;
  const wide = Math.max(...points.map((p) => num(p.diameter_mm)));
  const shrinks = num(piece.form.to_fired?.diameter_percent, 0);
  if (!Pot) return <DrawnPot piece={piece} hand={hand} />;
  return (
    <>
      <div class="pot-place">
        <Pot view={view} />
      </div>
      <div class="pot-row">
        <div class="pot-words">
          <Choice
            legend="How the pot is seen"
            value={view}
            choices={[
              { value: 'fired', says: 'as fired' },
              { value: 'painted', says: 'as painted' },
              { value: 'both', says: 'side by side' },
            ]}
            onChoice={setView}
          />
          {asked && view !== 'painted' ? (
            <StrengthChoice value={strength} onChoice={setStrength} />
          ) : (piece.form.measured ?? 'leather-hard') === 'leather-hard' ? (
            <p class="sure">
              ⌀ {fixed(wide * (1 - shrinks / 100), 0)} mm when fired
            </p>
          ) : null}
        </div>
        {hand}
      </div>
    </>
  );
}

export function BandPlace() {
  const piece = usePiece();
  const [strength] = useStrength();
  const [Band, setBand] = useState<FunctionComponent | null>(null);
  useEffect(() => {
    if (!capable().wasm) return;
    void import('place:band').then((m) => setBand(() => m.Band));
  }, []);
  if (Band) return <Band />;
  return (
    <Picture
      class="band-picture"
      piece={piece}
      ask={{ view: 'band', width_px: 2400, strength }}
      alt={`The band of ${piece.name}, unrolled, as it may fire`}
    />
  );
}
