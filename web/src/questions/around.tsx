// SPDX-License-Identifier: GPL-3.0-or-later
// Where what is painted sits, how it goes around, and which of its repeats
// differ.

import {
  store,
  type Exception,
  type Painted,
  type Piece,
  type Way,
} from '../store';
import { WAYS, bare, num } from '../words';
import { NumberField, Select, Tick } from '../ui/field';
import { nameOf, put } from './painting';

export function Placing({ piece, at, e }: { piece: Piece; at: string; e: Painted }) {
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

export function Around({ piece, at, e }: { piece: Piece; at: string; e: Painted }) {
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
