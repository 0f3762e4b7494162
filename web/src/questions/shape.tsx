// SPDX-License-Identifier: GPL-3.0-or-later
// What shape?  The profile by finger or as numbers; what it holds, weighs,
// measures.

import { useMemo, useRef, useState } from 'preact/hooks';
import { store, type CaliperPoint, type Form, type Op } from '../store';
import { pointer } from '../patch';
import { capital, count, figures, fixed, num, span } from '../words';
import type { FormResult } from '../results';
import { usePiece, useOp } from '../ui/hooks';
import { Choice, NumberField, Select } from '../ui/field';
import { Head, Standing, Why } from '../ui/answer';

type Face = 'outside' | 'inside';
type At = { d: number; h: number };

const at = (p: CaliperPoint): At => ({
  d: num(p.diameter_mm),
  h: num(p.height_mm),
});

/** A small drawing of the pot cut through; the right half is to be drawn. */
function Profile(p: {
  form: Form;
  face: Face;
  chosen: number;
  onChoose: (i: number) => void;
}) {
  const svg = useRef<SVGSVGElement>(null);
  const [pulled, setPulled] = useState<{ i: number; to: At } | null>(null);
  const outside = p.form.outside.map(at);
  const inside = (p.form.inside ?? []).map(at);
  const mine = p.face === 'outside' ? outside : inside;
  if (pulled) mine[pulled.i] = pulled.to;

  const wide = Math.max(...outside.map((q) => q.d), 1);
  const high = Math.max(...outside.map((q) => q.h), 1);
  const edge = wide * 0.06;
  const r = wide * 0.011; // of a handle
  const line = (pts: At[], side: 1 | -1) =>
    pts.map((q) => `${(side * q.d) / 2},${-q.h}`).join(' ');

  const where = (e: PointerEvent): At => {
    const el = svg.current as SVGSVGElement;
    const m = el.getScreenCTM()?.inverse();
    const q = new DOMPoint(e.clientX, e.clientY).matrixTransform(m);
    const half = (v: number) => Math.round(v * 2) / 2;
    return { d: Math.max(0, half(q.x * 2)), h: half(-q.y) };
  };
  const down = (e: PointerEvent, i: number) => {
    (e.currentTarget as Element).setPointerCapture(e.pointerId);
    e.preventDefault();
    p.onChoose(i);
    setPulled({ i, to: mine[i] as At });
  };
  const up = () => {
    if (!pulled) return;
    const was = at(
      (p.form[p.face] as CaliperPoint[])[pulled.i] as CaliperPoint,
    );
    setPulled(null);
    if (was.d === pulled.to.d && was.h === pulled.to.h) return;
    const here = pointer('form', p.face, pulled.i);
    store.apply(
      [
        { op: 'replace', path: here + '/diameter_mm', value: pulled.to.d },
        { op: 'replace', path: here + '/height_mm', value: pulled.to.h },
      ],
      `move a point of the ${p.face}`,
    );
  };
  return (
    <svg
      ref={svg}
      class="profile"
      viewBox={`${-wide / 2 - edge} ${-high - edge} ${wide + 2 * edge} ${
        high + 1.6 * edge
      }`}
      aria-hidden="true"
    >
      <line
        class="table-line"
        x1={-wide / 2 - edge}
        x2={wide / 2 + edge}
        y1="0"
        y2="0"
      />
      <line
        class="axis"
        x1="0"
        x2="0"
        y1={-high - edge * 0.6}
        y2={edge * 0.4}
      />
      <polygon
        class="clay"
        points={
          line(outside, 1) +
          ' ' +
          line(inside.slice().reverse(), 1) +
          ' ' +
          line(inside, -1) +
          ' ' +
          line(outside.slice().reverse(), -1)
        }
      />
      {([1, -1] as const).map((side) => (
        <polyline
          key={side}
          class="pencil"
          points={line([...outside, ...inside.slice().reverse()], side)}
        />
      ))}
      {mine.map((q, i) => (
        <g
          key={i}
          class={'handle' + (i === p.chosen ? ' chosen' : '')}
          onPointerDown={(e) => down(e, i)}
          onPointerMove={(e) =>
            pulled?.i === i && setPulled({ i, to: where(e) })
          }
          onPointerUp={up}
          onPointerCancel={() => setPulled(null)}
        >
          <circle class="reach" cx={q.d / 2} cy={-q.h} r={r * 3.2} />
          <circle cx={q.d / 2} cy={-q.h} r={r} />
        </g>
      ))}
    </svg>
  );
}

