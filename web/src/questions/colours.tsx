// SPDX-License-Identifier: GPL-3.0-or-later
// Which colours?  Each slip thin to thick over what lies below it on this
// piece, its windows, where white is needed between, and how well neighbours
// are told apart.

import { useState } from 'preact/hooks';
import type { Piece, Slip } from '../store';
import { bare, capital, fixed, num } from '../words';
import type { Coverage } from '../results';
import type { Sight } from '../sight';
import { useOp, usePiece } from '../ui/hooks';
import { Choice } from '../ui/field';
import { Head, Standing, Why } from '../ui/answer';
import { Tiles, useHow } from '../ui/tiles';
import { Squares } from '../ui/tiles_squares';
import { ends, inWords, wanted, written } from '../windows';
import { Apart } from './apart';
import { Between } from './between';
import { Blended } from './blend';
import { Dabs, Said, mark, useStrips, type Strip } from './chips';
import { WindowOf } from './window';
import { Materials, Without, useMissing } from './without';

type Name = (id: string) => string;

const nameIn =
  (piece: Piece): Name =>
  (id) =>
    id === 'body'
      ? 'the body'
      : bare(piece.slips.find((s) => s.id === id)?.name ?? id);

/** The window that counts: the potter's own, else the one worked out. */
const counts = (slip: Slip, strips: Strip[] | undefined) =>
  written(slip) ?? ends(strips?.[0]?.window);

function coats(slip: Slip, span: [number, number] | undefined): string {
  if (!span) return '1';
  const r = (v: number) => {
    const n = v / num(slip.coat_g_m2);
    return fixed(n, n < 1 || n % 1 > 0.05 ? 1 : 0);
  };
  return Number.isFinite(span[1])
    ? `${r(span[0])}\u2013${r(span[1])}`
    : `${r(span[0])} or more`;
}

const SIGHTS: { value: Sight; says: string }[] = [
  { value: 'usual', says: 'as most eyes see' },
  { value: 'protanomaly', says: 'without red cones' },
  { value: 'deuteranomaly', says: 'without green' },
  { value: 'tritanomaly', says: 'without blue' },
];

/** One slip: its chips over each ground. */
function Chips(p: {
  piece: Piece;
  c: Coverage;
  slip: Slip;
  chosen: boolean;
  sight: Sight;
  name: Name;
  choose: () => void;
}) {
  const { slip, name } = p;
  const strips = useStrips(p.piece, p.c, slip);
  const span = counts(slip, strips.result);
  const safer =
    slip.window?.safer_side ??
    (slip.window ? undefined : strips.result?.[0]?.window?.safer_side);
  const invented = mark(slip);
  const [how, setHow] = useHow();
  return (
    <section class={'slip' + (p.chosen ? ' chosen' : '')}>
      <h2>
        <button type="button" aria-pressed={p.chosen} onClick={p.choose}>
          {name(slip.id)}
        </button>
        <span class="sure">
          {span ? `${coats(slip, span)} coats` : ''}
          {safer ? `, the ${safer} side is safer` : ''}
        </span>
      </h2>
      <Standing of={strips} />
      {(strips.result ?? []).map((t) => (
        <figure key={t.over}>
          <Dabs strip={t} slip={slip} sight={p.sight} />
          {p.chosen ? (
            <Squares
              piece={p.piece}
              slip={slip}
              strip={t}
              name={name}
              how={how}
            />
          ) : null}
          <Said strip={t} slip={slip} over={name(t.over)} />
        </figure>
      ))}
      {invented ? <p class="mark">{invented}</p> : null}
      <Tiles
        piece={p.piece}
        slip={slip}
        strips={strips.result ?? []}
        name={name}
        chosen={p.chosen}
        how={how}
        onHow={setHow}
      />
    </section>
  );
}

