// SPDX-License-Identifier: GPL-3.0-or-later
// A slip's own tiles, under its chips: each predicted beside measured, what
// can be learned from them, and a tile by numbers.

import { hasBook } from '../book';
import { useEffect, useState } from 'preact/hooks';
import { Away, Refusal } from '../api';
import { origin, type Strip } from '../questions/chips';
import type { Rgb } from '../sight';
import type { Piece, Slip } from '../store';
import {
  against,
  apart,
  coatOf,
  isWaiting,
  keepHere,
  keptHere,
  predictedDoc,
  strange,
  takeOut,
  tilesOf,
  tilesTrouble,
  underOf,
  type Lab,
  type Tile,
} from '../tiles';
import { capital, count, fixed, num } from '../words';
import { Standing } from './answer';
import { Choice } from './field';
import { askOnce, useWork } from './hooks';
import { Learn, ways } from './tiles_learn';
import { ByNumbers } from './tiles_numbers';
import { Halves } from './tiles_photo';
import { HOW, measured, useTiles, type How } from './tiles_squares';

interface Beside {
  tile: Tile;
  is: { lab: Lab; srgb: Rgb };
  of?: { lab: Lab; srgb: Rgb };
  de00?: number;
}

async function besideOf(
  piece: Piece,
  tile: Tile,
  signal: AbortSignal,
): Promise<Beside> {
  const is = await measured(tile, signal);
  const doc = predictedDoc(piece, tile);
  if (!doc) return { tile, is };
  const of = await askOnce<{ lab: Lab; srgb: Rgb }>('shade', doc, signal);
  const { delta_e00 } = await askOnce<{ delta_e00: number }>(
    'difference',
    { lab1: of.lab, lab2: is.lab },
    signal,
  );
  return { tile, is, of, de00: delta_e00 };
}

const DAY = new Intl.DateTimeFormat('en-GB', { dateStyle: 'long' });

function day(date: string | undefined): string {
  const d = date ? new Date(`${date}T12:00:00`) : undefined;
  return d && Number.isFinite(d.getTime()) ? DAY.format(d) : (date ?? '');
}

function Row(p: { of: Beside; odd: boolean; onWhy: (why: string) => void }) {
  const { tile, is, of, de00 } = p.of;
  const sure = num(tile.reading_de00, 0);
  const out = () => {
    takeOut(tile).catch((e: unknown) =>
      p.onWhy(
        e instanceof Away
          ? 'The server is away: what the book holds stays till it is back.'
          : e instanceof Refusal
            ? e.message
            : String(e),
      ),
    );
  };
  return (
    <li data-tile={tile.id}>
      <Halves predicted={of?.srgb} measured={is.srgb} />
      <div>
        <p>
          <b>{coatOf(tile)}</b>{' '}
          {of && de00 !== undefined
            ? `${against(of.lab, is.lab, de00, sure)}, ΔE ${fixed(de00, 1)}`
            : 'lies on a slip that this piece has not'}
          {p.odd ? (
            <>
              . <b>It stands apart from the others.</b>
            </>
          ) : null}
        </p>
        <p class="sure">
          {[
            tile.read_by,
            day(tile.date),
            sure ? `within ΔE ${fixed(sure, 1)}` : '',
            isWaiting(tile) ? 'waits for the server' : '',
          ]
            .filter(Boolean)
            .join(', ')}
        </p>
      </div>
      <button type="button" onClick={out}>
        take out<span class="unseen"> {tile.name}</span>
      </button>
    </li>
  );
}

