// SPDX-License-Identifier: GPL-3.0-or-later
// The seven questions one asks about a pot.

import type { FunctionComponent } from 'preact';
import { Shape } from './shape';
import { Where } from './where';
import { Colours } from './colours';
import { Mix } from './mix';

export interface Question {
  route: string;
  asks: string;
  Answer: FunctionComponent;
}

/** One line for a question whose room comes later. */
const later = (line: string) => () => (
  <p class="plain later">
    {line} <span class="sure">This is still to come.</span>
  </p>
);

export const QUESTIONS: Question[] = [
  { route: 'shape', asks: 'What shape?', Answer: Shape },
  { route: 'where', asks: 'What goes where?', Answer: Where },
  { route: 'colours', asks: 'Which colours?', Answer: Colours },
  { route: 'mix', asks: 'How much to mix?', Answer: Mix },
  {
    route: 'order',
    asks: 'In what order?',
    Answer: later(
      'Here will stand what to do next and when: clock times for all your ' +
        'pots, the waits between coats, planned anew when you tap that a ' +
        'coat has lost its shine.',
    ),
  },
  {
    route: 'fire',
    asks: 'How to fire?',
    Answer: later(
      'Here will stand the firing plan, ramp by ramp, the log of your kiln ' +
        'beside it, and whether body, slip and glaze hold together.',
    ),
  },
  {
    route: 'tests',
    asks: 'What did the tests say?',
    Answer: later(
      'Here will stand your tiles and bars: what they taught about each ' +
        'slip, and how far that can be trusted.',
    ),
  },
];
