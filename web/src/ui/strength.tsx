// SPDX-License-Identifier: GPL-3.0-or-later
// How strong the fired view is shown: as the tiles say, or as pale or as
// strong as they leave open.  Asked only while colours are; then the pot is
// as expected again.

import { useEffect, useState } from 'preact/hooks';
import { core, type Strength } from '../core';
import { Choice } from './field';
import { useRoute } from './hooks';

const STRENGTHS: { value: Strength; says: string }[] = [
  { value: 'pale', says: 'pale' },
  { value: 'expected', says: 'as expected' },
  { value: 'strong', says: 'strong' },
];

/** The strength shown, and whether it is to be asked now. */
export function useStrength(): [Strength, (to: Strength) => void, boolean] {
  const asked = useRoute() === 'colours';
  const [now, set] = useState<Strength>(core.strengthNow);
  useEffect(() => core.onStrength(set), []);
  useEffect(() => {
    if (!asked) core.strength('expected');
  }, [asked]);
  return [now, (to) => core.strength(to), asked];
}

export function StrengthChoice(p: {
  value: Strength;
  onChoice: (to: Strength) => void;
}) {
  return (
    <Choice
      legend="How strong, within what the tiles leave open"
      value={p.value}
      choices={STRENGTHS}
      onChoice={p.onChoice}
    />
  );
}
