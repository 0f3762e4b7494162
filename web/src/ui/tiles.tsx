// SPDX-License-Identifier: GPL-3.0-or-later
// A slip's own tiles, under its chips.

import type { Slip } from '../store';

interface TilesProps {
  slip: Slip;
  /** It is the slip that is looked at closely. */
  chosen: boolean;
}

/** What the tiles of a slip say; nothing where none is kept. */
export function Tiles({ slip, chosen }: TilesProps) {
  const from = slip.optics_from;
  return chosen && typeof from === 'string' ? (
    <p class="sure tiles-from">{from}.</p>
  ) : null;
}
