// SPDX-License-Identifier: GPL-3.0-or-later
// The piece on the page, and every change to it.
//
// All that changes the piece goes through `apply`, as a JSON Patch with the
// words for it; its inverse is kept, so undo and redo have no end and reach
// back past a reload.  Each edit is written to the browser's own store
// before anything is sent.  The piece is never changed in place: parts that
// an edit did not touch are the same objects as before.

import { Keep, type Edit, type EditKind, type Kept } from './keep';
import { changed, movePatch } from './move';
import { applyPatch, type Op } from './patch';
import type { Piece } from './piece';

export type { Op } from './patch';
export type * from './piece';

/** What is being worked on: a zone, what is painted there, a mark of it. */
export interface Selected {
  zone: string;
  entry?: string;
  mark?: string;
}

/** Hears of every change.  The patch is empty when only `selected` changed,
 *  and a single replace of "" when another piece was opened. */
export type Listener = (piece: Piece, patch: Op[]) => void;

/** A whole piece is written again after so many edits. */
const SNAPSHOT_EVERY = 64;

/** Edits of one piece as edits of another that others changed meanwhile;
 *  undefined when they meet what was changed, or it is not there any more. */
function moveOver(
  ours: Piece,
  theirs: Piece,
  edits: Edit[],
): Op[][] | undefined {
  const others = changed(ours, theirs);
  const out: Op[][] = [];
  try {
    for (const e of edits) {
      const after = applyPatch(ours, e.patch).doc;
      for (const thing of changed(ours, after)) {
        if (others.has(thing)) return undefined;
      }
      const patch = movePatch(ours, theirs, e.patch);
      out.push(patch);
      theirs = applyPatch(theirs, patch).doc;
      ours = after;
    }
    return out;
  } catch {
    return undefined;
  }
}

class Store {
  private keep: Keep | null = null;
  private kept: Kept | null = null;
  private listeners = new Set<Listener>();
  private undoable: Edit[] = [];
  private redoable: Edit[] = [];
  private waiting: Edit[] = []; // not acknowledged yet
  private writing: Promise<void> = Promise.resolve();
  private seq = 0;
  private now: Piece | null = null;
  private chosen: Selected = { zone: '' };
  private letGo: () => void = () => {};
  /** Set when the browser could not write; the page says so. */
  trouble = '';
  /** Another tab of this browser has the piece open and keeps its edits. */
  elsewhere = false;
  /** What lies beyond the edits kept here: the book's own undo and redo. */
  beyond: (kind: 'undo' | 'redo') => void = () => {};
  private past: { piece: Piece; revision: number } | null = null;
  /** Set when a change was asked for while the past was looked at. */
  onlyLooking = false;

  /** The piece as it is shown: as it stands, or as it was.  Only after
   *  `open`. */
  get piece(): Piece {
    return this.past?.piece ?? this.head;
  }
  /** The piece as it stands, whatever is looked at. */
  get head(): Piece {
    if (!this.now) throw new Error('no piece is open');
    return this.now;
  }
  /** The book's revision that is looked at; 0: the piece as it stands. */
  get looking(): number {
    return this.past?.revision ?? 0;
  }
  /** Look at an earlier revision, or (null) at the piece as it stands again.
   *  Nothing is changed by it, and nothing can be while it lasts. */
  look(past: { piece: Piece; revision: number } | null): void {
    this.past = past;
    this.onlyLooking = false;
    if (!this.piece.zones.some((z) => z.id === this.chosen.zone)) {
      this.chosen = { zone: this.piece.zones[0]?.id ?? '' };
    }
    this.tell([{ op: 'replace', path: '', value: this.piece }]);
  }
  /** True when the past is looked at: it is not changed, and that is said. */
  private stay(): boolean {
    if (!this.past) return false;
    this.onlyLooking = true;
    this.tell([]);
    return true;
  }
  /** The piece as it was after the edit `seq`, of those that wait. */
  asOf(seq: number): Piece {
    return this.waiting
      .filter((e) => e.seq > seq)
      .reduceRight((doc, e) => applyPatch(doc, e.inverse).doc, this.head);
  }
  get isOpen(): boolean {
    return this.now !== null;
  }
  /** The server's revision that the acknowledged edits led to. */
  get base(): number {
    return this.kept?.base ?? 0;
  }
  get key(): string {
    return this.kept?.key ?? '';
  }
  get etag(): string {
    return this.kept?.etag ?? '';
  }
  /** Edits that the server has not acknowledged. */
  get unsent(): Edit[] {
    return this.waiting;
  }
  /** Whether the browser keeps edits over a reload. */
  get safe(): boolean {
    return (this.keep?.safe ?? false) && !this.elsewhere;
  }
  /** The words of what undo and redo would do, or ''. */
  get undoLabel(): string {
    return this.undoable[this.undoable.length - 1]?.label ?? '';
  }
  get redoLabel(): string {
    return this.redoable[this.redoable.length - 1]?.label ?? '';
  }

