// SPDX-License-Identifier: GPL-3.0-or-later
// A tile entered in three taps from a picture: read within its range, kept in
// the book, held against what was predicted; by keyboard alone, too; what
// cannot be read is refused.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  CARD,
  TILE,
  WHITE_G,
  api,
  colour,
  grams,
  kept,
  looks,
} from './card.mjs';
import { middle, off, picture, square, until } from './card.mjs';
import { COARSE, ask, browse, check, module, near, open } from './house.mjs';
import { same, serve, settled, shot, suite } from './house.mjs';

/** The first tap: a square; what it opens gets a picture. */
async function open_(page, at, file) {
  const [chooser] = await Promise.all([
    page.waitForEvent('filechooser'),
    at.tap(),
  ]);
  await chooser.setFiles(file);
}
/** Where a finger meets the tile in the picture. */
async function tapTile(page) {
  const box = await page.locator('.stage').boundingBox();
  await page.touchscreen.tap(
    box.x + TILE[0] * box.width,
    box.y + TILE[1] * box.height,
  );
}
const answered = (page) => page.waitForSelector('.reading, .below .refusal');

/** The card is told, and pulled into its place by its corners. */
async function setUp(page) {
  await page.waitForSelector('.card-setup');
  const text = CARD.map((c) => c.join('\t')).join('\n');
  const use = page.getByRole('button', { name: 'this is my card' });
  await page.locator('.card-setup textarea').fill(text.replace('95', 'pale'));
  await use.click();
  check(
    (await page.textContent('.card-setup [role=alert]')).includes('line 1'),
    'a line that is no colour is refused by its number',
  );
  // With decimal commas, as a colorimeter may write them.
  await page
    .locator('.card-setup textarea')
    .fill(text.replace('\t60\t', '\t60,0\t'));
  await page.getByLabel(/in a row/).fill('4');
  await page.getByLabel(/in a row/).press('Enter');
  await use.click();
  await page.waitForSelector('.stage img');
  const box = await page.locator('.stage').boundingBox();
  for (const i of [0, 3, 8, 11]) {
    const ring = await page.locator('.ring.patch').nth(i).boundingBox();
    const [u, v] = middle(i);
    await page.mouse.move(ring.x + ring.width / 2, ring.y + ring.height / 2);
    await page.mouse.down();
    await page.mouse.move(box.x + u * box.width, box.y + v * box.height, {
      steps: 4,
    });
    await page.mouse.up();
  }
  const rings = await page
    .locator('.ring.patch')
    .evaluateAll((all) =>
      all.map((e) => [parseFloat(e.style.left), parseFloat(e.style.top)]),
    );
  const far = rings.map(([x, y], i) =>
    Math.hypot(x - 100 * middle(i)[0], y - 100 * middle(i)[1]),
  );
  // Four drags, each put down to a pixel of some 600: a sixth of a per cent.
  check(
    Math.max(...far) < 0.7,
    'pulled by its corners the card lies on its patches',
    JSON.stringify(far),
  );
}

/** What stands there of the reading, as numbers. */
async function reading(page) {
  const text = (await page.textContent('.reading')).replace(/\u2212/g, '-');
  const [, L, a, b] = /L\* ([-\d.]+), a\* ([-\d.]+), b\* ([-\d.]+)/.exec(text);
  return {
    text,
    lab: [L, a, b].map(Number),
    within: Number(/within ΔE (\d+\.\d)/.exec(text)[1]),
    off: Number(/, ΔE ([\d.]+)/.exec(text)[1]),
  };
}

/** Three taps: the square, the tile, keep. */
async function three(page, n, file) {
  await page.evaluate(() => {
    window.taps = 0;
    document.addEventListener('pointerdown', () => window.taps++, true);
  });
  const g = await grams(page, n);
  await open_(page, square(page, n), file);
  await page.waitForSelector('.stage img');
  same(
    await page.locator('.ring.patch').count(),
    CARD.length,
    'the patches are outlined where they were last time',
  );
  await tapTile(page);
  await page.waitForSelector('.reading');
  const r = await reading(page);
  await page.getByRole('button', { name: 'keep this tile' }).tap();
  await page.waitForSelector('dialog', { state: 'detached' });
  same(await page.evaluate(() => window.taps), 3, 'it took three taps');
  return { g, ...r };
}

