// SPDX-License-Identifier: GPL-3.0-or-later
// What is painted, in painting order.

import { pointer } from '../patch';
import { store, type Painted, type Piece } from '../store';
import { count, num } from '../words';
import { nameOf, slipsOf, zoneName } from './painting';

export function Order({ piece, chosen }: { piece: Piece; chosen: number }) {
  const move = (to: number) => {
    store.apply(
      [
        {
          op: 'move',
          from: pointer('painting', chosen),
          path: pointer('painting', to),
        },
      ],
      `paint ${nameOf(piece, piece.painting[chosen] as Painted)} ${
        to < chosen ? 'earlier' : 'later'
      }`,
    );
  };
  const copy = () => {
    const e = piece.painting[chosen] as Painted;
    const ids = new Set(JSON.stringify(piece).match(/"id":"[^"]*"/g));
    const fresh = (id: string) => {
      let n = 2;
      while (ids.has(`"id":"${id}-${n}"`)) n++;
      return `${id}-${n}`;
    };
    const value: Painted = { ...e, id: fresh(e.id) };
    if (e.mark) value.mark = { ...e.mark, id: fresh(e.mark.id) };
    store.apply(
      [{ op: 'add', path: pointer('painting', chosen + 1), value }],
      `paint ${nameOf(piece, e)} once more`,
    );
    store.selected = { zone: value.zone, entry: value.id };
  };
  const away = () => {
    const e = piece.painting[chosen] as Painted;
    store.apply(
      [{ op: 'remove', path: pointer('painting', chosen) }],
      `take ${nameOf(piece, e)} away`,
    );
    store.selected = { zone: e.zone };
  };
  return (
    <>
      <ol class="order">
        {piece.painting.map((e, i) => (
          <li key={e.id}>
            <button
              type="button"
              aria-pressed={i === chosen}
              onClick={() => (store.selected = { zone: e.zone, entry: e.id })}
            >
              <b>{nameOf(piece, e)}</b>
              <span>
                {slipsOf(piece, e)}
                {e.repeat ? `, ${count(num(e.repeat.count), 'time')}` : ''}
              </span>
              <span class="sure">{zoneName(piece, e.zone)}</span>
            </button>
          </li>
        ))}
      </ol>
      <p class="words">
        <button
          type="button"
          disabled={chosen <= 0}
          onClick={() => move(chosen - 1)}
        >
          earlier
        </button>
        <button
          type="button"
          disabled={chosen < 0 || chosen >= piece.painting.length - 1}
          onClick={() => move(chosen + 1)}
        >
          later
        </button>
        <button type="button" disabled={chosen < 0} onClick={copy}>
          once more
        </button>
        <button
          type="button"
          disabled={chosen < 0 || piece.painting.length < 2}
          onClick={away}
        >
          take away
        </button>
      </p>
    </>
  );
}
