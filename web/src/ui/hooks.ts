// SPDX-License-Identifier: GPL-3.0-or-later
// What components hear: the store, the server, the route, an operation's
// answer.

import { useEffect, useReducer, useRef, useState } from 'preact/hooks';
import {
  Away,
  Refusal,
  aboutServer,
  askText,
  onServer,
  serverHere,
  serverRun,
} from '../api';
import { bodyOf, isPiece } from '../refer';
import { store, type Piece } from '../store';

/** The piece, drawn again after every change of it or of the selection. */
export function usePiece(): Piece {
  const [, again] = useReducer((n: number) => n + 1, 0);
  useEffect(() => store.subscribe(() => again(0)), []);
  return store.piece;
}

/** Whether the server is there. */
export function useServer(): boolean {
  const [here, set] = useState(serverHere());
  useEffect(() => onServer(() => set(serverHere())), []);
  return here;
}

/** What the address says after '#/'. */
export function useRoute(): string {
  const read = () => location.hash.replace(/^#\/?/, '');
  const [route, set] = useState(read());
  useEffect(() => {
    const on = () => set(read());
    addEventListener('hashchange', on);
    return () => removeEventListener('hashchange', on);
  }, []);
  return route;
}

export interface Answer<T> {
  /** The latest result; while another is under way, the one before. */
  result?: T;
  /** Set when the document was refused. */
  refusal?: Refusal;
  /** Under way. */
  busy: boolean;
  /** The server is away, and this is from before or nothing. */
  away: boolean;
}

const answers = new Map<string, unknown>();
const ANSWERS_MOST = 400;

function remember(key: string, value: unknown): void {
  answers.set(key, value);
  if (answers.size > ANSWERS_MOST) {
    answers.delete(answers.keys().next().value as string);
  }
}

/** What is being asked, by how many. */
const asking = new Map<
  string,
  { answer: Promise<unknown>; stop: AbortController; waiting: number }
>();

/** Ask, or wait with whoever asks the same; the last one to leave stops it. */
function together<T>(
  key: string,
  op: string,
  body: string,
  signal?: AbortSignal,
): Promise<T> {
  let a = asking.get(key);
  if (!a) {
    const stop = new AbortController();
    const answer = askText<T>(op, body, stop.signal).then((r) => {
      remember(key, r);
      return r;
    });
    const forget = () => {
      if (asking.get(key)?.stop === stop) asking.delete(key);
    };
    answer.then(forget, forget);
    asking.set(key, (a = { answer, stop, waiting: 0 }));
  }
  const with_ = a;
  with_.waiting++;
  return new Promise((go, no) => {
    const left = () => {
      no(signal?.reason as Error);
      if (--with_.waiting > 0) return;
      asking.delete(key);
      with_.stop.abort();
    };
    if (signal?.aborted) return left();
    signal?.addEventListener('abort', left);
    const still = () => signal?.removeEventListener('abort', left);
    with_.answer.then(
      (r) => (still(), go(r as T)),
      (e: unknown) => (still(), no(e as Error)),
    );
  });
}

/** An operation asked once and remembered.  A piece of the book is named, and
 *  its revision stays what it is as long as the same server runs; `ask` holds
 *  the operation's own fields beside a piece. */
export async function askOnce<T>(
  op: string,
  doc: unknown,
  signal?: AbortSignal,
  ask?: Record<string, unknown>,
): Promise<T> {
  const piece = isPiece(doc);
  const body = piece ? await bodyOf(doc, ask, signal) : JSON.stringify(doc);
  if (piece && !serverRun()) await aboutServer().catch(() => undefined);
  const key = `${op}\n${piece ? serverRun() : ''}\n${body}`;
  if (answers.has(key)) return answers.get(key) as T;
  return together<T>(key, op, body, signal);
}

/**
 * Work that asks the server, done again whenever `deps` change and when the
 * server comes back.  `work` undefined: nothing to ask yet.
 */
export function useWork<T>(
  work: ((signal: AbortSignal) => Promise<T>) | undefined,
  deps: unknown[],
  pause = 0,
): Answer<T> {
  const [state, set] = useState<Answer<T>>({ busy: true, away: false });
  const here = useServer();
  const last = useRef<T>();
  useEffect(() => {
    if (!work) {
      set({ result: last.current, busy: false, away: false });
      return;
    }
    const stop = new AbortController();
    set((s) => ({ ...s, busy: true }));
    const timer = setTimeout(
      () => {
        work(stop.signal).then(
          (result) => {
            if (stop.signal.aborted) return;
            last.current = result;
            set({ result, busy: false, away: false });
          },
          (e: unknown) => {
            if (stop.signal.aborted) return;
            const result = last.current;
            if (e instanceof Refusal) {
              set({ result, refusal: e, busy: false, away: false });
            } else if (e instanceof Away) {
              set({ result, busy: false, away: true });
            } else {
              console.error(e);
              set({
                result,
                refusal: new Refusal(0, String(e), 'tell who wrote this', ''),
                busy: false,
                away: false,
              });
            }
          },
        );
      },
      last.current === undefined ? 0 : pause,
    );
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [...deps, here]);
  return state;
}

/** An operation's answer to a document, kept up with it. */
export function useOp<T>(op: string, doc: unknown, pause = 250): Answer<T> {
  return useWork<T>(
    doc === undefined ? undefined : (signal) => askOnce<T>(op, doc, signal),
    [op, doc],
    pause,
  );
}
