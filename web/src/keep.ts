// SPDX-License-Identifier: GPL-3.0-or-later
// What the browser keeps safe by itself: the last whole piece, and every edit
// as its own small record, so that a stroke writes a stroke and not the
// document.  Where the browser keeps nothing (some private windows), `open`
// says so and the page tells its user.

import type { Op } from './patch';
import type { Piece } from './piece';

export type EditKind = 'do' | 'undo' | 'redo';

/** One edit as it happened.  An undo is an edit of its own. */
export interface Edit {
  piece: string; // the piece's key
  seq: number; // 1, 2, 3 ... within the piece
  kind: EditKind;
  label: string;
  patch: Op[];
  inverse: Op[];
  at: string; // ISO time
}

/** A piece as it stood after the edit `seq`. */
export interface Kept {
  key: string;
  piece: Piece;
  base: number; // the server's revision that `sent` led to
  etag: string; // of that revision, as the server gave it
  seq: number; // edits contained in `piece`
  sent: number; // edits that the server has acknowledged
  opened: number; // ms, when it was last opened
}

const NAME = 'leatherhard';
const PIECES = 'pieces';
const EDITS = 'edits';

const done = <T>(r: IDBRequest<T>) =>
  new Promise<T>((ok, no) => {
    r.onsuccess = () => ok(r.result);
    r.onerror = () => no(r.error);
  });
const settled = (t: IDBTransaction) =>
  new Promise<void>((ok, no) => {
    t.oncomplete = () => ok();
    t.onerror = () => no(t.error);
    t.onabort = () => no(t.error);
  });

export class Keep {
  private constructor(private readonly db: IDBDatabase | null) {}

  /** Open the browser's own store; `safe` is false when there is none. */
  static async open(): Promise<Keep> {
    try {
      const r = indexedDB.open(NAME, 1);
      r.onupgradeneeded = () => {
        r.result.createObjectStore(PIECES, { keyPath: 'key' });
        r.result.createObjectStore(EDITS, { keyPath: ['piece', 'seq'] });
      };
      return new Keep(await done(r));
    } catch {
      return new Keep(null);
    }
  }

  get safe(): boolean {
    return this.db !== null;
  }

  private at(mode: IDBTransactionMode): IDBTransaction | null {
    if (!this.db) return null;
    // "relaxed" is safe once the system has it, which is at once; asking for
    // the disk each time would leave the last strokes in the air for longer.
    return this.db.transaction([PIECES, EDITS], mode, {
      durability: 'relaxed',
    });
  }

  async pieces(): Promise<Kept[]> {
    const t = this.at('readonly');
    if (!t) return [];
    return (await done(t.objectStore(PIECES).getAll())) as Kept[];
  }

  async edits(key: string): Promise<Edit[]> {
    const t = this.at('readonly');
    if (!t) return [];
    const all = IDBKeyRange.bound([key, 0], [key, Infinity]);
    return (await done(t.objectStore(EDITS).getAll(all))) as Edit[];
  }

  async put(kept: Kept): Promise<void> {
    const t = this.at('readwrite');
    if (!t) return;
    t.objectStore(PIECES).put(kept);
    t.commit?.();
    await settled(t);
  }

  /** A piece anew, without the edits that led to it. */
  async reset(kept: Kept): Promise<void> {
    const t = this.at('readwrite');
    if (!t) return;
    const all = IDBKeyRange.bound([kept.key, 0], [kept.key, Infinity]);
    t.objectStore(EDITS).delete(all);
    t.objectStore(PIECES).put(kept);
    await settled(t);
  }

  async add(edit: Edit): Promise<void> {
    const t = this.at('readwrite');
    if (!t) return;
    t.objectStore(EDITS).put(edit);
    t.commit?.(); // do not wait for the answer
    await settled(t);
  }

  /** Forget a piece and its edits. */
  async forget(key: string): Promise<void> {
    const t = this.at('readwrite');
    if (!t) return;
    t.objectStore(PIECES).delete(key);
    t.objectStore(EDITS).delete(IDBKeyRange.bound([key, 0], [key, Infinity]));
    await settled(t);
  }
}
