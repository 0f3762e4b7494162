// SPDX-License-Identifier: GPL-3.0-or-later
// What an edit did, in a few words, from the piece before and after.

import { changed } from './move';
import type { Piece } from './piece';
import { nameOf } from './questions/painting';
import { bare } from './words';

type Thing = { id?: string; name?: string };

/** What stands under an id, and its name. */
function find(p: Piece, id: string): string | undefined {
  for (const e of p.painting) {
    if (e.id === id || e.mark?.id === id) return nameOf(p, e);
  }
  for (const m of p.motifs ?? []) {
    if (m.id === id || m.marks.some((k) => k.id === id)) {
      return bare(m.name ?? m.id);
    }
  }
  const more = [p.form, p.body, p.glaze] as (Thing | undefined)[];
  const all = [...p.slips, ...p.zones, ...(p.brushes ?? []), ...more];
  const x = all.find((t) => t?.id === id);
  return x && bare(x.name ?? id);
}

const short = (v: unknown): string =>
  v === undefined ? 'nothing' : String(v).slice(0, 24);

/** "Fish changed; pots, 6 to 8". */
export function deedOf(before: Piece, after: Piece): string {
  const said = new Set<string>();
  for (const thing of changed(before, after)) {
    if (thing.startsWith('/')) {
      const key = thing.slice(1);
      const [a, b] = [before, after].map(
        (p) => (p as unknown as Record<string, unknown>)[key],
      );
      const plain = typeof a !== 'object' && typeof b !== 'object';
      const word = key.replace(/_/g, ' ');
      said.add(plain ? `${word}, ${short(a)} to ${short(b)}` : word);
      continue;
    }
    const id = thing.slice(1);
    const was = find(before, id),
      is = find(after, id);
    if (was === undefined && is !== undefined) said.add(`${is} new`);
    else if (is === undefined && was !== undefined) said.add(`${was} gone`);
    else if (is !== undefined) said.add(`${is} changed`);
  }
  const all = [...said];
  if (!all.length) return 'the order changed';
  const more = all.length - 3;
  return all.slice(0, 3).join('; ') + (more > 0 ? `; and ${more} more` : '');
}
