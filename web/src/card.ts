// SPDX-License-Identifier: GPL-3.0-or-later
// The card of reference patches that is photographed beside a tile: how many
// patches, what each is known to be, where they lay in the last picture.

import { Refusal, request } from './api';
import { hasBook } from './book';
import { keepHere, keptHere, type Lab, type Patch } from './tiles';
import { fixed } from './words';

export interface Card {
  columns: number; // patches in a row
  patches: Patch[]; // row by row
}

const HERE = 'leatherhard card';
/** The book keeps it as a note, so that another device has it, too. */
const NOTE = 'Reference patches';

const numberOf = (c: string): number =>
  /^[-+\u2212]?\d+([.,]\d+)?$/.test(c)
    ? Number(c.replace(',', '.').replace('\u2212', '-'))
    : NaN;

/** A line's cells: by semicolons or tabs; else by spaces, where that leaves three
 *  numbers at its end; else by commas. */
function cellsOf(line: string): string[] {
  if (/[;\t]/.test(line)) return line.split(/\s*[;\t]\s*/);
  const spaced = line.split(/\s+/);
  const good =
    spaced.length >= 3 && !spaced.slice(-3).some((c) => isNaN(numberOf(c)));
  return good ? spaced : line.split(/\s*,\s*/);
}

/**
 * Patches as they are typed or pasted: a line each, its name (or none) and
 * L*, a*, b*.  Separated by spaces, tabs or semicolons; a decimal comma is
 * understood, and a comma between numbers with points.
 */
export function readPatches(
  text: string,
): { patches: { name: string; lab: Lab }[] } | { why: string } {
  const out: { name: string; lab: Lab }[] = [];
  const names = new Set<string>();
  for (const [i, raw] of text.split(/\r?\n/).entries()) {
    const line = raw.trim();
    if (line === '') continue;
    const cells = cellsOf(line);
    const lab = cells.slice(-3).map(numberOf);
    if (lab.length < 3 || lab.some((v) => !Number.isFinite(v))) {
      // A heading stands above, and is none of them.
      if (out.length === 0 && !/\d/.test(line)) continue;
      return { why: `line ${i + 1} does not end in L*, a* and b*: "${line}"` };
    }
    const [L] = lab as Lab;
    if (!(L > 0 && L <= 120)) {
      return { why: `line ${i + 1}: L* is above 0 and at most 120` };
    }
    const own = cells.slice(0, -3).join(' ').trim() || String(out.length + 1);
    let name = own;
    for (let k = 2; names.has(name); k++) name = `${own} (${k})`;
    names.add(name);
    out.push({ name, lab: lab as Lab });
  }
  return out.length
    ? { patches: out }
    : { why: 'no patch yet: a line each, with L*, a* and b*' };
}

export const writePatches = (of: { name: string; lab: Lab }[]): string =>
  of.map((p) => [p.name, ...p.lab].join(' ')).join('\n');

/** How many in a row, to begin with: six of 24, else as square as may be. */
export const columnsOf = (n: number): number =>
  n === 24 ? 6 : n <= 4 ? n : Math.ceil(Math.sqrt(1.5 * n));

/** A card laid flat into the upper half of a picture, to be moved from there.
 *  `tall` is the picture's height in widths. */
export function layOut(
  of: { name: string; lab: Lab }[],
  columns: number,
  tall: number,
): Card {
  const rows = Math.ceil(of.length / columns);
  const pitch = Math.min(0.7 / columns, (0.45 * tall) / rows);
  const left = 0.5 - (pitch * (columns - 1)) / 2;
  const top = 0.3 * tall - (pitch * (rows - 1)) / 2;
  const patches = of.map((p, i) => ({
    ...p,
    x: left + pitch * (i % columns),
    y: (top + pitch * Math.floor(i / columns)) / tall,
    radius: 0.28 * pitch,
  }));
  return { columns, patches };
}

const into = (v: number) => Math.min(1, Math.max(0, v));

/**
 * Move a patch.  Alone; or, `together`, a corner of the card pulls the card
 * after it while the other corners stay, and any other patch takes the whole
 * card along.
 */
