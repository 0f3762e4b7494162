// SPDX-License-Identifier: GPL-3.0-or-later
// A slip's window in figures: the one worked out, over each ground, and the
// potter's own beside it, to be taken over or typed.

import { pointer } from '../patch';
import { store, type Slip } from '../store';
import { capital, fixed, num, span } from '../words';
import { NumberField } from '../ui/field';
import { asWritten, ends, wanted, type WindowResult } from '../windows';
import type { Strip } from './chips';

type Name = (id: string) => string;
const ENDS = ['least', 'best', 'most'] as const;

function Row(p: {
  of: WindowResult;
  end: (typeof ENDS)[number];
  area: number;
}) {
  const { of: w, end } = p;
  const g = num(w[`${end}_g_m2`]);
  if (!Number.isFinite(g)) {
    return (
      <tr>
        <th scope="row">{end}</th>
        <td colSpan={6} class="left">
          no end: no coat is too thick for the colour; cracking and peeling end
          it before that
        </td>
      </tr>
    );
  }
  const sure = w.range[`${end}_g_m2`];
  return (
    <tr>
      <th scope="row">{end}</th>
      <td>
        <b>{fixed(g, 0)}</b>
      </td>
      <td class="sure">
        {sure && sure[1] > sure[0] ? span(sure, 0) : 'as wanted'}
      </td>
      <td>{fixed(num(w[`${end}_coats`]), 1)}</td>
      <td>{fixed(num(w[`${end}_wet_mm`]), 2)}</td>
      <td>{fixed(num(w[`${end}_dry_mm`]), 2)}</td>
      <td>{p.area > 0 ? fixed((g * p.area) / 1e4, 2) : '\u2013'}</td>
    </tr>
  );
}

/** Which side forgives more, and from where on it covers. */
function Sides({ of: w }: { of: WindowResult }) {
  const thin = num(w.thin_de00_per_10_percent);
  const thick = num(w.thick_de00_per_10_percent);
  const covering = num(w.covering_g_m2);
  const contrast = num(w.contrast_98_g_m2);
  return (
    <p class="sure">
      {Number.isFinite(thin) && Number.isFinite(thick)
        ? `A tenth thinner changes the colour by ΔE ${fixed(thin, 1)}, a tenth ` +
          `thicker by ${fixed(thick, 1)}: the ${w.safer_side} side is safer` +
          (w.safer_side === 'thin' && thin > thick
            ? ', since a thin coat can take another. '
            : '. ')
        : ''}
      {Number.isFinite(covering)
        ? `It covers what is below from ${fixed(covering, 0)} g/m² on`
        : 'It covers at no weight: what is below shows'}
      {Number.isFinite(contrast)
        ? `; contrast ratio 0.98 from ${fixed(contrast, 0)}.`
        : '.'}
      {w.other_windows.length
        ? ' The same colour comes again where it is much thicker.'
        : ''}
      {w.range.reached_percent < 99.5
        ? ` Within these doubts it is reached ${fixed(
            w.range.reached_percent,
            0,
          )} times in 100 only.`
        : ''}
    </p>
  );
}

function Take(p: { slip: Slip; of: WindowResult; over: string; name: string }) {
  const value = asWritten(p.of, p.slip, p.over);
  const own = p.slip.window;
  if (!value) return null;
  if (
    own &&
    ENDS.every((e) => num(own[`${e}_g_m2`]) === num(value[`${e}_g_m2`]))
  ) {
    return <p class="sure">This is the window that the piece holds.</p>;
  }
  const take = () => {
    const i = store.piece.slips.findIndex((s) => s.id === p.slip.id);
    if (i < 0) return;
    store.apply(
      [{ op: 'add', path: pointer('slips', i, 'window'), value }],
      `take the window worked out for ${p.name}`,
    );
  };
  return (
    <p class="words">
      <button type="button" onClick={take}>
        take this window
        <span class="unseen">
          {' '}
          for {p.name} over {p.over}
        </span>
      </button>
    </p>
  );
}

