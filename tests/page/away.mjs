// SPDX-License-Identifier: GPL-3.0-or-later
// The server goes away and comes back: the page says so, loses nothing, even
// over a reload that the server does not answer, and asks again by itself.
import {
  PATIENCE,
  ask,
  browse,
  check,
  open,
  same,
  serve,
  reached,
} from './house.mjs';
import { settled, shot, suite } from './house.mjs';

const state = (page) => page.textContent('.state');
const says = (page, words) =>
  page.waitForFunction((w) => document.body.textContent.includes(w), words, {
    timeout: PATIENCE,
  });

await suite(async (after) => {
  let server = await serve();
  after(() => server.stop());
  const browser = await browse();
  after(() => browser.close());
  const { context, page } = await open(browser, server);
  await ask(page, 'mix');
  same(await state(page), '', 'while the server is there nothing is said');
  check(
    await page.evaluate(async () => {
      const r = await navigator.serviceWorker.ready;
      for (let i = 0; i < 100 && !r.active; i++) {
        await new Promise((ok) => setTimeout(ok, 50));
      }
      return r.active !== null;
    }),
    'on loopback the page is kept for when the server is away',
  );
  const manifest = await page.evaluate(async () =>
    (await fetch(document.querySelector('link[rel=manifest]').href)).json(),
  );
  check(
    manifest.start_url && manifest.icons.length && manifest.display,
    'and can be installed: a manifest with a start and an icon',
  );
  const keptFiles = await page.evaluate(async () => {
    const names = await caches.keys();
    const all = await (await caches.open(names[0])).keys();
    return all.map((r) => new URL(r.url).pathname);
  });
  check(
    ['/app.js', '/app.css', '/sample.json'].every((f) => keptFiles.includes(f)),
    'its files are kept',
    keptFiles.join(' '),
  );
  check(
    !keptFiles.some((f) => f.startsWith('/api')),
    'no answer of the server is among them',
  );

  const { port } = server;
  await server.stop();
  const pots = page.getByLabel('pots', { exact: true });
  await pots.fill('9');
  await pots.press('Enter');
  await reached(
    says(page, 'The server is away. What you do is kept in this browser.'),
    'the page says that the server is away, and where work is kept',
  );
  await reached(
    says(page, 'this is its last answer'),
    'and that the answer is from before',
  );
  same(await pots.inputValue(), '9', 'what was typed stands');
  await shot(page, 'away');
  await page.waitForTimeout(1000);
  await page.reload();
  await page.waitForSelector('main');
  same(
    await page.getByLabel('pots', { exact: true }).inputValue(),
    '9',
    'a reload without a server loses nothing',
  );
  await page.getByRole('button', { name: 'undo' }).click();
  await page.getByRole('button', { name: 'redo' }).click();
  await says(page, 'The server is away. What you do is kept in this browser.');
  // Until nothing is asked any more but by what waits for the server.
  await page.waitForTimeout(3000);

  server = await serve(port);
  await reached(
    page.waitForFunction(
      () => document.querySelector('.state')?.textContent === '',
      undefined,
      { timeout: PATIENCE },
    ),
    'the server is back: the page notices by itself',
  );
  await reached(
    page.waitForFunction(
      () =>
        /nine pots/.test(document.querySelector('.head')?.textContent ?? ''),
      undefined,
      { timeout: PATIENCE },
    ),
    'and the answer is the new one, for nine pots',
  );
  await settled(page);
  let pots_there;
  for (let i = 0; i < 100 && pots_there !== 9; i++) {
    pots_there = await page.evaluate(
      async () =>
        (await (await fetch('/api/book/piece/tide-line')).json()).pots,
    );
    await new Promise((ok) => setTimeout(ok, 100));
  }
  same(pots_there, 9, 'what was done meanwhile has come to the book');
  await context.close();
});
