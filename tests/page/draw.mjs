// SPDX-License-Identifier: GPL-3.0-or-later
// Drawing on the band, as a hand does: a pen with pressure, a finger, a mouse,
// the keyboard.  What the page says of grams is held against the program.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import {
  COARSE,
  ask,
  browse,
  check,
  near,
  open,
  program,
  same,
  serve,
  settled,
  shot,
  suite,
} from './house.mjs';
import { BAND, choose, pen, rest, stroke } from './pen.mjs';

const grams = async (page) =>
  Number(/[\d.]+/.exec(await page.textContent('.band-laid'))[0]);
/** Colours of the band on the screen, at places css px from its corner. */
const look = (page, places) =>
  page.evaluate(
    ([sel, all]) => {
      const c = document.querySelector(sel);
      const k = c.width / c.clientWidth;
      const ctx = c.getContext('2d');
      return all.map(([x, y]) => [
        ...ctx.getImageData(Math.round(x * k), Math.round(y * k), 1, 1).data,
      ]);
    },
    [BAND, places],
  );
const differ = (a, b) =>
  Math.abs(a[0] - b[0]) + Math.abs(a[1] - b[1]) + Math.abs(a[2] - b[2]);

/** The piece as the page would save it. */
async function saved(page) {
  await page.locator('.piece-menu summary').click();
  const [file] = await Promise.all([
    page.waitForEvent('download'),
    page.getByText('save this piece to a file').click(),
  ]);
  const text = readFileSync(await file.path(), 'utf8');
  await page.keyboard.press('Escape');
  return JSON.parse(text);
}
const coverage = (doc) =>
  JSON.parse(
    execFileSync(program, ['coverage', '-', '--json'], {
      input: JSON.stringify(doc),
    }),
  );

async function pressure(page, cdp) {
  await choose(page, 'stroke');
  await rest(page);
  const before = await grams(page);
  const wide = await page.evaluate(
    (s) => document.querySelector(s).clientWidth,
    BAND,
  );
  const repeat = wide / 7;
  // Beside the drawing, on the bare ground between two fronds.
  const at = [3 * repeat + 118, 118];
  const here = [0, -1, 2].map((k) => [at[0] + k * repeat, at[1] + 8]);
  const was = await look(page, here);
  await pen(page, cdp, stroke(at[0] - 10, at[1], 0.2, 12));
  const light = await grams(page);
  const now = await look(page, here);
  check(light > before, 'a stroke of the pen lays slip', `${before} ${light}`);
  check(
    now.every((c, i) => differ(c, was[i]) > 60),
    'the other repeats follow: the same place of each is painted',
    JSON.stringify([was, now]),
  );
  await pen(page, cdp, stroke(at[0] - 10, at[1] + 14, 0.9, 12));
  const heavy = await grams(page);
  check(
    heavy - light > 2 * (light - before),
    'pressed harder, the same way lays more than twice as much',
    `${before} ${light} ${heavy}`,
  );
  const doc = await saved(page);
  const drawn = doc.painting.slice(-2).map((e) => e.mark);
  check(
    drawn.every((m) => m.kind === 'stroke' && m.pen.x.length === 12),
    'every sample of the pen is kept as it came',
    JSON.stringify(drawn.map((m) => m.pen?.x.length)),
  );
  near(drawn[1].pen.pressure[3], 0.9, 0.005, 'with its pressure');
  same(drawn[1].pen.tilt_x[3], 18, 'and its tilt');
  const of = coverage(doc).slips.find((s) => s.slip === drawn[0].slip);
  near(heavy, of.dry_g, 0.0051, 'the grams are those of the program');
  await shot(page, 'band-pen');
  await page.getByRole('button', { name: 'undo' }).click();
  await rest(page);
  near(await grams(page), light, 0.0001, 'undo takes the grams back');
  await page.getByRole('button', { name: 'undo' }).click();
  await rest(page);
  near(await grams(page), before, 0.0001, 'and once more, to where it began');
  const back = await look(page, here);
  check(
    back.every((c, i) => differ(c, was[i]) === 0),
    'the band looks as it did',
  );
}