/** A tile that cannot be read: its words, the place marked, nothing kept. */
async function refused(page, n, file, words, bad, name) {
  const before = (await kept(page)).length;
  await open_(page, square(page, n), file);
  await page.waitForSelector('.stage img');
  await tapTile(page);
  await answered(page);
  const text = await page.textContent('.below');
  check(words.test(text), `${name}: refused in its own words`, text);
  same(
    await page
      .locator('.ring.bad')
      .evaluateAll((all) => all.map((e) => e.getAttribute('aria-label'))),
    bad,
    `${name}: and the place is marked`,
  );
  check(
    await page.getByRole('button', { name: 'keep this tile' }).isDisabled(),
    `${name}: it cannot be kept`,
  );
  await shot(page, `tiles-refused-${name}`);
  await page.getByRole('button', { name: 'leave it', exact: true }).tap();
  await page.waitForSelector('dialog', { state: 'detached' });
  same((await kept(page)).length, before, `${name}: nothing is in the book`);
}

/** The white ground alone, by keyboard. */
async function byKeyboard(page, file) {
  const input = page.locator('.squares .alone input');
  await input.focus();
  const [chooser] = await Promise.all([
    page.waitForEvent('filechooser'),
    page.keyboard.press('Space'),
  ]);
  await chooser.setFiles(file);
  await page.waitForSelector('.stage img');
  await page.waitForFunction(() =>
    document.activeElement?.classList.contains('spot'),
  );
  const left = () => page.$eval('.ring.spot', (e) => parseFloat(e.style.left));
  const was = await left();
  await page.keyboard.press('ArrowRight');
  near((await left()) - was, 0.4, 1e-6, 'an arrow key moves the tile’s ring');
  await page.keyboard.press('Enter');
  await page.waitForSelector('.reading');
  const r = await reading(page);
  await page.waitForFunction(() =>
    /keep/.test(document.activeElement?.textContent ?? ''),
  );
  await page.keyboard.press('Enter');
  await page.waitForSelector('dialog', { state: 'detached' });
  return r;
}

/** How a card is written: none of the usual ways is misread. */
async function written() {
  const { readPatches } = await module('card.ts');
  const want = [['A1', [37.5, 14.4, -14.9]]];
  for (const line of [
    'A1, 37.5, 14.4, -14.9',
    'A1,37.5,14.4,-14.9',
    'A1;37,5;14,4;-14,9',
    'A1\t37,5\t14,4\t\u221214,9',
    'name L a b\nA1 37.5 14.4 -14.9\n\n',
  ]) {
    const r = readPatches(line);
    same(
      (r.patches ?? [r]).map((p) => [p.name, p.lab]),
      want,
      `a patch is read: ${JSON.stringify(line)}`,
    );
  }
  same(
    readPatches('dark skin,38,14,15\n 60 0 0').patches.map((p) => p.name),
    ['dark skin', '2'],
    'a name may have two words, or be missing',
  );
  for (const line of ['', 'A1 37 14', '120.5 0 0', 'A1 0 0 0']) {
    check('why' in readPatches(line), `refused: ${JSON.stringify(line)}`);
  }
}

