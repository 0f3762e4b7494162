// SPDX-License-Identifier: GPL-3.0-or-later
// The piece in the book: what was done here goes there as patches, what
// others did comes back; a lost race is shown, and nobody's version is
// dropped.
//
// A piece of the book is open under the key "book:ID".  All other pieces stay
// in the browser.

import { Away, Refusal, onServer, request, serverHere } from './api';
import { get, same } from './patch';
import { store, type Op, type Piece } from './store';

export const BOOK = 'book:';

/** The same was changed here and elsewhere; the book keeps both. */
export interface Conflict {
  revision: number; // mine, kept aside
  sent: number; // the last edit in it
  head: number; // theirs, which stands
  at: string; // the place that both changed
  mine: unknown;
  theirs: unknown;
}
interface Outcome {
  how: 'saved' | 'merged' | 'aside';
  head: number;
  revision: number;
  met?: string;
}

let sending = false;
let unsure = false; // an answer was lost: it may have been saved
let conflict: Conflict | undefined;
let refused = '';
const listeners = new Set<() => void>();
const tell = () => {
  for (const fn of [...listeners]) fn();
};
export function onBook(fn: () => void): () => void {
  listeners.add(fn);
  return () => void listeners.delete(fn);
}
export const bookConflict = () => conflict;
/** Why the book does not take what was done, in words; or ''. */
export const bookRefused = () => refused;

const isBook = () => store.isOpen && store.key.startsWith(BOOK);
const id = () => store.key.slice(BOOK.length);
const path = (more = '') => `book/piece/${encodeURIComponent(id())}${more}`;

/** The pieces of the book; undefined when no book is open there. */
export async function bookPieces(): Promise<
  { id: string; name: string }[] | undefined
> {
  try {
    const r = await request({ method: 'GET', path: 'book/piece?most=100' });
    return ((await r.json()) as { records: { id: string; name: string }[] })
      .records;
  } catch (e) {
    if (e instanceof Refusal) return undefined;
    throw e;
  }
}

export interface FromBook {
  piece: Piece;
  base: number;
  etag: string;
}
export async function bookPiece(of: string): Promise<FromBook> {
  const r = await request({
    method: 'GET',
    path: `book/piece/${encodeURIComponent(of)}`,
  });
  const etag = r.headers.get('etag') ?? '';
  return {
    piece: (await r.json()) as Piece,
    base: Number(etag.replace(/\D/g, '')),
    etag,
  };
}

/** A new record of the book; its id. */
export async function bookAdd(piece: Piece): Promise<string> {
  const r = await request({
    method: 'POST',
    path: 'book/piece',
    body: JSON.stringify(piece),
  });
  return ((await r.json()) as { id: string }).id;
}

/** Take the book's head, with what is not sent yet on top. */
async function pull(after: number): Promise<void> {
  const head = await bookPiece(id());
  if (head.base === store.base) return;
  store.rebase(after, head.piece, head.base, head.etag);
}

/** The place that both changed, as it is on either side. */
async function meet(o: Outcome, sent: number): Promise<Conflict> {
  const at = o.met ?? '';
  const value = (doc: unknown) => {
    try {
      return get(doc, at);
    } catch {
      return undefined;
    }
  };
  const theirs = await bookPiece(id());
  return {
    revision: o.revision,
    sent,
    head: o.head,
    at,
    mine: value(store.piece),
    theirs: value(theirs.piece),
  };
}

async function send(): Promise<void> {
  const edits = store.unsent;
  const last = edits[edits.length - 1];
  if (!last) return;
  if (unsure) {
    const head = await bookPiece(id());
    unsure = false;
    if (head.base !== store.base && same(head.piece, store.piece)) {
      await store.acknowledge(last.seq, head.base, head.etag);
      return;
    }
  }
  const patch: Op[] = edits.flatMap((e) => e.patch);
  const r = await request({
    method: 'PATCH',
    path: path(`?base=${store.base}`),
    body: JSON.stringify(patch),
    media: 'application/json-patch+json',
  });
  const o = (await r.json()) as Outcome;
  if (o.how === 'saved') {
    await store.acknowledge(last.seq, o.head, `"${o.head}"`);
  } else if (o.how === 'merged') {
    await pull(last.seq);
  } else {
    conflict = await meet(o, last.seq);
    tell();
  }
}

/** Send what waits, one batch after the other. */
async function flush(): Promise<void> {
  if (sending || conflict || !isBook() || !serverHere()) return;
  sending = true;
  try {
    while (store.unsent.length && !conflict && isBook()) await send();
    refused = '';
  } catch (e) {
    if (e instanceof Away) {
      unsure = true;
    } else {
      refused = e instanceof Error ? e.message : String(e);
      console.warn('the book did not take it:', e);
    }
  } finally {
    sending = false;
    tell();
  }
}

/** Decide between both versions; the other one stays in the book's past. */
export async function chooseMine(mine: boolean): Promise<void> {
  const c = conflict;
  if (!c) return;
  await request({
    method: 'POST',
    path: path('/choose'),
    body: JSON.stringify({ revision: c.revision, take: mine }),
  });
  await pull(c.sent);
  conflict = undefined;
  void flush();
  tell();
}

/** Listen to the book and keep up with it; called once. */
export function followBook(): void {
  let open = '';
  const look = () => {
    if (open !== store.key) {
      open = store.key;
      conflict = undefined;
      refused = '';
      unsure = true;
      // What was kept here may be older than the book.
      void flush().then(async () => {
        if (isBook() && !conflict && !store.unsent.length) await pull(Infinity);
      }, console.warn);
      return;
    }
    void flush();
  };
  store.subscribe((_piece, patch) => {
    if (patch.length) look();
  });
  onServer(look);
  look();
  const stream = new EventSource('api/events');
  stream.addEventListener('book', (e) => {
    const news = JSON.parse((e as MessageEvent<string>).data) as {
      kind: string;
      id: string;
      revision: number;
      aside: boolean;
    };
    if (!isBook() || news.kind !== 'piece' || news.id !== id()) return;
    if (news.aside || news.revision <= store.base) return;
    // One's own save comes back as news as well: it is acknowledged first.
    if (sending || store.unsent.length) return void flush();
    pull(Infinity).catch((x: unknown) => console.warn(x));
  });
  stream.addEventListener('hello', (e) => {
    const hello = JSON.parse((e as MessageEvent<string>).data) as {
      missed?: boolean;
    };
    if (hello.missed && isBook() && !store.unsent.length && !sending) {
      pull(Infinity).catch((x: unknown) => console.warn(x));
    }
  });
}
