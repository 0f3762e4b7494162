// SPDX-License-Identifier: GPL-3.0-or-later
// The picture of a tile, and what is pointed at in it: the card's patches and
// the tile, by finger or by keyboard.

import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Refusal } from '../api';
import { movePatch, type Card } from '../card';
import type { Disc } from '../tiles';

/** How far a finger may stray and still have tapped. [px] */
const STRAY = 8;
/** What a finger finds of a patch at least. [px] */
const REACH = 20;

const at = (d: Disc): JSX.CSSProperties => ({
  left: `${100 * d.x}%`,
  top: `${100 * d.y}%`,
  width: `${200 * d.radius}%`,
});
const STEPS: Record<string, [number, number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};
function step(e: KeyboardEvent): [number, number] | undefined {
  const s = STEPS[e.key];
  if (!s) return undefined;
  e.preventDefault();
  const by = e.shiftKey ? 0.02 : 0.004;
  return [s[0] * by, s[1] * by];
}
const into = (v: number) => Math.min(1, Math.max(0, v));

interface StageProps {
  url: string;
  card: Card;
  spot: Disc;
  read: boolean;
  /** Why it was refused. */
  bad: Refusal | undefined;
  together: boolean;
  onCard: (c: Card, settled: boolean) => void;
  onSpot: (d: Disc) => void;
  /** Read there. */
  onTake: (d: Disc, byKey: boolean) => void;
  onTall: (tall: number) => void;
}

/** The picture, and what is pointed at in it. */
export function Stage(p: StageProps) {
  const stage = useRef<HTMLDivElement>(null);
  const mark = useRef<HTMLButtonElement>(null);
  useEffect(() => mark.current?.focus({ preventScroll: true }), []);
  const held = useRef<{
    patch: number; // -1: none
    x: number;
    y: number;
    card: Card;
    moved: boolean;
  } | null>(null);
  const place = (e: PointerEvent): [number, number, DOMRect] => {
    const box = (stage.current as HTMLDivElement).getBoundingClientRect();
    const x = (e.clientX - box.left) / box.width;
    return [x, (e.clientY - box.top) / box.height, box];
  };
  const down = (e: PointerEvent) => {
    if (e.button !== 0 || held.current) return;
    const [x, y, box] = place(e);
    let patch = -1;
    let best = Infinity;
    p.card.patches.forEach((q, i) => {
      const d = Math.hypot((q.x - x) * box.width, (q.y - y) * box.height);
      if (d < Math.max(REACH, q.radius * box.width) && d < best) {
        best = d;
        patch = i;
      }
    });
    held.current = { patch, x, y, card: p.card, moved: false };
    if (patch >= 0) stage.current?.setPointerCapture(e.pointerId);
  };
  const move = (e: PointerEvent) => {
    const h = held.current;
    if (!h) return;
    const [x, y, box] = place(e);
    const far = Math.hypot((x - h.x) * box.width, (y - h.y) * box.height);
    if (far > STRAY) h.moved = true;
    if (h.moved && h.patch >= 0) {
      p.onCard(movePatch(h.card, h.patch, x - h.x, y - h.y, p.together), false);
    }
  };
  const up = (e: PointerEvent) => {
    const h = held.current;
    held.current = null;
    if (!h) return;
    if (h.patch >= 0) {
      if (h.moved) p.onCard(p.card, true);
      return;
    }
    if (h.moved) return;
    const [x, y] = place(e);
    p.onTake({ ...p.spot, x: into(x), y: into(y) }, false);
  };
  const patchKey = (i: number) => (e: KeyboardEvent) => {
    const s = step(e);
    if (s) p.onCard(movePatch(p.card, i, s[0], s[1], p.together), true);
  };
  const spotKey = (e: KeyboardEvent) => {
    const s = step(e);
    if (s) {
      const { x, y } = p.spot;
      p.onSpot({ ...p.spot, x: into(x + s[0]), y: into(y + s[1]) });
    } else if (e.key === 'Enter' || e.key === ' ') {
      e.preventDefault();
      p.onTake(p.spot, true);
    }
  };
  // The place that the refusal points to, and the patches that it names.
  const bad = (list: string, i: number, name = '') =>
    new RegExp(`/${list}/${i}(/|$)`).test(p.bad?.where ?? '') ||
    (name && p.bad?.what.includes(`"${name}"`))
      ? ' bad'
      : '';
  return (
    <div
      class="stage"
      ref={stage}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={up}
      onPointerCancel={() => (held.current = null)}
    >
      <img
        src={p.url}
        alt="The picture that was taken"
        draggable={false}
        onLoad={(e) => {
          const { naturalWidth: w, naturalHeight: h } = e.currentTarget;
          if (w > 0) p.onTall(h / w);
        }}
      />
      {p.card.patches.map((q, i) => (
        <button
          key={i}
          type="button"
          class={'ring patch' + bad('patches', i, q.name)}
          style={at(q)}
          aria-label={
            `patch ${q.name}` + (bad('patches', i, q.name) ? ', refused' : '')
          }
          onKeyDown={patchKey(i)}
        />
      ))}
      <button
        type="button"
        ref={mark}
        class={'ring spot' + (p.read ? ' read' : '') + bad('tiles', 0)}
        style={at(p.spot)}
        aria-label="the tile: arrow keys move, Enter reads its colour"
        onKeyDown={spotKey}
      />
    </div>
  );
}
