// SPDX-License-Identifier: GPL-3.0-or-later
// The page starts here.

import { render } from 'preact';
import { onStranger } from './api';
import { followBook } from './book';
import { openLast } from './pieces';
import { store } from './store';
import { Shell } from './ui/shell';

const root = document.getElementById('page') as HTMLElement;

// To where it can be admitted; what is not sent yet waits in the browser.  Where
// that keeps nothing the page stays, and says why nothing is answered.
onStranger(() => {
  if (store.isOpen && store.unsent.length && !store.safe) return;
  void store.settled().then(() => location.assign('pair'));
});

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
