// SPDX-License-Identifier: GPL-3.0-or-later
// From an empty book to a printed sheet: a new piece, unpainted; strokes of a
// pen; grams; the working sheets as they would go to the printer.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
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
  shots,
  suite,
} from './house.mjs';
import { choose, pen, rest, stroke } from './pen.mjs';

const get = (page, path) =>
  page.evaluate(async (p) => (await fetch(`/api/book/${p}`)).json(), path);

await suite(async (after) => {
  const server = await serve();
  after(() => server.stop());
  const browser = await browse();
  after(() => browser.close());
  const { page, context, complaints } = await open(browser, server, COARSE);
  const cdp = await context.newCDPSession(page);

  await page.locator('.piece-menu summary').click();
  await shot(page, 'begin-menu');
  await page.getByRole('button', { name: /^a new piece/ }).click();
  await page
    .locator('.piece-menu summary', { hasText: 'New piece' })
    .waitFor();
  const { records } = await get(page, 'piece');
  same(records.length, 2, 'the book has it beside the other');
  const { id } = records.find((r) => r.name === 'New piece');
  same((await get(page, `piece/${id}`)).painting, [], 'nothing is painted');

  await ask(page, 'where');
  await choose(page, 'stroke');
  await rest(page);
  const grams = async () =>
    Number(await page.getAttribute('.band-laid output', 'data-exactly'));
  const laid = [];
  for (const force of [0.3, 0.9]) {
    const before = await grams();
    await pen(page, cdp, stroke(300 + 400 * force, 100, force));
    await page.waitForSelector('.band-sign[data-is=same]', {
      timeout: PATIENCE,
    });
    laid.push((await grams()) - before);
  }
  check(
    laid[0] > 0 && laid[1] > 1.5 * laid[0],
    'a pen pressed down lays more than one that is hardly pressed',
    laid.join(' '),
  );
  same((await get(page, `piece/${id}`)).painting.length, 2, 'in the book');
  await shot(page, 'begin-drawn');

  await ask(page, 'mix');
  const [answer, tab] = await Promise.all([
    page.waitForResponse(/\/api\/sheets$|\/api\/jobs\/[^/]+\/result$/, {
      timeout: PATIENCE,
    }),
    context.waitForEvent('page'),
    page.getByRole('button', { name: 'working sheets (PDF)' }).click(),
  ]);
  same(answer.status(), 200, 'the sheets are asked for');
  await page.getByRole('link', { name: 'the working sheets (PDF)' }).waitFor();
  await tab.close();
  // The browser gives the body of a file that it opened to nobody: ask again
  // for the same.
  const pdf = Buffer.from(
    await page.evaluate(async (piece) => {
      const { token } = await (await fetch('/api/about')).json();
      const r = await fetch('/api/sheets', {
        method: 'POST',
        headers: {
          'content-type': 'application/json',
          accept: 'application/pdf',
          'leatherhard-token': token,
        },
        body: JSON.stringify({ piece: { id: piece } }),
      });
      const bytes = new Uint8Array(await r.arrayBuffer());
      return Array.from(bytes, (b) => String.fromCharCode(b)).join('');
    }, id),
    'latin1',
  );
  same(pdf.subarray(0, 5).toString('latin1'), '%PDF-', 'they are a PDF');
  check(
    pdf.subarray(-32).toString('latin1').includes('%%EOF'),
    'and whole',
    String(pdf.length),
  );
  if (shots) writeFileSync(join(shots, 'begin.pdf'), pdf);
  same(complaints, [], 'the browser is content');
});