  get selected(): Selected {
    return this.chosen;
  }
  set selected(s: Selected) {
    this.chosen = s;
    this.tell([]);
  }

  /** Call `fn` after every change; returns what stops that. */
  subscribe(fn: Listener): () => void {
    this.listeners.add(fn);
    return () => void this.listeners.delete(fn);
  }

  /** Change the piece.  A patch that cannot be applied throws and changes
   *  nothing.  `label` says what was done: "move the fish". */
  apply(patch: Op[], label: string): void {
    if (this.stay()) return;
    const edit = this.edit('do', patch, label);
    this.undoable.push(edit);
    this.redoable = [];
    this.tell(patch);
  }

  undo(): void {
    if (this.stay()) return;
    const last = this.undoable.pop();
    if (!last) return this.beyond('undo');
    this.redoable.push(this.edit('undo', last.inverse, last.label));
    this.tell(last.inverse);
  }

  redo(): void {
    if (this.stay()) return;
    const last = this.redoable.pop();
    if (!last) return this.beyond('redo');
    this.undoable.push(this.edit('redo', last.inverse, last.label));
    this.tell(last.inverse);
  }

  /** Open a piece: what the browser kept of `key`, if anything, else `piece`
   *  at the server's revision `base`. */
  async open(
    key: string,
    piece: () => Promise<{ piece: Piece; base: number; etag: string }>,
  ): Promise<void> {
    this.keep ??= await Keep.open();
    await this.writing;
    this.past = null;
    this.letGo();
    this.elsewhere = !(await this.claim(key));
    const found = (await this.keep.pieces()).find((k) => k.key === key);
    if (found && !this.elsewhere) {
      await this.recover(found);
      await this.keep.put({ ...found, opened: Date.now() });
    } else {
      try {
        this.begin({ key, ...(await piece()), seq: 0, sent: 0, opened: 0 });
      } catch (e) {
        if (!found) throw e;
        await this.recover(found); // as the other tab has it; only to look at
        this.waiting = [];
      }
    }
    this.chosen = { zone: this.piece.zones[0]?.id ?? '' };
    this.tell([{ op: 'replace', path: '', value: this.piece }]);
  }

  private begin(kept: Kept): void {
    this.kept = { ...kept, opened: Date.now() };
    this.now = kept.piece;
    this.undoable = [];
    this.redoable = [];
    this.waiting = [];
    this.seq = 0;
    const now = this.kept;
    this.write(async () => this.keep?.put(now));
  }

  /** Two tabs that wrote the same piece would write over each other: the
   *  first one keeps it.  Where the browser has no locks, so does each. */
  private async claim(key: string): Promise<boolean> {
    if (!('locks' in navigator)) return true;
    return new Promise((claimed) => {
      // A page that was just left may take a moment to let go.
      const late = new AbortController();
      const timer = setTimeout(() => late.abort(), 1500);
      navigator.locks
        .request(`leatherhard ${key}`, { signal: late.signal }, () => {
          clearTimeout(timer);
          claimed(true);
          return new Promise<void>((ok) => (this.letGo = ok));
        })
        .catch(() => {
          this.letGo = () => {};
          claimed(false);
        });
    });
  }

  /** The keys of the pieces that the browser keeps, last opened first. */
  async known(): Promise<Kept[]> {
    this.keep ??= await Keep.open();
    const all = await this.keep.pieces();
    return all.sort((a, b) => b.opened - a.opened);
  }

