// SPDX-License-Identifier: GPL-3.0-or-later
// The page: one pot, the questions one asks about it, the sheet of paper with
// the answer, the band along the bottom edge.

import { Component, type ComponentChildren } from 'preact';
import { useEffect, useReducer, useRef, useState } from 'preact/hooks';
import { aboutServer, type About } from '../api';
import { capable, lacks } from '../capable';
import type { Kept } from '../keep';
import {
  SAMPLE,
  openFile,
  openBook,
  openKept,
  openSampleAfresh,
  openUnpainted,
  saveFile,
} from '../pieces';
import { QUESTIONS } from '../questions';
import { store } from '../store';
import { bare, count, num } from '../words';
import {
  BOOK,
  bookConflict,
  bookKept,
  bookPieces,
  bookRefused,
  bookTurns,
  chooseMine,
  onBook,
} from '../book';
import { usePiece, useRoute, useServer } from './hooks';
import { Devices } from './devices';
import { Looking, Past } from './past';
import { BandPlace, PotPlace } from './places';
import { Sheets, Verdict } from './verdict';

/** A stroke of the brush under the question that is asked. */
function BrushStroke() {
  return (
    <svg
      class="brush-stroke"
      viewBox="0 0 100 8"
      preserveAspectRatio="none"
      aria-hidden="true"
    >
      <path d="M1 4.6C14 2.2 33 1.5 52 2.4c17 .8 33 1.2 47-.9-9 3.3-24 4.6-41 4.4-19-.2-38-2-57-1.3z" />
    </svg>
  );
}

