// SPDX-License-Identifier: GPL-3.0-or-later
// The pot: turns under the finger and by the arrow keys.

import { useEffect, useRef, useState } from 'preact/hooks';
import { core } from '../core';
import { store } from '../store';
import { bare } from '../words';
import { PotScene, type Shown } from './scene';

const LEAST = 0.06,
  MOST = 1.45; // of the camera's height [rad]

const SAYS: Record<Shown, string> = {
  fired: 'as it may fire',
  painted: 'as painted, before the glaze',
  both: 'twice: left as painted, before the glaze, right as it may fire',
};

export function Pot({ view }: { view: Shown }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const scene = useRef<PotScene | null>(null);
  const [trouble, setTrouble] = useState('');

  useEffect(() => {
    const c = canvas.current;
    if (!c) return;
    let s: PotScene;
    try {
      s = new PotScene(c);
    } catch (e) {
      setTrouble(e instanceof Error ? e.message : String(e));
      return;
    }
    scene.current = s;
    const off: (() => void)[] = [];
    let live = true,
      lit = false;
    void core.open().then(
      () => {
        if (!live) return;
        s.set(store.piece);
        off.push(
          core.onPainting((p, rects, fresh) => {
            s.take(p, rects, fresh);
            // What the faces throw back to each other depends on their colours.
            if (!lit && p.look === 'fired') {
              lit = true;
              requestAnimationFrame(() => live && s.relight());
            }
          }),
        );
        off.push(store.subscribe((piece) => s.set(piece)));
      },
      () => setTrouble('The pot cannot be drawn here.'),
    );
    const seen = new ResizeObserver(() => {
      const r = c.parentElement?.getBoundingClientRect();
      if (r && r.width > 0) s.resize(Math.round(r.width), Math.round(r.height));
    });
    if (c.parentElement) seen.observe(c.parentElement);
    const dark = matchMedia('(prefers-color-scheme: dark)');
    const night = () => s.relight();
    dark.addEventListener('change', night);
    return () => {
      live = false;
      seen.disconnect();
      dark.removeEventListener('change', night);
      for (const f of off) f();
      s.free();
    };
  }, []);

  useEffect(() => {
    if (view !== 'fired') core.want('painted');
    scene.current?.show(view);
  }, [view]);

  useDrag(canvas, scene);

  const key = (e: KeyboardEvent) => {
    const s = scene.current;
    if (!s) return;
    const step = e.shiftKey ? 1 / 12 : 1 / 48;
    if (e.key === 'ArrowLeft') s.turns -= step;
    else if (e.key === 'ArrowRight') s.turns += step;
    else if (e.key === 'ArrowUp')
      s.elevation = Math.min(MOST, s.elevation + 0.06);
    else if (e.key === 'ArrowDown')
      s.elevation = Math.max(LEAST, s.elevation - 0.06);
    else if (e.key === 'Home') {
      s.turns = 0;
      s.elevation = 0.34;
    } else return;
    e.preventDefault();
    s.again();
  };
  if (trouble) return <p class="no-picture">{trouble}</p>;
  return (
    <>
      <canvas
        ref={canvas}
        class="pot-canvas"
        tabIndex={0}
        role="application"
        aria-roledescription="turning pot"
        aria-label={`${bare(store.piece.name)}, ${SAYS[view]}. The arrow keys turn and tilt it.`}
        onKeyDown={key}
      />
      {view === 'both' ? (
        <p class="pot-names" aria-hidden="true">
          <span>as painted</span>
          <span>as fired</span>
        </p>
      ) : null}
    </>
  );
}

/** The wall goes with the finger; let go while moving and it turns on a
 *  little, unless that is not wanted. */
function useDrag(
  canvas: { current: HTMLCanvasElement | null },
  scene: { current: PotScene | null },
): void {
  useEffect(() => {
    const c = canvas.current;
    if (!c) return;
    const still = matchMedia('(prefers-reduced-motion: reduce)');
    let id = -1,
      x = 0,
      y = 0,
      speed = 0,
      when = 0,
      frame = 0;
    const down = (e: PointerEvent) => {
      if (e.button !== 0 || id >= 0) return;
      id = e.pointerId;
      x = e.clientX;
      y = e.clientY;
      speed = 0;
      cancelAnimationFrame(frame);
      c.setPointerCapture(id);
    };
    const move = (e: PointerEvent) => {
      const s = scene.current;
      if (!s || e.pointerId !== id) return;
      const turn = (e.clientX - x) / s.perTurn;
      const ms = Math.max(1, e.timeStamp - when);
      speed = 0.6 * speed + 0.4 * (turn / ms);
      when = e.timeStamp;
      s.turns += turn;
      s.elevation = Math.min(
        MOST,
        Math.max(LEAST, s.elevation + (e.clientY - y) * 0.005),
      );
      x = e.clientX;
      y = e.clientY;
      s.again();
    };
    const coast = () => {
      const s = scene.current;
      if (!s || Math.abs(speed) < 2e-6) return;
      s.turns += speed * 16;
      speed *= 0.94;
      s.draw();
      frame = requestAnimationFrame(coast);
    };
    const up = (e: PointerEvent) => {
      if (e.pointerId !== id) return;
      id = -1;
      if (!still.matches && e.timeStamp - when < 60) coast();
    };
    c.addEventListener('pointerdown', down);
    c.addEventListener('pointermove', move);
    c.addEventListener('pointerup', up);
    c.addEventListener('pointercancel', up);
    return () => {
      cancelAnimationFrame(frame);
      c.removeEventListener('pointerdown', down);
      c.removeEventListener('pointermove', move);
      c.removeEventListener('pointerup', up);
      c.removeEventListener('pointercancel', up);
    };
  }, []);
}
