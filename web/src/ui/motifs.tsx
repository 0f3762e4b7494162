// SPDX-License-Identifier: GPL-3.0-or-later
// Motifs: those of the piece and of the book, to be laid again by touch or by
// numbers; and what is painted, kept as one.

import { hasBook } from '../book';
import { useEffect, useReducer, useState } from 'preact/hooks';
import { core } from '../core';
import { freshId } from '../band/edit';
import { number } from '../core/numbers';
import {
  bookMotif,
  bookMotifs,
  companions,
  fitted,
  fromOf,
  gather,
  gatherOps,
  keepInBook,
  keepable,
  lay,
  layOps,
  layingNow,
  onLaying,
  strangers,
  type From,
  type Kept,
} from '../motifs';
import { pointer } from '../patch';
import { nameOf, slipName, slipsOf } from '../questions/painting';
import {
  store,
  type Motif,
  type Painted,
  type Piece,
  type Way,
} from '../store';
import { WAYS, bare, capital, count, num } from '../words';
import { NumberField, Select, Tick } from './field';
import { usePiece, useServer, useWork } from './hooks';

const words = (e: unknown): string =>
  e instanceof Error ? e.message : String(e);

/** What a sketch shows at least, from side to side. [mm] (judgement) */
const LEAST_MM = 12;

/** A motif as a small drawing in one ink. */
export function Sketch({ piece, motif }: { piece: Piece; motif: Motif }) {
  let [left, right, low, high] = [Infinity, -Infinity, Infinity, -Infinity];
  const marks = motif.marks.map((m) => {
    const brush = piece.brushes?.find((b) => b.id === m.brush);
    const wide = number(m.width_mm, number(brush?.width_mm, 2));
    const long = m.kind === 'dab' ? number(m.length_mm, 2 * wide) : wide;
    const x = number(m.x_mm, 0),
      y = -number(m.y_mm, 0);
    const points = (m.path ?? []).map((p): [number, number] => [
      number(p.x_mm),
      -number(p.y_mm),
    ]);
    const widths = (m.path ?? []).map((p) => number(p.width_mm, wide));
    const mean = widths.reduce((a, b) => a + b, 0) / (widths.length || 1);
    const reach = m.path ? mean / 2 : long / 2;
    for (const [u, v] of m.path ? points : [[x, y] as const]) {
      left = Math.min(left, u - reach);
      right = Math.max(right, u + reach);
      low = Math.min(low, v - reach);
      high = Math.max(high, v + reach);
    }
    if (m.kind === 'fill') {
      return <path key={m.id} class="whole" d={`M${points.join('L')}Z`} />;
    }
    if (m.path) {
      // A brush stroke swells: each length of it as wide as it is.
      return (
        <g key={m.id} class={m.kind === 'sgraffito' ? 'line cut' : 'line'}>
          {points.slice(1).map((p, i) => (
            <path
              key={i}
              d={`M${points[i]}L${p}`}
              stroke-width={((widths[i] ?? wide) + (widths[i + 1] ?? wide)) / 2}
            />
          ))}
        </g>
      );
    }
    return (
      <ellipse
        key={m.id}
        class="whole"
        cx={x}
        cy={y}
        rx={long / 2}
        ry={wide / 2}
        transform={`rotate(${-number(m.turn_deg, 0)} ${x} ${y})`}
      />
    );
  });
  if (!(right > left)) return null;
  // A dot is not drawn as large as a fish.
  const w = Math.max(1.1 * (right - left), LEAST_MM),
    h = Math.max(1.1 * (high - low), LEAST_MM / 2);
  return (
    <svg
      class="sketch"
      viewBox={`${(left + right - w) / 2} ${(low + high - h) / 2} ${w} ${h}`}
      aria-hidden="true"
    >
      {marks}
    </svg>
  );
}

/* ---- laid again ------------------------------------------------------------- */

