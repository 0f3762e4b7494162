// SPDX-License-Identifier: GPL-3.0-or-later
// The verdict on the piece, quietly at the foot of every answer, and the way
// to the working sheets.

import { useEffect, useRef, useState } from 'preact/hooks';
import { Away, Refusal, file } from '../api';
import { askable, bodyOf } from '../refer';
import { store, type Piece } from '../store';
import { capital, count } from '../words';
import type { Verdict as Result } from '../results';
import { useOp } from './hooks';

export function Verdict({ piece }: { piece: Piece }) {
  const answer = useOp<Result>('piece', piece, 800);
  const r = answer.result;
  if (answer.refusal) {
    return (
      <p class="verdict refusal">
        This piece cannot be worked out: {answer.refusal.what}
        {answer.refusal.todo ? `; ${answer.refusal.todo}` : ''}.
      </p>
    );
  }
  if (!r) {
    return (
      <p class="verdict sure">
        {answer.away ? 'No verdict while the server is away.' : 'Looking …'}
      </p>
    );
  }
  const stops = r.checks.filter((c) => c.verdict === 'stop');
  const cautions = r.checks.filter((c) => c.verdict === 'caution');
  const fine = r.checks.length - stops.length - cautions.length;
  const says = stops.length
    ? `Stop: ${count(stops.length, 'thing')} to put right`
    : cautions.length
      ? `Go on, minding ${count(cautions.length, 'caution')}`
      : 'Go on';
  return (
    <details class="verdict">
      <summary>
        {says}
        {answer.away ? ' (the last verdict; the server is away)' : ''}
      </summary>
      <dl>
        {[...stops, ...cautions].map((c) => (
          <div key={c.about} class={c.verdict}>
            <dt>
              {c.verdict === 'stop' ? 'Stop. ' : ''}
              {c.about}
            </dt>
            <dd>
              {capital(c.why)}.{c.todo ? ` Then: ${c.todo}.` : ''}
            </dd>
          </div>
        ))}
      </dl>
      <p class="sure">{capital(count(fine, 'check'))} found nothing.</p>
    </details>
  );
}

type Drawing =
  | { is: 'idle' }
  | { is: 'busy'; stop: AbortController }
  | { is: 'ready'; url: string }
  | { is: 'failed'; why: string };

/** Draws the sheets, then opens them; the link stays for once more. */
export function Sheets({ piece }: { piece: Piece }) {
  const [now, set] = useState<Drawing>({ is: 'idle' });
  const made = useRef<{ piece: Piece; url: string }>();
  useEffect(() => {
    // Sheets of what the piece was before are not offered.
    if (made.current && made.current.piece !== piece) {
      URL.revokeObjectURL(made.current.url);
      made.current = undefined;
      set({ is: 'idle' });
    }
  }, [piece]);

  const draw = async () => {
    const stop = new AbortController();
    set({ is: 'busy', stop });
    // Opened while the finger is still down, or it is held for a pop-up.
    const tab = window.open('', '_blank');
    try {
      await askable(stop.signal);
      const of = store.piece; // as it stands now
      const body = await bodyOf(of);
      const blob = await file('sheets', body, 'application/pdf', stop.signal);
      const url = URL.createObjectURL(blob);
      if (tab) tab.location.href = url;
      // Changed meanwhile: it is shown, but not offered once more.
      if (of !== store.piece) return set({ is: 'idle' });
      made.current = { piece: of, url };
      set({ is: 'ready', url });
    } catch (e) {
      tab?.close();
      if (stop.signal.aborted) return set({ is: 'idle' });
      const why =
        e instanceof Away
          ? 'the server is away'
          : e instanceof Refusal
            ? e.message
            : String(e);
      set({ is: 'failed', why });
    }
  };
  return (
    <p class="words sheets" role="status">
      {now.is === 'busy' ? (
        <>
          <span>drawing the working sheets …</span>
          <button type="button" onClick={() => now.stop.abort()}>
            stop
          </button>
        </>
      ) : now.is === 'ready' ? (
        <a href={now.url} target="_blank" rel="noopener">
          the working sheets (PDF)
        </a>
      ) : (
        <>
          <button type="button" onClick={() => void draw()}>
            working sheets (PDF)
          </button>
          {now.is === 'failed' ? <span>{now.why}</span> : null}
        </>
      )}
    </p>
  );
}
