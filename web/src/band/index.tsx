// SPDX-License-Identifier: GPL-3.0-or-later
// The band, unrolled edge to edge, to draw on; the words above it say what
// the hand holds.

import { useEffect, useMemo, useReducer, useRef, useState } from 'preact/hooks';
import { core, type Numbers, type WindowMap } from '../core';
import { number } from '../core/numbers';
import { kinds } from '../core/schema';
import type { Slip, Zone } from '../piece';
import { lay, layingNow, onLaying } from '../motifs';
import { store } from '../store';
import { WAYS, bare, count as counted, fixed } from '../words';
import { usePiece } from '../ui/hooks';
import { Choice } from '../ui/field';
import { Apart, Sign, useConfirmed, type Confirmed } from './confirm';
import { beside, movable, nameOf } from './edit';
import { Hand, type Setting, type Tool } from './hand';
import { Outside, useThickness } from './thickness';
import { BandView } from './view';

const TOOLS: { value: Tool; says: string }[] = [
  { value: 'pick', says: 'pick' },
  ...kinds.map((k) => ({ value: k as Tool, says: k })),
];

/** The zone that is worked on: the one chosen, else the band most painted. */
function zoneOf(zones: Zone[], painted: (id: string) => number): Zone | null {
  const chosen = zones.find((z) => z.id === store.selected.zone);
  if (chosen && (store.selected.entry || chosenByHand)) return chosen;
  const bands = zones.filter((z) => (z.kind ?? 'band') === 'band');
  return (
    [...bands].sort((a, b) => painted(b.id) - painted(a.id))[0] ??
    chosen ??
    zones[0] ??
    null
  );
}
let chosenByHand = false;

/** A slip as a dab of the brush, as it fires on the ground. */
function Dab({
  slip,
  on,
  choose,
}: {
  slip: Slip;
  on: boolean;
  choose: () => void;
}) {
  const piece = store.piece;
  const ground = piece.slips.find((s) => s.ground && s.id !== slip.id);
  const colour = core.colour([
    ...(ground
      ? [
          {
            slip: ground.id,
            g_m2: number(ground.window?.best_g_m2, number(ground.coat_g_m2)),
          },
        ]
      : []),
    {
      slip: slip.id,
      g_m2: number(slip.window?.best_g_m2, number(slip.coat_g_m2)),
    },
  ]);
  const path = useRef<SVGPathElement>(null);
  useEffect(() => {
    path.current?.style.setProperty('fill', colour);
  }, [colour]);
  return (
    <label class="band-dab" title={bare(slip.name ?? slip.id)}>
      <input
        type="radio"
        name="band-slip"
        value={slip.id}
        checked={on}
        onChange={choose}
      />
      <svg viewBox="0 0 30 26" aria-hidden="true">
        <path
          ref={path}
          d="M4 22C1 16 5 7 14 4.500c5-1.400 9-1.300 12.500-1C26 8 23 15 17 19.500 12 23 6.500 24.500 4 22z"
        />
      </svg>
      <span>{bare(slip.name ?? slip.id)}</span>
    </label>
  );
}

function Select(p: {
  label: string;
  value: string;
  choices: [string, string][];
  onChoice: (v: string) => void;
}) {
  return (
    <label class="band-select">
      <span class="unseen">{p.label}</span>
      <select
        value={p.value}
        aria-label={p.label}
        onChange={(e) => p.onChoice(e.currentTarget.value)}
      >
        {p.choices.map(([v, says]) => (
          <option key={v} value={v}>
            {says}
          </option>
        ))}
      </select>
    </label>
  );
}

/** What lies on one pot of the slip in hand, at once. */
function Laid({ slip, sign }: { slip: Slip; sign: Confirmed }) {
  const [n, set] = useState<Numbers | null>(core.numbers);
  useEffect(() => core.onNumbers(set), []);
  const x = n?.slips.find((s) => s.slip === slip.id);
  return (
    <p class="band-laid">
      {x ? (
        <>
          <output data-exactly={x.dry_g}>
            {fixed(x.dry_g, 2)} g dry of{' '}
            {bare(slip.name ?? slip.id).toLowerCase()} on each pot
          </output>
          <Sign of={sign} />
        </>
      ) : null}
    </p>
  );
}