/** Every kind of mark, by mouse; the program must take them all. */
async function kinds(page) {
  const box = await page.locator(BAND).boundingBox();
  const drag = async (tool, from, to, more = []) => {
    await choose(page, tool);
    await page.mouse.move(box.x + from[0], box.y + from[1]);
    await page.mouse.down();
    for (const p of [...more, to]) {
      await page.mouse.move(box.x + p[0], box.y + p[1], { steps: 6 });
    }
    await page.mouse.up();
    await rest(page);
  };
  await choose(page, 'stroke');
  await page.locator('.band-dab input[value=blue]').check({ force: true });
  await drag('stroke', [500, 60], [600, 80]);
  await drag('dab', [520, 90], [545, 80]);
  await drag('line', [560, 90], [620, 60]);
  await drag('dot', [640, 100], [640, 100]);
  await drag(
    'fill',
    [700, 60],
    [702, 62],
    [
      [740, 60],
      [740, 90],
      [705, 95],
    ],
  );
  await drag('banding line', [500, 140], [505, 141]);
  await drag('sgraffito', [820, 60], [880, 90]);
  const doc = await saved(page);
  same(
    doc.painting.slice(-7).map((e) => e.mark?.kind),
    ['stroke', 'dab', 'line', 'dot', 'fill', 'banding line', 'sgraffito'],
    'each kind of mark can be drawn',
  );
  const c = coverage(doc);
  check(c.slips.length === 5, 'and the program takes them all');
  await choose(page, 'stroke');
  await rest(page);
  near(
    await grams(page),
    c.slips.find((s) => s.slip === 'blue').dry_g,
    0.0051,
    'and finds the same grams',
  );
  await shot(page, 'band-kinds');
}

/** Across the seam: half of it comes out at the other end. */
async function seam(page, cdp) {
  await choose(page, 'stroke');
  await page.getByLabel('How often').selectOption('1');
  await rest(page);
  const wide = (await page.locator(BAND).boundingBox()).width;
  const places = [
    [wide - 6, 142],
    [6, 142],
    [wide / 2, 142],
  ];
  const was = await look(page, places);
  await pen(page, cdp, [
    [wide - 40, 142, 0.6],
    [wide - 20, 142, 0.6],
    [wide - 2, 142, 0.6],
    [wide + 20, 142, 0.6],
    [wide + 40, 142, 0.6],
  ]);
  const now = await look(page, places);
  check(
    differ(now[0], was[0]) > 60 && differ(now[1], was[1]) > 60,
    'a stroke over the seam goes on at the other end',
    JSON.stringify([was, now]),
  );
  check(differ(now[2], was[2]) === 0, 'and, drawn once, is nowhere else');
  await page.getByRole('button', { name: 'undo' }).click();
}

async function moving(page) {
  await choose(page, 'pick');
  const box = await page.locator(BAND).boundingBox();
  const before = await saved(page);
  const find = (doc, id) => doc.painting.find((e) => e.id === id);
  // A fish stands here, in the fourth repeat.
  const at = [box.x + (3.42 / 7) * box.width, box.y + 0.31 * box.height];
  const pull = async (dx, dy) => {
    await page.mouse.move(...at);
    await page.mouse.down();
    await page.mouse.move(at[0] + dx, at[1] + dy, { steps: 5 });
    await page.mouse.up();
    await rest(page);
  };
  await pull(12, 10);
  let doc = await saved(page);
  check(
    find(doc, 'fish').turns > find(before, 'fish').turns &&
      find(doc, 'fish').up_mm < find(before, 'fish').up_mm,
    'a motif that is pulled moves around and down',
    JSON.stringify(find(doc, 'fish')),
  );
  same(
    [find(doc, 'eyes').turns, find(doc, 'eyes').up_mm],
    [find(doc, 'fish').turns, find(doc, 'fish').up_mm],
    'and its eye, painted in another slip, with it',
  );
  await page.getByRole('button', { name: 'undo' }).click();
  await rest(page);
  await page.getByLabel('move this one only').check({ force: true });
  await pull(12, 10);
  doc = await saved(page);
  const odd = (d) => find(d, 'fish').repeat.exceptions;
  same(
    find(doc, 'fish').turns,
    find(before, 'fish').turns,
    'one alone: the motif stays',
  );
  check(
    odd(doc).length === odd(before).length + 1 &&
      odd(doc).some((x) => x.instance === 3 && x.move_turns > 0),
    'and that one instance is moved',
    JSON.stringify(odd(doc)),
  );
  await page.getByText('leave this one out').click();
  await rest(page);
  doc = await saved(page);
  check(
    odd(doc).some((x) => x.instance === 3 && x.left_out),
    'or left out',
  );
  await page.getByRole('button', { name: 'undo' }).click();
  await page.getByRole('button', { name: 'undo' }).click();
  await rest(page);
  same(await saved(page), before, 'undo brings all of it back');
}

