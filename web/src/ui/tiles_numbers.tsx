// SPDX-License-Identifier: GPL-3.0-or-later
// A tile by numbers: its coat as it was weighed or counted, and what a
// colorimeter or a spectrophotometer reads, typed or from its file.

import { useId, useState } from 'preact/hooks';
import type { Strip } from '../questions/chips';
import type { Piece, Slip } from '../store';
import { begun, keepTile, type Tile } from '../tiles';
import { bare, num, plain } from '../words';
import { Choice, NumberField, Select } from './field';
import { askOnce } from './hooks';
import { FromFile, type Reading } from './tiles_file';
import { groundOf } from './tiles_squares';

type Coat = 'weighed' | 'jar' | 'counted' | 'alone';
type With = 'colorimeter' | 'spectrophotometer' | 'file';

const COATS: { value: Coat; says: string }[] = [
  { value: 'weighed', says: 'its coat weight' },
  { value: 'jar', says: 'the jar’s loss' },
  { value: 'counted', says: 'coats, counted' },
  { value: 'alone', says: 'the ground alone' },
];
const WITH: { value: With; says: string }[] = [
  { value: 'colorimeter', says: 'by colorimeter' },
  { value: 'spectrophotometer', says: 'by spectrum' },
  { value: 'file', says: 'from an instrument’s file' },
];
const GEOMETRIES = [
  { value: 'd8_in', says: 'shine included (SCI)' },
  { value: 'd8_ex', says: 'shine excluded (SCE)' },
  { value: '45_0', says: '45° to 0°' },
];
/** How far a counted coat may be off, one standard deviation [%]: as `learn`
 *  has it. (judgement) */
const COUNTED = 20;

/** 36 numbers, of 1 or in per cent, as they are pasted. */
export function readSpectrum(
  text: string,
): { values: number[] } | { why: string } {
  const cells = text.split(/[\s;]+/).filter((c) => c !== '');
  const v = cells.map((c) => Number(c.replace(/,$/, '').replace(',', '.')));
  if (v.some((x) => !Number.isFinite(x))) {
    const bad = cells[v.findIndex((x) => !Number.isFinite(x))];
    return { why: `"${bad}" is not read as a number` };
  }
  if (v.length !== 36) {
    return {
      why: `36 numbers are wanted, 380 to 730 nm by 10; not ${v.length}`,
    };
  }
  // Nothing on a tile is brighter than twice white: it is in per cent.
  const values = v.some((x) => x > 2) ? v.map((x) => x / 100) : v;
  return values.every((x) => x >= 0 && x <= 1.4)
    ? { values }
    : { why: 'a reflectance lies between 0 and 1, or 0 and 100 %' };
}

interface Typed {
  g?: number | undefined;
  loss?: number | undefined;
  area?: number | undefined;
  coats?: number | undefined;
  glaze?: number | undefined;
  lab: (number | undefined)[];
}

async function coatOf(
  how: Coat,
  t: Typed,
  slip: Slip,
): Promise<{ g: number; more: Partial<Tile> } | { why: string }> {
  if (how === 'alone') return { g: 0, more: {} };
  if (how === 'weighed') {
    return t.g === undefined
      ? { why: 'its coat weight is wanted' }
      : { g: t.g, more: {} };
  }
  if (how === 'counted') {
    return t.coats === undefined
      ? { why: 'say how many coats' }
      : {
          g: t.coats * num(slip.coat_g_m2),
          more: { coats: t.coats, coat_error_percent: COUNTED },
        };
  }
  if (t.loss === undefined || t.area === undefined) {
    return { why: 'what the jar lost is wanted, and over which area' };
  }
  const { coat_g_m2 } = await askOnce<{ coat_g_m2: number }>('coat', {
    jar_loss_g: t.loss,
    area_cm2: t.area,
    litre_weight_g: slip.litre_weight_g,
    ...(slip.solids_density === undefined
      ? {}
      : { solids_density: slip.solids_density }),
  });
  return { g: coat_g_m2, more: {} };
}

/** What was read, as it was told. */
function readingOf(
  by: With,
  t: Typed,
  text: string,
  filed: Reading | undefined,
): Reading | { why: string } {
  if (by === 'file') {
    return filed ?? { why: 'a file is wanted, and which of its samples it is' };
  }
  if (by === 'spectrophotometer') {
    const r = readSpectrum(text);
    return 'why' in r ? r : { reflectance: r.values, read_by: by };
  }
  const [lab_l, lab_a, lab_b] = t.lab;
  return lab_l === undefined || lab_a === undefined || lab_b === undefined
    ? { why: 'L*, a* and b* are wanted' }
    : { lab_l, lab_a, lab_b, read_by: by };
}

