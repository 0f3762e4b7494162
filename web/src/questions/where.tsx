// SPDX-License-Identifier: GPL-3.0-or-later
// What goes where?  The painting order as a list, and the numbers of what is
// chosen: everything that can be drawn can also be typed.

import { useMemo } from 'preact/hooks';
import {
  store,
  type Exception,
  type Mark,
  type Op,
  type Painted,
  type Piece,
  type Way,
} from '../store';
import { pointer } from '../patch';
import { WAYS, bare, capital, count, fixed, num, small, span } from '../words';
import type { Coverage } from '../results';
import { useOp, usePiece } from '../ui/hooks';
import { NumberField, Select, Tick } from '../ui/field';
import { Head, Standing, Why } from '../ui/answer';

const slipName = (piece: Piece, id: string | undefined) =>
  id === undefined
    ? ''
    : bare(piece.slips.find((s) => s.id === id)?.name ?? id);

function marksOf(piece: Piece, e: Painted): Mark[] {
  if (e.mark) return [e.mark];
  return piece.motifs?.find((m) => m.id === e.motif)?.marks ?? [];
}
function nameOf(piece: Piece, e: Painted): string {
  if (e.mark) {
    return e.mark.whole_zone ? 'All over' : capital(e.mark.kind);
  }
  const m = piece.motifs?.find((x) => x.id === e.motif);
  return bare(m?.name ?? e.motif ?? e.id);
}
function slipsOf(piece: Piece, e: Painted): string {
  const ids = [...new Set(marksOf(piece, e).map((m) => m.slip))];
  return ids.map((id) => slipName(piece, id) || 'down to the clay').join(', ');
}
const zoneName = (piece: Piece, id: string) =>
  bare(piece.zones.find((z) => z.id === id)?.name ?? id);

/** Set a field, or take it out when it is empty. */
function put(path: string, had: unknown, v: unknown, label: string): void {
  if (v === undefined || v === '') {
    if (had === undefined) return;
    return store.apply([{ op: 'remove', path }], label);
  }
  store.apply([{ op: 'add', path, value: v }], label);
}

