// SPDX-License-Identifier: GPL-3.0-or-later
// The worker: keeps the piece, lays what changes, tells numbers first and
// then colours.

import { applyPatch, type Op } from '../patch';
import type { Piece } from '../piece';
import { Engine, sum, type Look } from './engine';
import type { FromWorker, Patch, Skin, ToWorker } from './messages';

let engine: Engine | null = null;
let piece: Piece | null = null;
let preview: Op[] | null = null;
let looks: Look[] = ['fired'];

function tell(message: FromWorker, transfer: Transferable[] = []): void {
  (self as unknown as Worker).postMessage(message, transfer);
}

/** The piece with what is under way. */
function shown(): Piece {
  if (!preview) return piece as Piece;
  try {
    return applyPatch(piece as Piece, preview).doc;
  } catch {
    return piece as Piece;
  }
}

function cut(rgba: Uint8Array, nx: number, r: Omit<Patch, 'rgba'>): Patch {
  const out = new Uint8Array(4 * r.w * r.h);
  for (let y = 0; y < r.h; y++) {
    const from = 4 * ((r.y + y) * nx + r.x);
    out.set(rgba.subarray(from, from + 4 * r.w), 4 * y * r.w);
  }
  return { ...r, rgba: out };
}

/** Lay, measure, tell; `begin` is when the message came. */
function work(n: number, begin: number): void {
  if (!engine || !piece) return;
  const now = shown();
  const laid = engine.lay(now);
  const numbers = sum(now, engine.measure(), engine.troubles);
  const measured = performance.now();
  const previewed = preview !== null;
  tell({ kind: 'numbers', n, numbers, previewed, ms: measured - begin });
  const skins: Skin[] = [];
  for (const z of laid) {
    for (const look of looks) {
      try {
        const t = engine.tint(z.zone, look);
        if (!t || !t.rects.length) continue;
        skins.push({
          zone: z.zone,
          look,
          nx: z.nx,
          ny: z.ny,
          pixel: z.pixel,
          width: z.width,
          height: z.height,
          patches: t.rects.map((r) => cut(t.rgba, z.nx, r)),
        });
      } catch {
        // Optical numbers that cannot be: the program says which and why.
      }
    }
  }
  tell(
    { kind: 'skins', n, skins, ms: performance.now() - measured },
    skins.flatMap((s) => s.patches.map((p) => p.rgba.buffer)),
  );
}

self.onmessage = (e: MessageEvent<ToWorker>) => {
  const begin = performance.now();
  const { data } = e; // read only here
  switch (data.kind) {
    case 'module':
      engine = new Engine(data.module);
      break;
    case 'piece':
      piece = data.piece;
      preview = null;
      work(data.n, begin);
      break;
    case 'patch':
      try {
        piece = applyPatch(piece as Piece, data.patch).doc;
        if (data.settles) preview = null;
      } catch {
        tell({ kind: 'lost' });
        return;
      }
      work(data.n, begin);
      break;
    case 'preview':
      preview = data.patch;
      work(data.n, begin);
      break;
    case 'looks':
      looks = data.looks;
      work(data.n, begin);
      break;
    case 'strength':
      if (engine) engine.strength = data.strength;
      work(data.n, begin);
      break;
    case 'window': {
      const w = engine?.window(data.zone, data.slip, data.within);
      const size = engine?.zone(data.zone)?.size;
      tell({
        kind: 'window',
        id: data.id,
        nx: size?.nx ?? 0,
        ny: size?.ny ?? 0,
        says: w?.says ?? null,
        mm2: w?.mm2 ?? [0, 0, 0],
      });
    }
  }
};