function List(p: { piece: Piece; tiles: Tile[] }) {
  const { piece, tiles } = p;
  const [why, setWhy] = useState('');
  const beside = useWork<Beside[]>(
    (signal) => Promise.all(tiles.map((t) => besideOf(piece, t, signal))),
    [
      tiles.map((t) => t.id).join(' '),
      piece.slips,
      piece.body,
      piece.glaze,
      piece.glaze_g_m2,
    ],
  );
  const rows = beside.result ?? [];
  const odd = apart(rows.map((r) => r.de00 ?? 0));
  const told = rows.flatMap((r) => (r.de00 === undefined ? [] : [r.de00]));
  const mean = told.reduce((a, b) => a + b, 0) / told.length;
  return (
    <>
      {told.length > 1 ? (
        <p class="sure">
          Left what the piece predicts, right what was measured: ΔE{' '}
          {fixed(mean, 1)} apart in the mean.
        </p>
      ) : null}
      <Standing of={beside} />
      {[...new Set(rows.map((r) => underOf(r.tile)))].map((under) => (
        <section key={under} aria-label={`over ${under}`}>
          <p class="sure over">over {under}</p>
          <ul class="tiles-beside">
            {rows.map((r, i) =>
              underOf(r.tile) === under ? (
                <Row
                  key={r.tile.id}
                  of={r}
                  odd={odd[i] ?? false}
                  onWhy={setWhy}
                />
              ) : null,
            )}
          </ul>
        </section>
      ))}
      {why ? (
        <p class="refusal" role="alert">
          {why}
        </p>
      ) : null}
    </>
  );
}

/** Tiles that say nothing of this piece, and why. */
function Others({ piece, tiles }: { piece: Piece; tiles: Tile[] }) {
  const reasons = new Map<string, number>();
  for (const t of tiles) {
    const why = strange(piece, t);
    if (why) reasons.set(why, (reasons.get(why) ?? 0) + 1);
  }
  return (
    <>
      {[...reasons].map(([why, n]) => (
        <p class="sure" key={why}>
          {capital(count(n, 'more tile'))} {n === 1 ? 'is' : 'are'} {why}: never
          put together with these.
        </p>
      ))}
    </>
  );
}

interface TilesProps {
  piece: Piece;
  slip: Slip;
  strips: Strip[];
  name: (id: string) => string;
  how: How;
  onHow: (how: How) => void;
}

function Own(p: TilesProps) {
  const { piece, slip } = p;
  const all = useTiles();
  if (!hasBook()) {
    return (
      <p class="sure">
        Tiles are kept in a book: start the program with one (--book FILE) and
        open this piece in it.
      </p>
    );
  }
  if (!all) return null;
  const own = tilesOf(all, slip);
  const fit = own.filter((t) => strange(piece, t) === '');
  const read = fit.filter((t) => t.reflectance || t.lab_l !== undefined);
  const groups = ways(read);
  const name = p.name(slip.id);
  const touch = matchMedia('(pointer: coarse)').matches;
  return (
    <>
      <h3>Tiles of {name}</h3>
      {own.length === 0 ? (
        <p class="sure">
          None yet. Fire a tile for a chip, lay your card of reference patches
          beside it in window light, and touch the square under the chip. Look
          straight down, so that the glaze mirrors neither window nor camera.
        </p>
      ) : null}
      {read.length ? <List piece={piece} tiles={read} /> : null}
      <Others piece={piece} tiles={own} />
      {groups.map((g) => (
        <Learn
          key={g[0]?.id}
          piece={piece}
          slip={slip}
          name={name}
          tiles={g}
          every={all}
          several={groups.length > 1}
        />
      ))}
      {tilesTrouble() ? (
        <p class="refusal" role="alert">
          {tilesTrouble()}
        </p>
      ) : null}
      {touch ? (
        <Choice
          legend="A square opens"
          quiet={false}
          value={p.how}
          choices={[
            { value: 'camera', says: 'the camera' },
            { value: 'file', says: 'pictures on this device' },
          ]}
          onChoice={p.onHow}
        />
      ) : null}
      <ByNumbers piece={piece} slip={slip} strips={p.strips} name={p.name} />
    </>
  );
}

/** Where the squares take their pictures from; kept on this device. */
export function useHow(): [How, (how: How) => void] {
  const [how, setHow] = useState<How>(keptHere<How>(HOW) ?? 'camera');
  useEffect(() => keepHere(HOW, how), [how]);
  return [how, setHow];
}

/** What the tiles of a slip say; nothing where it is not looked at. */
export function Tiles(p: TilesProps & { chosen: boolean }) {
  const from = origin(p.slip);
  return p.chosen ? (
    <div class="tiles">
      {from ? <p class="sure tiles-from">{capital(from)}.</p> : null}
      <Own {...p} />
    </div>
  ) : null;
}
