// SPDX-License-Identifier: GPL-3.0-or-later
// "I haven't got this": beside every material of a slip; then the recipes that
// can still be made, side by side, one of them as a batch, and put to use.

import { useMemo, useState } from 'preact/hooks';
import { store, type Slip } from '../store';
import type { Recipe } from '../piece';
import { pointer } from '../patch';
import { bare, fixed, num } from '../words';
import type { MixResult } from '../results';
import { useOp, usePiece, type Answer } from '../ui/hooks';
import { Head, Standing, Why } from '../ui/answer';

const CHOICES = 3;
const PLACE = ['nearest', 'second', 'third'];

interface Pair {
  old?: number;
  new?: number;
}
interface Substitute {
  choices: {
    recipe: {
      kind: string;
      lines: { material: string; parts: number }[];
      additions: { material: string; percent: number }[];
    };
    distance: number;
    sure?: {
      best_percent: number;
      what_matters_most: { material: string; oxide: string }[];
    };
    change: {
      loi_percent: Pair;
      plastic_clay_percent: Pair;
      oxides: { oxide: string; colouring: boolean; weight_percent: Pair }[];
      bars?: { make: string; why: string }[];
      never_on_a_tile: string[];
      book_open: boolean;
      new_hazards: { codes: string; materials: string };
    };
    cautions: { what: string; why: string; do: string }[];
  }[];
  proof: string | number;
  stock: string;
}

export interface Missing {
  slip: Slip | undefined;
  gone: string[];
  toggle: (material: string) => void;
  clear: () => void;
  used: boolean;
  use: (r: Recipe) => void;
}

/** What is missing of a slip's recipe; each slip has its own. */
export function useMissing(slip: Slip | undefined): Missing {
  const [of, setOf] = useState({ slip: '', gone: [] as string[], used: false });
  const piece = usePiece();
  const mine = slip && of.slip === slip.id;
  const gone = mine ? of.gone : [];
  const id = slip?.id ?? '';
  return {
    slip,
    gone,
    used: !!mine && of.used,
    toggle: (material) =>
      setOf({
        slip: id,
        used: false,
        gone: gone.includes(material)
          ? gone.filter((g) => g !== material)
          : [...gone, material],
      }),
    clear: () => setOf({ slip: id, gone: [], used: false }),
    use: (recipe) => {
      const i = piece.slips.findIndex((s) => s.id === id);
      if (i < 0) return;
      store.apply(
        [{ op: 'replace', path: pointer('slips', i, 'recipe'), value: recipe }],
        `use another recipe for ${bare(slip?.name ?? id)}`,
      );
      setOf({ slip: id, gone: [], used: true });
    },
  };
}

/** The words beside a material. */
export function HaveNot({ of, material }: { of: Missing; material: string }) {
  const on = of.gone.includes(material);
  return (
    <button
      type="button"
      class="have-not"
      aria-pressed={on}
      onClick={() => of.toggle(material)}
    >
      I haven’t got this
      <span class="unseen">: {bare(material)}</span>
    </button>
  );
}

