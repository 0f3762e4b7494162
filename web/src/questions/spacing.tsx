// SPDX-License-Identifier: GPL-3.0-or-later
// The space between neighbours, as painted and as it fires.

import { Head } from '../ui/answer';
import type { Clearance } from '../results';
import { fixed, span } from '../words';

/** What is left when fired, where a bleed is known; else as painted. [mm] */
export const left = (x: Clearance): number =>
  x.fired_clearance_mm ?? x.clearance_mm;

/** "0.8 mm painted, 0.30 mm each side bleeds". */
function bleeds(x: Clearance): string {
  const [a = 0, b = 0] = x.bleed_mm ?? [];
  const both =
    Math.abs(a - b) < 0.005
      ? `${fixed(a, 2)} mm each side bleeds`
      : `${fixed(a, 2)} and ${fixed(b, 2)} mm bleed`;
  return `${fixed(x.clearance_mm, 1)} mm painted, ${both}`;
}

/** The tightest of a piece.  name: whose neighbours; where: how often it
 *  stands, and on what. */
export function Tightest(props: { x: Clearance; name: string; where: string }) {
  const { x, name, where } = props;
  const fired = x.fired_clearance_mm_range;
  const when = fired ? ' when fired' : '';
  if (left(x) < 0) {
    return (
      <Head
        number={fixed(-left(x), 1)}
        what={`mm into each other${when}`}
        plain={
          x.clearance_mm < 0 || !fired
            ? `${name} runs into its neighbour.`
            : `${name} will touch its neighbour: ${bleeds(x)}.`
        }
        sure={fired && `${span(fired, 1)} mm left, by the bleeds’ own errors.`}
      />
    );
  }
  return (
    <Head
      number={fixed(left(x), 1)}
      what={`mm to spare between neighbours${when}`}
      plain={`${name} stands closest: ${where}.${fired ? ` ${bleeds(x)}.` : ''}`}
      sure={
        fired
          ? `${span(fired, 1)} mm, by the bleeds’ own errors.`
          : `${span(x.clearance_mm_range, 1)} mm, as exactly as the pot is measured.`
      }
    />
  );
}

/** Of what is chosen. */
export function Own({ x }: { x: Clearance }) {
  return (
    <p class="sure">
      {fixed(x.clearance_mm, 1)} mm to spare between neighbours (
      {span(x.clearance_mm_range, 1)})
      {x.fired_clearance_mm_range
        ? ` as painted, ${fixed(left(x), 1)} mm (${span(
            x.fired_clearance_mm_range,
            1,
          )}) when fired.`
        : '.'}
    </p>
  );
}
