// SPDX-License-Identifier: GPL-3.0-or-later
// Every question at two widths, by day and by night: WCAG 2.2 A and AA by
// axe-core, targets of 44 px, nothing wider than the window; pictures for a
// person to look at.
import { axeSource } from './house.mjs';
import { ASIDE, QUESTIONS, ask, browse, check, open, same } from './house.mjs';
import { serve, shot, suite } from './house.mjs';

const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

async function axe(page) {
  // The page's policy admits no foreign script; the debugger's evaluate may.
  const { readFileSync } = await import('node:fs');
  await page.evaluate(readFileSync(axeSource, 'utf8'));
  return page.evaluate(async (tags) => {
    const r = await window.axe.run(document, {
      runOnly: { type: 'tag', values: [...tags, 'best-practice'] },
    });
    return r.violations.map(
      (v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 160)).join(' | ')}`,
    );
  }, RULES);
}

/** What a finger cannot hit: smaller than 44 px where it stands. */
const small = (page) =>
  page.evaluate(() => {
    const out = [];
    for (const el of document.querySelectorAll(
      'a[href], button, summary, select, input, label.word, label.file',
    )) {
      if (el.matches('.word input, .file input, .skip')) continue; // its label
      const hit = el.matches('.tick input') ? el.closest('label') : el;
      const b = hit.getBoundingClientRect();
      if (b.width === 0 && b.height === 0) continue; // folded away
      if (b.height < 43.5) {
        out.push(`${el.outerHTML.slice(0, 100)} ${b.width} x ${b.height}`);
      }
    }
    return out;
  });

await suite(async (after) => {
  const server = await serve();
  after(() => server.stop());
  const browser = await browse();
  after(() => browser.close());
  for (const [width, height] of [
    [1440, 900],
    [768, 1024],
  ]) {
    for (const colorScheme of ['light', 'dark']) {
      const { context, page, complaints } = await open(browser, server, {
        viewport: { width, height },
        colorScheme,
      });
      for (const q of [...QUESTIONS, ...ASIDE]) {
        const name = `${q} ${width} ${colorScheme}`;
        await ask(page, q);
        if (q === 'where') {
          await page.click('.order button:has-text("Fish")');
          await page.click('.marks button >> nth=0');
        }
        await shot(page, name.replace(/ /g, '-'));
        same(await axe(page), [], `${name}: axe finds nothing`);
        same(await small(page), [], `${name}: fingers find what they want`);
        const wide = await page.evaluate(
          () => document.documentElement.scrollWidth,
        );
        check(wide <= width, `${name}: nothing sticks out`, `${wide} px`);
        if (width === 1440) {
          const tall = await page.evaluate(
            () => document.documentElement.scrollHeight,
          );
          check(tall <= height, `${name}: only the paper scrolls`, `${tall} px`);
        }
      }
      await page.getByLabel('side by side').check({ force: true });
      await page.waitForSelector('.pot-names');
      await page.waitForSelector('.band-place canvas[aria-busy=false]');
      await page.waitForTimeout(500); // the next frames
      const beside = `side by side ${width} ${colorScheme}`;
      await shot(page, beside.replace(/ /g, '-'));
      same(await axe(page), [], `${beside}: axe finds nothing`);
      same(await small(page), [], `${beside}: fingers find what they want`);
      await page.click('footer summary');
      await page.click('.piece-menu summary');
      await shot(page, `open-${width}-${colorScheme}`);
      same(await axe(page), [], `unfolded ${width} ${colorScheme}: axe`);
      same(complaints, [], `${width} ${colorScheme}: the browser is content`);
      await context.close();
    }
  }
});