/** Every material of the recipe, where no table of grams stands. */
export function Materials({ of }: { of: Missing }) {
  const r = of.slip?.recipe;
  if (!r) return null;
  const all = [
    ...r.lines.map((l) => ({ ...l, says: fixed(num(l.parts), 1) })),
    ...(r.additions ?? []).map((l) => ({
      ...l,
      says: `+ ${fixed(num(l.percent), 1)} %`,
    })),
  ];
  return (
    <table class="plain-table">
      <caption class="unseen">What it is made of, in parts</caption>
      <tbody>
        {all.map((l) => (
          <tr key={l.material}>
            <th scope="row">
              <span class="what">{bare(l.material)}</span>
              <HaveNot of={of} material={l.material} />
            </th>
            <td>{l.says}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Parts to the hundredth: as fine as any studio's scale weighs them. */
const round = (v: number) => Math.round(v * 100) / 100;
export const rounded = (r: Substitute['choices'][0]['recipe']): Recipe => ({
  kind: r.kind,
  lines: r.lines.map((l) => ({ ...l, parts: round(l.parts) })),
  ...(r.additions.length > 0
    ? {
        additions: r.additions.map((l) => ({
          ...l,
          percent: round(l.percent),
        })),
      }
    : {}),
});

const amounts = (r: Recipe | undefined): [string, number, boolean][] => [
  ...(r?.lines ?? []).map(
    (l) => [l.material, num(l.parts), false] as [string, number, boolean],
  ),
  ...(r?.additions ?? []).map(
    (l) => [l.material, num(l.percent), true] as [string, number, boolean],
  ),
];

/** Old and new in columns; the head of each is tapped to see its batch. */
function SideBySide(p: {
  old: Recipe;
  of: Substitute;
  chosen: number;
  onChoose: (k: number) => void;
}) {
  const columns = [
    amounts(p.old),
    ...p.of.choices.map((c) => amounts(rounded(c.recipe))),
  ];
  const names = [...new Set(columns.flat().map((a) => a[0]))];
  const cell = (column: [string, number, boolean][], name: string) => {
    const a = column.find((x) => x[0] === name);
    return a ? `${a[2] ? '+ ' : ''}${fixed(a[1], 1)}` : '–';
  };
  const facts: [string, string, string[]][] = [
    [
      'stays the nearest, % of draws',
      '',
      p.of.choices.map((c) => (c.sure ? fixed(c.sure.best_percent, 0) : '?')),
    ],
    [
      'plastic clay, %',
      fixed(p.of.choices[0]?.change.plastic_clay_percent.old ?? NaN, 0),
      p.of.choices.map((c) =>
        fixed(c.change.plastic_clay_percent.new ?? NaN, 0),
      ),
    ],
    [
      'loss on ignition, %',
      fixed(p.of.choices[0]?.change.loi_percent.old ?? NaN, 1),
      p.of.choices.map((c) => fixed(c.change.loi_percent.new ?? NaN, 1)),
    ],
  ];
  const on = (k: number) => (k === p.chosen ? 'chosen' : undefined);
  return (
    <div class="beside" tabIndex={0} role="region" aria-label="recipes">
      <table class="plain-table">
        <caption class="unseen">
          The old recipe and those that can still be made, in parts
        </caption>
        <thead>
          <tr>
            <th scope="col">parts</th>
            <th scope="col">old</th>
            {p.of.choices.map((_, k) => (
              <th scope="col" key={k} class={on(k)}>
                <button
                  type="button"
                  aria-pressed={k === p.chosen}
                  onClick={() => p.onChoose(k)}
                >
                  {PLACE[k] ?? String(k + 1)}
                </button>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {names.map((name) => (
            <tr key={name}>
              <th scope="row">{bare(name)}</th>
              {columns.map((c, k) => (
                <td key={k} class={on(k - 1)}>
                  {cell(c, name)}
                </td>
              ))}
            </tr>
          ))}
          {facts.map(([says, old, each]) => (
            <tr key={says} class="sure">
              <th scope="row">{says}</th>
              <td>{old}</td>
              {each.map((v, k) => (
                <td key={k} class={on(k)}>
                  {v}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** The chosen recipe as a batch, its cautions, and the word to use it. */
function Chosen(p: { of: Missing; choice: Substitute['choices'][0]; dry: number }) {
  const piece = usePiece();
  const slip = p.of.slip as Slip;
  const recipe = useMemo(() => rounded(p.choice.recipe), [p.choice]);
  const ask = useMemo(
    () => ({
      slip: { ...slip, recipe },
      dry_g: p.dry,
      scale_step_g: piece.mixing?.scale_step_g ?? 0.1,
      ...(piece.materials ? { materials: piece.materials } : {}),
    }),
    [slip, recipe, p.dry, piece.mixing, piece.materials],
  );
  const batch = useOp<MixResult>('mix', ask, 0);
  const c = p.choice.change;
  const colours = c.oxides.filter((o) => o.colouring);
  const first = p.choice.sure?.what_matters_most[0];
  return (
    <>
      <table class="grams">
        <caption class="unseen">What to weigh of it</caption>
        <thead>
          <tr>
            <th scope="col">{fixed(p.dry, 0)} g dry of it</th>
            <th scope="col">weigh, g</th>
            <th scope="col">it reads, g</th>
          </tr>
        </thead>
        <tbody>
          {(batch.result?.lines ?? []).map((l) => (
            <tr key={l.material}>
              <th scope="row">{bare(l.material)}</th>
              <td>{fixed(l.grams, 1)}</td>
              <td class="running">{fixed(l.running_g, 1)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <Standing of={batch} />
      <div class="words">
        <button type="button" onClick={() => p.of.use(recipe)}>
          Use it for {bare(slip.name ?? slip.id)}
        </button>
        <button type="button" onClick={p.of.clear}>
          Leave the recipe as it is
        </button>
      </div>
      <div class="care">
        {p.choice.cautions.map((x) => (
          <p key={x.what + x.why}>
            <b>{bare(x.what)}.</b> {x.why} {x.do}
          </p>
        ))}
        {c.new_hazards.codes ? (
          <p>
            <b>{c.new_hazards.materials}.</b> Brings hazards that the old recipe
            had not: {c.new_hazards.codes}. Ask for the supplier’s safety data
            sheet before you weigh it.
          </p>
        ) : null}
      </div>
      <Why summary="What will change, and how sure">
        <p>
          {colours.length > 0
            ? `Of what is fired: ${colours
                .map(
                  (o) =>
                    `${o.oxide} ${fixed(o.weight_percent.old ?? 0, 2)} to ${fixed(
                      o.weight_percent.new ?? 0,
                      2,
                    )} %`,
                )
                .join(', ')}. `
            : ''}
          A slip is no melt, so neither expansion nor viscosity is told. Make
          bars instead:
        </p>
        {(c.bars ?? []).map((b) => (
          <p key={b.make}>
            {b.make}: {b.why}.
          </p>
        ))}
        {first ? (
          <p>
            What matters most is the {first.oxide} of {bare(first.material)}: a
            fresh analysis of it is worth more than any other.
          </p>
        ) : null}
        <p>
          {c.book_open && c.never_on_a_tile.length > 0
            ? `Never on one of your tiles: ${c.never_on_a_tile
                .map(bare)
                .join(', ')}. `
            : ''}
          Its colour here was learned with the old recipe: fire a tile beside an
          old one before you trust it.
        </p>
      </Why>
    </>
  );
}

/** What can still be made; nothing while nothing is missing. */
export function Without({ of, dry }: { of: Missing; dry: number }) {
  const piece = usePiece();
  const [choice, setChoice] = useState(0);
  const recipe = of.slip?.recipe;
  const gone = of.gone.join('\n');
  const ask = useMemo(
    () =>
      recipe && gone
        ? {
            target: { recipe: { ...recipe, kind: recipe.kind ?? 'slip' } },
            without: gone.split('\n'),
            choices: CHOICES,
            ...(piece.materials ? { materials: piece.materials } : {}),
          }
        : undefined,
    [recipe, gone, piece.materials],
  );
  const answer: Answer<Substitute> = useOp<Substitute>('substitute', ask, 0);
  if (of.used) {
    return (
      <p class="plain" role="status">
        The recipe is changed; undo takes it back. Fire a tile beside an old
        one.
      </p>
    );
  }
  if (!ask || !recipe) return null;
  const r = answer.busy ? undefined : answer.result;
  const k = r && choice < r.choices.length ? choice : 0;
  const best = r?.choices[k];
  return (
    <section class="without" aria-label="recipes that can still be made">
      <h2>Without {of.gone.map(bare).join(' and ')}</h2>
      {r && best ? (
        <>
          <Head
            number={`${r.choices.length}`}
            what={
              r.choices.length === 1
                ? 'recipe can still be made'
                : 'recipes can still be made'
            }
            plain={
              <>
                The {PLACE[k]} is {fixed(best.distance, 2)} mole per cent away
                {r.proof === 'optimal'
                  ? '; none that could be made is nearer.'
                  : '; the search was stopped before all were seen.'}
              </>
            }
            sure={
              <>
                {best.sure
                  ? `Analyses are not exact: drawn anew, it stays the nearest in ${fixed(
                      best.sure.best_percent,
                      0,
                    )} % of the draws. `
                  : ''}
                The stock is {r.stock}.
              </>
            }
          />
          <SideBySide old={recipe} of={r} chosen={k} onChoose={setChoice} />
          <Chosen key={k} of={of} choice={best} dry={dry} />
        </>
      ) : null}
      <Standing of={answer.busy ? { busy: true, away: answer.away } : answer} />
    </section>
  );
}
