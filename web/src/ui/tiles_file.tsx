// SPDX-License-Identifier: GPL-3.0-or-later
// A tile's reading from an instrument's file: the program reads it, its
// samples are offered by name, and the one chosen is shown as a dab.

import { useEffect, useId, useState } from 'preact/hooks';
import { ask } from '../api';
import type { Rgb } from '../sight';
import { upload, type Lab, type Tile } from '../tiles';
import { fixed } from '../words';
import { Standing } from './answer';
import { Select } from './field';
import { useWork } from './hooks';
import { Halves } from './tiles_photo';

/** The largest file that the program reads (studio/spectra.h). [bytes] */
const MOST = 2 * 1024 * 1024;

interface Sample {
  name: string;
  reflectance?: number[];
  lab: Lab;
  srgb: Rgb;
}
interface Read {
  readings: Sample[];
  geometry?: NonNullable<Tile['geometry']>;
  how_read: string[];
}
interface Asked {
  scale: string;
  light: string;
}
/** What a tile gets of it. */
export type Reading = Pick<
  Tile,
  'reflectance' | 'lab_l' | 'lab_a' | 'lab_b' | 'read_by' | 'note'
>;

const SCALES = [
  { value: '', says: 'as the file says' },
  { value: 'fraction', says: '0 to 1' },
  { value: 'percent', says: 'per cent' },
];
const LIGHTS = [
  { value: '', says: 'as the file says' },
  { value: 'D65', says: 'D65' },
  { value: 'D50', says: 'D50' },
];

/** Its text; or, where that is none, the name under which the book has its
 *  bytes. */
async function textOf(file: File): Promise<string> {
  try {
    const utf8 = new TextDecoder('utf-8', { fatal: true });
    const text = utf8.decode(await file.arrayBuffer());
    if (!text.includes('\0') && !text.startsWith('sha256:')) return text;
  } catch {
    // an older instrument's letters, perhaps: the program knows them
  }
  // The book takes pictures and plain bytes.
  return `sha256:${await upload(new File([file], file.name))}`;
}

async function readFile(
  file: File,
  asked: Asked,
  signal: AbortSignal,
): Promise<Read & { of: File }> {
  const { scale, light } = asked;
  const read = await ask<Read>(
    'colour',
    {
      spectra: await textOf(file),
      ...(scale ? { spectra_scale: scale } : {}),
      ...(light ? { spectra_light: light } : {}),
    },
    signal,
  );
  return { ...read, of: file };
}

/** Where it is from, and what was done to it, stays with the tile. */
function readingOf(s: Sample, read: Read & { of: File }): Reading {
  const note = `${s.name} of ${read.of.name}. ${read.how_read.join(' ')}`;
  if (s.reflectance) {
    const { reflectance } = s;
    return { reflectance, read_by: 'spectrophotometer', note };
  }
  const two = (v: number) => Number(v.toFixed(2));
  const [lab_l, lab_a, lab_b] = s.lab.map(two) as Lab;
  return { lab_l, lab_a, lab_b, read_by: 'colorimeter', note };
}

function Dab({ of }: { of: Sample }) {
  const [l, a, b] = of.lab.map((v) => fixed(v, 1));
  return (
    <div class="reading" role="status">
      <Halves predicted={of.srgb} measured={of.srgb} />
      <p>
        L* {l}, a* {a}, b* {b}
      </p>
    </div>
  );
}

/** What the file may leave open. */
function Open(p: { asked: Asked; onAsked: (a: Asked) => void }) {
  return (
    <div class="fields">
      <Select
        label="its readings are"
        value={p.asked.scale}
        choices={SCALES}
        onChoice={(scale) => p.onAsked({ ...p.asked, scale })}
      />
      <Select
        label="its L*a*b* hold under"
        value={p.asked.light}
        choices={LIGHTS}
        onChoice={(light) => p.onAsked({ ...p.asked, light })}
      />
    </div>
  );
}

/** The file as it is read; undefined while there is no answer to it. */
function useFile(file: File | undefined, asked: Asked) {
  const work = useWork(file && ((signal) => readFile(file, asked, signal)), [
    file,
    asked,
  ]);
  const fresh = file && work.result?.of === file && !work.refusal;
  return { work, read: fresh ? work.result : undefined };
}

/** Which of its samples the tile is: of several none, until it is said. */
function Which(p: {
  read: Read;
  sample: Sample | undefined;
  onName: (name: string) => void;
}) {
  const names = p.read.readings.map(({ name }) => ({
    value: name,
    says: name,
  }));
  const none = p.sample ? [] : [{ value: '', says: 'which sample?' }];
  return (
    <>
      <div class="fields">
        <Select
          label="this tile is"
          value={p.sample?.name ?? ''}
          choices={[...none, ...names]}
          onChoice={p.onName}
        />
      </div>
      {p.sample ? <Dab of={p.sample} /> : null}
      <p class="sure">{p.read.how_read.join(' ')}</p>
    </>
  );
}

export function FromFile(p: {
  onReading: (r: Reading | undefined) => void;
  onGeometry: (g: NonNullable<Tile['geometry']>) => void;
}) {
  const id = useId();
  const [file, setFile] = useState<File>();
  const [asked, setAsked] = useState<Asked>({ scale: '', light: '' });
  const [name, setName] = useState('');
  const large = file !== undefined && file.size > MOST;
  const { work, read } = useFile(large ? undefined : file, asked);
  const all = read?.readings ?? [];
  const sample = all.length === 1 ? all[0] : all.find((s) => s.name === name);
  useEffect(() => {
    p.onReading(read && sample && readingOf(sample, read));
  }, [read, sample]);
  useEffect(() => {
    if (read?.geometry) p.onGeometry(read.geometry);
  }, [read]);
  return (
    <div class="from-file">
      <div class="field">
        <label for={id}>the file: a table (CSV), or CGATS text</label>
        <input
          id={id}
          type="file"
          onChange={(e) => setFile(e.currentTarget.files?.[0])}
        />
      </div>
      {large ? (
        <p class="refusal" role="alert">
          <b>The file is larger than 2 MB.</b> Then: save fewer samples in one.
        </p>
      ) : file ? (
        <Standing of={work} />
      ) : null}
      {file && (work.refusal || asked.scale || asked.light) ? (
        <Open asked={asked} onAsked={setAsked} />
      ) : null}
      {read ? <Which read={read} sample={sample} onName={setName} /> : null}
    </div>
  );
}