export function Shape() {
  const piece = usePiece();
  const [face, setFace] = useState<Face>('outside');
  const [chosen, setChosen] = useState(-1);
  const form = piece.form;
  const points = form[face] ?? [];

  const ask = useMemo(() => {
    const { from: _from, ...own } = form;
    const density = piece.body.density_g_cm3;
    return {
      ...own,
      zones: piece.zones,
      ...(density === undefined ? {} : { density_g_cm3: density }),
    };
  }, [form, piece.zones, piece.body]);
  const answer = useOp<FormResult>('form', ask);
  const r = answer.result;
  const fired = r?.sizes.find((s) => s.stage === 'fired');
  const pots = num(piece.pots, 1);

  const set = (i: number, key: keyof CaliperPoint, v: number) =>
    store.apply(
      [{ op: 'replace', path: pointer('form', face, i, key), value: v }],
      `move a point of the ${face}`,
    );
  const put = (i: number, p: CaliperPoint) =>
    store.apply(
      [{ op: 'add', path: pointer('form', face, i), value: p }],
      `add a point to the ${face}`,
    );
  const add = () => {
    const i = chosen >= 0 ? chosen : points.length - 2;
    const a = points[i];
    const b = points[i + 1] ?? points[i - 1];
    if (!a || !b) return;
    const mid = (x: unknown, y: unknown) =>
      Math.round(num(x as number) + num(y as number)) / 2;
    put(i + (points[i + 1] ? 1 : 0), {
      diameter_mm: mid(a.diameter_mm, b.diameter_mm),
      height_mm: mid(a.height_mm, b.height_mm),
    });
    setChosen(i + (points[i + 1] ? 1 : 0));
  };
  const away = () => {
    const op: Op = { op: 'remove', path: pointer('form', face, chosen) };
    store.apply([op], `take a point of the ${face} away`);
    setChosen(-1);
  };
  const shrinkage = (key: 'diameter_percent' | 'height_percent', v: number) => {
    const now = form.to_fired ?? { diameter_percent: 0, height_percent: 0 };
    store.apply(
      [{ op: 'add', path: '/form/to_fired', value: { ...now, [key]: v } }],
      'change the shrinkage',
    );
  };

  return (
    <>
      {fired && r?.capacity_ml ? (
        <Head
          number={fixed((fired.capacity_ml ?? r.capacity_ml) / 1000, 2)}
          what="litres, filled to the lip, when fired"
          plain={
            <>
              {figures(r.clay_g ?? NaN)} g of leather-hard clay in a pot
              {pots > 1 ? (
                <>
                  , {fixed(((r.clay_g ?? NaN) * pots) / 1000, 1)} kg for{' '}
                  {count(pots, 'pot')}
                </>
              ) : null}
              . Fired it is {fixed(fired.widest_mm, 0)} mm wide and{' '}
              {fixed(fired.height_mm, 0)} mm high.
            </>
          }
          sure={
            <>
              Clay {span(r.clay_range_g, 0)} g, leather-hard capacity{' '}
              {span(
                r.capacity_range_ml?.map((v) => v / 1000),
                2,
              )}{' '}
              l: calipers read to half a millimetre (a judgement).
            </>
          }
        />
      ) : r ? (
        <Head
          number={fixed(fired?.widest_mm ?? NaN, 0)}
          what="mm wide when fired"
          plain="Without points of the inside it is not known what it holds and weighs."
        />
      ) : null}
      <Standing of={answer} />

      <Profile form={form} face={face} chosen={chosen} onChoose={setChosen} />

      <Choice
        legend="Which face"
        value={face}
        choices={[
          { value: 'outside', says: 'outside' },
          ...(form.inside ? [{ value: 'inside' as Face, says: 'inside' }] : []),
        ]}
        onChoice={(f) => {
          setFace(f);
          setChosen(-1);
        }}
      />
      <table class="points">
        <caption class="unseen">
          Points of the {face}, from{' '}
          {face === 'outside' ? 'the foot' : 'the centre'} to the lip
        </caption>
        <thead>
          <tr>
            <th scope="col">
              from the {face === 'outside' ? 'foot' : 'centre'}
            </th>
            <th scope="col">across, mm</th>
            <th scope="col">high, mm</th>
          </tr>
        </thead>
        <tbody>
          {points.map((q, i) => (
            <tr key={i} class={i === chosen ? 'chosen' : ''}>
              <th scope="row">{i + 1}</th>
              <td>
                <NumberField
                  quiet
                  label={`point ${i + 1}, across, mm`}
                  value={q.diameter_mm}
                  least={0}
                  most={3000}
                  onFocus={() => setChosen(i)}
                  onNumber={(v) => set(i, 'diameter_mm', v as number)}
                />
              </td>
              <td>
                <NumberField
                  quiet
                  label={`point ${i + 1}, height above the table, mm`}
                  value={q.height_mm}
                  least={-3000}
                  most={3000}
                  onFocus={() => setChosen(i)}
                  onNumber={(v) => set(i, 'height_mm', v as number)}
                />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p class="words">
        <button type="button" onClick={add}>
          {chosen >= 0 ? `another point after ${chosen + 1}` : 'another point'}
        </button>
        <button
          type="button"
          disabled={chosen < 0 || points.length <= 2}
          onClick={away}
        >
          {chosen >= 0 ? `take point ${chosen + 1} away` : 'take a point away'}
        </button>
      </p>

      <h2>From wheel to kiln</h2>
      <div class="fields">
        <Select
          label="these points were measured"
          value={form.measured ?? 'leather-hard'}
          choices={['thrown', 'leather-hard', 'fired'].map((s) => ({
            value: s,
            says: s,
          }))}
          onChoice={(v) =>
            store.apply(
              [{ op: 'add', path: '/form/measured', value: v }],
              'say when it was measured',
            )
          }
        />
        <NumberField
          label="shrinks across, to fired"
          unit="%"
          value={form.to_fired?.diameter_percent ?? 0}
          least={-5}
          most={40}
          onNumber={(v) => shrinkage('diameter_percent', v as number)}
        />
        <NumberField
          label="in height"
          unit="%"
          value={form.to_fired?.height_percent ?? 0}
          least={-5}
          most={40}
          onNumber={(v) => shrinkage('height_percent', v as number)}
        />
      </div>
      {r ? (
        <table class="plain-table">
          <caption class="unseen">Its sizes</caption>
          <thead>
            <tr>
              <th scope="col">
                <span class="unseen">stage</span>
              </th>
              <th scope="col">wide, mm</th>
              <th scope="col">high, mm</th>
              <th scope="col">holds, l</th>
            </tr>
          </thead>
          <tbody>
            {r.sizes.map((s) => (
              <tr key={s.stage}>
                <th scope="row">{s.stage}</th>
                <td>{fixed(s.widest_mm, 1)}</td>
                <td>{fixed(s.height_mm, 1)}</td>
                <td>
                  {s.capacity_ml ? fixed(s.capacity_ml / 1000, 2) : 'not known'}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      ) : null}
      {r ? (
        <>
          <h2>Surface, leather-hard</h2>
          <table class="plain-table">
            <caption class="unseen">Areas</caption>
            <tbody>
              <tr>
                <th scope="row">Outside</th>
                <td>{fixed(r.areas_cm2.outside, 0)} cm²</td>
              </tr>
              {r.areas_cm2.inside ? (
                <tr>
                  <th scope="row">Inside</th>
                  <td>{fixed(r.areas_cm2.inside, 0)} cm²</td>
                </tr>
              ) : null}
              {(r.zones ?? []).map((z) => (
                <tr key={z.id}>
                  <th scope="row">{capital(z.name ?? z.id)}</th>
                  <td>{fixed(z.area_cm2, 0)} cm²</td>
                </tr>
              ))}
            </tbody>
          </table>
        </>
      ) : null}
      <Why summary="How to measure a pot">
        <p>
          Stand the pot on the table. Take the diameter with calipers, and with
          a rule beside it the height, at ten to fourteen places from the foot
          to the lip, closer together where the wall turns. Do the same inside,
          from the centre (across 0). A smooth curve is laid through the points
          that never swells beyond them.
        </p>
        <p>
          Shrinkage is best taken from a pot of the same clay, measured twice.
        </p>
      </Why>
    </>
  );
}
