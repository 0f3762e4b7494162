// SPDX-License-Identifier: GPL-3.0-or-later
// At the edges: a device that is no longer admitted, an answer that the page
// cannot show, what a refusal says, and plain http from another device.
import { networkInterfaces } from 'node:os';
import {
  ask,
  browse,
  check,
  open,
  PATIENCE,
  same,
  serve,
  settled,
  shot,
  suite,
  reached,
} from './house.mjs';

const key = (server) => new URL(server.address).hash.slice('#key='.length);

async function revoked(browser, server) {
  const { page, context } = await open(browser, server);
  await ask(page, 'mix');
  const bearer = { authorization: `Bearer ${key(server)}` };
  const { devices } = await (
    await fetch(`${server.origin}/api/devices`, { headers: bearer })
  ).json();
  for (const d of devices) {
    await fetch(`${server.origin}/api/devices/${d.id}`, {
      method: 'DELETE',
      headers: bearer,
    });
  }
  const pots = page.getByLabel('pots', { exact: true });
  await pots.fill('8');
  await pots.press('Enter');
  await page.waitForURL((u) => u.pathname === '/pair');
  await reached(
    page.waitForSelector('#form:not([hidden])'),
    'who is admitted no longer is led to where it can be',
  );
  await page.fill('#code', 'surely not');
  await page.click('button');
  await reached(
    page.waitForFunction(() =>
      /not right: take/.test(document.getElementById('say').textContent),
    ),
    'a wrong key: what is wrong, and what to do',
  );
  await shot(page, 'edge-pair');
  await page.fill('#code', key(server));
  await page.click('button');
  await page.waitForURL((u) => u.pathname === '/');
  let there;
  for (let i = 0; i < PATIENCE / 200 && there !== 8; i++) {
    there = await page.evaluate(async () => {
      const r = await fetch('/api/book/piece/tide-line');
      return r.ok ? (await r.json()).pots : 0;
    });
    await new Promise((ok) => setTimeout(ok, 200));
  }
  same(there, 8, 'admitted again: what was done meanwhile comes to the book');
  await context.close();
}

async function unshowable(browser, server) {
  const { page, context } = await open(browser, server);
  await page.route('**/api/mix', (route) => route.fulfill({ json: {} }));
  await ask(page, 'mix');
  const words = page.getByText('This answer cannot be shown for this piece.');
  await words.waitFor();
  await shot(page, 'edge-guard');
  check(
    (await page.locator('.pot-canvas').count()) === 1 &&
      (await page.locator('.band-place canvas').count()) === 1,
    'an answer that breaks takes neither pot nor band with it',
  );
  await page.unroute('**/api/mix');
  await ask(page, 'shape');
  same(await words.count(), 0, 'nor the other questions');
  await page.locator('.act').waitFor();
  await page.route('**/api/form', (route) =>
    route.fulfill({
      status: 422,
      contentType: 'application/problem+json',
      json: {
        type: '/api/#range',
        status: 422,
        title: 'a value is outside what can be answered',
        detail: 'the lip is below the foot',
        todo: 'measure it again',
        pointer: '/outside/3',
      },
    }),
  );
  // Another height is another question to the server.
  const field = page.getByLabel(/height/i).nth(3);
  await field.fill(String(Number(await field.inputValue()) + 0.5));
  await field.press('Enter');
  await page.getByText('the lip is below the foot').waitFor();
  const says = await page.locator('.refusal[role=alert]').first().textContent();
  check(
    /measure it again/.test(says) && !/outside what can be/.test(says),
    'a refusal says what is wrong here and what to do, not of which kind it is',
    says,
  );
  await context.close();
}

/** From another device: its own address, and no certificate. */
async function plainHttp(browser) {
  const own = Object.values(networkInterfaces())
    .flat()
    .find((x) => x.family === 'IPv4' && !x.internal);
  if (!own) {
    check(true, 'plain http from another device # SKIP no network here');
    return;
  }
  const server = await serve(undefined, { more: ['--studio-network'] });
  const origin = `http://${own.address}:${server.port}`;
  try {
    const { page, context } = await open(browser, {
      ...server,
      address: `${origin}/pair#key=${key(server)}`,
    });
    same(
      await page.evaluate(() => isSecureContext),
      false,
      'by its address it is no secure context',
    );
    await page.waitForSelector('.band-place canvas[aria-busy=false]');
    await page.locator('.piece-menu summary').click();
    const menu = page.locator('.menu-paper');
    await reached(
      menu.getByText('Plain http: others in this network can').waitFor(),
      'the page says that it can be read along',
    );
    await reached(
      menu.getByText('the page cannot be installed').waitFor(),
      'and what is missing',
    );
    await shot(page, 'edge-plain');
    await page.keyboard.press('Escape');
    await ask(page, 'colours');
    await settled(page);
    check(
      (await page.locator('.slip').count()) > 0,
      'and answers all the same',
    );
    await context.close();
    const stranger = await browser.newPage();
    await stranger.goto(`${origin}/pair`);
    await stranger.locator('#warning:not([hidden])').waitFor();
    check(
      /others in this network can read along/.test(
        await stranger.textContent('#warning'),
      ),
      'the pairing page says so before anything is typed',
    );
    await stranger.close();
  } finally {
    await server.stop();
  }
}

await suite(async (after) => {
  const browser = await browse();
  after(() => browser.close());
  const server = await serve();
  after(server.stop);
  await revoked(browser, server);
  await unshowable(browser, server);
  await plainHttp(browser);
});