  /** Throw away what the browser kept of a piece. */
  async forget(key: string): Promise<void> {
    this.keep ??= await Keep.open();
    await this.writing;
    await this.keep.forget(key);
  }

  /** The server has all edits up to `seq`, as its revision `base`. */
  async acknowledge(seq: number, base: number, etag: string): Promise<void> {
    if (!this.kept || !this.keep) return;
    this.kept = { ...this.kept, base, etag, sent: seq };
    this.waiting = this.waiting.filter((e) => e.seq > seq);
    const kept = this.kept;
    this.write(() => (this.keep as Keep).put(kept));
    await this.writing;
    this.tell([]);
  }

  /** The last edit's place in the order of doing. */
  get last(): number {
    return this.seq;
  }

  /**
   * The server's piece holds more than what was sent from here: take it, and
   * put what came after `seq` on top, each where it belongs by now.  False,
   * and nothing is done, when what came after meets what others changed.
   * Earlier edits are no longer undone here, since their places may have
   * moved, but by the book, which knows.
   */
  rebase(seq: number, piece: Piece, base: number, etag: string): boolean {
    const later = this.waiting.filter((e) => e.seq > seq);
    const moved = moveOver(this.asOf(seq), piece, later);
    if (!moved) return false;
    const kept: Kept = {
      key: this.key,
      piece,
      base,
      etag,
      seq: this.seq,
      sent: this.seq,
      opened: Date.now(),
    };
    this.kept = kept;
    this.now = piece;
    this.undoable = [];
    this.redoable = [];
    this.waiting = [];
    this.write(async () => this.keep?.reset(kept));
    // What came after is done anew, so that it is written and sent as such.
    later.forEach((e, i) => {
      this.file(this.edit(e.kind, moved[i] ?? [], e.label));
    });
    this.tell([{ op: 'replace', path: '', value: this.piece }]);
    return true;
  }

  /** Resolves when all that was done is written down. */
  settled(): Promise<void> {
    return this.writing;
  }

  private edit(kind: EditKind, patch: Op[], label: string): Edit {
    const { doc, inverse } = applyPatch(this.head, patch);
    const edit: Edit = {
      piece: this.key,
      seq: ++this.seq,
      kind,
      label,
      patch,
      inverse,
      at: new Date().toISOString(),
    };
    this.now = doc;
    this.waiting = [...this.waiting, edit];
    this.write(() => (this.keep as Keep).add(edit));
    if (this.seq % SNAPSHOT_EVERY === 0) this.snapshot();
    return edit;
  }

  private snapshot(): void {
    this.kept = { ...(this.kept as Kept), piece: this.head, seq: this.seq };
    const kept = this.kept;
    this.write(() => (this.keep as Keep).put(kept));
  }

  private write(what: () => Promise<void>): void {
    if (!this.keep || this.elsewhere) return;
    // Begun at once: the browser keeps writes in their order by itself.
    const begun = what().catch((e: unknown) => {
      this.trouble = e instanceof Error ? e.message : String(e);
      this.tell([]);
    });
    this.writing = Promise.all([this.writing, begun]).then(() => undefined);
  }

  /** Where undo and redo find an edit. */
  private file(e: Edit): void {
    if (e.kind === 'undo') {
      this.undoable.pop();
      this.redoable.push(e);
      return;
    }
    if (e.kind === 'do') this.redoable = [];
    else this.redoable.pop();
    this.undoable.push(e);
  }

  /** The kept piece, with the edits that came after it. */
  private async recover(found: Kept): Promise<void> {
    const edits = await (this.keep as Keep).edits(found.key);
    let piece = found.piece;
    this.undoable = [];
    this.redoable = [];
    for (const e of edits) {
      if (e.seq > found.seq) piece = applyPatch(piece, e.patch).doc;
      this.file(e);
    }
    this.now = piece;
    this.kept = found;
    this.seq = edits[edits.length - 1]?.seq ?? 0;
    this.waiting = edits.filter((e) => e.seq > found.sent);
  }

  private tell(patch: Op[]): void {
    if (!this.now) return;
    const piece = this.piece;
    for (const fn of [...this.listeners]) fn(piece, patch);
  }
}

export const store = new Store();