export function Band() {
  const piece = usePiece();
  const confirmed = useConfirmed(piece);
  const [, again] = useReducer((n: number) => n + 1, 0);
  const [open, setOpen] = useState(core.shapes !== null);
  const [trouble, setTrouble] = useState('');
  const [thickness, setThickness] = useState(false);
  const place = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const view = useRef<BandView | null>(null);
  const hand = useRef<Hand | null>(null);
  const draw = useRef<() => void>(() => {});

  const zone = zoneOf(
    piece.zones,
    (id) => piece.painting.filter((e) => e.zone === id).length,
  );
  const repeats = useMemo(() => {
    const all = piece.painting.filter((e) => e.zone === zone?.id && e.repeat);
    return Math.max(1, ...all.map((e) => number(e.repeat?.count)));
  }, [zone?.id]);
  const [setting, setSetting] = useState<Setting>(() => ({
    tool: 'pick',
    slip: (piece.slips.find((s) => !s.ground) ?? piece.slips[0])?.id ?? '',
    brush:
      (piece.brushes?.find((b) => /round/.test(b.id)) ?? piece.brushes?.[0])
        ?.id ?? '',
    coats: 1,
    way: 'repeat',
    count: repeats,
    oneOnly: false,
    together: true,
  }));
  const set = (s: Partial<Setting>) => setSetting((had) => ({ ...had, ...s }));
  const disc = zone?.kind === 'disc';
  useEffect(
    () => set({ count: repeats, way: disc ? 'rosette' : 'repeat' }),
    [zone?.id],
  );

  useEffect(() => {
    void core.open().then(
      () => setOpen(true),
      (e: unknown) => setTrouble(e instanceof Error ? e.message : String(e)),
    );
  }, []);

  // The view and the hand live as long as the canvas.
  useEffect(() => {
    const c = canvas.current;
    if (!open || !c) return;
    const v = new BandView(c);
    let asked = 0;
    const h = new Hand(v, setting, () => draw.current());
    view.current = v;
    hand.current = h;
    draw.current = () => {
      asked ||= requestAnimationFrame(() => {
        asked = 0;
        v.draw({ ...h.shown(), thickness: mapNow.current });
      });
    };
    const off = core.onPainting((p, rects, fresh) => {
      if (p.look !== 'fired' || p.zone !== h.zone?.id) return;
      v.take(p, rects, fresh);
      draw.current();
    });
    const wheel = (e: WheelEvent) => {
      const sideways = Math.abs(e.deltaX) > Math.abs(e.deltaY) || e.shiftKey;
      if (!sideways) return;
      v.pan(-(e.deltaX || e.deltaY), 0);
      draw.current();
      e.preventDefault();
    };
    c.addEventListener('wheel', wheel, { passive: false });
    again(0);
    return () => {
      off();
      c.removeEventListener('wheel', wheel);
      cancelAnimationFrame(asked);
    };
  }, [open]);

  const slip = piece.slips.find((s) => s.id === setting.slip);
  const thick = useThickness(thickness, piece, zone, slip);

  // What is shown, and how large.
  const mapNow = useRef<WindowMap | null>(null);
  mapNow.current = thick.map;
  const fit = useRef<() => void>(() => {});
  fit.current = () => {
    const v = view.current,
      h = hand.current;
    if (!v || !h || !place.current) return;
    h.show(zone);
    if (!h.chart) return;
    const most = Math.max(150, Math.min(innerHeight * 0.34, 420));
    v.fit(h.chart, place.current.clientWidth, most);
    draw.current();
  };
  useEffect(() => {
    const v = view.current,
      h = hand.current;
    if (!v || !h || !zone) return;
    h.show(zone);
    v.clear();
    const p = core.painting(zone.id, 'fired');
    if (p) v.take(p, [{ x: 0, y: 0, w: p.nx, h: p.ny }], true);
    fit.current();
  }, [zone?.id, zone, piece.form, view.current]);
  useEffect(() => {
    const seen = new ResizeObserver(() => fit.current());
    if (place.current) seen.observe(place.current);
    return () => seen.disconnect();
  }, []);
  useEffect(() => {
    if (hand.current) hand.current.setting = setting;
    draw.current();
  });

  useEffect(
    () =>
      onLaying(() => {
        if (!layingNow()) core.preview(null);
        again(0);
      }),
    [],
  );

  const [troubles, setTroubles] = useState<string[]>([]);
  useEffect(
    () =>
      core.onNumbers((n) => {
        setTroubles(n.troubles.map((t) => t.what));
        // How long it took in the worker, for whoever measures.
        const ms = core.took.numbers.toFixed(1);
        canvas.current?.setAttribute('data-ms', ms);
      }),
    [open],
  );

  useEffect(
    () =>
      core.onBusy((busy) =>
        canvas.current?.setAttribute('aria-busy', String(busy)),
      ),
    [open],
  );

  if (trouble) return <p class="no-picture">{trouble}</p>;
  const e = hand.current?.chosen() ?? null;
  const ways = WAYS.filter((w) => (w.disc ?? false) === (disc ?? false));
  const laying = layingNow();
  const drawing = setting.tool !== 'pick' && !laying;
  const closer = (k: number) => {
    const v = view.current;
    if (!v) return;
    v.closer = Math.min(6, Math.max(1, v.closer * k));
    fit.current();
    again(0);
  };
  return (
    <>
      <div class="band-words">
        <Choice
          legend="What the hand does"
          value={setting.tool}
          choices={TOOLS}
          onChoice={(tool) => set({ tool })}
        />
        <div class="band-right">
          {piece.zones.length > 1 ? (
            <Select
              label="The zone"
              value={zone?.id ?? ''}
              choices={piece.zones.map((z) => [z.id, bare(z.name ?? z.id)])}
              onChoice={(id) => {
                chosenByHand = true;
                store.selected = { zone: id };
              }}
            />
          ) : null}
          <label class="word">
            <input
              type="checkbox"
              checked={thickness}
              onChange={(x) => setThickness(x.currentTarget.checked)}
            />
            <span>thickness</span>
          </label>
          <p class="words">
            <button type="button" onClick={() => closer(1.5)}>
              closer
            </button>
            <button
              type="button"
              disabled={(view.current?.closer ?? 1) <= 1}
              onClick={() => closer(1 / 1.5)}
            >
              farther
            </button>
          </p>
        </div>
      </div>
      <div class="band-words band-second">
        {(drawing && setting.tool !== 'sgraffito') || thickness ? (
          <fieldset class="band-dabs">
            <legend class="unseen">The slip</legend>
            {piece.slips.map((s) => (
              <Dab
                key={s.id}
                slip={s}
                on={s.id === setting.slip}
                choose={() => set({ slip: s.id })}
              />
            ))}
          </fieldset>
        ) : null}
        {thickness && slip ? (
          <p class="band-key" role="status">
            <Outside of={thick} slip={slip} />
          </p>
        ) : null}
        {drawing && setting.tool !== 'fill' && !thickness ? (
          <Select
            label="The brush"
            value={setting.brush}
            choices={(piece.brushes ?? []).map((b) => [
              b.id,
              `${(b.name ?? b.id).toLowerCase()}, ${number(b.width_mm)} mm`,
            ])}
            onChoice={(brush) => set({ brush })}
          />
        ) : null}
        {laying ? (
          <p class="words">
            <span class="band-name">
              Touch where {bare(laying.motif.name ?? laying.motif.id)} is to
              lie.
            </span>
            <button type="button" onClick={() => lay(null)}>
              nothing
            </button>
          </p>
        ) : null}
        {drawing && setting.tool !== 'banding line' && !thickness ? (
          <>
            <Select
              label="How often"
              value={String(setting.count)}
              choices={[
                ...new Set([
                  1,
                  2,
                  3,
                  4,
                  5,
                  6,
                  7,
                  8,
                  9,
                  10,
                  12,
                  16,
                  24,
                  repeats,
                  setting.count,
                ]),
              ]
                .sort((a, b) => a - b)
                .map((n) => [
                  String(n),
                  n === 1 ? 'once' : `${counted(n, 'time')} round`,
                ])}
              onChoice={(n) => set({ count: Number(n) })}
            />
            {setting.count > 1 ? (
              <Select
                label="How it goes around"
                value={setting.way}
                choices={ways.map((w) => [w.way, w.says])}
                onChoice={(w) => set({ way: w as Setting['way'] })}
              />
            ) : null}
          </>
        ) : null}
        {!drawing && !laying && e && !thickness ? (
          <p class="words">
            <span class="band-name">{nameOf(piece, e)}</span>
            {movable(e) ? (
              <button type="button" onClick={() => hand.current?.copy()}>
                once more
              </button>
            ) : null}
            {e.repeat ? (
              <>
                <label class="word">
                  <input
                    type="checkbox"
                    checked={setting.oneOnly}
                    onChange={(x) => set({ oneOnly: x.currentTarget.checked })}
                  />
                  <span>move this one only</span>
                </label>
                {beside(piece, e).length ? (
                  <label class="word">
                    <input
                      type="checkbox"
                      checked={setting.together}
                      onChange={(x) =>
                        set({ together: x.currentTarget.checked })
                      }
                    />
                    <span>
                      with{' '}
                      {beside(piece, e)
                        .map((q) => nameOf(piece, q))
                        .join(', ')}
                    </span>
                  </label>
                ) : null}
                <button type="button" onClick={() => hand.current?.leaveOut()}>
                  leave this one out
                </button>
              </>
            ) : null}
            <button type="button" onClick={() => hand.current?.remove()}>
              take away
            </button>
          </p>
        ) : null}
        {!drawing && !laying && !e && !thickness ? (
          <p class="band-hint">
            Touch what is painted to move it; turn and size it by the small
            circle.
          </p>
        ) : null}
        {drawing && !thickness && slip && setting.tool !== 'sgraffito' ? (
          <Laid slip={slip} sign={confirmed} />
        ) : null}
      </div>
      <Apart of={confirmed} />
      {troubles.length ? (
        <p class="band-words" role="alert">
          Not painted: {troubles[0]}.
        </p>
      ) : null}
      <div class="band-place" ref={place}>
        <canvas
          ref={canvas}
          tabIndex={0}
          role="application"
          aria-roledescription="drawing"
          aria-label={`${bare(zone?.name ?? 'The band')}, unrolled. Page up and
            page down go through what is painted; the arrow keys move it, the
            square brackets turn it, plus and minus make it larger or smaller,
            Delete takes it away. All of it can be typed under What goes
            where.`.replace(/\s+/g, ' ')}
          data-tool={setting.tool}
          onPointerDown={(x) => hand.current?.down(x)}
          onPointerMove={(x) => hand.current?.move(x)}
          onPointerUp={(x) => hand.current?.up(x)}
          onPointerCancel={() => hand.current?.cancel()}
          onPointerLeave={() => hand.current?.leave()}
          onKeyDown={(x) => hand.current?.key(x)}
          onFocus={() => draw.current()}
          onBlur={() => draw.current()}
        />
      </div>
    </>
  );
}
