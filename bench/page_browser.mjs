// SPDX-License-Identifier: GPL-3.0-or-later
// A stroke drawn by a pen in a real browser: how long the page's worker takes
// from a message that the stroke grew, or is done, until its numbers are ready.
//
//   node bench/page_browser.mjs LEATHERHARD DIST SOURCE-ROOT
//
// The clock runs inside the worker (performance.now), from the arrival of the
// message on: reading it, patching the piece, laying, measuring.  Other work on
// the machine is in these times; beside them stands the processor time of the
// worker's thread by message, colours included, which hardly knows of others.
// Pieces: the sample, and an invented cylinder whose map is 3600 x 480 pixels.
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { browse, open, root, serve } from '../tests/page/house.mjs';
import { BAND, choose, rest } from '../tests/page/pen.mjs';
import { painted } from './page_piece.mjs';

const STROKES = 10, MOVES = 30, TIMES = 8;

/** Processor time of the worker's thread. [ms] */
function spent() {
  let ns = 0;
  for (const pid of readdirSync('/proc').filter((p) => /^\d+$/.test(p))) {
    try {
      if (!/--type=renderer/.test(readFileSync(`/proc/${pid}/cmdline`, 'utf8')))
        continue;
      for (const t of readdirSync(`/proc/${pid}/task`)) {
        const at = `/proc/${pid}/task/${t}`;
        if (!/DedicatedWorker/.test(readFileSync(`${at}/comm`, 'utf8'))) continue;
        ns += Number(readFileSync(`${at}/schedstat`, 'utf8').split(' ')[0]);
      }
    } catch {
      // it ended meanwhile
    }
  }
  return ns / 1e6;
}

/** Hear what the page says to its worker and what comes back. */
function overhear() {
  const Real = window.Worker;
  window.heard = [];
  window.Worker = class extends Real {
    kinds = new Map();
    constructor(...a) {
      super(...a);
      this.addEventListener('message', ({ data: m }) => {
        if (m.kind === 'numbers')
          window.heard.push({ kind: this.kinds.get(m.n), ms: m.ms });
        else if (m.kind === 'skins' && window.heard.length)
          window.heard[window.heard.length - 1].skins = m.ms;
      });
    }
    postMessage(m, ...more) {
      if (m.n) this.kinds.set(m.n, m.settles ? 'settle' : m.kind);
      super.postMessage(m, ...more);
    }
  };
}

async function stroke(page, cdp, k) {
  const box = await page.locator(BAND).boundingBox();
  const say = (type, i) =>
    cdp.send('Input.dispatchMouseEvent', {
      type,
      x: box.x + 60 + ((97 * k) % (box.width - 320)) + 3 * i,
      y: box.y + box.height * (0.25 + 0.5 * ((k * 0.37) % 1)) +
        12 * Math.sin(i / 5 + k),
      force: 0.2 + 0.6 * Math.sin((Math.PI * i) / MOVES),
      button: 'left',
      buttons: type === 'mouseReleased' ? 0 : 1,
      pointerType: 'pen',
      clickCount: 1,
    });
  await say('mousePressed', 0);
  for (let i = 1; i < MOVES; i++) await say('mouseMoved', i);
  await say('mouseReleased', MOVES - 1);
  await page.waitForSelector(`${BAND}[aria-busy=false]`);
}

const at = (sorted, share) =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
const say = (x) => x.toFixed(1);

async function measure(page, cdp, name) {
  await choose(page, 'stroke');
  await page.getByLabel('How often').selectOption(String(TIMES));
  await page.locator('.band-dab input').nth(1).check({ force: true });
  await rest(page, 500);
  for (let k = 0; k < 2; k++) { // the compiler is still at work
    await stroke(page, cdp, k);
    await page.getByRole('button', { name: 'undo', exact: true }).click();
    await rest(page);
  }
  await page.evaluate(() => (window.heard.length = 0));
  const before = spent();
  for (let k = 0; k < STROKES; k++) {
    await stroke(page, cdp, k);
    await page.getByRole('button', { name: 'undo', exact: true }).click();
    await rest(page, 20);
  }
  const cpu = spent() - before;
  const heard = await page.evaluate(() => window.heard);
  for (const [kind, words] of [['preview', 'growing'], ['settle', 'done']]) {
    const mine = heard.filter((x) => x.kind === kind);
    const ms = mine.map((x) => x.ms).sort((a, b) => a - b);
    const skins = mine.map((x) => x.skins ?? 0).sort((a, b) => a - b);
    console.log(`| ${name} | ${words} | ${ms.length} | ${say(at(ms, 0.5))} | ${
      say(at(ms, 0.95))} | ${say(ms[ms.length - 1])} | ${
      say(at(skins, 0.5))} | ${say(cpu / heard.length)} |`);
  }
}

const server = await serve();
const browser = await browse();
try {
  const version = browser.version();
  console.log(`Chromium ${version}, headless; load ${
    readFileSync('/proc/loadavg', 'utf8').split(' ')[0]} at the start.\n`);
  console.log('| the piece, a stroke 8 times round | the stroke is | messages | ' +
    'numbers ready, ms: median | 95 % within | worst | coloured, ms: median | ' +
    'processor ms a message |');
  console.log('|---|---|---|---|---|---|---|---|');
  const { page, context } = await open(browser, server);
  await context.addInitScript(overhear);
  await page.reload();
  const cdp = await context.newCDPSession(page);
  const sample = JSON.parse(readFileSync(join(root, 'data/tide-line.json')));
  for (const [name, piece] of [
    ['the sample', { ...sample, id: 'sample-measured' }],
    ['3600 x 480, nothing on it', painted(sample, 0)],
    ['3600 x 480, 248 strokes', painted(sample, 248)],
  ]) {
    await page.locator('.piece-menu summary').click();
    await page.locator('.piece-menu input[type=file]').setInputFiles({
      name: 'piece.json', mimeType: 'application/json',
      buffer: Buffer.from(JSON.stringify({ ...piece, name })),
    });
    await page.waitForFunction(
      (n) => document.querySelector('.piece-menu summary')
        .textContent.includes(n), name);
    await page.waitForSelector(`${BAND}[aria-busy=false]`);
    // Where no graphics card draws the pot, it would take the processors.
    await page.evaluate(() => {
      const { style } = document.querySelector('.pot-place');
      style.flex = '0 0 32px';
      style.minHeight = '0';
      style.width = '32px';
    });
    await rest(page, 1000);
    await measure(page, cdp, name);
    await page.evaluate(() => (window.heard.length = 0));
  }
} finally {
  await browser.close();
  await server.stop();
}
