// SPDX-License-Identifier: GPL-3.0-or-later
// What components hear: the store, the server, the route, an operation's
// answer.

import { useEffect, useReducer, useRef, useState } from 'preact/hooks';
import { Away, Refusal, askText, onServer, serverHere } from '../api';
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

/** An operation asked once and remembered. */
export async function askOnce<T>(
  op: string,
  doc: unknown,
  signal?: AbortSignal,
): Promise<T> {
  const body = JSON.stringify(doc);
  const key = `${op}\n${body}`;
  if (answers.has(key)) return answers.get(key) as T;
  const r = await askText<T>(op, body, signal);
  remember(key, r);
  return r;
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