function Order({ piece, chosen }: { piece: Piece; chosen: number }) {
  const move = (to: number) => {
    store.apply(
      [
        {
          op: 'move',
          from: pointer('painting', chosen),
          path: pointer('painting', to),
        },
      ],
      `paint ${nameOf(piece, piece.painting[chosen] as Painted)} ${
        to < chosen ? 'earlier' : 'later'
      }`,
    );
  };
  const copy = () => {
    const e = piece.painting[chosen] as Painted;
    const ids = new Set(JSON.stringify(piece).match(/"id":"[^"]*"/g));
    const fresh = (id: string) => {
      let n = 2;
      while (ids.has(`"id":"${id}-${n}"`)) n++;
      return `${id}-${n}`;
    };
    const value: Painted = { ...e, id: fresh(e.id) };
    if (e.mark) value.mark = { ...e.mark, id: fresh(e.mark.id) };
    store.apply(
      [{ op: 'add', path: pointer('painting', chosen + 1), value }],
      `paint ${nameOf(piece, e)} once more`,
    );
    store.selected = { zone: value.zone, entry: value.id };
  };
  const away = () => {
    const e = piece.painting[chosen] as Painted;
    store.apply(
      [{ op: 'remove', path: pointer('painting', chosen) }],
      `take ${nameOf(piece, e)} away`,
    );
    store.selected = { zone: e.zone };
  };
  return (
    <>
      <ol class="order">
        {piece.painting.map((e, i) => (
          <li key={e.id}>
            <button
              type="button"
              aria-pressed={i === chosen}
              onClick={() => (store.selected = { zone: e.zone, entry: e.id })}
            >
              <b>{nameOf(piece, e)}</b>
              <span>
                {slipsOf(piece, e)}
                {e.repeat ? `, ${count(num(e.repeat.count), 'time')}` : ''}
              </span>
              <span class="sure">{zoneName(piece, e.zone)}</span>
            </button>
          </li>
        ))}
      </ol>
      <p class="words">
        <button
          type="button"
          disabled={chosen <= 0}
          onClick={() => move(chosen - 1)}
        >
          earlier
        </button>
        <button
          type="button"
          disabled={chosen < 0 || chosen >= piece.painting.length - 1}
          onClick={() => move(chosen + 1)}
        >
          later
        </button>
        <button type="button" disabled={chosen < 0} onClick={copy}>
          once more
        </button>
        <button
          type="button"
          disabled={chosen < 0 || piece.painting.length < 2}
          onClick={away}
        >
          take away
        </button>
      </p>
    </>
  );
}

function Placing({ piece, at, e }: { piece: Piece; at: string; e: Painted }) {
  const name = nameOf(piece, e);
  const field = (
    key: keyof Painted,
    label: string,
    unit: string,
    least: number,
    most: number,
    without: number,
  ) => (
    <NumberField
      key={key}
      label={label}
      unit={unit}
      value={(e[key] as number | undefined) ?? without}
      least={least}
      most={most}
      onNumber={(v) => put(`${at}/${key}`, e[key], v, `move ${name}`)}
    />
  );
  const fill = e.mark?.whole_zone === true;
  return (
    <div class="fields">
      <Select
        label="zone"
        value={e.zone}
        choices={piece.zones.map((z) => ({
          value: z.id,
          says: bare(z.name ?? z.id),
        }))}
        onChoice={(v) => {
          put(`${at}/zone`, e.zone, v, `move ${name} to another zone`);
          store.selected = { zone: v, entry: e.id };
        }}
      />
      {fill ? null : field('up_mm', 'up the wall', 'mm', 0, 5000, 0)}
      {fill ? null : field('turns', 'around', 'turns', -10, 10, 0)}
      {fill ? null : field('turn_deg', 'turned', '°', -3600, 3600, 0)}
      {fill ? null : field('scale', 'as large', 'times', 0.01, 100, 1)}
      {fill ? null : (
        <Tick
          label="left for right"
          value={e.flip ?? false}
          onTick={(v) => put(`${at}/flip`, e.flip, v, `turn ${name} over`)}
        />
      )}
    </div>
  );
}

function Around({ piece, at, e }: { piece: Piece; at: string; e: Painted }) {
  const name = nameOf(piece, e);
  const disc = piece.zones.find((z) => z.id === e.zone)?.kind === 'disc';
  const ways = WAYS.filter((w) => (w.disc ?? false) === disc);
  const r = e.repeat;
  const way = (v: string) => {
    if (v === '')
      return put(`${at}/repeat`, r, undefined, `paint ${name} once`);
    const value = { ...(r ?? { count: 6 }), way: v as Way };
    put(`${at}/repeat`, r, value, `carry ${name} around`);
  };
  const key = (k: string, had: unknown, v: unknown, label: string) =>
    put(`${at}/repeat/${k}`, had, v, label);
  return (
    <>
      <h3>Around</h3>
      <div class="fields">
        <Select
          label="goes around"
          value={r ? (r.way ?? 'repeat') : ''}
          choices={[
            { value: '', says: 'once' },
            ...ways.map((w) => ({ value: w.way, says: `${w.way}: ${w.says}` })),
          ]}
          onChoice={way}
        />
        {r ? (
          <>
            <NumberField
              label="repeats"
              value={r.count}
              least={1}
              most={1000}
              whole
              onNumber={(v) =>
                key('count', r.count, v, `paint ${name} ${v} times`)
              }
            />
            {/mirror|turn|reflect/.test(r.way ?? '') ? (
              <NumberField
                label="axis at"
                unit="turns"
                value={r.axis_turns ?? 0}
                least={-1}
                most={1}
                onNumber={(v) =>
                  key('axis_turns', r.axis_turns, v, `move the axis of ${name}`)
                }
              />
            ) : null}
            <Tick
              label="neighbours may run into each other"
              value={r.may_overlap ?? false}
              onTick={(v) =>
                key('may_overlap', r.may_overlap, v, `let ${name} overlap`)
              }
            />
          </>
        ) : null}
      </div>
      {r ? <Exceptions at={at} e={e} name={name} /> : null}
    </>
  );
}

function Exceptions(p: { at: string; e: Painted; name: string }) {
  const all = p.e.repeat?.exceptions ?? [];
  const list = `${p.at}/repeat/exceptions`;
  const n = num(p.e.repeat?.count, 1);
  const set = (i: number, k: keyof Exception, had: unknown, v: unknown) =>
    put(`${list}/${i}/${k}`, had, v, `let one of ${p.name} differ`);
  const add = () => {
    const used = new Set(all.map((x) => num(x.instance)));
    let free = 0;
    while (used.has(free) && free < n - 1) free++;
    const one: Exception = { instance: free };
    store.apply(
      p.e.repeat?.exceptions
        ? [{ op: 'add', path: `${list}/-`, value: one }]
        : [{ op: 'add', path: list, value: [one] }],
      `let one of ${p.name} differ`,
    );
  };
  const drop = (i: number) =>
    store.apply(
      [{ op: 'remove', path: `${list}/${i}` }],
      `let ${p.name} be alike again`,
    );
  return (
    <>
      <h3>{all.length ? 'These differ' : 'All alike'}</h3>
      {all.map((x, i) => (
        <div class="exception" key={i}>
          <div class="fields">
            <NumberField
              label="which, from 1"
              value={num(x.instance) + 1}
              least={1}
              most={4000}
              whole
              onNumber={(v) =>
                set(i, 'instance', x.instance, (v as number) - 1)
              }
            />
            <NumberField
              label="moved around"
              unit="turns"
              value={x.move_turns ?? 0}
              least={-1}
              most={1}
              onNumber={(v) => set(i, 'move_turns', x.move_turns, v)}
            />
            <NumberField
              label="moved up"
              unit="mm"
              value={x.move_up_mm ?? 0}
              least={-5000}
              most={5000}
              onNumber={(v) => set(i, 'move_up_mm', x.move_up_mm, v)}
            />
            <NumberField
              label="turned"
              unit="°"
              value={x.turn_deg ?? 0}
              least={-360}
              most={360}
              onNumber={(v) => set(i, 'turn_deg', x.turn_deg, v)}
            />
            <NumberField
              label="as large"
              unit="times"
              value={x.scale ?? 1}
              least={0.01}
              most={100}
              onNumber={(v) => set(i, 'scale', x.scale, v)}
            />
            <Tick
              label="left out"
              value={x.left_out ?? false}
              onTick={(v) => set(i, 'left_out', x.left_out, v)}
            />
          </div>
          <p class="words">
            <button type="button" onClick={() => drop(i)}>
              like the others again
            </button>
          </p>
        </div>
      ))}
      <p class="words">
        <button type="button" onClick={add}>
          let one differ
        </button>
      </p>
    </>
  );
}

/** The numbers of one mark. */
function MarkForm({ piece, at, m }: { piece: Piece; at: string; m: Mark }) {
  const label = `change a ${m.kind}`;
  const number = (
    key: keyof Mark,
    says: string,
    unit: string,
    least: number,
    most: number,
    without?: string,
  ) => (
    <NumberField
      key={key}
      label={says}
      unit={unit}
      value={m[key] as number | undefined}
      least={least}
      most={most}
      optional
      without={without ?? '0'}
      onNumber={(v) => put(`${at}/${key}`, m[key], v, label)}
    />
  );
  const brush = piece.brushes?.find((b) => b.id === m.brush);
  const wide = brush ? String(num(brush.width_mm)) : '';
  const placed = m.kind === 'dot' || m.kind === 'dab';
  const point = (i: number, k: string, had: unknown, v: unknown) =>
    put(`${at}/path/${i}/${k}`, had, v, label);
  return (
    <>
      <div class="fields">
        {m.kind === 'sgraffito' ? null : (
          <Select
            label="slip"
            value={m.slip ?? ''}
            choices={piece.slips.map((s) => ({
              value: s.id,
              says: bare(s.name ?? s.id),
            }))}
            onChoice={(v) => put(`${at}/slip`, m.slip, v, label)}
          />
        )}
        <Select
          label="brush"
          value={m.brush ?? ''}
          choices={[
            { value: '', says: 'not said' },
            ...(piece.brushes ?? []).map((b) => ({
              value: b.id,
              says: b.name ?? b.id,
            })),
          ]}
          onChoice={(v) => put(`${at}/brush`, m.brush, v, label)}
        />
        {m.whole_zone
          ? null
          : number('width_mm', 'width', 'mm', 0.01, 500, wide)}
        {placed ? number('x_mm', 'around', 'mm', -10000, 10000) : null}
        {placed ? number('y_mm', 'up', 'mm', -10000, 10000) : null}
        {m.kind === 'dab'
          ? number('length_mm', 'length', 'mm', 0.01, 1000, '')
          : null}
        {m.kind === 'dab'
          ? number('turn_deg', 'pulled', '°', -3600, 3600)
          : null}
        {m.kind === 'sgraffito'
          ? null
          : number('coats', 'coats', '', 0.01, 20, '1')}
        {m.kind === 'sgraffito'
          ? null
          : number('coat_g_m2', 'or coat weight', 'g/m²', 0, 20000, '')}
      </div>
      {m.path?.length ? (
        <details class="why">
          <summary>Its {count(m.path.length, 'point')}</summary>
          <table class="points">
            <caption class="unseen">Points of the {m.kind}</caption>
            <thead>
              <tr>
                <th scope="col">
                  <span class="unseen">point</span>
                </th>
                <th scope="col">around, mm</th>
                <th scope="col">up, mm</th>
                <th scope="col">wide, mm</th>
              </tr>
            </thead>
            <tbody>
              {m.path.map((q, i) => (
                <tr key={i}>
                  <th scope="row">{i + 1}</th>
                  {(['x_mm', 'y_mm', 'width_mm'] as const).map((k) => (
                    <td key={k}>
                      <NumberField
                        quiet
                        label={`point ${i + 1}, ${
                          k === 'x_mm'
                            ? 'around'
                            : k === 'y_mm'
                              ? 'up'
                              : 'width'
                        }, mm`}
                        value={q[k]}
                        optional={k === 'width_mm'}
                        least={k === 'width_mm' ? 0 : -10000}
                        most={k === 'width_mm' ? 300 : 10000}
                        onNumber={(v) => point(i, k, q[k], v)}
                      />
                    </td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </details>
      ) : null}
    </>
  );
}

function Marks({ piece, at, e }: { piece: Piece; at: string; e: Painted }) {
  const motif = (piece.motifs ?? []).findIndex((m) => m.id === e.motif);
  if (e.mark) {
    return (
      <>
        <h3>The {e.mark.kind}</h3>
        <MarkForm piece={piece} at={`${at}/mark`} m={e.mark} />
      </>
    );
  }
  const marks = piece.motifs?.[motif]?.marks ?? [];
  const one = new Set(marks.map((m) => m.slip)).size === 1;
  const base = pointer('motifs', motif, 'marks');
  const chosen = marks.findIndex((m) => m.id === store.selected.mark);
  const uses = piece.painting.filter((p) => p.motif === e.motif).length;
  const away = () => {
    const op: Op = { op: 'remove', path: `${base}/${chosen}` };
    store.apply([op], `take a ${(marks[chosen] as Mark).kind} away`);
    store.selected = { zone: e.zone, entry: e.id };
  };
  return (
    <>
      <h3>
        Its {count(marks.length, 'mark')}
        {one
          ? `, ${slipName(piece, marks[0]?.slip) || 'down to the clay'}`
          : ''}
      </h3>
      {uses > 1 ? (
        <p class="sure">
          This motif is painted in {count(uses, 'place')}: all of them change.
        </p>
      ) : null}
      <ol class="marks">
        {marks.map((m, i) => (
          <li key={m.id}>
            <button
              type="button"
              aria-pressed={m.id === store.selected.mark}
              onClick={() =>
                (store.selected = { zone: e.zone, entry: e.id, mark: m.id })
              }
            >
              {i + 1} {m.kind}
              {one ? null : (
                <span class="sure"> {slipName(piece, m.slip)}</span>
              )}
            </button>
          </li>
        ))}
      </ol>
      {chosen >= 0 ? (
        <>
          <MarkForm
            piece={piece}
            at={`${base}/${chosen}`}
            m={marks[chosen] as Mark}
          />
          <p class="words">
            <button type="button" disabled={marks.length < 2} onClick={away}>
              take this mark away
            </button>
          </p>
        </>
      ) : null}
    </>
  );
}

export function Where() {
  const piece = usePiece();
  const answer = useOp<Coverage>('coverage', piece, 400);
  const c = answer.result;
  const chosen = piece.painting.findIndex((e) => e.id === store.selected.entry);
  const e = piece.painting[chosen];
  const tight = useMemo(() => {
    const all = (c?.clearances ?? []).filter((x) =>
      piece.painting.some((p) => p.id === x.painted),
    );
    return all.sort((a, b) => a.clearance_mm - b.clearance_mm)[0];
  }, [c, piece]);
  const narrow = tight && piece.painting.find((p) => p.id === tight.painted);
  const own = c?.clearances.find((x) => x.painted === e?.id);
  return (
    <>
      {tight && narrow ? (
        tight.clearance_mm >= 0 ? (
          <Head
            number={fixed(tight.clearance_mm, 1)}
            what="mm to spare between neighbours"
            plain={`${nameOf(piece, narrow)} stands closest: ${count(
              num(narrow.repeat?.count, 1),
              'time',
            )} around, on ${bare(small(zoneName(piece, narrow.zone)))}.`}
            sure={`${span(tight.clearance_mm_range, 1)} mm, as exactly as the pot is measured.`}
          />
        ) : (
          <Head
            number={fixed(-tight.clearance_mm, 1)}
            what="mm into each other"
            plain={`${nameOf(piece, narrow)} runs into its neighbour.`}
          />
        )
      ) : c ? (
        <Head
          number={String(piece.painting.length)}
          what="things to paint, one after the other"
        />
      ) : null}
      <Standing of={answer} />
      <h2>In painting order</h2>
      <Order piece={piece} chosen={chosen} />
      {e ? (
        <section class="chosen-entry" aria-label={nameOf(piece, e)}>
          <h2>{nameOf(piece, e)}</h2>
          {own ? (
            <p class="sure">
              {fixed(own.clearance_mm, 1)} mm to spare between neighbours (
              {span(own.clearance_mm_range, 1)}).
            </p>
          ) : null}
          <Placing piece={piece} at={pointer('painting', chosen)} e={e} />
          {e.motif ? (
            <Around piece={piece} at={pointer('painting', chosen)} e={e} />
          ) : e.mark && !e.mark.whole_zone && e.mark.kind !== 'banding line' ? (
            <Around piece={piece} at={pointer('painting', chosen)} e={e} />
          ) : null}
          <Marks piece={piece} at={pointer('painting', chosen)} e={e} />
        </section>
      ) : (
        <p class="sure">Choose a line to see and change its numbers.</p>
      )}
      <Why summary="How it is meant">
        <p>
          The order of the list is the order of painting. Paint one colour
          everywhere before the next, light to dark, and the sgraffito last.
          Where marks cross, their coats add up.
        </p>
        <p>
          A drawing sits at a place of the pot: so many turns around, so many
          millimetres up the wall from the lower edge of its zone. There it is
          true to size.
        </p>
      </Why>
    </>
  );
}
