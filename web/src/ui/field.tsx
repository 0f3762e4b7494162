// SPDX-License-Identifier: GPL-3.0-or-later
// Fields.  A number may be typed with point or comma; it counts when the
// field is left or Enter is pressed; what cannot be is said below it and the
// piece stays as it was.  Escape takes back what was typed.

import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { plain, readNumber } from '../words';
import type { Num } from '../piece';

interface NumberFieldProps {
  label: string;
  value: Num | undefined | null;
  unit?: string;
  least?: number;
  most?: number;
  whole?: boolean;
  /** May be emptied: then `onNumber` gets undefined. */
  optional?: boolean;
  /** What holds when it is empty. */
  without?: string;
  /** The label is read out but not shown (in tables). */
  quiet?: boolean;
  onNumber: (v: number | undefined) => void;
  onFocus?: () => void;
}

export function NumberField(p: NumberFieldProps) {
  const id = useId();
  const shown = plain(p.value);
  const [text, setText] = useState(shown);
  const [why, setWhy] = useState('');
  const typing = useRef(false);
  useEffect(() => {
    // What is being typed is not swept away by a change from elsewhere.
    if (typing.current) return;
    setText(shown);
    setWhy('');
  }, [shown]);

  const check = (t: string): string | number | undefined => {
    if (p.optional && t.trim() === '') return undefined;
    const r = readNumber(t);
    if ('why' in r) return r.why;
    const v = r.value;
    if (p.whole && !Number.isInteger(v)) return 'a whole number is wanted';
    if (p.least !== undefined && v < p.least) return `at least ${p.least}`;
    if (p.most !== undefined && v > p.most) return `at most ${p.most}`;
    return v;
  };
  const commit = () => {
    if (text === shown) {
      typing.current = false;
      return setWhy('');
    }
    const v = check(text);
    if (typeof v === 'string') return setWhy(v);
    typing.current = false;
    setWhy('');
    if (plain(v) === shown) return setText(shown);
    try {
      p.onNumber(v);
    } catch (e) {
      setWhy(e instanceof Error ? e.message : String(e));
    }
  };
  return (
    <div class={'field' + (p.quiet ? ' field-quiet' : '')}>
      <label for={id} class={p.quiet ? 'unseen' : ''}>
        {p.label}
      </label>
      <span class="field-in">
        <input
          id={id}
          type="text"
          inputMode="decimal"
          autocomplete="off"
          value={text}
          data-shown={shown}
          placeholder={p.without ?? ''}
          aria-invalid={why ? 'true' : 'false'}
          aria-describedby={why ? id + '-why' : undefined}
          onInput={(e) => {
            typing.current = true;
            setText(e.currentTarget.value);
          }}
          onFocus={(e) => {
            e.currentTarget.select();
            p.onFocus?.();
          }}
          onBlur={commit}
          onKeyDown={(e) => {
            if (e.key === 'Enter') commit();
            if (e.key === 'Escape') {
              typing.current = false;
              setText(shown);
              setWhy('');
            }
          }}
        />
        {p.unit ? <span class="unit">{p.unit}</span> : null}
      </span>
      {why ? (
        <span id={id + '-why'} class="why-not" role="alert">
          {why}
        </span>
      ) : null}
    </div>
  );
}

interface ChoiceProps<T extends string> {
  legend: string;
  quiet?: boolean;
  value: T;
  choices: { value: T; says: ComponentChildren }[];
  onChoice: (v: T) => void;
}

/** One of several, as words in a row; the arrow keys go through them. */
export function Choice<T extends string>(p: ChoiceProps<T>) {
  const name = useId();
  return (
    <fieldset class="choice">
      <legend class={p.quiet === false ? '' : 'unseen'}>{p.legend}</legend>
      {p.choices.map((c) => (
        <label key={c.value} class="word">
          <input
            type="radio"
            name={name}
            value={c.value}
            checked={c.value === p.value}
            onChange={() => p.onChoice(c.value)}
          />
          <span>{c.says}</span>
        </label>
      ))}
    </fieldset>
  );
}

interface SelectProps {
  label: string;
  value: string;
  choices: { value: string; says: string }[];
  onChoice: (v: string) => void;
}

export function Select(p: SelectProps) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{p.label}</label>
      <select
        id={id}
        value={p.value}
        onChange={(e) => p.onChoice(e.currentTarget.value)}
      >
        {p.choices.map((c) => (
          <option key={c.value} value={c.value}>
            {c.says}
          </option>
        ))}
      </select>
    </div>
  );
}

export function Tick(p: {
  label: string;
  value: boolean;
  onTick: (v: boolean) => void;
}) {
  return (
    <label class="tick">
      <input
        type="checkbox"
        checked={p.value}
        onChange={(e) => p.onTick(e.currentTarget.checked)}
      />
      <span>{p.label}</span>
    </label>
  );
}
