// SPDX-License-Identifier: GPL-3.0-or-later
// Two devices on one book: each sees what the other does; edits of different
// things made apart come together; of the same thing both are kept and one
// is asked.
import {
  PATIENCE,
  COARSE,
  ask,
  browse,
  check,
  open,
  same,
  serve,
  shot,
  suite,
  reached,
} from './house.mjs';

const field = (page, label) => page.getByLabel(label, { exact: true });
async function type(page, label, text) {
  await field(page, label).fill(text);
  await field(page, label).press('Enter');
}
/** A field comes to hold what it should, within ten seconds. */
async function comes(page, label, want, words) {
  let got = '';
  for (let i = 0; i < 200 && got !== want; i++) {
    got = await field(page, label).inputValue();
    await new Promise((ok) => setTimeout(ok, 50));
  }
  same(got, want, words);
}
const book = (page, path) =>
  page.evaluate(async (p) => (await fetch(`/api/book/${p}`)).json(), path);
/** The book holds it. */
async function arrives(page, want, words) {
  let got;
  for (let i = 0; i < 100 && got !== want; i++) {
    got = (await book(page, 'piece/tide-line')).pots;
    await new Promise((ok) => setTimeout(ok, 50));
  }
  same(got, want, words);
}

await suite(async (after) => {
  const server = await serve();
  after(() => server.stop());
  const browser = await browse();
  after(() => browser.close());
  const one = await open(browser, server, COARSE);
  const two = await open(browser, server, COARSE);
  await ask(one.page, 'mix');
  await ask(two.page, 'mix');
  const { records } = await book(one.page, 'piece');
  same(
    records.map((r) => r.name),
    ['Tide line'],
    'an empty book is begun with the sample, once',
  );

  await type(one.page, 'pots', '8');
  await comes(two.page, 'pots', '8', 'the other device sees a change');
  await one.page.getByRole('button', { name: 'undo' }).click();
  await comes(two.page, 'pots', '6', 'and that it was undone');

  await two.context.setOffline(true);
  await type(two.page, 'litre weight', '1490');
  await two.page.getByText('What you do is kept').waitFor();
  await type(one.page, 'pots', '7');
  await arrives(one.page, 7, 'the one at home goes on');
  await two.context.setOffline(false);
  await comes(two.page, 'pots', '7', 'back again: the other one’s change');
  await comes(two.page, 'litre weight', '1490', 'beside what was done away');
  await comes(one.page, 'litre weight', '1490', 'which comes home as well');

  for (const [mine, there, here, words] of [
    [true, '12', '11', 'take mine'],
    [false, '14', '13', 'take theirs'],
  ]) {
    await two.context.setOffline(true);
    await type(two.page, 'pots', here);
    await two.page.getByText('What you do is kept').waitFor();
    await type(one.page, 'pots', there);
    await arrives(one.page, Number(there), `at home ${there} pots`);
    await two.context.setOffline(false);
    const clash = two.page.locator('.clash');
    await clash.waitFor({ timeout: PATIENCE });
    const says = await clash.textContent();
    check(
      says.includes(`there ${there}`) && says.includes(`here ${here}`),
      'the same changed on both: both versions are shown',
      says,
    );
    await shot(two.page, `clash-${words.replace(' ', '-')}`);
    await two.page.getByRole('button', { name: words }).click();
    const want = mine ? here : there;
    await comes(two.page, 'pots', want, `${words}: ${want} here`);
    await comes(one.page, 'pots', want, `and ${want} there`);
    await clash.waitFor({ state: 'detached' });
  }
  // Two edits made while away, of which the second names a place in the list
  // of what is painted that is another one by now.
  await ask(one.page, 'where');
  await ask(two.page, 'where');
  await two.context.setOffline(true);
  await two.page.locator('.order button:has-text("Ribs")').first().click();
  await type(two.page, 'as large', '1,1');
  await two.page.getByText('What you do is kept').waitFor();
  await two.page
    .locator('.order button:has-text("Eye of the fry")')
    .first()
    .click();
  await type(two.page, 'as large', '1,2');
  await one.page.locator('.order button:has-text("Seeds")').first().click();
  await one.page.getByRole('button', { name: 'take away' }).first().click();
  const entries = async () =>
    Object.fromEntries(
      (await book(one.page, 'piece/tide-line')).painting.map((e) => [
        e.id,
        e.scale ?? 1,
      ]),
    );
  const were = await entries();
  await two.context.setOffline(false);
  let are = {};
  for (let i = 0; i < 400 && are['fry-eyes'] !== 1.2; i++) {
    are = await entries();
    await new Promise((ok) => setTimeout(ok, 50));
  }
  const { seeds: _gone, ...rest } = were;
  same(
    are,
    { ...rest, ribs: 1.1, 'fry-eyes': 1.2 },
    'what was done away finds its place in a list that became shorter',
  );
  await ask(one.page, 'mix');
  await ask(two.page, 'mix');
  await two.context.setOffline(true);
  await type(two.page, 'litre weight', '1495');
  await two.page.getByText('What you do is kept').waitFor();
  await type(two.page, 'pots', '16');
  await type(one.page, 'pots', '15');
  await arrives(one.page, 15, 'at home 15 pots');
  await two.context.setOffline(false);
  await reached(
    two.page.locator('.clash').waitFor({ timeout: 30000 }),
    'the second of two edits met: both versions are shown',
  );
  await two.page.getByRole('button', { name: 'take mine' }).click();
  await comes(one.page, 'pots', '16', 'and mine is taken');
  await comes(one.page, 'litre weight', '1495', 'with the first of the two');
  await two.page.locator('.clash').waitFor({ state: 'detached' });

  // A second tab of the same browser.
  const tab = await one.context.newPage();
  await tab.goto(server.origin);
  await tab.waitForSelector('main');
  await reached(
    tab.getByText('Another tab has this piece open').waitFor(),
    'a second tab says that it is one',
  );
  await ask(tab, 'mix');
  await type(tab, 'pots', '5');
  await comes(one.page, 'pots', '5', 'and what it does comes by the book');
  await tab.close();

  const { revisions } = await book(one.page, 'piece/tide-line/history');
  same(
    revisions.filter((r) => r.aside).length,
    3,
    'neither version was dropped: both lie in the book',
  );
});
