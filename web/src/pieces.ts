// SPDX-License-Identifier: GPL-3.0-or-later
// Where pieces come from and go to: the sample, a file, what the browser
// keeps.

import { BOOK, bookAdd, bookPiece, bookPieces, type FromBook } from './book';
import { store, type Piece } from './store';

export const SAMPLE = 'sample';

/** The piece that comes with the page. */
async function sample(): Promise<FromBook> {
  const r = await fetch('sample.json');
  if (!r.ok) throw new Error(`the sample was not found (${r.status})`);
  return { piece: (await r.json()) as Piece, base: 0, etag: '' };
}

/** Where a piece comes from that this browser does not keep. */
async function origin(key: string): Promise<FromBook> {
  if (key.startsWith(BOOK)) return bookPiece(key.slice(BOOK.length));
  if (key === SAMPLE) return sample();
  throw new Error('the piece is kept in another tab only');
}

/** A piece of the book. */
export async function openBook(id: string): Promise<void> {
  await store.open(BOOK + id, () => bookPiece(id));
}

/** Open what was open last; else what is in the book; else the sample, which
 *  goes into an empty book. */
export async function openLast(): Promise<void> {
  let book: { id: string; name: string }[] | undefined;
  try {
    book = await bookPieces();
  } catch {
    // The server is away: the browser has what was open last.
  }
  const known = await store.known();
  const inBook = (key: string) =>
    !key.startsWith(BOOK) ||
    book === undefined ||
    book.some((p) => BOOK + p.id === key);
  const last = known.find((k) => inBook(k.key) && !(book && k.key === SAMPLE));
  if (last) return store.open(last.key, () => origin(last.key));
  if (book?.[0]) return openBook(book[0].id);
  if (book) return openBook(await bookAdd((await sample()).piece));
  return store.open(SAMPLE, sample);
}

export async function openKept(key: string): Promise<void> {
  await store.open(key, () => origin(key));
}

/** The sample as it came, without what was done to it. */
export async function openSampleAfresh(): Promise<void> {
  await store.forget(SAMPLE);
  await store.open(SAMPLE, sample);
}

/** A new piece: the same pot, slips and brushes, with nothing painted.  The
 *  one that was open stays as it is. */
export async function openUnpainted(): Promise<void> {
  const { id: _id, note: _note, ...of } = store.piece;
  const piece: Piece = {
    ...of,
    name: 'New piece',
    motifs: [],
    painting: [],
  };
  const book = await bookPieces().catch(() => undefined);
  if (book) return openBook(await bookAdd(piece));
  const key = `${piece.name} ${new Date().toISOString()}`;
  await store.open(key, async () => ({ piece, base: 0, etag: '' }));
}

/** Open a piece from a file; what was open before stays kept. */
export async function openFile(file: File): Promise<void> {
  let piece: Piece;
  try {
    piece = JSON.parse(await file.text()) as Piece;
  } catch (e) {
    throw new Error(`${file.name} is not JSON: ${(e as Error).message}`);
  }
  if (piece?.format !== 'leatherhard.piece') {
    throw new Error(
      `${file.name} is no piece: its "format" is not "leatherhard.piece"`,
    );
  }
  if (piece.version !== 1) {
    throw new Error(
      `${file.name} is a piece of version ${piece.version}; this page reads 1`,
    );
  }
  for (const list of ['slips', 'zones', 'painting'] as const) {
    if (!Array.isArray(piece[list])) {
      throw new Error(`${file.name} has no list "${list}"`);
    }
  }
  if (!Array.isArray(piece.form?.outside)) {
    throw new Error(`${file.name} has no form with points of its outside`);
  }
  const book = await bookPieces().catch(() => undefined);
  if (book) {
    // In the book it is a record of its own, under an id of its own.
    const taken = book.some((p) => p.id === piece.id);
    const { id: _id, ...rest } = piece;
    return openBook(await bookAdd(taken ? (rest as Piece) : piece));
  }
  const key = `${piece.id ?? piece.name} ${new Date().toISOString()}`;
  await store.open(key, async () => ({ piece, base: 0, etag: '' }));
}

/** Hand the piece to the user as a file. */
export function saveFile(): void {
  const text = JSON.stringify(store.piece, null, 1) + '\n';
  const url = URL.createObjectURL(
    new Blob([text], { type: 'application/json' }),
  );
  const a = document.createElement('a');
  a.href = url;
  a.download = `${(store.piece.id ?? store.piece.name).replace(
    /[^\p{L}\p{N}._-]+/gu,
    '-',
  )}.json`;
  a.click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}