export function ByNumbers(p: {
  piece: Piece;
  slip: Slip;
  strips: Strip[];
  name: (id: string) => string;
}) {
  const id = useId();
  const strips = p.strips.filter((s) => groundOf(p.piece, s));
  const [over, setOver] = useState('');
  const [how, setHow] = useState<Coat>('weighed');
  const [by, setBy] = useState<With>('colorimeter');
  const [geometry, setGeometry] = useState('d8_ex');
  const [text, setText] = useState('');
  const [filed, setFiled] = useState<Reading>();
  const [t, setT] = useState<Typed>({ lab: [] });
  const [said, setSaid] = useState('');
  const [why, setWhy] = useState('');
  const strip = strips.find((s) => s.over === over) ?? strips[0];
  const glaze = t.glaze ?? num(p.piece.glaze_g_m2, 600);
  if (!strip) return null;
  const lab = (i: number) => (v: number | undefined) =>
    setT((old) => {
      const next = [...old.lab];
      next[i] = v;
      return { ...old, lab: next };
    });
  const keep = async () => {
    setSaid('');
    setWhy('');
    const ground = groundOf(p.piece, strip);
    if (!ground) return;
    try {
      const coat = await coatOf(how, t, p.slip);
      if ('why' in coat) return setWhy(coat.why);
      const of = begun(
        p.piece,
        how === 'alone' ? undefined : p.slip,
        coat.g,
        ground.slip && { slip: ground.slip, g: ground.g },
      );
      const reading = readingOf(by, t, text, filed);
      if ('why' in reading) return setWhy(reading.why);
      await keepTile({
        ...of,
        ...coat.more,
        ...reading,
        geometry: geometry as Tile['geometry'],
        ...(p.piece.glaze ? { glaze_g_m2: glaze } : {}),
      });
      setSaid(`Kept: ${of.name}.`);
      setT((old) => ({ ...old, lab: [] }));
      setText('');
    } catch (e) {
      setWhy(e instanceof Error ? e.message : String(e));
    }
  };
  return (
    <details class="why by-numbers">
      <summary>A tile by numbers</summary>
      <div class="why-body">
        <div class="fields">
          <Select
            label="it lies over"
            value={strip.over}
            choices={strips.map((s) => ({
              value: s.over,
              says: p.name(s.over),
            }))}
            onChoice={setOver}
          />
        </div>
        <Choice
          legend="How its coat is known"
          value={how}
          choices={COATS}
          onChoice={setHow}
        />
        <div class="fields">
          {how === 'weighed' ? (
            <NumberField
              label="slip on it, dry"
              unit="g/m²"
              value={t.g}
              least={0.1}
              most={5000}
              optional
              onNumber={(g) => setT({ ...t, g })}
            />
          ) : null}
          {how === 'jar' ? (
            <>
              <NumberField
                label="jar and brush lost"
                unit="g"
                value={t.loss}
                least={0.01}
                most={1e5}
                optional
                onNumber={(loss) => setT({ ...t, loss })}
              />
              <NumberField
                label="over"
                unit="cm²"
                value={t.area}
                least={0.01}
                most={1e6}
                optional
                onNumber={(area) => setT({ ...t, area })}
              />
            </>
          ) : null}
          {how === 'counted' ? (
            <NumberField
              label={`coats, of ${plain(p.slip.coat_g_m2)} g/m² each`}
              value={t.coats}
              least={0.1}
              most={100}
              optional
              onNumber={(coats) => setT({ ...t, coats })}
            />
          ) : null}
          {p.piece.glaze ? (
            <NumberField
              label={`${bare(p.piece.glaze.name ?? 'glaze')}, dry`}
              unit="g/m²"
              value={glaze}
              least={0}
              most={5000}
              onNumber={(v) => setT({ ...t, glaze: v })}
            />
          ) : null}
        </div>
        <Choice legend="Read" value={by} choices={WITH} onChoice={setBy} />
        {by === 'file' ? (
          <FromFile onReading={setFiled} onGeometry={setGeometry} />
        ) : null}
        <div class="fields">
          {by === 'colorimeter'
            ? ['L*', 'a*', 'b*'].map((label, i) => (
                <NumberField
                  key={label}
                  label={label}
                  value={t.lab[i]}
                  least={i === 0 ? 0 : -200}
                  most={i === 0 ? 120 : 200}
                  optional
                  onNumber={lab(i)}
                />
              ))
            : null}
          <Select
            label="geometry"
            value={geometry}
            choices={GEOMETRIES}
            onChoice={setGeometry}
          />
        </div>
        {by === 'spectrophotometer' ? (
          <div class="field">
            <label for={id}>
              36 reflectances, 380 to 730 nm by 10 nm, of 1 or in per cent
            </label>
            <textarea
              id={id}
              rows={4}
              spellcheck={false}
              value={text}
              onInput={(e) => setText(e.currentTarget.value)}
            />
          </div>
        ) : null}
        {why ? (
          <p class="why-not" role="alert">
            {why}
          </p>
        ) : null}
        <p class="words">
          <button type="button" onClick={() => void keep()}>
            keep this tile
          </button>
          <span class="sure" role="status">
            {said}
          </span>
        </p>
      </div>
    </details>
  );
}
