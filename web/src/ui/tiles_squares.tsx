// SPDX-License-Identifier: GPL-3.0-or-later
// An empty square beside each chip, for its tile: where it stands says the
// slip, the ground and the coat weight.  Touched, it opens the camera.

import { hasBook } from '../book';
import { useEffect, useReducer, useState } from 'preact/hooks';
import type { Strip } from '../questions/chips';
import { css, type Rgb } from '../sight';
import type { Piece, Slip } from '../store';
import {
  alone,
  begun,
  coatsOf,
  followTiles,
  isOf,
  labOf,
  onTiles,
  strange,
  tilesNow,
  tilesOf,
  type Tile,
} from '../tiles';
import { fixed, num } from '../words';
import { askOnce, useWork } from './hooks';
import { TakeTile, type Taking } from './tiles_photo';

/** All tiles of the book, drawn again when they change. */
export function useTiles(): Tile[] | undefined {
  const [, again] = useReducer((n: number) => n + 1, 0);
  useEffect(() => {
    followTiles();
    return onTiles(() => again(0));
  }, []);
  return tilesNow();
}

export interface TileGround {
  /** Undefined: the body. */
  slip: Slip | undefined;
  g: number;
}
/** What a tile of this strip lies on; undefined where that is more than one
 *  slip: nobody makes such tiles. */
export function groundOf(piece: Piece, s: Strip): TileGround | undefined {
  if (s.below.length > 1) return undefined;
  const b = s.below[0];
  if (!b) return { slip: undefined, g: 0 };
  const slip = piece.slips.find((x) => x.id === b.slip);
  return slip && { slip, g: b.g };
}

/** Tiles of a slip over one ground. */
export function over(all: Tile[], slip: Slip, on: TileGround): Tile[] {
  return tilesOf(all, slip).filter((t) => {
    const under = coatsOf(t)[1];
    return on.slip ? under !== undefined && isOf(under, on.slip) : !under;
  });
}

/** A tile's measured colour as a screen shows it. */
export async function measured(
  t: Tile,
  signal?: AbortSignal,
): Promise<{ lab: [number, number, number]; srgb: Rgb }> {
  const lab = labOf(t);
  if (lab) {
    const r = await askOnce<{ srgb: Rgb }>('colour', { lab }, signal);
    return { lab, srgb: r.srgb };
  }
  // What was measured is the colour of a bare surface that reflects so.
  return askOnce(
    'shade',
    { stack_top_first: [], substrate: { reflectance: t.reflectance } },
    signal,
  );
}

export const HOW = 'leatherhard tiles from';
export type How = 'camera' | 'file';

/** A square that takes a picture. */
function Square(p: {
  words: string;
  of?: Tile | undefined;
  how: How;
  onFile: (f: File) => void;
}) {
  const colour = useWork(
    p.of ? (signal) => measured(p.of as Tile, signal) : undefined,
    [p.of],
  ).result;
  return (
    <label class="square">
      <input
        type="file"
        accept="image/*"
        aria-label={p.words + (p.of ? ', another one' : '')}
        {...(p.how === 'camera' ? { capture: 'environment' } : {})}
        onChange={(e) => {
          const [f] = e.currentTarget.files ?? [];
          e.currentTarget.value = '';
          if (f) p.onFile(f);
        }}
      />
      <span
        class={p.of ? 'full' : ''}
        style={p.of && colour ? { backgroundColor: css(colour.srgb) } : {}}
      />
    </label>
  );
}

/** The squares under one strip. */
export function Squares(p: {
  piece: Piece;
  slip: Slip;
  strip: Strip;
  name: (id: string) => string;
  how: How;
}) {
  const all = useTiles();
  const [taking, setTaking] = useState<Taking>();
  if (!hasBook() || !all) return null;
  const { piece, slip, strip } = p;
  const on = groundOf(piece, strip);
  const ground = p.name(strip.over);
  if (!on) return null;
  const { how } = p;
  const fit = over(all, slip, on).filter((t) => strange(piece, t) === '');
  const dabs = strip.dabs.map((d) => d.g);
  // A tile stands in the square of the chip that it is nearest to.
  const near = (t: Tile) => {
    const far = dabs.map((g) => Math.abs(Math.log(g / num(t.coat_g_m2))));
    return far.indexOf(Math.min(...far));
  };
  const under = on.slip && { slip: on.slip, g: on.g };
  const bare = alone(
    all,
    on.slip && { name: on.slip.name ?? on.slip.id, g: on.g },
  ).filter((t) => strange(piece, t) === '');
  const take = (of: Slip | undefined, g: number) => (file: File) =>
    setTaking({ file, tile: begun(piece, of, g, under) });
  return (
    <div class="squares" role="group" aria-label={`Tiles over ${ground}`}>
      <div class="row">
        {dabs.map((g, i) => {
          const here = fit.filter((t) => near(t) === i);
          return (
            <Square
              key={i}
              how={how}
              words={`A tile of ${p.name(slip.id)}, ${fixed(g, 0)} g/m² over ${ground}`}
              of={here[here.length - 1]}
              onFile={take(slip, g)}
            />
          );
        })}
      </div>
      <div class="alone">
        <Square
          how={how}
          words={`A tile of ${ground} alone`}
          of={bare[bare.length - 1]}
          onFile={take(undefined, 0)}
        />
        <span aria-hidden="true">
          {on.slip ? `${ground} alone` : 'the body alone'}
        </span>
      </div>
      {taking ? (
        <TakeTile
          piece={piece}
          taking={taking}
          onDone={() => setTaking(undefined)}
        />
      ) : null}
    </div>
  );
}