/** Where the chosen motif is laid, by touch or by numbers. */
function Lay({ piece }: { piece: Piece }) {
  const l = layingNow();
  const bands = piece.zones.filter((z) => (z.kind ?? 'band') === 'band');
  const [zoneId, setZone] = useState(
    store.selected.zone || (bands[0] ?? piece.zones[0])?.id || '',
  );
  const [up, setUp] = useState(20);
  const [turns, setTurns] = useState(0);
  const [why, setWhy] = useState('');
  const zone = piece.zones.find((z) => z.id === zoneId) ?? piece.zones[0];
  if (!l || !zone) return null;
  const disc = zone.kind === 'disc';
  const ways = WAYS.filter((w) => (w.disc ?? false) === disc);
  const name = bare(l.motif.name ?? l.motif.id);
  const now = () => {
    setWhy('');
    try {
      const made = layOps(piece, l, zone, turns, up);
      if (!made) return setWhy('that is off the zone');
      store.apply(made.ops, `lay ${name}`);
      lay(null);
      store.selected = { zone: zone.id, entry: made.id };
    } catch (e) {
      setWhy(words(e));
    }
  };
  const lost = strangers(piece, l.motif);
  return (
    <section class="chosen-entry laying" aria-label={`Lay ${name}`}>
      <p>
        <b>Touch the band where {name} is to lie.</b>{' '}
        <span class="sure">Or by numbers:</span>
      </p>
      <div class="fields">
        {lost.map((s) => (
          <Select
            key={s}
            label={`its ${s} in`}
            value=""
            choices={[
              { value: '', says: 'choose a slip' },
              ...piece.slips.map((x) => ({
                value: x.id,
                says: bare(x.name ?? x.id),
              })),
            ]}
            onChoice={(to) =>
              to &&
              lay({
                ...l,
                motif: {
                  ...l.motif,
                  marks: l.motif.marks.map((m) =>
                    m.slip === s ? { ...m, slip: to } : m,
                  ),
                },
              })
            }
          />
        ))}
        <Select
          label="in the zone"
          value={zone.id}
          choices={piece.zones.map((z) => ({
            value: z.id,
            says: bare(z.name ?? z.id),
          }))}
          onChoice={setZone}
        />
        <NumberField
          label="laid up the wall"
          unit="mm"
          value={up}
          least={0}
          most={5000}
          onNumber={(v) => setUp(v as number)}
        />
        <NumberField
          label="laid around"
          unit="turns"
          value={turns}
          least={-10}
          most={10}
          onNumber={(v) => setTurns(v as number)}
        />
        <NumberField
          label="how often"
          unit="times"
          value={l.count}
          least={1}
          most={1000}
          whole
          onNumber={(v) => lay({ ...l, count: v as number })}
        />
        {l.count > 1 ? (
          <Select
            label="goes around so"
            value={ways.some((w) => w.way === l.way) ? l.way : ''}
            choices={[
              ...(ways.some((w) => w.way === l.way)
                ? []
                : [{ value: '', says: disc ? 'rosette' : 'repeat' }]),
              ...ways.map((w) => ({
                value: w.way,
                says: `${w.way}: ${w.says}`,
              })),
            ]}
            onChoice={(v) => v && lay({ ...l, way: v as Way })}
          />
        ) : null}
      </div>
      {lost.length ? (
        <p class="sure">
          This piece has no slip called {lost.join(', ')}: say which of its
          slips stands for it.
        </p>
      ) : null}
      <p class="words">
        <button type="button" disabled={lost.length > 0} onClick={now}>
          lay it there
        </button>
        <button type="button" onClick={() => lay(null)}>
          lay nothing
        </button>
      </p>
      {why ? (
        <p class="why-not" role="alert">
          {why}
        </p>
      ) : null}
    </section>
  );
}

/** How often the decoration of the piece goes around. */
function usual(piece: Piece): number {
  const all = piece.painting.map((e) => num(e.repeat?.count, 1));
  return Math.max(1, ...all);
}

