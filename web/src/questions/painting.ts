// SPDX-License-Identifier: GPL-3.0-or-later
// Words for what is painted, and how a field of it is set.

import { store, type Mark, type Painted, type Piece } from '../store';
import { bare, capital } from '../words';

export const slipName = (piece: Piece, id: string | undefined) =>
  id === undefined
    ? ''
    : bare(piece.slips.find((s) => s.id === id)?.name ?? id);

export function marksOf(piece: Piece, e: Painted): Mark[] {
  if (e.mark) return [e.mark];
  return piece.motifs?.find((m) => m.id === e.motif)?.marks ?? [];
}
export function nameOf(piece: Piece, e: Painted): string {
  if (e.mark) {
    return e.mark.whole_zone ? 'All over' : capital(e.mark.kind);
  }
  const m = piece.motifs?.find((x) => x.id === e.motif);
  return bare(m?.name ?? e.motif ?? e.id);
}
export function slipsOf(piece: Piece, e: Painted): string {
  const ids = [...new Set(marksOf(piece, e).map((m) => m.slip))];
  return ids.map((id) => slipName(piece, id) || 'down to the clay').join(', ');
}
export const zoneName = (piece: Piece, id: string) =>
  bare(piece.zones.find((z) => z.id === id)?.name ?? id);

/** Set a field, or take it out when it is empty. */
export function put(path: string, had: unknown, v: unknown, label: string): void {
  if (v === undefined || v === '') {
    if (had === undefined) return;
    return store.apply([{ op: 'remove', path }], label);
  }
  store.apply([{ op: 'add', path, value: v }], label);
}
