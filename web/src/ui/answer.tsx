// SPDX-License-Identifier: GPL-3.0-or-later
// The shape of every answer: the number to act on, how sure it is, and why,
// for who wants to know.

import type { ComponentChildren } from 'preact';
import type { Answer } from './hooks';

interface HeadProps {
  number: string;
  what: string;
  plain?: ComponentChildren;
  sure?: ComponentChildren;
}

export function Head(p: HeadProps) {
  return (
    <div class="head" aria-live="polite">
      <p class="act">
        <b>{p.number}</b> <span>{p.what}</span>
      </p>
      {p.plain ? <p class="plain">{p.plain}</p> : null}
      {p.sure ? <p class="sure">{p.sure}</p> : null}
    </div>
  );
}

/** What stands when an answer is not there, is old, or was refused. */
export function Standing({ of }: { of: Answer<unknown> }) {
  if (of.refusal?.status === 401) {
    return (
      <p class="refusal" role="alert">
        <b>The server does not know this device.</b> <a href="pair">Admit it</a>
        , or open the address that the terminal shows.
      </p>
    );
  }
  if (of.refusal) {
    return (
      <p class="refusal" role="alert">
        <b>{of.refusal.what}</b>
        {of.refusal.todo ? <> Then: {of.refusal.todo}.</> : null}
        {of.refusal.where ? (
          <span class="sure"> {of.refusal.where}</span>
        ) : null}
      </p>
    );
  }
  if (of.away) {
    return (
      <p class="sure">
        {of.result === undefined
          ? 'The server is away. The answer comes when it is back.'
          : 'The server is away: this is its last answer.'}
      </p>
    );
  }
  if (of.busy && of.result === undefined) {
    return <p class="sure">Working it out …</p>;
  }
  return null;
}

/** Why, for who wants to know. */
export function Why(p: { summary?: string; children: ComponentChildren }) {
  return (
    <details class="why">
      <summary>{p.summary ?? 'How sure, and why'}</summary>
      <div class="why-body">{p.children}</div>
    </details>
  );
}
