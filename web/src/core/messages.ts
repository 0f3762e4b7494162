// SPDX-License-Identifier: GPL-3.0-or-later
// What page and worker say to each other.

import type { Op } from '../patch';
import type { Piece } from '../piece';
import type { Look, Numbers, Rect } from './engine';
import type { Strength } from './strength';

export type ToWorker =
  | { kind: 'module'; module: WebAssembly.Module }
  | { kind: 'piece'; piece: Piece; n: number }
  /** settles: it is what was previewed. */
  | { kind: 'patch'; patch: Op[]; settles: boolean; n: number }
  /** A change that is not made yet: a stroke under way; null: no more. */
  | { kind: 'preview'; patch: Op[] | null; n: number }
  | { kind: 'looks'; looks: Look[]; n: number }
  | { kind: 'strength'; strength: Strength; n: number }
  | {
      kind: 'window';
      zone: string;
      slip: string;
      /** Least and most; null: the slip's own. [g/m2] */
      within: [number, number] | null;
      id: number;
    };

/** A rectangle of colours, four bytes a pixel, the lowest row first. */
export interface Patch extends Rect {
  rgba: Uint8Array;
}
export interface Skin {
  zone: string;
  look: Look;
  nx: number;
  ny: number;
  pixel: number; // [chart mm]
  width: number; // of the chart [mm]
  height: number;
  patches: Patch[];
}

export type FromWorker =
  /** previewed: with a change in them that is not made yet. */
  | {
      kind: 'numbers';
      n: number;
      numbers: Numbers;
      previewed: boolean;
      ms: number;
    }
  | { kind: 'skins'; n: number; skins: Skin[]; ms: number }
  /** A patch did not fit: the whole piece is wanted. */
  | { kind: 'lost' }
  | {
      kind: 'window';
      id: number;
      nx: number;
      ny: number;
      says: Uint8Array | null;
      mm2: [number, number, number];
    };