export function Motifs() {
  const piece = usePiece();
  const here = useServer();
  const [, again] = useReducer((n: number) => n + 1, 0);
  const [why, setWhy] = useState('');
  useEffect(() => onLaying(() => again(0)), []);
  useEffect(() => () => lay(null), []);
  const own = piece.motifs ?? [];
  const kept = useWork<Kept[]>(
    hasBook() ? (signal) => bookMotifs(signal) : undefined,
    [store.key, own.length, here],
  );
  const l = layingNow();
  const copied = new Map(own.map((m) => [fromOf(m)?.id, m]));
  const more = (kept.result ?? []).filter((k) => !copied.has(k.id));
  if (!own.length && !more.length) return null;
  const take = (motif: Motif) =>
    lay(
      l?.motif.id === motif.id
        ? null
        : { motif, way: l?.way ?? 'repeat', count: l?.count ?? usual(piece) },
    );
  const fetched = async (k: Kept) => {
    setWhy('');
    if (fromOf(l?.motif)?.id === k.id) return lay(null);
    try {
      const { motif, from } = await bookMotif(k.id);
      take(fitted(store.piece, motif, from, {}));
    } catch (e) {
      setWhy(words(e));
    }
  };
  const renew = async (m: Motif, i: number) => {
    setWhy('');
    try {
      const from = fromOf(m) as From;
      const b = await bookMotif(from.id);
      const fresh = fitted(store.piece, b.motif, b.from, {});
      const lost = strangers(store.piece, fresh);
      if (lost.length) {
        return setWhy(`This piece has no slip called ${lost.join(', ')}.`);
      }
      const value = { ...fresh, id: m.id };
      store.apply(
        [{ op: 'replace', path: pointer('motifs', i), value }],
        `bring ${bare(m.name ?? m.id)} up to date`,
      );
    } catch (e) {
      setWhy(words(e));
    }
  };
  const says = (m: Motif) => {
    const slips = [...new Set(m.marks.map((x) => x.slip))];
    return `${count(m.marks.length, 'mark')}, ${slips
      .map((s) => slipName(piece, s) || 'down to the clay')
      .join(', ')}`;
  };
  return (
    <>
      <h2>Motifs, to lay again</h2>
      <ol class="motifs">
        {own.map((m, i) => {
          const from = fromOf(m);
          const book = kept.result?.find((k) => k.id === from?.id);
          const old = book && book.revision > (from?.revision ?? 0);
          const used = piece.painting.some((e) => e.motif === m.id);
          return (
            <li key={m.id}>
              <button
                type="button"
                aria-pressed={l?.motif.id === m.id}
                onClick={() => take(m)}
              >
                <Sketch piece={piece} motif={m} />
                <span class="called">
                  <b>{bare(m.name ?? m.id)}</b>{' '}
                  <span class="sure">
                    {says(m)}
                    {from ? '; from the book' : ''}
                  </span>
                </span>
              </button>
              {old || !used ? (
                <p class="words">
                  {old ? (
                    <button type="button" onClick={() => void renew(m, i)}>
                      bring up to date: the book has a later one
                    </button>
                  ) : null}
                  {!used ? (
                    <button
                      type="button"
                      onClick={() => {
                        lay(null);
                        store.apply(
                          [{ op: 'remove', path: pointer('motifs', i) }],
                          `take ${bare(m.name ?? m.id)} out`,
                        );
                      }}
                    >
                      not painted: take {bare(m.name ?? m.id)} out
                    </button>
                  ) : null}
                </p>
              ) : null}
            </li>
          );
        })}
        {more.map((k) => (
          <li key={k.id}>
            <button
              type="button"
              aria-pressed={fromOf(l?.motif)?.id === k.id}
              onClick={() => void fetched(k)}
            >
              <span class="called">
                <b>{bare(k.name)}</b>{' '}
                <span class="sure">in the book, not in this piece yet</span>
              </span>
            </button>
          </li>
        ))}
      </ol>
      {why ? (
        <p class="why-not" role="alert">
          {why}
        </p>
      ) : null}
      {l ? <Lay piece={piece} /> : null}
    </>
  );
}

/* ---- kept ---------------------------------------------------------------- */

