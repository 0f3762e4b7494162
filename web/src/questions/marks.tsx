// SPDX-License-Identifier: GPL-3.0-or-later
// The numbers of the marks of what is painted.

import { pointer } from '../patch';
import { store, type Mark, type Op, type Painted, type Piece } from '../store';
import { bare, count, num } from '../words';
import { NumberField, Select } from '../ui/field';
import { put, slipName } from './painting';

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

export function Marks({ piece, at, e }: { piece: Piece; at: string; e: Painted }) {
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
