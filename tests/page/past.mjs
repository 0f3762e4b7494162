// SPDX-License-Identifier: GPL-3.0-or-later
// The book's past on the page: a revision for each edit, also of those made
// while the server was away and of one whose answer was lost; undo past what
// other devices did and past restarts; an earlier revision looked at and
// brought back; devices that are let in no longer.
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
/** Something comes to be so. */
async function comes(what, want, words) {
  let got;
  for (const end = Date.now() + PATIENCE; Date.now() < end;) {
    got = await what();
    if (JSON.stringify(got) === JSON.stringify(want)) break;
    await new Promise((ok) => setTimeout(ok, 50));
  }
  same(got, want, words);
}
const shown = (page, label) => () => field(page, label).inputValue();
const get = (page, path) =>
  page.evaluate(async (p) => (await fetch(`/api/${p}`)).json(), path);
const record = (page) => get(page, 'book/piece/tide-line');
const pots = (page) => async () => (await record(page)).pots;
const history = async (page) =>
  (await get(page, 'book/piece/tide-line/history')).revisions;
const acts = (page, after) => async () =>
  (await history(page))
    .filter((v) => v.revision > after)
    .sort((a, b) => a.revision - b.revision)
    .map((v) => v.act);
const newest = async (page) =>
  Math.max(...(await history(page)).map((v) => v.revision));
const button = (page, name) => page.getByRole('button', { name, exact: true });

/** Each edit by itself, whatever happens on the way. */
async function edits(page, context) {
  let from = await newest(page);
  await type(page, 'pots', '8');
  await comes(pots(page), 8, 'an edit goes to the book');
  await button(page, 'undo').click();
  await comes(pots(page), 6, 'undo goes there as well');
  await button(page, 'redo').click();
  await comes(acts(page, from), ['edit', 'undo', 'redo'], 'as what they are');

  from = await newest(page);
  await context.setOffline(true);
  await type(page, 'pots', '9');
  await page.getByText('What you do is kept').waitFor();
  await type(page, 'litre weight', '1490');
  await type(page, 'pots', '10');
  await context.setOffline(false);
  await comes(pots(page), 10, 'what was done while away comes home');
  await comes(acts(page, from), ['edit', 'edit', 'edit'], 'edit by edit');

  // The server saves it and the answer is lost: a copy sent twice would be
  // two copies, or be refused.
  from = await newest(page);
  const painted = async () => (await record(page)).painting.length;
  const before = await painted();
  let lost = 0;
  await page.route('**/api/book/piece/tide-line?*', async (route) => {
    if (route.request().method() !== 'PATCH' || lost++) {
      return route.continue();
    }
    await route.fetch();
    return route.abort('connectionreset');
  });
  await ask(page, 'where');
  await page.locator('.order button', { hasText: 'Fish' }).first().click();
  await page.locator('main').getByRole('button', { name: 'once more' }).click();
  await comes(painted, before + 1, 'a copy is made, and the answer is lost');
  await ask(page, 'mix');
  await type(page, 'pots', '12');
  await comes(pots(page), 12, 'the next edit goes on');
  await comes(
    acts(page, from),
    ['edit', 'edit'],
    'and nothing was saved twice',
  );
  same(await painted(), before + 1, 'there is one copy');
  check(lost >= 1, 'it was lost indeed');
  await page.unroute('**/api/book/piece/tide-line?*');
}

async function others(one, two) {
  await type(one, 'pots', '7');
  await comes(shown(two, 'pots'), '7', 'one changes the pots');
  await type(two, 'litre weight', '1510');
  await comes(shown(one, 'litre weight'), '1510', 'two the litre weight');
  await button(one, 'undo').click();
  await comes(shown(one, 'pots'), '12', 'one takes its own back');
  await comes(shown(two, 'pots'), '12', 'which is seen');
  same(await shown(two, 'litre weight')(), '1510', 'two’s is left alone');
  await button(one, 'redo').click();
  await comes(shown(two, 'pots'), '7', 'and does it again');

  await type(two, 'pots', '13');
  await comes(shown(one, 'pots'), '13', 'two changes the same');
  await button(one, 'undo').click();
  await reached(
    one.getByText('it cannot be taken back').waitFor(),
    'what another changed since is not taken back, and that is said',
  );
  same(await shown(one, 'pots')(), '13', 'and stays');
}

