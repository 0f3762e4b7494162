// SPDX-License-Identifier: GPL-3.0-or-later
// A tile in a picture: the card's patches are outlined where they were last
// time, the tile is touched, its colour stands beside the one predicted, and
// it is kept.

import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { Away, Refusal } from '../api';
import {
  cardHere,
  cardNow,
  grown,
  keepCard,
  movePatch,
  type Card,
} from '../card';
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

const SPOT = 'leatherhard tile in the picture';
/** How far a finger may stray and still have tapped. [px] */
const STRAY = 8;
/** What a finger finds of a patch at least. [px] */
const REACH = 20;

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

const at = (d: Disc): JSX.CSSProperties => ({
  left: `${100 * d.x}%`,
  top: `${100 * d.y}%`,
  width: `${200 * d.radius}%`,
});
const STEPS: Record<string, [number, number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};
function step(e: KeyboardEvent): [number, number] | undefined {
  const s = STEPS[e.key];
  if (!s) return undefined;
  e.preventDefault();
  const by = e.shiftKey ? 0.02 : 0.004;
  return [s[0] * by, s[1] * by];
}
const into = (v: number) => Math.min(1, Math.max(0, v));

interface StageProps {
  url: string;
  card: Card;
  spot: Disc;
  read: boolean;
  /** Why it was refused. */
  bad: Refusal | undefined;
  together: boolean;
  onCard: (c: Card, settled: boolean) => void;
  onSpot: (d: Disc) => void;
  /** Read there. */
  onTake: (d: Disc, byKey: boolean) => void;
  onTall: (tall: number) => void;
}

/** The picture, and what is pointed at in it. */
function Stage(p: StageProps) {
  const stage = useRef<HTMLDivElement>(null);
  const mark = useRef<HTMLButtonElement>(null);
  useEffect(() => mark.current?.focus({ preventScroll: true }), []);
  const held = useRef<{
    patch: number; // -1: none
    x: number;
    y: number;
    card: Card;
    moved: boolean;
  } | null>(null);
  const place = (e: PointerEvent): [number, number, DOMRect] => {
    const box = (stage.current as HTMLDivElement).getBoundingClientRect();
    const x = (e.clientX - box.left) / box.width;
    return [x, (e.clientY - box.top) / box.height, box];
  };
  const down = (e: PointerEvent) => {
    if (e.button !== 0 || held.current) return;
    const [x, y, box] = place(e);
    let patch = -1;
    let best = Infinity;
    p.card.patches.forEach((q, i) => {
      const d = Math.hypot((q.x - x) * box.width, (q.y - y) * box.height);
      if (d < Math.max(REACH, q.radius * box.width) && d < best) {
        best = d;
        patch = i;
      }
    });
    held.current = { patch, x, y, card: p.card, moved: false };
    if (patch >= 0) stage.current?.setPointerCapture(e.pointerId);
  };
  const move = (e: PointerEvent) => {
    const h = held.current;
    if (!h) return;
    const [x, y, box] = place(e);
    const far = Math.hypot((x - h.x) * box.width, (y - h.y) * box.height);
    if (far > STRAY) h.moved = true;
    if (h.moved && h.patch >= 0) {
      p.onCard(movePatch(h.card, h.patch, x - h.x, y - h.y, p.together), false);
    }
  };
  const up = (e: PointerEvent) => {
    const h = held.current;
    held.current = null;
    if (!h) return;
    if (h.patch >= 0) {
      if (h.moved) p.onCard(p.card, true);
      return;
    }
    if (h.moved) return;
    const [x, y] = place(e);
    p.onTake({ ...p.spot, x: into(x), y: into(y) }, false);
  };
  const patchKey = (i: number) => (e: KeyboardEvent) => {
    const s = step(e);
    if (s) p.onCard(movePatch(p.card, i, s[0], s[1], p.together), true);
  };
  const spotKey = (e: KeyboardEvent) => {
    const s = step(e);
    if (s) {
      const { x, y } = p.spot;
      p.onSpot({ ...p.spot, x: into(x + s[0]), y: into(y + s[1]) });
    } else if (e.key === 'Enter' || e.key === ' ') {
      e.preventDefault();
      p.onTake(p.spot, true);
    }
  };
  // The place that the refusal points to, and the patches that it names.
  const bad = (list: string, i: number, name = '') =>
    new RegExp(`/${list}/${i}(/|$)`).test(p.bad?.where ?? '') ||
    (name && p.bad?.what.includes(`"${name}"`))
      ? ' bad'
      : '';
  return (
    <div
      class="stage"
      ref={stage}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={up}
      onPointerCancel={() => (held.current = null)}
    >
      <img
        src={p.url}
        alt="The picture that was taken"
        draggable={false}
        onLoad={(e) => {
          const { naturalWidth: w, naturalHeight: h } = e.currentTarget;
          if (w > 0) p.onTall(h / w);
        }}
      />
      {p.card.patches.map((q, i) => (
        <button
          key={i}
          type="button"
          class={'ring patch' + bad('patches', i, q.name)}
          style={at(q)}
          aria-label={
            `patch ${q.name}` + (bad('patches', i, q.name) ? ', refused' : '')
          }
          onKeyDown={patchKey(i)}
        />
      ))}
      <button
        type="button"
        ref={mark}
        class={'ring spot' + (p.read ? ' read' : '') + bad('tiles', 0)}
        style={at(p.spot)}
        aria-label="the tile: arrow keys move, Enter reads its colour"
        onKeyDown={spotKey}
      />
    </div>
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
    keepCard(card);
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
            keepCard(c, true);
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
