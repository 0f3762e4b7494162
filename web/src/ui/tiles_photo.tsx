// SPDX-License-Identifier: GPL-3.0-or-later
// A tile in a picture: the card's patches are outlined where they were last
// time, the tile is touched, its colour stands beside the one predicted, and
// it is kept.

import { useEffect, useRef, useState } from 'preact/hooks';
import { Away, Refusal } from '../api';
import { cardHere, cardNow, grown, keepCard, type Card } from '../card';
import { css, type Rgb } from '../sight';
import type { Piece } from '../store';
import {
  against,
  keepHere,
  keepTile,
  keptHere,
  predictedDoc,
  readPhoto,
  upload,
  type Disc,
  type Lab,
  type PhotoRead,
  type Tile,
} from '../tiles';
import { fixed } from '../words';
import { Choice } from './field';
import { askOnce, useServer } from './hooks';
import { SetUp } from './tiles_card';
import { Stage } from './tiles_stage';

const SPOT = 'leatherhard tile in the picture';
interface Told {
  read: PhotoRead;
  predicted?: { lab: Lab; srgb: Lab };
  de00?: number;
}

/** The begun tile with what the photograph says of it. */
function withReading(
  tile: Omit<Tile, 'id'>,
  told: Told,
  spot: Disc,
  card: Card,
  sha256: string,
): Omit<Tile, 'id'> {
  const r = told.read.readings[0]!;
  const two = (v: number) => Number(v.toFixed(2));
  return {
    ...tile,
    geometry: '45_0',
    read_by: 'photograph',
    lab_l: two(r.lab[0]),
    lab_a: two(r.lab[1]),
    lab_b: two(r.lab[2]),
    reading_de00: two(r.delta_e00),
    pictures: [sha256],
    seen: { ...spot, patches: card.patches },
  };
}

/** Two halves of one dab: the colour predicted, and the one measured. */
export function Halves(p: { predicted?: Rgb; measured?: Rgb }) {
  return (
    <span class="halves" aria-hidden="true">
      <span style={p.predicted ? { backgroundColor: css(p.predicted) } : {}} />
      <span style={p.measured ? { backgroundColor: css(p.measured) } : {}} />
    </span>
  );
}

/** What was read, in words, beside the colour predicted. */
function Answer({ told }: { told: Told }) {
  const r = told.read.readings[0]!;
  const { predicted, de00 } = told;
  const worst = told.read.patches_worst_delta_e00;
  return (
    <div class="reading" aria-live="polite">
      <Halves predicted={predicted?.srgb} measured={r.srgb} />
      <div>
        <p>
          <b>
            {predicted && de00 !== undefined
              ? `${against(predicted.lab, r.lab, de00, r.delta_e00)}`
              : 'read'}
          </b>
          {de00 !== undefined ? `, ΔE ${fixed(de00, 1)}` : ''}
        </p>
        <p class="sure">
          L* {fixed(r.lab[0], 1)}, a* {fixed(r.lab[1], 1)}, b*{' '}
          {fixed(r.lab[2], 1)}; nine times in ten within ΔE{' '}
          {fixed(r.delta_e00, 1)}. Nothing is burnt out or lost in the dark
          {worst === null || worst === undefined
            ? '.'
            : `; a patch left out is missed by ΔE ${fixed(worst, 1)} at worst.`}
        </p>
      </div>
    </div>
  );
}

export interface Taking {
  file: File;
  tile: Omit<Tile, 'id'>;
}