async function byKeyboard(page) {
  await page.getByLabel('move this one only').uncheck({ force: true });
  const before = await saved(page);
  await page.locator(BAND).focus();
  await page.keyboard.press('PageDown');
  await rest(page, 100);
  for (let i = 0; i < 30; i++) {
    const name = await page.locator('.band-name').textContent();
    if (name === 'fry') break;
    await page.keyboard.press('PageDown');
    await rest(page, 60);
  }
  same(
    await page.locator('.band-name').textContent(),
    'fry',
    'Page down goes through what is painted',
  );
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowUp');
  await page.keyboard.press('[');
  await page.keyboard.press('+');
  await rest(page);
  const fry = (d) => d.painting.find((e) => e.id === 'fry');
  const now = fry(await saved(page)),
    was = fry(before);
  near(now.up_mm, was.up_mm + 1, 0.1, 'arrow up: a millimetre up');
  check(now.turns > was.turns, 'arrow right: around');
  near(now.turn_deg, 1, 0.001, '[: turned by a degree');
  near(now.scale, 1.02, 0.0001, '+: a little larger');
  await page.locator(BAND).focus();
  await page.keyboard.press('Delete');
  await rest(page);
  check(!fry(await saved(page)), 'Delete takes it away');
  for (let i = 0; i < 5; i++) await page.keyboard.press('Control+z');
  await rest(page);
  same(await saved(page), before, 'and undo brings it back');
}

async function thickness(page) {
  await page.getByLabel('thickness', { exact: true }).check({ force: true });
  await page.locator('.band-dab input[value=green]').check({ force: true });
  await rest(page, 800);
  const says = await page.textContent('.band-key');
  check(
    /dotted: too thin, .*crossed: too thick, .*your window, 30 to 125 g/.test(says),
    'the thickness view says what is outside the window',
    says,
  );
  const doc = await saved(page); // the band alone is looked at
  doc.painting = doc.painting.filter((e) => e.zone === 'zone-wall');
  const of = coverage(doc).slips.find((s) => s.slip === 'green');
  const thin = Number(/too thin, ([\d.]+)/.exec(says)[1]);
  const thick = Number(/too thick, ([\d.]+)/.exec(says)[1]);
  // Shown to three figures.
  near(
    thin,
    of.thin_cm2,
    0.006 * Math.max(1, of.thin_cm2),
    'as thin as the program says',
  );
  near(thick, of.thick_cm2, 0.006 * Math.max(1, of.thick_cm2), 'and as thick');
  await shot(page, 'band-thickness');
  await page.getByLabel('thickness', { exact: true }).uncheck({ force: true });
}

async function pot(page) {
  const canvas = page.locator('.pot-canvas');
  const see = async () => (await canvas.screenshot()).toString('base64');
  await rest(page, 600);
  const first = await see();
  await canvas.focus();
  for (let i = 0; i < 4; i++) await page.keyboard.press('ArrowRight');
  await rest(page, 600);
  const second = await see();
  check(first !== second, 'the arrow keys turn the pot');
  await page.keyboard.press('Home');
  await page.keyboard.press('ArrowUp');
  await rest(page, 600);
  check((await see()) !== first, 'and tilt it');
  await page.keyboard.press('Home');
  await page.getByLabel('as painted').check({ force: true });
  await rest(page, 1500);
  check((await see()) !== first, 'as painted it looks different');
  await shot(page, 'pot-painted');
  await page.getByLabel('as fired').check({ force: true });
  await rest(page, 600);
}

