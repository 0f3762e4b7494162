// SPDX-License-Identifier: GPL-3.0-or-later
// The piece in the book: what was done here goes there as patches, what
// others did comes back; a lost race is shown, and nobody's version is
// dropped.
//
// A piece of the book is open under the key "book:ID".  All other pieces stay
// in the browser.

import {
  Away,
  Refusal,
  aboutServer,
  onServer,
  request,
  serverHere,
} from './api';
import type { Edit } from './keep';
import { movePatch } from './move';
import { applyPatch, get, same } from './patch';
import { store, type Piece } from './store';

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
  how: 'saved' | 'merged' | 'aside' | 'unchanged';
  head: number;
  revision: number;
  met?: string;
}

let sending = false;
let unsure = false; // an answer was lost: it may have been saved
let conflict: Conflict | undefined;
let refused = '';
let spent = { undo: true, redo: true }; // nothing is left to turn
let kept = ''; // why the book did not take something back
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

/** Why the last undo or redo was not to be done, in words; or ''. */
export const bookKept = () => kept;

/** Is the piece one of the book, open or not? */
export const hasBook = (): boolean => store.key.startsWith(BOOK);
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

/** One line of a piece's history. */
export interface Revision {
  revision: number;
  base: number;
  at: string;
  device: string;
  act: string;
  aside: boolean;
  hidden: boolean;
  reverses?: number;
  takes?: number;
  settles?: number;
}
/** All that happened to the piece that is open. */
export async function bookHistory(): Promise<{ revisions: Revision[] }> {
  const r = await request({ method: 'GET', path: path('/history') });
  return (await r.json()) as { revisions: Revision[] };
}
/** The piece that is open, as it was. */
export async function bookRevision(revision: number): Promise<Piece> {
  const r = await request({ method: 'GET', path: path(`/${revision}`) });
  return (await r.json()) as Piece;
}
/** Bring an earlier revision back, as a new one: nothing is lost. */
export async function bookRestore(revision: number): Promise<void> {
  await request({
    method: 'POST',
    path: path('/restore'),
    body: JSON.stringify({ revision }),
  });
  await pull(Infinity);
}

/** A device that the server lets in. */
export interface Device {
  id: string;
  name: string;
  since: string;
  seen: string;
  this: boolean;
}
export async function bookDevices(): Promise<Device[]> {
  const r = await request({ method: 'GET', path: 'devices' });
  return ((await r.json()) as { devices: Device[] }).devices;
}
export async function revokeDevice(of: string): Promise<void> {
  await request({
    method: 'DELETE',
    path: `devices/${encodeURIComponent(of)}`,
  });
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

/** Take the book's head, with what was done after the edit `after` on top;
 *  Infinity: all that was done is in the book.  False: it meets what others
 *  changed. */
async function pull(after: number): Promise<boolean> {
  const known = Math.min(after, store.last);
  const of = store.key;
  const head = await bookPiece(id());
  if (head.base === store.base || of !== store.key) return true;
  if (after === Infinity && store.unsent.length) {
    // Something was done while the book was asked: the book merges it.
    setTimeout(() => void flush());
    return true;
  }
  return store.rebase(known, head.piece, head.base, head.etag);
}

/** What waits meets what others changed: the book keeps this version aside,
 *  and somebody chooses. */
async function aside(): Promise<void> {
  const edits = store.unsent;
  const last = edits[edits.length - 1];
  if (!last) return;
  const r = await request({
    method: 'PATCH',
    path: path(`?base=${store.base}`),
    body: JSON.stringify(edits.flatMap((e) => e.patch)),
    media: 'application/json-patch+json',
  });
  const o = (await r.json()) as Outcome;
  if (o.how === 'aside') {
    conflict = await meet(o, last.seq);
    tell();
  } else {
    await pull(last.seq);
  }
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

/**
 * An answer was lost: which of the edits that wait did arrive?  Every revision
 * since is looked at: one that is what an edit would have made of the one
 * before is that edit, and is not sent again.
 */
async function lookBack(): Promise<void> {
  const head = await bookPiece(id());
  if (head.base === store.base) return;
  const { revisions } = await bookHistory();
  const apart = new Set(
    revisions.filter((v) => v.aside).map((v) => v.revision),
  );
  const edits = store.unsent;
  const first = edits[0];
  if (!first) return;
  let before = store.asOf(first.seq - 1);
  let there = 0;
  for (let r = store.base + 1; r <= head.base && there < edits.length; r++) {
    if (apart.has(r)) continue;
    const now = r === head.base ? head.piece : await bookRevision(r);
    try {
      const e = edits[there] as Edit;
      const moved = movePatch(store.asOf(e.seq - 1), before, e.patch);
      if (same(applyPatch(before, moved).doc, now)) there++;
    } catch {
      // It does not fit there: it was somebody else's.
    }
    before = now;
  }
  const last = edits[there - 1];
  if (!last) return;
  if (same(head.piece, store.asOf(last.seq))) {
    await store.acknowledge(last.seq, head.base, head.etag);
  } else if (!store.rebase(last.seq, head.piece, head.base, head.etag)) {
    await aside();
  }
}

/** An edit as a patch on the revision that it was made on. */
async function sendPatch(edit: Edit): Promise<void> {
  const r = await request({
    method: 'PATCH',
    path: path(`?base=${store.base}`),
    body: JSON.stringify(edit.patch),
    media: 'application/json-patch+json',
  });
  const o = (await r.json()) as Outcome;
  if (o.how === 'saved' || o.how === 'unchanged') {
    await store.acknowledge(edit.seq, o.head, `"${o.head}"`);
  } else if (o.how === 'merged') {
    if (!(await pull(edit.seq))) await aside();
  } else {
    conflict = await meet(o, edit.seq);
    tell();
  }
}

/** An undo or redo is the book's own, so that it stays one there.  Where the
 *  book would take back something else it is sent as a patch. */
async function sendTurn(edit: Edit, kind: 'undo' | 'redo'): Promise<void> {
  let o: Outcome;
  try {
    const r = await request({ method: 'POST', path: path(`/${kind}`) });
    o = (await r.json()) as Outcome;
  } catch (e) {
    if (e instanceof Refusal) return sendPatch(edit);
    throw e;
  }
  if (o.how === 'unchanged') return sendPatch(edit);
  const head = await bookPiece(id());
  if (same(head.piece, store.asOf(edit.seq))) {
    await store.acknowledge(edit.seq, head.base, head.etag);
  } else if (!store.rebase(edit.seq, head.piece, head.base, head.etag)) {
    await aside();
  }
}

/** Send the first edit that waits, by itself: a stroke is a revision. */
async function send(): Promise<void> {
  if (unsure) {
    await lookBack();
    unsure = false;
  }
  const edit = store.unsent[0];
  if (!edit) return;
  if (edit.kind === 'do') await sendPatch(edit);
  else await sendTurn(edit, edit.kind);
}

/** Send what waits, one edit after the other. */
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
    turnsSoon();
    tell();
  }
}

