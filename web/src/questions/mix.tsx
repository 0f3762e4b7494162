// SPDX-License-Identifier: GPL-3.0-or-later
// How much to mix?  For each slip what to weigh, then what the jar wants now.

import { useMemo, useState } from 'preact/hooks';
import { store, type Slip } from '../store';
import { pointer } from '../patch';
import { bare, count, fixed, grams, num, readNumber, span } from '../words';
import type { Coverage, MixResult, ThinResult } from '../results';
import { askOnce, useOp, usePiece, useWork } from '../ui/hooks';
import { Choice, NumberField } from '../ui/field';
import { Head, Standing, Why } from '../ui/answer';
import { HaveNot, Without, useMissing } from './without';

const KEYS = ['7', '8', '9', '4', '5', '6', '1', '2', '3', ',', '0', 'back'];

/** Large keys for wet fingers; what is typed on a keyboard counts as well. */
function Keypad(p: {
  reading: string;
  volume: string;
  onReading: (t: string) => void;
  onVolume: (t: string) => void;
}) {
  const [on, setOn] = useState<'reading' | 'volume'>('reading');
  const text = on === 'reading' ? p.reading : p.volume;
  const set = on === 'reading' ? p.onReading : p.onVolume;
  const press = (k: string) => {
    if (k === 'back') set(text.slice(0, -1));
    else if (k === ',' && /[.,]/.test(text)) return;
    else if (text.length < 7) set(text + k);
  };
  const input = (
    which: 'reading' | 'volume',
    label: string,
    unit: string,
    value: string,
    onInput: (t: string) => void,
  ) => (
    <label class={'dial' + (on === which ? ' on' : '')}>
      <span>{label}</span>
      <span class="dial-in">
        <input
          type="text"
          inputMode="decimal"
          autocomplete="off"
          value={value}
          onFocus={() => setOn(which)}
          onInput={(e) => onInput(e.currentTarget.value)}
        />
        <span class="unit">{unit}</span>
      </span>
    </label>
  );
  return (
    <div class="jar">
      <div class="dials">
        {input('reading', '100 ml of it weighs', 'g', p.reading, p.onReading)}
        {input('volume', 'in the jar are', 'ml', p.volume, p.onVolume)}
      </div>
      <div
        class="keys"
        role="group"
        aria-label={
          on === 'reading' ? 'keys for the weight' : 'keys for the volume'
        }
      >
        {KEYS.map((k) => (
          <button
            key={k}
            type="button"
            aria-label={
              k === 'back'
                ? 'back: take the last away'
                : k === ','
                  ? 'decimal comma'
                  : k
            }
            onClick={() => press(k)}
          >
            {k}
          </button>
        ))}
      </div>
    </div>
  );
}

/** The jar's correction from what the scale shows now. */
function Jar({ slip, volume }: { slip: Slip; volume: number | undefined }) {
  const [reading, setReading] = useState('');
  const [ml, setMl] = useState('');
  const shownMl = ml || (volume ? fixed(volume, 0) : '');
  const g = readNumber(reading);
  const v = readNumber(shownMl);
  // 100 ml of water weigh 100 g: a slip weighs more.
  const ready = 'value' in g && 'value' in v && g.value > 100 && v.value > 0;
  const light = 'value' in g && g.value <= 100 && reading.length > 2;
  const weighed = 'value' in g ? g.value : 0;
  const inJar = 'value' in v ? v.value : 0;
  const ask = useMemo(
    () =>
      ready
        ? {
            weighed_g: weighed,
            weighed_ml: 100,
            volume_ml: inJar,
            target_litre_weight_g: num(slip.litre_weight_g),
            ...(slip.solids_density === undefined
              ? {}
              : { solids_density: num(slip.solids_density) }),
          }
        : undefined,
    [ready, weighed, inJar, slip],
  );
  const answer = useOp<ThinResult>('thin', ask, 120);
  // Only the answer to what the scale shows now.
  const is = answer.result;
  const fits =
    is !== undefined &&
    Math.abs(is.litre_weight_g - 10 * weighed) < 0.001 &&
    Math.abs(is.volume_ml - inJar) < 0.001;
  const r = ready && fits ? is : undefined;
  const range = r?.range.add_water_ml;
  const within = range && range[0] <= 0 && range[1] >= 0;
  return (
    <>
      <h2>The jar now</h2>
      <p class="sure">
        Stir, weigh 100 ml with the jug tared. It should read{' '}
        <b>{fixed(num(slip.litre_weight_g) / 10, 0)} g</b>.
      </p>
      <Keypad
        reading={reading}
        volume={shownMl}
        onReading={setReading}
        onVolume={setMl}
      />
      <div class="jar-says" aria-live="polite">
        {reading !== '' && 'why' in g ? <p class="why-not">{g.why}</p> : null}
        {light ? (
          <p class="sure">
            100 ml of water alone weigh 100 g. Is the jug tared, and full to the
            mark?
          </p>
        ) : null}
        {ready && answer.refusal ? <Standing of={answer} /> : null}
        {ready && answer.away ? <Standing of={answer} /> : null}
        {r ? (
          within ? (
            <>
              <p class="act">
                <b>Leave it</b>
              </p>
              <p class="sure">
                It is as near as 100 ml on this scale can tell:{' '}
                {span(r.range.litre_weight_g, 0)} g a litre, and{' '}
                {fixed(r.target_litre_weight_g, 0)} is wanted.
              </p>
            </>
          ) : r.add_water_ml >= 0 ? (
            <>
              <p class="act">
                <b>Add {fixed(r.add_water_ml, 0)}</b> <span>ml of water</span>
              </p>
              <p class="sure">
                {span(range, 0)} ml, nine times in ten. Put in the lesser part,
                stir, weigh again.
              </p>
            </>
          ) : (
            <>
              <p class="act">
                <b>Let off {fixed(-r.add_water_ml, 0)}</b>{' '}
                <span>ml of clear water</span>
              </p>
              <p class="sure">
                {fixed(-(range?.[1] ?? NaN), 0)} to{' '}
                {fixed(-(range?.[0] ?? NaN), 0)} ml, nine times in ten. Let it
                settle first.
                {r.or_dry_slip_g > 0
                  ? ` Or stir in ${grams(r.or_dry_slip_g)} of the dry slip.`
                  : ''}
              </p>
            </>
          )
        ) : null}
      </div>
    </>
  );
}

