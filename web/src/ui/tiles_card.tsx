// SPDX-License-Identifier: GPL-3.0-or-later
// The card of reference patches, set up once: how many, and what each of them
// is known to be.

import { useId, useState } from 'preact/hooks';
import {
  columnsOf,
  layOut,
  readPatches,
  writePatches,
  type Card,
} from '../card';
import { NumberField } from './field';

export function SetUp(p: {
  card: Card | undefined;
  /** The picture's height in widths. */
  tall: number;
  onCard: (card: Card) => void;
  onLeave?: () => void;
}) {
  const id = useId();
  const [text, setText] = useState(p.card ? writePatches(p.card.patches) : '');
  const [columns, setColumns] = useState<number | undefined>(p.card?.columns);
  const [why, setWhy] = useState('');
  const r = readPatches(text);
  const n = 'patches' in r ? r.patches.length : 0;
  const wide = Math.min(columns ?? columnsOf(n), Math.max(n, 1));
  const done = () => {
    if ('why' in r) return setWhy(r.why);
    const old = p.card?.patches;
    // Only what they are was changed: they lie where they lay.
    const stay =
      old && old.length === r.patches.length && p.card?.columns === wide;
    p.onCard(
      stay
        ? {
            columns: wide,
            patches: r.patches.map((q, i) => ({ ...old[i]!, ...q })),
          }
        : layOut(r.patches, wide, p.tall),
    );
  };
  return (
    <section class="card-setup" aria-label="The card of reference patches">
      <h2>The card beside the tile</h2>
      <p>
        A picture says a colour only beside colours that are known. Lay patches
        of known colour beside the tile, in the same plane and light: a white
        and a black at least, better two dozen. What each is, its maker or a
        colorimeter says; under D65: many charts come with values under D50,
        which are others.
      </p>
      <div class="field">
        <label for={id}>
          the patches row by row, a line each: its name, L*, a*, b* (D65)
        </label>
        <textarea
          id={id}
          rows={8}
          spellcheck={false}
          autocomplete="off"
          value={text}
          aria-invalid={why ? 'true' : 'false'}
          aria-describedby={why ? id + '-why' : undefined}
          onInput={(e) => {
            setText(e.currentTarget.value);
            setWhy('');
          }}
        />
        {why ? (
          <span id={id + '-why'} class="why-not" role="alert">
            {why}
          </span>
        ) : null}
      </div>
      <div class="fields">
        <NumberField
          label={`in a row, of ${n}`}
          value={wide}
          least={1}
          most={50}
          whole
          onNumber={setColumns}
        />
      </div>
      <p class="words">
        <button type="button" onClick={done}>
          this is my card
        </button>
        {p.onLeave ? (
          <button type="button" onClick={p.onLeave}>
            leave it as it was
          </button>
        ) : null}
      </p>
      <p class="sure">
        Kept on this device, and in the book as the note “Reference patches”.
        Where they lie in the picture is shown next: pull a corner of the card,
        or the whole of it, into its place.
      </p>
    </section>
  );
}