function Found(p: { strip: Strip; slip: Slip; name: Name }) {
  const { strip: s, slip } = p;
  const w = s.window;
  const over = p.name(s.over);
  if (!w) {
    return s.refused ? (
      <p class="sure">
        Over {over} it cannot be worked out: {s.refused}
      </p>
    ) : null;
  }
  if (!ends(w)) {
    return <p class="sure">Over {over} no coat weight fires to that colour.</p>;
  }
  return (
    <>
      <table class="plain-table found">
        <caption>
          Worked out over {over}: within ΔE {fixed(w.tolerance, 0)} of the
          colour at {fixed(wanted(slip), 0)} g/m²
        </caption>
        <thead>
          <tr>
            <td />
            <th scope="col">g/m²</th>
            <th scope="col">nine in ten</th>
            <th scope="col">coats</th>
            <th scope="col">mm wet</th>
            <th scope="col">mm dry</th>
            <th scope="col">g a pot</th>
          </tr>
        </thead>
        <tbody>
          {ENDS.map((e) => (
            <Row key={e} of={w} end={e} area={s.area_cm2} />
          ))}
        </tbody>
      </table>
      <Sides of={w} />
      <Take slip={slip} of={w} over={over} name={p.name(slip.id)} />
    </>
  );
}

type End = 'least_g_m2' | 'best_g_m2' | 'most_g_m2';

/** One end of the potter's own window. */
function change(slip: Slip, name: string, key: End, v: number): void {
  const i = store.piece.slips.findIndex((s) => s.id === slip.id);
  const coat = num(slip.coat_g_m2);
  const fresh = { least_g_m2: 0.5 * coat, most_g_m2: 2 * coat, [key]: v };
  const [path, value, label] = slip.window
    ? [pointer('slips', i, 'window', key), v, `change the window of ${name}`]
    : [pointer('slips', i, 'window'), fresh, `give ${name} a window`];
  store.apply([{ op: 'add', path, value }], label);
}

/** How heavy one coat of the potter's brush is. */
function OneCoat({ slip, name }: { slip: Slip; name: string }) {
  const i = store.piece.slips.findIndex((s) => s.id === slip.id);
  return (
    <NumberField
      label="one coat of your brush"
      unit="g/m²"
      value={slip.coat_g_m2}
      least={0.1}
      most={5000}
      onNumber={(v) =>
        store.apply(
          [
            {
              op: 'replace',
              path: pointer('slips', i, 'coat_g_m2'),
              value: v,
            },
          ],
          `change the coat of ${name}`,
        )
      }
    />
  );
}

function Own({ slip, name }: { slip: Slip; name: string }) {
  const w = slip.window;
  const i = store.piece.slips.findIndex((s) => s.id === slip.id);
  const fields: [string, End, number, number][] = [
    ['least', 'least_g_m2', 0, num(w?.most_g_m2, 20000)],
    ['best', 'best_g_m2', num(w?.least_g_m2, 0), num(w?.most_g_m2, 20000)],
    ['most', 'most_g_m2', num(w?.least_g_m2, 0), 20000],
  ];
  return (
    <>
      <p class="sure own-window">
        {w
          ? `Yours, as the piece holds it. ${w.why ?? ''}`
          : 'Yours: the piece holds none yet, so what was worked out counts.'}
      </p>
      <div class="fields">
        {fields.map(([label, key, least, most]) => (
          <NumberField
            key={key}
            label={label}
            unit="g/m²"
            value={w?.[key]}
            least={least}
            most={most}
            onNumber={(v) => change(slip, name, key, v as number)}
          />
        ))}
        <OneCoat slip={slip} name={name} />
      </div>
      {w ? (
        <p class="words">
          <button
            type="button"
            onClick={() =>
              store.apply(
                [{ op: 'remove', path: pointer('slips', i, 'window') }],
                `take the window of ${name} out`,
              )
            }
          >
            take yours out
          </button>
        </p>
      ) : null}
    </>
  );
}

export function WindowOf(p: {
  slip: Slip;
  strips: Strip[] | undefined;
  name: Name;
}) {
  const name = p.name(p.slip.id);
  return (
    <>
      <h2>{capital(name)}, its window</h2>
      {(p.strips ?? []).map((s) => (
        <Found key={s.over} strip={s} slip={p.slip} name={p.name} />
      ))}
      <Own slip={p.slip} name={name} />
    </>
  );
}
