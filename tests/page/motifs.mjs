// SPDX-License-Identifier: GPL-3.0-or-later
// Motifs: what is painted gathered into one and kept in the book, laid again
// by numbers, by keyboard and by touch, in this piece and in another; without
// a book, too.
import { createHash } from 'node:crypto';
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import {
  PATIENCE,
  ask,
  axeSource,
  browse,
  check,
  module,
  near,
  open,
  program,
  root,
  same,
  serve,
  settled,
  shot,
  suite,
  reached,
} from './house.mjs';
import { BAND, rest } from './pen.mjs';

const hash = (text) => createHash('sha256').update(text).digest('hex');
/** Keys in order of UTF-16, no spaces (RFC 8785). */
const canonical = (v) =>
  JSON.stringify(v, (_, x) =>
    x && typeof x === 'object' && !Array.isArray(x)
      ? Object.fromEntries(
          Object.entries(x).sort(([a], [b]) => (a < b ? -1 : 1)),
        )
      : x,
  );
const coverage = (doc) =>
  JSON.parse(
    execFileSync(program, ['coverage', '-', '--json'], {
      input: JSON.stringify(doc),
    }),
  );
const api = (page, path) =>
  page.evaluate(async (p) => (await fetch(`/api/book/${p}`)).json(), path);
async function until(what, good) {
  let got;
  for (const end = Date.now() + PATIENCE; Date.now() < end;) {
    got = await what();
    if (good(got)) return got;
    await new Promise((ok) => setTimeout(ok, 100));
  }
  return got;
}
const painted = (d, id) => d.painting.find((e) => e.id === id);
const field = (page, label) => page.getByLabel(label, { exact: true });
async function type(page, label, text) {
  await field(page, label).fill(text);
  await field(page, label).press('Enter');
}
const motif = (page, name) =>
  page.locator('.motifs li > button', { hasText: name });