/** Undo over a restart, on a page that was opened anew. */
async function restart(server, page) {
  await type(page, 'pots', '14');
  await comes(pots(page), 14, 'an edit before the restart');
  await server.stop();
  const again = await serve(server.port);
  await page.evaluate(() => indexedDB.deleteDatabase('leatherhard'));
  await page.goto('about:blank');
  await page.goto(again.address);
  await page.waitForURL((u) => u.pathname === '/', { timeout: PATIENCE });
  await page.waitForSelector('main');
  await ask(page, 'mix');
  await comes(shown(page, 'pots'), '14', 'the server is started anew');
  await button(page, 'undo').click();
  await comes(shown(page, 'pots'), '13', 'what was done before is taken back');
  return again;
}

async function past(page) {
  const before = await newest(page);
  await page.locator('.piece-menu summary').click();
  await page.getByRole('link', { name: 'how this piece was' }).click();
  await page.locator('.past li').first().waitFor();
  await shot(page, 'past');
  same(
    await page.locator('.past li').count(),
    before,
    'the past lists every revision',
  );
  await reached(
    page
      .locator('.past button', { hasText: /pots, 9 to 10/ })
      .first()
      .waitFor(),
    'each says in words what it did',
  );
  await page.locator('.past button', { hasText: /^1begun/ }).click();
  await page.getByText(/You look at how it was .*, number 1\./).waitFor();
  await shot(page, 'past-looking');
  await ask(page, 'mix');
  same(await shown(page, 'pots')(), '6', 'it is shown as it was');
  await type(page, 'pots', '3');
  await reached(
    page.getByText('bring it back first').waitFor(),
    'and is not changed, which is said',
  );
  same(await pots(page)(), 13, 'the book stands');
  await button(page, 'as it is now').click();
  await comes(shown(page, 'pots'), '13', 'as it is now');
  await ask(page, 'past');
  const line = page.locator('.past button', { hasText: /^1begun/ });
  await line.focus();
  await page.keyboard.press('Enter');
  await page.getByText(/You look at how it was .*, number 1\./).waitFor();
  await button(page, 'bring it back').focus();
  await page.keyboard.press('Enter');
  await comes(pots(page), 6, 'it is brought back, by keyboard alone');
  same(await newest(page), before + 1, 'as a new revision');
  await ask(page, 'mix');
  await comes(shown(page, 'pots'), '6', 'and shown');
}

async function devices(one, two) {
  await one.page.locator('.piece-menu summary').click();
  await one.page.getByRole('link', { name: 'who is let in' }).click();
  await one.page.locator('.device').first().waitFor();
  const { devices: all } = await get(one.page, 'devices');
  same(
    await one.page.locator('.device').count(),
    all.length,
    'all devices are listed',
  );
  check(
    (await one.page.locator('.device', { hasText: ', this one' }).count()) ===
      1,
    'one of them is this one',
  );
  await shot(one.page, 'devices');
  const { devices: theirs } = await get(two.page, 'devices');
  const other = theirs.find((d) => d.this).id;
  const at = all.findIndex((d) => d.id === other);
  const line = one.page.locator('.device').nth(at);
  await line.getByRole('button').click();
  await line.getByRole('button', { name: /^no, keep/ }).click();
  same(
    (await get(one.page, 'devices')).devices.length,
    all.length,
    'one is asked',
  );
  await line.getByRole('button').click();
  await line.getByRole('button', { name: /^yes/ }).click();
  await comes(
    () => one.page.locator('.device').count(),
    all.length - 1,
    'it is let in no longer',
  );
  const status = await two.page.evaluate(
    async () => (await fetch('/api/book/piece')).status,
  );
  same(status, 401, 'and finds the door shut');
}

await suite(async (after) => {
  let server = await serve();
  after(() => server.stop());
  const browser = await browse();
  after(() => browser.close());
  const one = await open(browser, server, COARSE);
  await ask(one.page, 'mix');
  await edits(one.page, one.context);
  const two = await open(browser, server, COARSE);
  await ask(two.page, 'mix');
  await others(one.page, two.page);
  await ask(two.page, 'past');
  server = await restart(server, one.page);
  await past(one.page);
  await devices(one, two);
});