export function movePatch(
  card: Card,
  i: number,
  dx: number,
  dy: number,
  together: boolean,
): Card {
  const n = card.patches.length;
  const columns = Math.min(card.columns, n);
  const rows = Math.ceil(n / columns);
  const place = (k: number): [number, number] => [
    columns > 1 ? (k % columns) / (columns - 1) : 0,
    rows > 1 ? Math.floor(k / columns) / (rows - 1) : 0,
  ];
  const [u, v] = place(i);
  const corner =
    (u === 0 || u === 1) && (v === 0 || v === 1) && n === rows * columns;
  const share = (k: number): number => {
    if (!together) return k === i ? 1 : 0;
    if (!corner) return 1;
    const [s, t] = place(k);
    return (u ? s : 1 - s) * (v ? t : 1 - t);
  };
  return {
    ...card,
    patches: card.patches.map((p, k) => ({
      ...p,
      x: into(p.x + dx * share(k)),
      y: into(p.y + dy * share(k)),
    })),
  };
}

/** Larger or smaller discs. */
export const grown = (card: Card, by: number): Card => ({
  ...card,
  patches: card.patches.map((p) => ({
    ...p,
    radius: Math.min(0.2, Math.max(0.002, p.radius * by)),
  })),
});

/** Where a card stands in words, a line each: name, L*, a*, b*, x, y, radius. */
function asNote(card: Card): string {
  const line = (p: Patch) =>
    [
      p.name.replace(/;/g, ','),
      ...p.lab,
      ...[p.x, p.y, p.radius].map((v) => fixed(v, 5)),
    ].join('; ');
  return [
    `${card.columns} in a row; name; L*; a*; b*; across; down; radius`,
    ...card.patches.map(line),
  ].join('\n');
}
function ofNote(text: string): Card | undefined {
  const [head, ...lines] = text.split('\n');
  const columns = Number(/^(\d+) in a row/.exec(head ?? '')?.[1]);
  const patches = lines.map((l) => {
    const [name = '', ...rest] = l.split('; ');
    const [L, a, b, x, y, radius] = rest.map(Number) as [
      number,
      number,
      number,
      number,
      number,
      number,
    ];
    return { name, lab: [L, a, b] as Lab, x, y, radius };
  });
  const good = patches.every((p) =>
    [...p.lab, p.x, p.y, p.radius].every(Number.isFinite),
  );
  return columns > 0 && patches.length && good
    ? { columns, patches }
    : undefined;
}

export const cardHere = (): Card | undefined => keptHere<Card>(HERE);

async function noteId(): Promise<string | undefined> {
  const words = encodeURIComponent(NOTE);
  const path = `book/note?words=${words}&most=20`;
  const r = await request({ method: 'GET', path });
  const { records } = (await r.json()) as {
    records: { id: string; name: string }[];
  };
  return records.find((n) => n.name === NOTE)?.id;
}

/** This device's card; where it has none, the one that the book holds. */
export async function cardNow(): Promise<Card | undefined> {
  const here = cardHere();
  if (here || !hasBook()) return here;
  try {
    const id = await noteId();
    if (!id) return undefined;
    const r = await request({ method: 'GET', path: `book/note/${id}` });
    return ofNote(((await r.json()) as { note?: string }).note ?? '');
  } catch {
    return undefined; // it is set up anew
  }
}

/** Keep the card on this device; `shared`: in the book, too. */
export function keepCard(card: Card, shared = false): void {
  keepHere(HERE, card);
  if (!shared || !hasBook()) return;
  const note = asNote(card);
  void (async () => {
    const id = await noteId();
    if (!id) {
      const body = JSON.stringify({ name: NOTE, note });
      return request({ method: 'POST', path: 'book/note', body });
    }
    const now = await request({ method: 'GET', path: `book/note/${id}` });
    const base = (now.headers.get('etag') ?? '').replace(/\D/g, '');
    return request({
      method: 'PATCH',
      path: `book/note/${id}?base=${base}`,
      body: JSON.stringify([{ op: 'add', path: '/note', value: note }]),
      media: 'application/json-patch+json',
    });
  })().catch((e: unknown) => {
    if (e instanceof Refusal) console.warn('the card is in no book:', e);
  });
}