/** The page as axe-core and a finger find it; pictures of it. */
async function looks(page, name) {
  await page.evaluate(readFileSync(axeSource, 'utf8'));
  for (const [width, height] of [
    [1440, 900],
    [768, 1024],
  ]) {
    for (const colorScheme of ['light', 'dark']) {
      await page.setViewportSize({ width, height });
      await page.emulateMedia({ colorScheme });
      await page.locator('.motifs').scrollIntoViewIfNeeded();
      await shot(page, `${name}-${width}-${colorScheme}`);
      const found = await page.evaluate(async () =>
        (await window.axe.run(document)).violations.map(
          (v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 160)).join()}`,
        ),
      );
      same(found, [], `${name} ${width} ${colorScheme}: axe finds nothing`);
    }
  }
  await page.setViewportSize({ width: 1440, height: 900 });
  await page.emulateMedia({ colorScheme: 'light' });
  const low = await page.$$eval(
    '.paper button, .paper summary, .paper select, .paper input, .tick',
    (all) =>
      all
        .map((e) => (e.matches('.tick input') ? e.closest('label') : e))
        .map((e) => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
        .filter(([, b]) => b.height > 0 && b.height < 43.5)
        .map(([html]) => html),
  );
  same(low, [], `${name}: fingers find what they want`);
}

/** It is the same drawing, seen from one anchor: as much of each slip lies on
 *  the pot.  Places and widths are rounded to 0.0005 mm, of widths of 1 mm and
 *  more: 0.1 %; the soft edge is 0.4 mm at another scale now. */
function alike(before, after) {
  const [was, is] = [coverage(before), coverage(after)];
  for (const s of was.slips) {
    const now = is.slips.find((x) => x.slip === s.slip);
    near(
      now.dry_g / s.dry_g,
      1,
      0.01,
      `as much ${s.slip} lies there as before`,
    );
  }
}

/** Two drawings with anchors of their own. */
async function apart(page, before) {
  await page.locator('.order button:has-text("Fry") >> nth=0').click();
  await page.locator('.keep-motif summary').click();
  await page.getByLabel('name of the motif').fill('Reef');
  await page.locator('.tick', { hasText: '(ribs)' }).locator('input').check();
  await page.getByRole('button', { name: /^keep as a motif/ }).click();
  const after = await until(
    () => api(page, 'piece/tide-line'),
    (d) => !painted(d, 'ribs'),
  );
  check(!painted(after, 'ribs'), 'drawings about two anchors become one');
  alike(before, after);
  await page.getByRole('button', { name: 'undo', exact: true }).click();
  await reached(
    until(
      () => api(page, 'piece/tide-line'),
      (d) => painted(d, 'ribs'),
    ),
    'undo parts them again',
  );
}

/** The fish with its eye and its gills: one motif. */
async function keep(page) {
  const before = await api(page, 'piece/tide-line');
  await ask(page, 'where');
  await page.locator('.order button:has-text("Fish") >> nth=0').click();
  await page.locator('.keep-motif summary').click();
  await page.getByLabel('name of the motif').fill('Fish, whole');
  for (const id of ['(eyes)', '(gills)']) {
    await page.locator('.tick', { hasText: id }).locator('input').check();
  }
  await looks(page, 'motif-keep');
  await page.getByRole('button', { name: /^keep as a motif/ }).click();
  const after = await until(
    () => api(page, 'piece/tide-line'),
    (d) => painted(d, 'fish').motif !== 'motif-fish',
  );
  const made = after.motifs.find((m) => m.id === painted(after, 'fish').motif);
  const of = (id) => before.motifs.find((m) => m.id === id).marks.length;
  same(
    made.marks.length,
    of('motif-fish') + of('motif-eye') + of('motif-gill'),
    'the motif holds the marks of all that was chosen',
  );
  check(
    ['eyes', 'gills'].every((id) => !painted(after, id)),
    'which are no longer painted by themselves',
  );
  alike(before, after);
  const { records } = await api(page, 'motif');
  same(
    records.map((r) => r.name),
    ['Fish, whole'],
    'the book has it',
  );
  const kept = await api(page, `motif/${records[0].id}`);
  check(
    kept.marks.every((m) => m.width_mm > 0 || m.kind === 'fill'),
    'with the widths in its marks, for pieces that have other brushes',
  );
  same(
    made.from,
    { hash: hash(canonical(kept)), id: records[0].id, revision: 1 },
    'the piece’s copy says where it came from: id, revision, SHA-256',
  );
  return after;
}

/** By keyboard and numbers, in the same piece. */
async function again(page, before) {
  await motif(page, 'Fish, whole').focus();
  await page.keyboard.press('Enter');
  await field(page, 'laid up the wall').waitFor();
  await type(page, 'laid up the wall', '40,5');
  await type(page, 'laid around', '0,1');
  await type(page, 'how often', '3');
  await looks(page, 'motif-lay');
  await page.getByRole('button', { name: 'lay it there' }).focus();
  await page.keyboard.press('Enter');
  const n = before.painting.length;
  const doc = await until(
    () => api(page, 'piece/tide-line'),
    (d) => d.painting.length === n + 1,
  );
  const e = doc.painting[doc.painting.length - 1];
  same(
    [e.motif, e.up_mm, e.turns, e.repeat.count, e.zone],
    [painted(doc, 'fish').motif, 40.5, 0.1, 3, 'zone-wall'],
    'by keyboard and numbers it is laid once more',
  );
  same(
    doc.motifs.filter((m) => m.name === 'Fish, whole').length,
    1,
    'of the one motif that the piece has',
  );
  await page.getByRole('button', { name: 'undo', exact: true }).click();
  await reached(
    until(
      () => api(page, 'piece/tide-line'),
      (d) => d.painting.length === n,
    ),
    'and undo takes it away',
  );
}

/** In another piece, whose slips are others, by touch. */
async function elsewhere(page) {
  await page.click('.piece-menu summary');
  await page.setInputFiles(
    '.file input',
    join(root, 'docs/example-piece.json'),
  );
  await page.waitForFunction(
    () =>
      !/Tide line/.test(
        document.querySelector('.piece-menu summary').textContent,
      ),
  );
  await settled(page);
  await motif(page, 'Fish, whole').click();
  const lost = page.locator('.laying select:has(option:text("choose a slip"))');
  await lost.first().waitFor();
  check(
    await page.getByRole('button', { name: 'lay it there' }).isDisabled(),
    'a slip that this piece has not must be stood for first',
  );
  while (await lost.count()) await lost.first().selectOption({ index: 1 });
  await rest(page);
  const box = await page.locator(BAND).boundingBox();
  await page.mouse.move(box.x + box.width * 0.4, box.y + box.height * 0.5);
  await page.mouse.down();
  await page.mouse.up();
  const id = await page.evaluate(async () => {
    const r = await (await fetch('/api/book/piece')).json();
    return r.records.find((x) => x.id !== 'tide-line').id;
  });
  const doc = await until(
    () => api(page, `piece/${id}`),
    (d) => d.motifs?.some((m) => m.name === 'Fish, whole'),
  );
  const m = doc.motifs.find((x) => x.name === 'Fish, whole');
  const e = doc.painting[doc.painting.length - 1];
  same(e.motif, m.id, 'touched, the band has it where it was touched');
  check(m.from.revision === 1 && /^[0-9a-f]{64}$/.test(m.from.hash), 'a copy');
  const slips = doc.slips.map((s) => s.id);
  check(
    m.marks.every((k) => k.kind === 'sgraffito' || slips.includes(k.slip)),
    'in slips of this piece',
  );
  check(coverage(doc).slips.length > 0, 'and the program reads it');
}

async function noBook(browser) {
  const server = await serve(undefined, { book: false });
  try {
    const { context, page, complaints } = await open(browser, server);
    await ask(page, 'where');
    await page.locator('.order button:has-text("Fish") >> nth=0').click();
    await page.locator('.keep-motif summary').click();
    await page.getByLabel('name of the motif').fill('Eyed');
    await page.locator('.tick', { hasText: '(eyes)' }).locator('input').check();
    await page
      .getByRole('button', { name: 'keep as a motif', exact: true })
      .click();
    await motif(page, 'Eyed').click();
    await page.getByRole('button', { name: 'lay it there' }).click();
    await reached(
      page
        .locator('.order [aria-pressed=true]:has-text("Eyed")')
        .waitFor({ timeout: PATIENCE }),
      'without a book a motif of the piece is laid again',
    );
    same(
      complaints.filter((c) => !/404/.test(c)),
      [],
      'the browser is content without a book',
    );
    await context.close();
  } finally {
    await server.stop();
  }
}

await suite(async (after) => {
  const { sha256 } = await module('sha256.ts');
  // FIPS 180-4's example (NIST, "SHA256.pdf"), and OpenSSL by way of node.
  same(
    sha256('abc'),
    'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
    'SHA-256 of FIPS 180-4’s example',
  );
  const odd = [...Array(200).keys()].filter((n) => {
    const text = 'größe µm '.repeat(30).slice(0, n);
    return sha256(text) !== hash(text);
  });
  same(odd, [], 'and as OpenSSL has it, of 0 to 199 letters');

  const server = await serve();
  after(() => server.stop());
  const browser = await browse();
  after(() => browser.close());
  const { context, page, complaints } = await open(browser, server);
  await page.waitForSelector(BAND);
  const before = await keep(page);
  await apart(page, before);
  await again(page, before);
  await elsewhere(page);
  same(complaints, [], 'the browser is content');
  await context.close();
  await noBook(browser);
});