/** Twice beside itself: one canvas, two pots that turn together. */
async function beside(page) {
  const canvas = page.locator('.pot-canvas');
  const box = await canvas.boundingBox();
  const half = (i) =>
    page.screenshot({
      clip: {
        x: box.x + (i * box.width) / 2,
        y: box.y,
        width: box.width / 2,
        height: box.height - 40, // without the words under them
      },
    });
  const see = async () =>
    [await half(0), await half(1)].map((x) => x.toString('base64'));
  const one = await see();
  await page.getByLabel('side by side').check({ force: true });
  await rest(page, 1500);
  const was = await see();
  check(was[0] !== was[1], 'side by side the pots look different');
  same(await page.locator('.pot-place canvas').count(), 1, 'in one canvas');
  const names = page.locator('.pot-names span');
  same(
    await names.allTextContents(),
    ['as painted', 'as fired'],
    'each with its name under it',
  );
  check(
    /left as painted.*right as it may fire/.test(
      await canvas.getAttribute('aria-label'),
    ),
    'which is also said to who cannot see them',
  );
  await canvas.focus();
  await page.keyboard.press('ArrowRight');
  await rest(page, 600);
  const now = await see();
  check(now[0] !== was[0] && now[1] !== was[1], 'a key turns both');
  await page.keyboard.press('Home');
  await rest(page, 600);
  await page.evaluate(() => document.activeElement.blur());
  await rest(page, 300);
  same(await see(), was, 'Home brings both back');
  const at = [box.x + box.width / 4, box.y + box.height / 2];
  await page.mouse.move(...at);
  await page.mouse.down();
  await page.mouse.move(at[0] + 60, at[1], { steps: 4 });
  await page.mouse.up();
  await rest(page, 600);
  const drawn = await see();
  check(
    drawn[0] !== was[0] && drawn[1] !== was[1],
    'a hand on the one turns the other along',
  );
  await shot(page, 'pot-beside');
  await canvas.focus();
  await page.keyboard.press('Home');
  await page.getByLabel('as fired').check({ force: true });
  await page.evaluate(() => document.activeElement.blur());
  await rest(page, 600);
  same(await names.count(), 0, 'and back to one pot');
  same(await see(), one, 'large, as it was');
}

/** While a stroke grows its numbers come from the worker, move by move. */
async function speed(page) {
  await choose(page, 'stroke');
  await page.getByLabel('How often').selectOption('7');
  const box = await page.locator(BAND).boundingBox();
  const all = [];
  await page.mouse.move(box.x + 500, box.y + 40);
  await page.mouse.down();
  for (let i = 1; i < 40; i++) {
    await page.mouse.move(
      box.x + 500 + 3 * i,
      box.y + 60 + 20 * Math.sin(i / 4),
    );
    await rest(page, 40);
    all.push(Number(await page.locator(BAND).getAttribute('data-ms')));
  }
  await page.mouse.up();
  await rest(page);
  const real = all.filter((x) => x > 0).sort((a, b) => a - b);
  check(
    real.length > 10,
    `a stroke under way, seven times round: laid and measured in ${
      real[real.length >> 1]
    } ms (median), ${real[real.length - 1]} ms at most`,
  );
}

/** A finger draws too; two fingers move the paper. */
async function fingers(browser, server) {
  const { context, page, complaints } = await open(browser, server, {
    ...COARSE,
    viewport: { width: 768, height: 1024 },
    hasTouch: true,
  });
  const cdp = await context.newCDPSession(page);
  await page.waitForSelector(BAND);
  await ask(page, 'where');
  await rest(page, 1500);
  await choose(page, 'stroke');
  await page.locator(BAND).scrollIntoViewIfNeeded();
  await rest(page);
  const box = await page.locator(BAND).boundingBox();
  const touch = (type, points) =>
    cdp.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: points.map(([x, y], id) => ({
        x: box.x + x,
        y: box.y + y,
        id,
      })),
    });
  const before = await grams(page);
  await touch('touchStart', [[200, 60]]);
  for (let i = 1; i < 12; i++)
    await touch('touchMove', [[200 + 5 * i, 60 + i]]);
  await touch('touchEnd', []);
  await rest(page);
  const drawn = await grams(page);
  check(drawn > before, 'a finger draws', `${before} ${drawn}`);
  await touch('touchStart', [[200, 90]]);
  await touch('touchStart', [
    [200, 90],
    [260, 90],
  ]);
  for (let i = 1; i < 12; i++) {
    await touch('touchMove', [
      [200 - 8 * i, 90],
      [260 - 8 * i, 90],
    ]);
  }
  await touch('touchEnd', []);
  await rest(page);
  near(await grams(page), drawn, 0.0001, 'two fingers draw nothing');
  same(complaints, [], 'nothing is complained of');
  await shot(page, 'band-768');
  await context.close();
}

await suite(async (after) => {
  const server = await serve();
  after(() => server.stop());
  const browser = await browse();
  after(() => browser.close());
  const { context, page, complaints } = await open(browser, server, COARSE);
  const cdp = await context.newCDPSession(page);
  await page.waitForSelector(BAND);
  await ask(page, 'where');
  await settled(page);
  await rest(page, 1500);
  await pressure(page, cdp);
  await seam(page, cdp);
  await moving(page);
  await byKeyboard(page);
  await thickness(page);
  await pot(page);
  await beside(page);
  await kinds(page);
  await speed(page);
  same(complaints, [], 'nothing is complained of');
  await context.close();
  await fingers(browser, server);
});