await suite(async (after) => {
  await written();
  const server = await serve();
  after(() => server.stop());
  const browser = await browse();
  after(() => browser.close());
  const { page, complaints } = await open(browser, server, {
    ...COARSE,
    hasTouch: true,
    viewport: { width: 768, height: 1024 },
  });
  const dir = mkdtempSync(join(tmpdir(), 'leatherhard-'));
  after(async () => rmSync(dir, { recursive: true, force: true }));
  const file = (name, bytes) => {
    writeFileSync(join(dir, name), bytes);
    return join(dir, name);
  };
  await ask(page, 'colours');
  await page.getByRole('button', { name: 'Copper green', exact: true }).click();
  await page.waitForSelector('.squares');
  await settled(page);
  same(
    await page.locator('.squares .row .square').count(),
    10,
    'a square stands under each chip',
  );
  same(
    await page.locator('.square input').first().getAttribute('capture'),
    'environment',
    'it opens the camera',
  );

  // The first tile sets the card up.
  const thin = await grams(page, 3);
  const one = file('one.png', picture(colour(thin)));
  await open_(page, square(page, 3), one);
  await setUp(page);
  await tapTile(page);
  await answered(page);
  await page.getByRole('button', { name: 'keep this tile' }).tap();
  await page.waitForSelector('.tiles-beside li');

  const g = await grams(page, 6);
  const truly = colour(g);
  const two = await three(page, 6, file('two.png', picture(truly)));
  check(two.within < 8, 'the range of the reading says something', two.text);
  check(
    off(truly, two.lab) <= two.within,
    'the colour read lies within its range of the true one',
    `${off(truly, two.lab)} > ${two.within}`,
  );
  // Said to a tenth, from a reading said to a tenth.
  near(
    two.off,
    off(colour(g, { k: 1, s: 1 }), two.lab),
    0.2,
    'beside it stands the colour predicted, and how far off it is',
  );
  check(/darker/.test(two.text), 'in words', two.text);
  const all = await until(
    () => kept(page),
    (t) => t.length === 2,
  );
  const tile = all.find((t) => Math.abs(t.coat_g_m2 - g) < 0.6);
  same(
    [
      tile.read_by,
      tile.geometry,
      tile.glaze_g_m2,
      tile.slip_name,
      tile.under_name,
      tile.under_g_m2,
      tile.fired.peak_c,
    ],
    ['photograph', '45_0', 600, 'Copper green', 'White ground', WHITE_G, 1080],
    'the book has it: how read, glaze, slip, ground, firing',
  );
  near(
    off([tile.lab_l, tile.lab_a, tile.lab_b], two.lab),
    0,
    0.1,
    'and its reading',
  );
  same(tile.seen.patches.length, CARD.length, 'and where card and tile lay');
  const blob = await page.evaluate(
    async (s) =>
      (await (await fetch(`/api/book/blobs/${s}`)).arrayBuffer()).byteLength,
    tile.pictures[0],
  );
  same(blob, readFileSync(join(dir, 'two.png')).length, 'and the picture');
  const note = (await api(page, 'note')).records.map((r) => r.name);
  same(
    note,
    ['Reference patches'],
    'the book knows the card, for other devices',
  );

  await refused(
    page,
    7,
    file('burnt.png', picture(truly, { exposure: 1.4 })),
    /burnt out/,
    ['patch white, refused'],
    'burnt',
  );
  await refused(
    page,
    7,
    file('swapped.png', picture(truly, { swap: 5 })),
    /disagree/,
    ['patch yellow, refused', 'patch green, refused'],
    'swapped',
  );
  await refused(
    page,
    7,
    file('tile-burnt.png', picture([92, 0, 2], { glare: 0.5 })),
    /burnt out/,
    ['the tile: arrow keys move, Enter reads its colour'],
    'glare',
  );

  check(
    /White ground alone is missing/.test(await page.textContent('.tiles')),
    'the ground alone is asked for',
  );
  const own = colour(0);
  const r = await byKeyboard(page, file('white.png', picture(own)));
  check(
    off(own, r.lab) <= r.within,
    'by keyboard alone a ground is read as well',
  );
  await until(
    () => kept(page),
    (t) => t.length === 3,
  );
  await open_(page, square(page, 6), join(dir, 'two.png'));
  await page.waitForSelector('.stage img');
  await tapTile(page);
  await answered(page);
  await looks(page, 'tiles-picture', 'dialog');
  await page.getByRole('button', { name: 'leave it', exact: true }).tap();
  await page.waitForSelector('dialog', { state: 'detached' });
  const other = await open(browser, server, { ...COARSE, hasTouch: true });
  await ask(other.page, 'colours');
  await other.page.waitForSelector('.squares .row .square');
  await open_(other.page, square(other.page, 2), join(dir, 'two.png'));
  await other.page.waitForSelector('.stage .ring.patch');
  const places = await other.page
    .locator('.ring.patch')
    .evaluateAll((all) => all.map((e) => parseFloat(e.style.left)));
  check(
    places.length === CARD.length &&
      places.every((x, i) => Math.abs(x - 100 * middle(i)[0]) < 0.7),
    'another device has the card from the book, as it lay',
    JSON.stringify(places),
  );
  await other.context.close();
  // Three pictures were refused, as they should be.
  same(
    complaints.filter((c) => !/ 422 .*api\/colour$/.test(c)),
    [],
    'the browser is content',
  );
});
