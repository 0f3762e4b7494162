// SPDX-License-Identifier: GPL-3.0-or-later
// "I haven't got this": beside every material; recipes side by side, one of
// them as a batch, put to use and taken back; by finger, by keyboard, judged by
// axe.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { axeSource } from './house.mjs';
import { ask, browse, check, near, open, PATIENCE, program } from './house.mjs';
import { same, serve, settled, shot, suite } from './house.mjs';

async function axe(page) {
  await page.evaluate(readFileSync(axeSource, 'utf8'));
  return page.evaluate(async () => {
    const r = await window.axe.run(document, {
      runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'],
    });
    return r.violations.map((v) => `${v.id}: ${v.nodes[0].html}`.slice(0, 200));
  });
}
const stands = async (page) => {
  await page.waitForSelector('.without .beside', { timeout: PATIENCE });
  await settled(page);
};
/** The piece as the book has it. */
const recipe = (page, id) =>
  page.evaluate(async (slip) => {
    const list = await (await fetch('api/book/piece')).json();
    const doc = await (
      await fetch(`api/book/piece/${list.records[0].id}`)
    ).json();
    return (doc.document ?? doc).slips.find((s) => s.id === slip).recipe;
  }, id);
const column = (page, k) =>
  page.$$eval(
    '.beside tbody tr:not(.sure)',
    (rows, c) =>
      Object.fromEntries(
        rows.map((r) => [
          r.querySelector('th').textContent,
          r.querySelectorAll('td')[c].textContent,
        ]),
      ),
    k,
  );

async function mixing(page) {
  await ask(page, 'mix');
  const words = page.getByRole('button', { name: /^I haven’t got this/ });
  const rows = await page.locator('.grams tbody tr:not(.water)').count();
  same(await words.count(), rows, 'the words stand beside every material');
  const sizes = await words.evaluateAll((all) =>
    all.map((b) => b.getBoundingClientRect().height),
  );
  check(Math.min(...sizes) >= 44, 'each as high as a finger, 44 px', sizes);
  await words.first().click();
  await stands(page);
  const name = (
    await page.locator('.grams tbody tr .what').first().textContent()
  ).trim();
  const gone = await column(page, 1);
  same(gone[name], '–', `${name} is not in the nearest recipe`);
  same(await page.locator('.beside thead button').count(), 3, 'three choices');
  same(await axe(page), [], 'axe finds nothing');
}

/** What the command line says to the same question. */
async function sameAsProgram(page) {
  const was = await page.evaluate(() =>
    fetch('api/book/piece').then((r) => r.json()),
  );
  check(was.records.length > 0, 'the piece is in the book');
  const first = await page
    .locator('.grams tbody tr .what')
    .first()
    .textContent();
  const old = await recipe(page, 'white');
  const gone = old.lines.find((l) => l.material.startsWith(first.trim()));
  const said = JSON.parse(
    execFileSync(program, ['substitute', '-', '--json'], {
      input: JSON.stringify({
        target: { recipe: old },
        without: [gone.material],
        choices: 3,
      }),
    }),
  );
  const shown = await column(page, 1);
  const got = Object.values(shown).filter((v) => v !== '–').length;
  const want = said.choices[0].recipe;
  same(
    got,
    want.lines.length + want.additions.length,
    'as many materials as the command line names',
  );
  for (const l of want.lines) {
    const key = Object.keys(shown).find((k) => l.material.startsWith(k));
    near(
      Number(shown[key]),
      l.parts,
      0.051,
      `${l.material}: as the command line has it, to the tenth`,
    );
  }
}

async function using(page) {
  const before = await recipe(page, 'white');
  await page.locator('.beside thead button').nth(1).click();
  same(
    await page.locator('.beside thead [aria-pressed=true]').textContent(),
    'second',
    'the second is tapped',
  );
  await settled(page);
  const grams = await page.$$eval('.without .grams tbody td:nth-child(2)', (c) =>
    c.map((x) => Number(x.textContent)),
  );
  const dry = Number(
    (await page.textContent('.without .grams thead th')).match(/\d+/)[0],
  );
  near(
    grams.reduce((a, b) => a + b, 0),
    dry,
    // a tenth of a gram a line is rounded, and up to 2 % may be spared
    0.02 * dry + 0.1 * grams.length,
    'its batch weighs what was mixed before',
  );
  await page.getByRole('button', { name: /^Use it for/ }).click();
  await page.getByText('The recipe is changed').waitFor();
  await page.waitForFunction(
    () => !document.querySelector('.without .beside'),
  );
  const wait = async (truth, words) => {
    for (let i = 0; i < 200; i++) {
      const r = await recipe(page, 'white');
      if (truth(r)) return check(true, words);
      await new Promise((ok) => setTimeout(ok, 50));
    }
    return check(false, words, JSON.stringify(await recipe(page, 'white')));
  };
  const text = JSON.stringify(before.lines);
  await wait((r) => JSON.stringify(r.lines) !== text, 'the piece has it');
  await page.keyboard.press('Control+z');
  await wait((r) => JSON.stringify(r.lines) === text, 'undo takes it back');
}

async function byKeyboard(page) {
  await ask(page, 'colours');
  const words = page.getByRole('button', { name: /^I haven’t got this/ });
  check((await words.count()) > 3, 'under colours, too');
  await words.first().focus();
  await page.keyboard.press('Space');
  await stands(page);
  same(
    await words.first().getAttribute('aria-pressed'),
    'true',
    'a key says that it is missing',
  );
  await page.locator('.beside thead button').nth(2).focus();
  await page.keyboard.press('Enter');
  same(
    await page.locator('.beside thead [aria-pressed=true]').textContent(),
    'third',
    'a key chooses the third',
  );
  same(await axe(page), [], 'axe finds nothing under colours');
  await page.getByRole('button', { name: 'Leave the recipe as it is' }).click();
  same(await page.locator('.without').count(), 0, 'and leaves it as it was');
}

async function looks(browser, server) {
  for (const width of [1440, 768]) {
    for (const colorScheme of ['light', 'dark']) {
      const { context, page } = await open(browser, server, {
        viewport: { width, height: 1000 },
        colorScheme,
      });
      await ask(page, 'mix');
      await page
        .getByRole('button', { name: /^I haven’t got this/ })
        .first()
        .click();
      await stands(page);
      const words = `${width} ${colorScheme}`;
      same(await axe(page), [], `${words}: axe finds nothing`);
      check(
        await page.evaluate(
          () =>
            document.documentElement.scrollWidth <=
            document.documentElement.clientWidth,
        ),
        `${words}: nothing is wider than the window`,
      );
      await page.locator('.without h2').scrollIntoViewIfNeeded();
      await page
        .locator('.without .words')
        .evaluate((e) => e.scrollIntoView({ block: 'end' }));
      await shot(page, `without-${width}-${colorScheme}`);
      await context.close();
    }
  }
}

await suite(async (later) => {
  const server = await serve();
  later(() => server.stop());
  const browser = await browse();
  later(() => browser.close());
  const { page, complaints } = await open(browser, server);
  await mixing(page);
  await sameAsProgram(page);
  await using(page);
  await byKeyboard(page);
  same(complaints, [], 'the browser complains of nothing');
  await looks(browser, server);
});