/** Whether the book has more of this device's to take back or bring again than
 *  what this page knows of. */
export const bookTurns = (kind: 'undo' | 'redo') =>
  isBook() && serverHere() && !conflict && !spent[kind];

/** What the book would turn next (studio/book_undo.c): of this device's own,
 *  what was not taken back; what was taken back last, unless it went on. */
function left(all: Revision[], mine: (v: Revision) => boolean) {
  const own = all.filter((v) => mine(v) && !v.aside);
  const reversed = new Set(all.map((v) => v.reverses));
  const free = own.filter((v) => !reversed.has(v.revision));
  const deeds = own.filter((v) => v.act !== 'undo' && v.act !== 'redo');
  const went = Math.max(0, ...deeds.map((v) => v.revision));
  return {
    undo: free.some(
      (v) =>
        v.act !== 'new' &&
        v.act !== 'undo' &&
        (v.act !== 'choose' || v.takes !== undefined),
    ),
    redo: free.some((v) => v.act === 'undo' && v.revision > went),
  };
}

async function findTurns(): Promise<void> {
  if (!isBook() || !serverHere() || sending || store.unsent.length) return;
  if (store.undoLabel && store.redoLabel) return;
  const of = `${store.key} ${store.base}`;
  const { device } = await aboutServer();
  const { revisions } = await bookHistory();
  if (of !== `${store.key} ${store.base}`) return;
  // The book names a device by its name and the beginning of its id.
  const is = device && `${device.name} ${device.id.slice(0, 4)}`;
  const can = left(revisions, (v) => v.device === is);
  spent = { undo: !can.undo, redo: !can.redo };
  tell();
}
let soon: ReturnType<typeof setTimeout> | undefined;
function turnsSoon(): void {
  clearTimeout(soon);
  soon = setTimeout(() => {
    findTurns().catch((e: unknown) => {
      if (!(e instanceof Away) && !(e instanceof Refusal)) throw e;
    });
  }, 100);
}

/** This device's own last edit, taken back by the book, whatever others did
 *  meanwhile; or brought again. */
export async function bookTurn(kind: 'undo' | 'redo'): Promise<void> {
  if (!isBook() || !serverHere() || conflict || sending) return;
  await flush();
  if (store.unsent.length || conflict) return;
  sending = true;
  kept = '';
  try {
    const r = await request({ method: 'POST', path: path(`/${kind}`) });
    const o = (await r.json()) as Outcome;
    if (o.how === 'unchanged') spent = { ...spent, [kind]: true };
    else await pull(Infinity);
  } catch (e) {
    if (e instanceof Refusal) kept = e.what;
    else if (!(e instanceof Away)) throw e;
  } finally {
    sending = false;
    turnsSoon();
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

const news = new Set<(kind: string) => void>();
/** Hear of everything that is saved in the book, by its kind. */
export function onNews(fn: (kind: string) => void): () => void {
  news.add(fn);
  return () => void news.delete(fn);
}

/** Listen to the book and keep up with it; called once. */
export function followBook(): void {
  store.beyond = (kind) => void bookTurn(kind);
  let open = '';
  const look = () => {
    kept = '';
    spent = { undo: true, redo: true }; // until the book was asked
    turnsSoon();
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
    const is = JSON.parse((e as MessageEvent<string>).data) as {
      kind: string;
      id: string;
      revision: number;
      aside: boolean;
    };
    for (const fn of [...news]) fn(is.kind);
    if (!isBook() || is.kind !== 'piece' || is.id !== id()) return;
    if (is.aside || is.revision <= store.base) return;
    // One's own save comes back as news as well: it is acknowledged first.
    if (sending || store.unsent.length) return void flush();
    pull(Infinity).catch((x: unknown) => console.warn(x));
  });
  stream.addEventListener('hello', (e) => {
    const hello = JSON.parse((e as MessageEvent<string>).data) as {
      missed?: boolean;
    };
    if (hello.missed) for (const fn of [...news]) fn('tile');
    if (hello.missed && isBook() && !store.unsent.length && !sending) {
      pull(Infinity).catch((x: unknown) => console.warn(x));
    }
  });
}
