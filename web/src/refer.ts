// SPDX-License-Identifier: GPL-3.0-or-later
// A piece of the book is named when the server is asked about it, not sent:
// what was drawn goes up once, as a patch, and then the revision that it made
// is asked about.  The document itself goes up only where the book has it not.

import { Away, onServer, serverHere } from './api';
import { BOOK, bookConflict, bookRefused, onBook } from './book';
import { store, type Piece } from './store';

export const isPiece = (doc: unknown): doc is Piece =>
  typeof doc === 'object' &&
  doc !== null &&
  (doc as { format?: unknown }).format === 'leatherhard.piece';

const inBook = () => store.key.startsWith(BOOK) && store.base > 0;
/** The book took all that was done here. */
const acknowledged = () => inBook() && store.unsent.length === 0;
/** It will not take it as it is: it refused it, or somebody must choose. */
const stuck = () => bookRefused() !== '' || bookConflict() !== undefined;

function change(signal?: AbortSignal): Promise<void> {
  return new Promise((go, stop) => {
    const off = [
      store.subscribe(() => end(go)),
      onBook(() => end(go)),
      onServer(() => end(go)),
    ];
    const left = () => end(() => stop(signal?.reason as Error));
    const end = (how: () => void) => {
      for (const f of off) f();
      signal?.removeEventListener('abort', left);
      how();
    };
    signal?.addEventListener('abort', left);
  });
}

/** Resolves when the piece as it stands can be asked about. */
export async function askable(signal?: AbortSignal): Promise<void> {
  for (;;) {
    signal?.throwIfAborted();
    if (!inBook() || acknowledged() || stuck()) return;
    if (!serverHere()) throw new Away();
    await change(signal);
  }
}

/**
 * What is sent to ask about a piece, with the operation's own fields.  Where
 * it was changed meanwhile nobody waits for the answer any more: then this
 * waits to be stopped.
 */
export async function bodyOf(
  piece: Piece,
  ask?: Record<string, unknown>,
  signal?: AbortSignal,
): Promise<string> {
  await askable(signal);
  if (acknowledged() && piece !== store.piece && signal) {
    for (;;) await change(signal);
  }
  if (acknowledged() && piece === store.piece) {
    const revision = store.looking || store.base;
    const named = { id: store.key.slice(BOOK.length), revision };
    return JSON.stringify({ piece: named, ...(ask ? { ask } : {}) });
  }
  return JSON.stringify(ask ? { ...piece, ask } : piece);
}
