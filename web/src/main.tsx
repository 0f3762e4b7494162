// SPDX-License-Identifier: GPL-3.0-or-later
// The page starts here.

import { render } from 'preact';
import { followBook } from './book';
import { openLast } from './pieces';
import { Shell } from './ui/shell';

const root = document.getElementById('page') as HTMLElement;

openLast().then(
  () => {
    root.textContent = '';
    render(<Shell />, root);
    followBook();
  },
  (e: unknown) => {
    root.textContent = `The page could not open a piece: ${String(e)}`;
  },
);

if (isSecureContext && 'serviceWorker' in navigator) {
  navigator.serviceWorker.register('sw.js').catch((e: unknown) => {
    console.warn('not kept for when the server is away:', e);
  });
}