function Questions({ route }: { route: string }) {
  return (
    <nav aria-label="Questions">
      <ul>
        {QUESTIONS.map((q) => (
          <li key={q.route}>
            <a
              href={`#/${q.route}`}
              aria-current={q.route === route ? 'page' : undefined}
            >
              {q.asks}
              {q.route === route ? <BrushStroke /> : null}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}

/** The piece's name; behind it, where pieces come from and go to. */
function PieceMenu() {
  const piece = usePiece();
  const menu = useRef<HTMLDetailsElement>(null);
  const [kept, setKept] = useState<Kept[]>([]);
  const [why, setWhy] = useState('');
  const [can] = useState(capable);
  const [server, setServer] = useState<About>({});
  const [book, setBook] = useState<{ id: string; name: string }[]>([]);
  const close = () => {
    if (menu.current) menu.current.open = false;
  };
  useEffect(() => {
    const away = (e: Event) => {
      if (!menu.current?.contains(e.target as Node)) close();
    };
    addEventListener('pointerdown', away);
    return () => removeEventListener('pointerdown', away);
  }, []);
  const go = async (work: Promise<void>) => {
    setWhy('');
    try {
      await work;
      close();
    } catch (e) {
      setWhy(e instanceof Error ? e.message : String(e));
    }
  };
  const inBook = book.filter((p) => BOOK + p.id !== store.key);
  const others = kept.filter(
    (k) => k.key !== store.key && !inBook.some((p) => BOOK + p.id === k.key),
  );
  return (
    <details
      ref={menu}
      class="piece-menu"
      onToggle={(e) => {
        if (!e.currentTarget.open) return;
        void store.known().then(setKept);
        aboutServer().then(setServer, () => setServer({}));
        bookPieces().then(
          (b) => setBook(b ?? []),
          () => setBook([]),
        );
      }}
      onKeyDown={(e) => {
        if (e.key !== 'Escape') return;
        close();
        menu.current?.querySelector('summary')?.focus();
      }}
    >
      <summary>
        <span class="unseen">the piece: </span>
        {bare(piece.name)}, {count(num(piece.pots, 1), 'pot')}
      </summary>
      <div class="menu-paper">
        {piece.invented ? (
          <p class="sure">An invented example, not a real piece.</p>
        ) : null}
        <p class="words column">
          <label class="file">
            <input
              type="file"
              accept=".json,application/json"
              onChange={(e) => {
                const f = e.currentTarget.files?.[0];
                e.currentTarget.value = '';
                if (f) void go(openFile(f));
              }}
            />
            <span>open a piece from a file</span>
          </label>
          <button type="button" onClick={saveFile}>
            save this piece to a file
          </button>
          <button type="button" onClick={() => void go(openUnpainted())}>
            a new piece: the same pot, unpainted
          </button>
          {inBook.map((p) => (
            <button
              key={p.id}
              type="button"
              onClick={() => void go(openBook(p.id))}
            >
              {p.name}
              <span class="sure">in the book</span>
            </button>
          ))}
          {others.map((k) => (
            <button
              key={k.key}
              type="button"
              onClick={() => void go(openKept(k.key))}
            >
              {k.piece.name}
              <span class="sure">
                {k.key === SAMPLE ? ' the sample' : ' kept in this browser'}
              </span>
            </button>
          ))}
          <button type="button" onClick={() => void go(openSampleAfresh())}>
            the sample, afresh
          </button>
          <a href="#/past" onClick={close}>
            how this piece was
          </a>
          <a href="#/devices" onClick={close}>
            who is let in
          </a>
        </p>
        {why ? (
          <p class="why-not" role="alert">
            {why}
          </p>
        ) : null}
        {server.warning ? <p class="sure">{server.warning}</p> : null}
        {lacks(can, store.safe).map((l) => (
          <p key={l} class="sure">
            {l}
          </p>
        ))}
      </div>
    </details>
  );
}

/** Undo and redo: what was done on this page, then what the book knows that
 *  this device did before. */
function Hand() {
  usePiece();
  useServer();
  const [, again] = useReducer((n: number) => n + 1, 0);
  useEffect(() => onBook(() => again(0)), []);
  const before = 'what this device did before';
  const done = store.undoLabel || (bookTurns('undo') ? before : '');
  const undone = store.redoLabel || (bookTurns('redo') ? before : '');
  return (
    <p class="words hand">
      <button
        type="button"
        disabled={!done}
        title={done ? `undo: ${done}` : ''}
        onClick={() => store.undo()}
      >
        undo
      </button>
      <button
        type="button"
        disabled={!undone}
        title={undone ? `redo: ${undone}` : ''}
        onClick={() => store.redo()}
      >
        redo
      </button>
    </p>
  );
}

/** What is no question about the pot, and is reached behind its name. */
const ASIDE = [
  { route: 'past', asks: 'How was it before?', Answer: Past },
  { route: 'devices', asks: 'Who is let in?', Answer: Devices },
];

/** A value that both changed, in a few words. */
function brief(v: unknown): string {
  if (v === undefined) return 'nothing';
  const text = typeof v === 'object' ? JSON.stringify(v) : String(v);
  return text.length > 40 ? text.slice(0, 38) + ' \u2026' : text;
}

/** How safe the work is, when there is something to say. */
function State() {
  usePiece();
  const here = useServer();
  const [, again] = useReducer((n: number) => n + 1, 0);
  useEffect(() => onBook(() => again(0)), []);
  const clash = bookConflict();
  const no = bookRefused();
  const kept = bookKept();
  return (
    <div class="state" role="status">
      {store.trouble
        ? `The browser could not keep the last change: ${store.trouble}. Save the piece to a file.`
        : !here
          ? store.safe
            ? 'The server is away. What you do is kept in this browser.'
            : 'The server is away, and this browser keeps nothing: save the piece to a file.'
          : no
            ? `The book does not take the last change: ${no}. It is kept in this browser.`
            : store.elsewhere
              ? store.key.startsWith(BOOK)
                ? 'Another tab has this piece open as well. What you do here goes to the book, and is not kept in this browser.'
                : 'Another tab has this piece open as well. What you do here is kept nowhere: go on in the other tab, or save the piece to a file.'
              : kept
                ? `${kept}. Look at how this piece was, and bring back what you want.`
                : ''}
      <Looking />
      {clash ? (
        <div class="clash">
          <p>
            The same was changed elsewhere ({clash.at.slice(1)}): there{' '}
            {brief(clash.theirs)}, here {brief(clash.mine)}. The book keeps
            both.
          </p>
          <p class="words">
            <button type="button" onClick={() => void chooseMine(true)}>
              take mine
            </button>
            <button type="button" onClick={() => void chooseMine(false)}>
              take theirs
            </button>
          </p>
        </div>
      ) : null}
    </div>
  );
}

/** Ctrl or Command with Z, Shift+Z, Y; inside a field these are the field's. */
function useUndoKeys(): void {
  useEffect(() => {
    const on = (e: KeyboardEvent) => {
      if (!(e.ctrlKey || e.metaKey) || e.altKey) return;
      const t = e.target as HTMLElement | null;
      const typing =
        t instanceof HTMLInputElement &&
        t.type === 'text' &&
        t.value !== t.dataset.shown;
      if (typing || t instanceof HTMLTextAreaElement) return;
      const key = e.key.toLowerCase();
      if (key === 'z' && !e.shiftKey) store.undo();
      else if (key === 'y' || (key === 'z' && e.shiftKey)) store.redo();
      else return;
      e.preventDefault();
    };
    addEventListener('keydown', on);
    return () => removeEventListener('keydown', on);
  }, []);
}

/** An answer that cannot be shown takes nothing else with it. */
class Guard extends Component<{ children: ComponentChildren }> {
  override state = { why: '' };
  override componentDidCatch(e: unknown): void {
    console.error(e);
    this.setState({ why: e instanceof Error ? e.message : String(e) });
  }
  render() {
    if (!this.state.why) return this.props.children;
    return (
      <p class="refusal" role="alert">
        <b>This answer cannot be shown for this piece.</b> Undo the last change,
        or open another piece. <span class="sure">{this.state.why}</span>
      </p>
    );
  }
}

export function Shell() {
  const piece = usePiece();
  const route = useRoute();
  const asked =
    [...QUESTIONS, ...ASIDE].find((q) => q.route === route) ?? QUESTIONS[2];
  const sheet = useRef<HTMLDivElement>(null);
  const first = useRef(true);
  useUndoKeys();
  useEffect(() => {
    document.title = `${asked?.asks} ${bare(store.piece.name)} \u2013 Leatherhard`;
    if (first.current) {
      first.current = false;
      return;
    }
    if (sheet.current) sheet.current.scrollTop = 0;
  }, [asked]);
  if (!asked) return null;
  const Answer = asked.Answer;
  return (
    <>
      <header>
        <a
          class="skip"
          href={`#/${asked.route}`}
          onClick={() => sheet.current?.focus()}
        >
          to the answer
        </a>
        <Questions route={asked.route} />
        <PieceMenu />
      </header>
      <section class="pot" aria-label="The pot">
        <PotPlace hand={<Hand />} />
        <State />
      </section>
      <section class="band" aria-label="The band">
        <BandPlace />
      </section>
      <main class="paper">
        <div class="answer" ref={sheet} tabIndex={-1}>
          <h1 class="unseen" data-route={asked.route}>
            {asked.asks}
          </h1>
          <Guard key={`${asked.route} ${store.key}`}>
            <Answer />
          </Guard>
        </div>
        <footer class="foot">
          <Verdict piece={piece} />
          <Sheets piece={piece} />
        </footer>
      </main>
    </>
  );
}