/** Keep what is chosen as a motif, with what stands together with it. */
export function KeepMotif({ piece, e }: { piece: Piece; e: Painted }) {
  const here = useServer();
  const had = piece.motifs?.find((m) => m.id === e.motif);
  const [name, setName] = useState('');
  const [also, setAlso] = useState<string[]>([]);
  const [why, setWhy] = useState('');
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    setName('');
    setAlso([]);
    setWhy('');
  }, [e.id]);
  if (!keepable(e)) return null;
  const others = companions(piece, e);
  const book = hasBook() && here;
  const with_ = others.filter((q) => also.includes(q.id));
  const gathers = !had || with_.length > 0;
  const from = fromOf(had);

  const keep = async () => {
    setWhy('');
    setBusy(true);
    try {
      await core.open();
      const called = name.trim() || bare(had?.name ?? '');
      if (!called) throw new Error('give it a name first');
      const entries = [e, ...with_];
      const make = (p: Piece) =>
        gather(p, entries, freshId(p, 'motif'), called);
      const motif = gathers ? make(piece) : { ...(had as Motif), name: called };
      if (!motif) throw new Error('it does not lie on its zone');
      const origin = book ? await keepInBook(piece, motif) : undefined;
      const now = store.piece;
      const same = entries.every((x) => now.painting.includes(x));
      if (!same) throw new Error('it was changed meanwhile: keep it once more');
      const label = `keep ${called} as a motif`;
      if (gathers) {
        const fresh = make(now) as Motif;
        const value = origin ? { ...fresh, from: origin } : fresh;
        store.apply(gatherOps(now, entries, value), label);
      } else {
        const i = (now.motifs ?? []).findIndex((m) => m.id === motif.id);
        store.apply(
          [
            { op: 'add', path: pointer('motifs', i, 'name'), value: called },
            ...(origin
              ? [
                  {
                    op: 'add' as const,
                    path: pointer('motifs', i, 'from'),
                    value: origin,
                  },
                ]
              : []),
          ],
          label,
        );
      }
      store.selected = { zone: e.zone, entry: e.id };
      setName('');
      setAlso([]);
    } catch (x) {
      setWhy(words(x));
    } finally {
      setBusy(false);
    }
  };
  if (from && !with_.length && !others.length) {
    return <p class="sure">It is kept in the book as a motif.</p>;
  }
  return (
    <details class="why keep-motif">
      <summary>
        {from
          ? 'Kept in the book; keep it with others'
          : had
            ? book
              ? 'Keep it in the book'
              : 'Its name'
            : 'Keep it as a motif'}
      </summary>
      <div class="fields">
        <div class="field name-of">
          <label for="motif-name">name of the motif</label>
          <input
            id="motif-name"
            type="text"
            class="name"
            maxLength={80}
            value={name}
            placeholder={bare(had?.name ?? '')}
            onInput={(x) => setName(x.currentTarget.value)}
            onKeyDown={(x) => {
              if (x.key === 'Enter') void keep();
            }}
          />
        </div>
      </div>
      {others.length ? (
        <fieldset class="with">
          <legend class="sure">what stands with it and belongs to it</legend>
          {others.map((q) => (
            <Tick
              key={q.id}
              label={`${capital(nameOf(piece, q))}, ${slipsOf(piece, q)}${
                nameOf(piece, q) === q.id ? '' : ` (${q.id})`
              }`}
              value={also.includes(q.id)}
              onTick={(on) =>
                setAlso(on ? [...also, q.id] : also.filter((id) => id !== q.id))
              }
            />
          ))}
        </fieldset>
      ) : null}
      <p class="words">
        <button
          type="button"
          disabled={busy || (!!from && !with_.length)}
          onClick={() => void keep()}
        >
          {book ? 'keep as a motif, in the book' : 'keep as a motif'}
        </button>
      </p>
      <p class="sure">
        {book
          ? 'The book keeps it for other pieces. This piece has a copy of its own: what changes in the book later changes nothing here.'
          : hasBook()
            ? 'The server is away: it is kept in this piece only.'
            : 'No book is open: it is kept in this piece only.'}
      </p>
      {why ? (
        <p class="why-not" role="alert">
          {why}
        </p>
      ) : null}
    </details>
  );
}
