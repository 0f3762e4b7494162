// SPDX-License-Identifier: GPL-3.0-or-later
// What goes where?  The painting order as a list, and the numbers of what is
// chosen: everything that can be drawn can also be typed.

import { useMemo } from 'preact/hooks';
import { store } from '../store';
import { pointer } from '../patch';
import { bare, count, num, small } from '../words';
import type { Coverage } from '../results';
import { useOp, usePiece } from '../ui/hooks';
import { Head, Standing, Why } from '../ui/answer';
import { KeepMotif, Motifs } from '../ui/motifs';
import { Around, Placing } from './around';
import { Marks } from './marks';
import { Order } from './order';
import { nameOf, zoneName } from './painting';
import { left, Own, Tightest } from './spacing';

export function Where() {
  const piece = usePiece();
  const answer = useOp<Coverage>('coverage', piece, 400);
  const c = answer.result;
  const chosen = piece.painting.findIndex((e) => e.id === store.selected.entry);
  const e = piece.painting[chosen];
  const tight = useMemo(() => {
    const all = (c?.clearances ?? []).filter((x) =>
      piece.painting.some((p) => p.id === x.painted),
    );
    return all.sort((a, b) => left(a) - left(b))[0];
  }, [c, piece]);
  const narrow = tight && piece.painting.find((p) => p.id === tight.painted);
  const own = c?.clearances.find((x) => x.painted === e?.id);
  return (
    <>
      {tight && narrow ? (
        <Tightest
          x={tight}
          name={nameOf(piece, narrow)}
          where={`${count(num(narrow.repeat?.count, 1), 'time')} around, on ${bare(
            small(zoneName(piece, narrow.zone)),
          )}`}
        />
      ) : c ? (
        <Head
          number={String(piece.painting.length)}
          what="things to paint, one after the other"
        />
      ) : null}
      <Standing of={answer} />
      <h2>In painting order</h2>
      <Order piece={piece} chosen={chosen} />
      {e ? (
        <section class="chosen-entry" aria-label={nameOf(piece, e)}>
          <h2>{nameOf(piece, e)}</h2>
          {own ? <Own x={own} /> : null}
          <Placing piece={piece} at={pointer('painting', chosen)} e={e} />
          {e.motif ? (
            <Around piece={piece} at={pointer('painting', chosen)} e={e} />
          ) : e.mark && !e.mark.whole_zone && e.mark.kind !== 'banding line' ? (
            <Around piece={piece} at={pointer('painting', chosen)} e={e} />
          ) : null}
          <Marks piece={piece} at={pointer('painting', chosen)} e={e} />
          <KeepMotif piece={piece} e={e} />
        </section>
      ) : (
        <p class="sure">Choose a line to see and change its numbers.</p>
      )}
      <Motifs />
      <Why summary="How it is meant">
        <p>
          The order of the list is the order of painting. Paint one colour
          everywhere before the next, light to dark, and the sgraffito last.
          Where marks cross, their coats add up.
        </p>
        <p>
          A drawing sits at a place of the pot: so many turns around, so many
          millimetres up the wall from the lower edge of its zone. There it is
          true to size.
        </p>
      </Why>
    </>
  );
}