/** The number to act on, of the slip chosen. */
function Act(p: {
  slip: Slip;
  strips: Strip[] | undefined;
  c: Coverage | undefined;
  name: Name;
}) {
  const { slip, strips } = p;
  const best = wanted(slip);
  const wet = useOp<{ wet_mm: number }>(
    'coat',
    {
      coat_g_m2: best,
      litre_weight_g: slip.litre_weight_g,
      ...(slip.solids_density === undefined
        ? {}
        : { solids_density: slip.solids_density }),
    },
    0,
  );
  const span = counts(slip, strips);
  const strip = strips?.[0];
  const doubt = strip?.dabs.reduce((a, b) =>
    Math.abs(b.g - best) < Math.abs(a.g - best) ? b : a,
  ).shade.range.delta_e00;
  const use = p.c?.slips.find((s) => s.slip === slip.id);
  const found = slip.window && ends(strip?.window);
  return (
    <Head
      number={coats(slip, span)}
      what={`coats of ${p.name(slip.id)}`}
      plain={
        <>
          {span
            ? `${capital(inWords(span))} dry; aim for ${fixed(best, 0)}`
            : `${fixed(best, 0)} g/m² dry`}
          {wet.result ? `, ${fixed(wet.result.wet_mm, 2)} mm wet` : ''}.{' '}
          {slip.window?.why ?? ''}
        </>
      }
      sure={
        <>
          {found
            ? `Worked out: right ${inWords(found)}, over ${p.name(strip?.over ?? '')}. `
            : ''}
          {use && use.area_cm2 > 0
            ? `As drawn it lies ${fixed(use.coat_g_m2, 0)} g/m² on average, ${fixed(
                use.heaviest_g_m2,
                0,
              )} at the thickest. `
            : 'It lies nowhere on this piece. '}
          {doubt !== undefined
            ? `Nine in ten fire within \u0394E ${fixed(doubt, 1)} of the dab. `
            : ''}
          {slip.invented ? `Its colour is ${mark(slip)}.` : ''}
        </>
      }
    />
  );
}

function WhyColours() {
  return (
    <Why>
      <p>
        Dabs are fired colours under this glaze, in daylight and without its
        shine, by the absorption and scattering that the piece gives for each
        slip (Kubelka and Munk).
      </p>
      <p>
        The bracket is the window worked out: coat weights that fire within ΔE 3
        (6 where tiles were read from photographs; judgements) of the colour at
        the best coat. Its ends are blurred as far as they are unsure, nine
        times in ten. The dotted bracket is the window that the piece holds.
        Where it covers, body and white ground below differ by no more than ΔE
        1; the small tick is contrast ratio 0.98 over black and white (ISO
        6504).
      </p>
      <p>
        ΔE is the colour difference ΔE00 (CIEDE2000): about 1 is just seen side
        by side. Below 3 counts here as hardly told apart, below 10 as close:
        judgements. Daylight is D65, warm daylight D50, lamplight A. Eyes that
        lack one kind of cone are simulated after Machado, Oliveira and
        Fernandes (2009), at full strength; real eyes differ.
      </p>
    </Why>
  );
}

export function Colours() {
  const piece = usePiece();
  const [chosen, setChosen] = useState('');
  const [sight, setSight] = useState<Sight>('usual');
  const coverage = useOp<Coverage>('coverage', piece, 400);
  const c = coverage.result;
  const slip =
    piece.slips.find((s) => s.id === chosen) ??
    piece.slips.find((s) => !s.ground) ??
    piece.slips[0];
  const strips = useStrips(piece, c, slip).result;
  const missing = useMissing(slip);
  if (!slip) return <p>There is no slip in this piece yet.</p>;
  const name = nameIn(piece);
  return (
    <>
      <Act slip={slip} strips={strips} c={c} name={name} />
      <Standing of={coverage} />
      <div class="slips">
        {(c ? piece.slips : []).map((s) => (
          <Chips
            key={s.id}
            piece={piece}
            c={c as Coverage}
            slip={s}
            chosen={s === slip}
            sight={sight}
            name={name}
            choose={() => setChosen(s.id)}
          />
        ))}
      </div>
      <WindowOf slip={slip} strips={strips} name={name} />
      <Blended
        piece={piece}
        slip={slip}
        strip={strips?.[0]}
        sight={sight}
        name={name}
      />
      <Between piece={piece} sight={sight} name={name} />
      <Apart
        piece={piece}
        c={c}
        sight={sight}
        name={name}
        eyes={
          <Choice
            legend="Whose eyes"
            value={sight}
            choices={SIGHTS}
            onChoice={setSight}
          />
        }
      />
      {slip.recipe ? (
        <>
          <h2>{capital(name(slip.id))}, what it is made of</h2>
          <Materials of={missing} />
          <Without of={missing} dry={500} />
        </>
      ) : null}
      <WhyColours />
    </>
  );
}