interface Batch {
  slip: string;
  mix: MixResult;
  onPots: number;
  needed: number;
  range: [number, number];
}

export function Mix() {
  const piece = usePiece();
  const [chosen, setChosen] = useState('');
  const slip = piece.slips.find((s) => s.id === chosen) ?? piece.slips[0];
  const missing = useMissing(slip);
  const mixing = piece.mixing ?? {};
  const pots = num(piece.pots, 1);

  const answer = useWork<Batch | null>(
    async (signal) => {
      if (!slip?.recipe) return null;
      const c = await askOnce<Coverage>('coverage', piece, signal);
      const use = c.slips.find((s) => s.slip === slip.id);
      if (!use || use.dry_g_all_pots <= 0) return null;
      const rest = {
        slip,
        scale_step_g: mixing.scale_step_g ?? 0.1,
        ...(piece.materials ? { materials: piece.materials } : {}),
      };
      // The area that carries it, so that area times coat is what lies there.
      let mix = await askOnce<MixResult>(
        'mix',
        {
          ...rest,
          area_cm2: use.area_cm2,
          coat_g_m2: use.coat_g_m2,
          pots,
          waste_percent: mixing.waste_percent ?? 15,
          residue_g: mixing.residue_g ?? 10,
        },
        signal,
      );
      const needed = mix.needed_dry_g;
      const least = num(mixing.least_g, 0);
      if (needed < least) {
        mix = await askOnce<MixResult>(
          'mix',
          { ...rest, dry_g: least },
          signal,
        );
      }
      return {
        slip: slip.id,
        mix,
        needed,
        onPots: use.dry_g_all_pots,
        range: [use.dry_g_range[0] * pots, use.dry_g_range[1] * pots],
      };
    },
    [piece, slip],
    400,
  );
  if (!slip) return <p>There is no slip in this piece yet.</p>;
  // What was worked out for another slip is not this one's.
  const b =
    answer.result && answer.result.slip !== slip.id ? undefined : answer.result;
  const i = piece.slips.indexOf(slip);
  const set = (path: string, v: number | undefined, label: string) =>
    store.apply([{ op: 'add', path, value: v }], label);
  const setMixing = (key: string, v: number) =>
    piece.mixing
      ? set(`/mixing/${key}`, v, 'change how slips are weighed')
      : store.apply(
          [{ op: 'add', path: '/mixing', value: { [key]: v } }],
          'change how slips are weighed',
        );
  const name = bare(slip.name ?? slip.id);
  return (
    <>
      <Choice
        legend="Which slip"
        value={slip.id}
        choices={piece.slips.map((s) => ({
          value: s.id,
          says: bare(s.name ?? s.id),
        }))}
        onChoice={setChosen}
      />
      {b ? (
        <>
          <Head
            number={`${fixed(b.mix.dry_g, 0)} g`}
            what={`dry, and ${fixed(b.mix.water_g, 0)} ml of water`}
            plain={
              <>
                Makes {fixed(b.mix.volume_ml, 0)} ml; 100 ml of it weigh{' '}
                {fixed(b.mix.litre_weight_g / 10, 0)} g.{' '}
                {b.needed < b.mix.dry_g - 2 * num(mixing.scale_step_g, 0.1) &&
                b.needed < num(mixing.least_g, 0) ? (
                  <>
                    {capitalCount(pots)} would do with {grams(b.needed)}; that
                    is less than you care to mix.
                  </>
                ) : null}
              </>
            }
            sure={
              <>
                {fixed(b.onPots, b.onPots < 10 ? 1 : 0)} g lie on{' '}
                {count(pots, 'pot')}, {span(b.range, b.onPots < 10 ? 1 : 0)} by
                the hand that lays it; with what stays in brush and jar{' '}
                {grams(b.needed)}.
              </>
            }
          />
          <table class="grams">
            <caption class="unseen">
              What to weigh into one tared pan, and what it should read after
              each
            </caption>
            <thead>
              <tr>
                <th scope="col">into one tared pan</th>
                <th scope="col">weigh, g</th>
                <th scope="col">it reads, g</th>
              </tr>
            </thead>
            <tbody>
              {b.mix.lines.map((l) => (
                <tr key={l.material}>
                  <th scope="row">
                    <span class="what">{bare(l.material)}</span>
                    <HaveNot of={missing} material={l.material} />
                  </th>
                  <td>{fixed(l.grams, places(mixing.scale_step_g))}</td>
                  <td class="running">
                    {fixed(l.running_g, places(mixing.scale_step_g))}
                  </td>
                </tr>
              ))}
              <tr class="water">
                <th scope="row">
                  then water <span class="sure">about</span>
                </th>
                <td>{fixed(b.mix.water_g, 0)}</td>
                <td class="sure">{span(b.mix.range.water_g, 0)}</td>
              </tr>
            </tbody>
          </table>
          <Without of={missing} dry={b.mix.dry_g} />
        </>
      ) : null}
      <Standing of={b === undefined ? { ...answer, result: b } : answer} />
      {b === null && !answer.busy ? (
        <p class="plain">
          {slip.recipe
            ? `${name} lies nowhere on this piece.`
            : `${name} has no recipe in this piece: nothing to weigh.`}
        </p>
      ) : null}

      <Jar key={slip.id} slip={slip} volume={b?.mix.volume_ml} />

      <h2>How it is mixed</h2>
      <div class="fields">
        <NumberField
          label="pots"
          value={pots}
          least={1}
          most={10000}
          whole
          onNumber={(v) => set('/pots', v, 'change how many pots')}
        />
        <NumberField
          label="litre weight"
          unit="g"
          value={slip.litre_weight_g}
          least={1001}
          most={2500}
          onNumber={(v) =>
            set(
              pointer('slips', i, 'litre_weight_g'),
              v,
              `change the litre weight of ${name}`,
            )
          }
        />
        <NumberField
          label="scale shows steps of"
          unit="g"
          value={mixing.scale_step_g ?? 0.1}
          least={0.001}
          most={100}
          onNumber={(v) => setMixing('scale_step_g', v as number)}
        />
        <NumberField
          label="lost in brush and bowl"
          unit="%"
          value={mixing.waste_percent ?? 15}
          least={0}
          most={500}
          onNumber={(v) => setMixing('waste_percent', v as number)}
        />
        <NumberField
          label="stays in the jar"
          unit="g"
          value={mixing.residue_g ?? 10}
          least={0}
          most={10000}
          onNumber={(v) => setMixing('residue_g', v as number)}
        />
        <NumberField
          label="smallest batch"
          unit="g"
          value={mixing.least_g ?? 0}
          least={0}
          most={100000}
          onNumber={(v) => setMixing('least_g', v as number)}
        />
      </div>
      {b ? (
        <>
          <h2>Care</h2>
          <div class="care">
            {b.mix.cautions.map((c) => (
              <p key={c}>{c}</p>
            ))}
          </div>
          <Why>
            <p>
              Grams on the pots are area times coat weight, laid mark by mark on
              the form. Every hand lays more or less than another: up to a third
              (nine in ten, a judgement). Weigh the jar before and after to know
              yours.
            </p>
            <p>
              Rounding to the scale puts no line of the recipe further off than{' '}
              {fixed(b.mix.rounding_error_percent, 1)} %. The water follows from
              the litre weight and the density of the dry slip,{' '}
              {fixed(b.mix.solids_density, 2)}.{' '}
              {fixed(b.mix.add_ml_per_10_g_l, 1)} ml more make a litre 10 g
              lighter.
            </p>
          </Why>
        </>
      ) : null}
    </>
  );
}

const places = (step: unknown) => {
  const s = num(step as number, 0.1);
  return s >= 1 ? 0 : s >= 0.1 ? 1 : s >= 0.01 ? 2 : 3;
};
const capitalCount = (pots: number) => {
  const s = count(pots, 'pot');
  return s.charAt(0).toUpperCase() + s.slice(1);
};