export function TakeTile(p: {
  piece: Piece;
  taking: Taking;
  onDone: () => void;
}) {
  const { file, tile } = p.taking;
  const dialog = useRef<HTMLDialogElement>(null);
  const keepWord = useRef<HTMLButtonElement>(null);
  const here = useServer();
  const [url, setUrl] = useState('');
  const [tall, setTall] = useState(0.75);
  const [card, setCard] = useState<Card | undefined>(cardHere());
  const [setUp, setSetUp] = useState(false);
  const [looked, setLooked] = useState(card !== undefined);
  const [together, setTogether] = useState<'card' | 'one'>('card');
  const [spot, setSpot] = useState<Disc>(
    keptHere<Disc>(SPOT) ?? { x: 0.5, y: 0.75, radius: 0.03 },
  );
  const [told, setTold] = useState<Told>();
  const [asked, setAsked] = useState(0); // reads once more with each
  const [busy, setBusy] = useState(false);
  const [away, setAway] = useState(false);
  const [refused, setRefused] = useState<Refusal>();
  const sent = useRef<Promise<string>>();
  const byKey = useRef(false);
  const fresh = useRef(false); // the card was set up just now

  useEffect(() => {
    const u = URL.createObjectURL(file);
    setUrl(u);
    dialog.current?.showModal();
    return () => URL.revokeObjectURL(u);
  }, [file]);
  useEffect(() => {
    if (card) return;
    void cardNow().then((c) => {
      setCard(c);
      setLooked(true);
    });
  }, []);
  // Not before it is read: a picture that is left stays out of the book.
  const send = () => {
    sent.current ??= upload(file);
    sent.current.catch(() => (sent.current = undefined));
    return sent.current;
  };

  useEffect(() => {
    if (!asked || !card) return;
    const stop = new AbortController();
    setBusy(true);
    (async () => {
      const read = await readPhoto(
        await send(),
        card.patches,
        spot,
        stop.signal,
      );
      const lab = read.readings[0]!.lab;
      const doc = predictedDoc(p.piece, {
        ...tile,
        id: '',
        geometry: '45_0',
      });
      if (!doc) return setTold({ read });
      const predicted = await askOnce<{ lab: Lab; srgb: Lab }>(
        'shade',
        doc,
        stop.signal,
      );
      const { delta_e00 } = await askOnce<{ delta_e00: number }>(
        'difference',
        { lab1: predicted.lab, lab2: lab },
        stop.signal,
      );
      setTold({ read, predicted, de00: delta_e00 });
      setTimeout(() => {
        if (byKey.current) keepWord.current?.focus();
      });
    })()
      .then(() => {
        setRefused(undefined);
        setAway(false);
      })
      .catch((e: unknown) => {
        if (stop.signal.aborted) return;
        setTold(undefined);
        setAway(e instanceof Away);
        setRefused(e instanceof Refusal ? e : undefined);
        if (!(e instanceof Away) && !(e instanceof Refusal)) console.error(e);
      })
      .finally(() => {
        if (!stop.signal.aborted) setBusy(false);
      });
    return () => stop.abort();
  }, [asked, here]);

  const moved = (c: Card, settled: boolean) => {
    setCard(c);
    if (!settled) return;
    keepCard(c);
    if (asked) setAsked(asked + 1);
  };
  const take = (d: Disc, key: boolean) => {
    byKey.current = key;
    setSpot(d);
    keepHere(SPOT, d);
    setTold(undefined);
    setRefused(undefined);
    setAsked(asked + 1);
  };
  const size = (by: number) => {
    const radius = Math.min(0.3, Math.max(0.003, spot.radius * by));
    const next = { ...spot, radius };
    setSpot(next);
    keepHere(SPOT, next);
    if (asked) setAsked(asked + 1);
  };
  const keep = async () => {
    if (!told || !card) return;
    const sha256 = await send();
    // The book has it as it lay when it first gave a tile.
    keepCard(card, fresh.current);
    void keepTile(withReading(tile, told, spot, card, sha256));
    dialog.current?.close();
  };
  const first = looked && (!card || setUp);
  return (
    <dialog
      ref={dialog}
      class="tile-photo paper"
      aria-label={`A tile: ${tile.name}`}
      onClose={p.onDone}
    >
      <header>
        <h2>{tile.name}</h2>
        <p class="words">
          <button type="button" onClick={() => dialog.current?.close()}>
            leave it
          </button>
        </p>
      </header>
      {first ? (
        <SetUp
          card={card}
          tall={tall}
          onCard={(c) => {
            setCard(c);
            fresh.current = true;
            keepCard(c);
            setSetUp(false);
            setTold(undefined);
            if (asked) setAsked(asked + 1);
          }}
          {...(card ? { onLeave: () => setSetUp(false) } : {})}
        />
      ) : null}
      <div class={first ? 'unshown' : 'taking'}>
        {url && card ? (
          <Stage
            url={url}
            card={card}
            spot={spot}
            read={told !== undefined}
            bad={refused}
            together={together === 'card'}
            onCard={moved}
            onSpot={setSpot}
            onTake={take}
            onTall={setTall}
          />
        ) : url ? (
          <img
            class="measure"
            src={url}
            alt=""
            onLoad={(e) => {
              const { naturalWidth: w, naturalHeight: h } = e.currentTarget;
              if (w > 0) setTall(h / w);
            }}
          />
        ) : null}
        <div class="below">
          {told ? (
            <Answer told={told} />
          ) : refused ? (
            <p class="refusal" role="alert">
              <b>{refused.what}.</b>
              {refused.todo ? <> Then: {refused.todo}.</> : null}
            </p>
          ) : away || (!here && asked) ? (
            <p class="refusal" role="alert">
              <b>The server is away, and it is what reads pictures.</b> Leave
              this open: it is read when the server is back.
            </p>
          ) : (
            <p class="plain" aria-live="polite">
              {busy ? 'Working it out …' : 'Touch the tile in the picture.'}
            </p>
          )}
          <p class="words keep">
            <button
              type="button"
              ref={keepWord}
              disabled={!told}
              onClick={() => void keep()}
            >
              keep this tile
            </button>
          </p>
        </div>
        <details class="why">
          <summary>The card does not lie there, or the tile is smaller</summary>
          <div class="why-body">
            <p>
              Pull a patch with the finger, or by keyboard with the arrow keys
              (Shift for longer steps), until each ring lies well inside its
              patch.
            </p>
            <Choice
              legend="What moves"
              value={together}
              choices={[
                { value: 'card', says: 'the card as a whole, or by a corner' },
                { value: 'one', says: 'one patch alone' },
              ]}
              onChoice={setTogether}
            />
            <p class="words">
              <button
                type="button"
                onClick={() => card && moved(grown(card, 1 / 1.2), true)}
              >
                smaller patches
              </button>
              <button
                type="button"
                onClick={() => card && moved(grown(card, 1.2), true)}
              >
                larger patches
              </button>
              <button type="button" onClick={() => size(1 / 1.3)}>
                smaller tile
              </button>
              <button type="button" onClick={() => size(1.3)}>
                larger tile
              </button>
              <button type="button" onClick={() => setSetUp(true)}>
                another card
              </button>
            </p>
          </div>
        </details>
      </div>
    </dialog>
  );
}
