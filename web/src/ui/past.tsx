// SPDX-License-Identifier: GPL-3.0-or-later
// How the piece was: every revision that the book has of it.  One can be looked
// at, on band and pot and in every answer, without changing anything, and
// brought back as a new revision: nothing is lost by it.

import { useEffect, useState } from 'preact/hooks';
import {
  BOOK,
  bookDevices,
  bookHistory,
  bookRestore,
  bookRevision,
  onBook,
  type Revision,
} from '../book';
import { deedOf } from '../deeds';
import { store, type Piece } from '../store';
import { Head, Standing } from './answer';
import { usePiece, useWork } from './hooks';

/** When, in the words of this device's calendar. */
export function when(iso: string): string {
  const at = new Date(iso);
  const today = new Date().toDateString() === at.toDateString();
  const time = at.toLocaleTimeString([], {
    hour: '2-digit',
    minute: '2-digit',
  });
  return today
    ? `today ${time}`
    : `${at.toLocaleDateString([], { day: 'numeric', month: 'short', year: 'numeric' })} ${time}`;
}

const ACTS: Record<string, string> = {
  new: 'begun',
  edit: 'changed',
  undo: 'taken back',
  redo: 'done again',
  restore: 'an earlier one brought back',
  choose: 'decided between two versions',
  hide: 'hidden',
  show: 'shown again',
};

/** What a revision did, in words. */
function deed(v: Revision): string {
  if (v.aside) return 'changed, and kept aside: another was first';
  const more = v.reverses ?? v.takes ?? v.settles;
  return `${ACTS[v.act] ?? v.act}${more ? `, number ${more}` : ''}`;
}

/** What each edit did, asked for one after the other, and remembered. */
const told = new Map<string, string>();
function useDeeds(lines: Revision[]): Map<string, string> {
  const [, again] = useState(0);
  const last = lines[lines.length - 1]?.revision;
  useEffect(() => {
    let live = true;
    const of = store.key;
    const work = async () => {
      const pieces = new Map<number, Promise<Piece>>();
      const at = (n: number) => {
        const known = pieces.get(n) ?? bookRevision(n);
        pieces.set(n, known);
        return known;
      };
      for (const v of lines) {
        const key = `${of} ${v.revision}`;
        if (!live || of !== store.key) return;
        if (v.act !== 'edit' || told.has(key)) continue;
        told.set(key, deedOf(await at(v.base), await at(v.revision)));
        pieces.delete(v.revision);
        if (live) again((n) => n + 1);
      }
    };
    work().catch((e: unknown) => console.warn('the past is not told:', e));
    return () => void (live = false);
  }, [store.key, lines[0]?.revision, last]);
  return told;
}

/** When what is looked at was so. */
let lookedAt = '';

/** The line that says so while the past is looked at. */
export function Looking() {
  usePiece();
  const [why, setWhy] = useState('');
  if (!store.looking) return null;
  const back = async () => {
    try {
      await bookRestore(store.looking);
      store.look(null);
    } catch (e) {
      setWhy(e instanceof Error ? e.message : String(e));
    }
  };
  return (
    <div class="looking">
      <p>
        You look at how it was {lookedAt}, number {store.looking}. Nothing is
        changed by that
        {store.onlyLooking
          ? '; to go on from here, bring it back first.'
          : ', and nothing can be.'}
        {why ? ` ${why}` : ''}
      </p>
      <p class="words">
        <button type="button" onClick={() => void back()}>
          bring it back
        </button>
        <button type="button" onClick={() => store.look(null)}>
          as it is now
        </button>
      </p>
    </div>
  );
}

function Line({
  v,
  who,
  head,
  did,
}: {
  v: Revision;
  who: string;
  head: boolean;
  did: string | undefined;
}) {
  const [why, setWhy] = useState('');
  const shown = store.looking ? store.looking === v.revision : head;
  const look = async () => {
    setWhy('');
    try {
      lookedAt = when(v.at);
      store.look(
        head
          ? null
          : { piece: await bookRevision(v.revision), revision: v.revision },
      );
    } catch (e) {
      setWhy(e instanceof Error ? e.message : String(e));
    }
  };
  return (
    <li>
      <button type="button" aria-pressed={shown} onClick={() => void look()}>
        <b>{v.revision}</b>
        <span>
          {did && !v.aside ? did : deed(v)}
          {did && v.aside ? ` (${did})` : ''}
          {head ? ': as it is now' : ''}
        </span>
        <span class="sure">
          {when(v.at)}
          {who ? `, ${who}` : ''}
          {why ? `. ${why}` : ''}
        </span>
      </button>
    </li>
  );
}

const SHOWN = 60; // lines before "earlier ones"

export function Past() {
  const piece = usePiece();
  const [news, setNews] = useState(0);
  const [most, setMost] = useState(SHOWN);
  useEffect(() => onBook(() => setNews((n) => n + 1)), []);
  const inBook = store.key.startsWith(BOOK);
  const answer = useWork<{ revisions: Revision[]; names: Map<string, string> }>(
    inBook
      ? async () => {
          const devices = await bookDevices().catch(() => []);
          return {
            ...(await bookHistory()),
            // The book adds the beginning of a device's id to its name.
            names: new Map(
              devices.map((d) => [
                `${d.name} ${d.id.slice(0, 4)}`,
                d.this ? 'this device' : d.name,
              ]),
            ),
          };
        }
      : undefined,
    [store.key, store.base, news],
  );
  const lines = [...(answer.result?.revisions ?? [])].sort(
    (a, b) => b.revision - a.revision,
  );
  const deeds = useDeeds(lines.slice(0, most));
  if (!inBook) {
    return (
      <Head
        number="No past"
        what="is kept of this piece"
        plain="It is kept in this browser only. A piece in a book keeps every
          change: start the program with --book."
      />
    );
  }
  if (!answer.result) return <Standing of={answer} />;
  const { revisions, names } = answer.result;
  const now = Math.max(
    ...revisions.filter((v) => !v.aside).map((v) => v.revision),
  );
  return (
    <>
      <Head
        number={String(revisions.length)}
        what={`${revisions.length === 1 ? 'version' : 'versions'} of ${piece.name}`}
        plain="Touch one to look at it: the band, the pot and every answer show
          it as it was. Nothing is changed until you bring it back, and what
          stands now is kept as well."
      />
      <Standing of={answer} />
      <ol class="order past">
        {lines.slice(0, most).map((v) => (
          <Line
            key={v.revision}
            v={v}
            who={names.get(v.device) ?? v.device}
            head={v.revision === now}
            did={deeds.get(`${store.key} ${v.revision}`)}
          />
        ))}
      </ol>
      {lines.length > most ? (
        <p class="words">
          <button type="button" onClick={() => setMost(most + SHOWN * 4)}>
            earlier ones
          </button>
        </p>
      ) : null}
    </>
  );
}
