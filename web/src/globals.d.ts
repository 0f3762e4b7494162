// SPDX-License-Identifier: GPL-3.0-or-later
// What the build puts in: tables as text, the places that other folders fill,
// the list of built files.
declare module '*.csv' {
  const text: string;
  export default text;
}
declare module 'place:pot' {
  import type { FunctionComponent } from 'preact';
  export const Pot: FunctionComponent<{
    view: 'fired' | 'painted' | 'both';
  }> | null;
}
declare module 'place:band' {
  import type { FunctionComponent } from 'preact';
  export const Band: FunctionComponent | null;
}
declare const BUILT_FILES: string[];
declare const BUILT_HASH: string;
