// SPDX-License-Identifier: GPL-3.0-or-later
// Admit this device: by the key in the address that the terminal printed, or
// by a code typed in.  The key stands behind the # so that it is never sent
// as part of an address.
'use strict';
const at = (id) => document.getElementById(id);
const say = (text) => { at('say').textContent = text; };

async function pair(code, name) {
  const answer = await fetch('/api/pair', {
    method: 'POST',
    headers: {'Content-Type': 'application/json'},
    body: JSON.stringify({code, name}),
  });
  const is = await answer.json();
  if (answer.ok) {
    location.replace('/');
    return;
  }
  const what = is.detail || is.title;
  say(`${what[0].toUpperCase()}${what.slice(1)}${is.todo ? `: ${is.todo}` : ''}.`);
  at('form').hidden = false;
  at('code').focus();
}

at('form').addEventListener('submit', (event) => {
  event.preventDefault();
  pair(at('code').value, at('name').value)
    .catch(() => say('The server does not answer.'));
});

async function begin() {
  const about = await (await fetch('/api/about')).json();
  const words = new URLSearchParams(location.hash.slice(1));
  if (about.warning) {
    at('warning').textContent = about.warning;
    at('warning').hidden = false;
  }
  if (words.has('key')) {
    history.replaceState(null, '', '/pair');
    await pair(words.get('key'), 'this computer');
  } else if (words.has('code')) {
    history.replaceState(null, '', '/pair');
    at('code').value = words.get('code');
    say('Say what to call this device, then admit it.');
    at('form').hidden = false;
    at('name').select();
  } else if (about.admitted) {
    location.replace('/');
  } else {
    say(about.network
      ? 'Type the code that the computer shows.'
      : 'Open the address that leatherhard serve printed, or type its key.');
    if (!about.network) {
      at('code').inputMode = 'text';
      at('what').textContent = 'The key, behind #key= in that address';
    }
    at('form').hidden = false;
    at('code').focus();
  }
}
const start = () =>
  begin().catch(() => say('The server does not answer.'));
addEventListener('hashchange', () => { if (location.hash) start(); });
start();
