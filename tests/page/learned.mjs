// SPDX-License-Identifier: GPL-3.0-or-later
// Learning from a slip's tiles: by numbers, by the jar's loss; held against
// what was predicted; the program's own error; put to use and taken back; one
// that stands apart is named; one that waits while the server is away.
import {
  WHITE_G,
  api,
  colour,
  kept,
  looks,
  off,
  rows,
  sample,
} from './card.mjs';
import { says, slipOf, until } from './card.mjs';
import { COARSE, PATIENCE, ask, browse, check, near, open } from './house.mjs';
import { reached, same, serve, settled, suite } from './house.mjs';

/** A green tile as another device would keep it. */
const tile = (name, coat_g_m2, [lab_l, lab_a, lab_b]) => ({
  name,
  body_name: sample.body.name,
  slip_name: 'Copper green',
  coat_g_m2,
  under_name: 'White ground',
  under_g_m2: WHITE_G,
  glaze_name: sample.glaze.name,
  glaze_g_m2: 600,
  fired: { peak_c: 1080 },
  ...{ read_by: 'photograph', geometry: '45_0', reading_de00: 2 },
  ...{ lab_l, lab_a, lab_b, date: '2026-11-25' },
});
const keep = (page, t) => api(page, 'tile', 'POST', t);

const rowTexts = (page) =>
  page.locator('.tiles-beside li p:first-child').allTextContents();

/** Typed, with a decimal comma and counted coats; then by the jar's loss. */
async function byNumbers(page) {
  const n = await rows(page).count();
  await page.getByText('A tile by numbers').click();
  const form = page.locator('.by-numbers');
  const type = async (label, text) => {
    await form.getByLabel(label, { exact: true }).fill(text);
    await form.getByLabel(label, { exact: true }).press('Enter');
  };
  const keep = form.getByRole('button', { name: 'keep this tile' });
  await form.getByLabel('coats, counted').check({ force: true });
  await type('coats, of 75 g/m² each', '2');
  await keep.click();
  check(
    /L\*, a\* and b\*/.test(await form.locator('[role=alert]').textContent()),
    'what is missing is said',
  );
  await type('L*', '30,5');
  await type('a*', '-20');
  await type('b*', '8');
  await keep.click();
  await page.waitForFunction(
    (n) => document.querySelectorAll('.tiles-beside li').length > n,
    n,
  );
  const counted = (await kept(page)).find((t) => t.coats === 2);
  same(
    [
      counted.coat_g_m2,
      counted.coat_error_percent,
      counted.lab_l,
      counted.read_by,
      counted.geometry,
    ],
    [150, 20, 30.5, 'colorimeter', 'd8_ex'],
    'a tile by numbers: counted coats, less sure',
  );
  check(
    (await page.textContent('.tiles')).includes(
      'learn from this tile, read by colorimeter',
    ) ||
      (await page.textContent('.tiles')).includes(
        'White ground alone is missing',
      ),
    'what was read in another way is a lesson of its own',
  );
  await form.getByLabel('the jar’s loss').check({ force: true });
  await type('jar and brush lost', '2,4');
  await type('over', '100');
  await type('L*', '40');
  await type('a*', '-22');
  await type('b*', '9');
  await keep.click();
  await page.waitForFunction(
    (n) => document.querySelectorAll('.tiles-beside li').length > n,
    n + 1,
  );
  const green = slipOf('green');
  // Brongniart: dry g per ml of slip, as much as its litre weight says.
  const dry =
    ((green.litre_weight_g - 1000) * green.solids_density) /
    (green.solids_density - 1) /
    green.litre_weight_g;
  const g = (2.4 * dry) / 0.01;
  const jar = (await kept(page)).find((t) => t.lab_l === 40);
  near(jar.coat_g_m2, g, 0.051, 'the jar’s loss over its area is the coat');
  for (const t of [counted, jar]) {
    await page.locator(`[data-tile="${t.id}"] button`).click();
    await page.waitForSelector(`[data-tile="${t.id}"]`, { state: 'detached' });
  }
  same(await rows(page).count(), n, 'taken out they are gone');
  check(
    (await api(page, 'tile?hidden=1')).records.some((r) => r.id === jar.id),
    'the book hides them and has them still',
  );
}

/** From an instrument's file: a table of spectra, and exchange text of a
 *  colorimeter in letters that are no UTF-8. */
async function fromFile(page) {
  const n = await rows(page).count();
  const form = page.locator('.by-numbers');
  const give = (name, text) =>
    form.locator('input[type=file]').setInputFiles({
      name,
      mimeType: 'text/plain',
      buffer: Buffer.from(text, 'latin1'),
    });
  const keep = async (g) => {
    await form.getByLabel('slip on it, dry', { exact: true }).fill(g);
    await form.getByRole('button', { name: 'keep this tile' }).click();
    return until(
      async () => (await kept(page)).find((t) => t.coat_g_m2 === Number(g)),
      (t) => t,
    );
  };
  await form.getByLabel('its coat weight').check({ force: true });
  await form.getByLabel('from an instrument’s file').check({ force: true });
  await form.getByRole('button', { name: 'keep this tile' }).click();
  await form.getByText(/its coat weight is wanted|a file is wanted/).waitFor();
  // Two samples of every 10 nm from 400 to 700 nm, in per cent.
  const thin = Array.from({ length: 31 }, (_, i) => 20 + i);
  await give(
    'tiles.csv',
    ['nm;thick;thin', ...thin.map((v, i) => `${400 + 10 * i};8;${v},0`)].join(
      '\n',
    ),
  );
  await form.getByLabel('this tile is').selectOption('thin');
  const reflectance = [20, 20, ...thin, 50, 50, 50].map((v) => v / 100);
  const { lab } = says('shade', {
    stack_top_first: [],
    substrate: { reflectance },
  });
  await reached(
    form
      .locator('.reading', { hasText: `L* ${lab[0].toFixed(1)}, a*` })
      .waitFor(),
    'a sample of a file of spectra is shown by its colour',
  );
  await looks(page, 'tiles-file', '.from-file');
  const spectrum = await keep('121');
  same(
    [spectrum.reflectance, spectrum.read_by, spectrum.geometry],
    [reflectance, 'spectrophotometer', 'd8_ex'],
    'and kept as it was read, the last reading held',
  );
  check(
    /^thin of tiles\.csv\. .*held/.test(spectrum.note),
    'with where it is from',
    spectrum.note,
  );
  const exchange = [
    'CGATS.17',
    'ORIGINATOR "K\u00f6ln (invented)"',
    'MEASUREMENT_GEOMETRY "45/0"',
    'BEGIN_DATA_FORMAT',
    'SAMPLE_ID LAB_L LAB_A LAB_B',
    'END_DATA_FORMAT',
    'BEGIN_DATA',
    'A7 41.5 -20.25 8',
    'END_DATA',
  ].join('\n');
  await give('tiles.txt', exchange);
  await reached(
    form.getByRole('alert').getByText(/D50/).waitFor(),
    'L*a*b* under a light that is not told are refused in words',
  );
  await form.getByLabel('its L*a*b* hold under').selectOption('D65');
  await reached(
    form.locator('.reading', { hasText: 'L* 41.5, a* ' }).waitFor(),
    'and read once it is',
  );
  const three = await keep('122');
  same(
    [three.lab_l, three.lab_a, three.lab_b, three.read_by, three.geometry],
    [41.5, -20.25, 8, 'colorimeter', '45_0'],
    'a colorimeter’s, in the geometry of its file',
  );
  for (const t of [spectrum, three]) {
    await page.locator(`[data-tile="${t.id}"] button`).click();
    await page.waitForSelector(`[data-tile="${t.id}"]`, { state: 'detached' });
  }
  same(await rows(page).count(), n, 'taken out these are gone, too');
}

/** The tiles of the lesson; the white ground alone is a tile of that slip. */
async function more(page) {
  for (const [i, g] of [20, 35, 60, 80, 100, 140].entries()) {
    await keep(page, tile(`G${i}`, g, colour(g)));
  }
  await reached(
    page.getByText(/tile of White ground alone is missing/).waitFor(),
    'the ground alone is asked for',
  );
  const {
    under_name: _,
    under_g_m2: __,
    ...bare
  } = tile('W', WHITE_G, colour(0));
  await keep(page, { ...bare, slip_name: 'White ground' });
}

async function learned(page) {
  const before = await piece(page);
  await more(page);
  const button = page.getByRole('button', {
    name: 'learn from these six tiles',
  });
  await reached(button.waitFor(), 'tiles of another device are there, too');
  await until(
    () => rows(page).count(),
    (n) => n === 6,
  );
  const order = (await rowTexts(page)).map((t) => parseInt(t));
  same(
    order,
    [...order].sort((a, b) => a - b),
    'they stand as the chips do, thin to thick',
  );
  const texts = await rowTexts(page);
  const all = (await kept(page)).filter((t) => t.slip_name === 'Copper green');
  for (const t of all) {
    const is = [t.lab_l, t.lab_a, t.lab_b];
    const de = off(colour(t.coat_g_m2, { k: 1, s: 1 }), is);
    check(
      texts.some((x) => x.includes(`ΔE ${de.toFixed(1)}`)),
      `predicted and measured, ${t.coat_g_m2} g/m²: ΔE ${de.toFixed(1)}`,
      texts.join('; '),
    );
  }
  same(
    texts.map((t) => /(darker|as) .*predicted/.exec(t)?.[1]),
    all
      .sort((a, b) => a.coat_g_m2 - b.coat_g_m2)
      .map((t) => {
        const is = [t.lab_l, t.lab_a, t.lab_b];
        const de = off(colour(t.coat_g_m2, { k: 1, s: 1 }), is);
        return de < t.reading_de00 ? 'as' : 'darker';
      }),
    'a stronger green is darker than predicted, where that can be read',
  );
  await button.click();
  await page.waitForSelector('.learned');
  const ground = (await kept(page)).find((t) => t.slip_name === 'White ground');
  const doc = (t, coat) => ({
    name: t.id,
    ground: 'white',
    coat_g_m2: coat,
    glaze_g_m2: 600,
    lab: [t.lab_l, t.lab_a, t.lab_b],
  });
  const says_ = says('learn', {
    glaze: (({ index, eats_g_m2, dissolved_share }) => ({
      index,
      eats_g_m2,
      dissolved_share,
    }))(sample.glaze),
    geometry: '45_0',
    tiles_read_by: 'photograph',
    lab_error: Math.max(
      2,
      ...[...all, ground].map((t) => t.reading_de00 / 2.5003),
    ),
    tiles: [
      doc(ground, 0),
      ...all
        .sort((a, b) => a.coat_g_m2 - b.coat_g_m2)
        .map((t) => doc(t, t.coat_g_m2)),
    ],
  });
  const text = await page.textContent('.learned');
  check(
    text.includes(`ΔE ${says_.left_out_delta_e00.toFixed(1)}`) &&
      text.includes(`${says_.left_out_worst_delta_e00.toFixed(1)} at worst`),
    'the error of tiles left out is the program’s',
    text,
  );
  await looks(page, 'tiles-learned', '.learned');
  await page.getByRole('button', { name: /^use these numbers/ }).click();
  const used = await until(
    () => piece(page),
    (p) => !p.slips.find((s) => s.id === 'green').invented,
  );
  const green = used.slips.find((s) => s.id === 'green');
  const [had] = before.slips.filter((s) => s.id === 'green');
  same(
    [green.invented, green.tiles_read_by, green.optics_from],
    [undefined, 'photograph', 'learned from 6 tiles, photograph, 2026-11-25'],
    'its numbers are learned and no longer invented',
  );
  const round = (v) => v.map((x) => Number(x.toPrecision(4)));
  same(
    [green.absorption_m2_g, green.scattering_m2_g],
    [round(says_.slip.absorption_m2_g), round(says_.slip.scattering_m2_g)],
    'K and S are those that were learned',
  );
  const now = await until(
    async () =>
      (await rowTexts(page)).map((t) => Number(/ΔE ([\d.]+)/.exec(t)[1])),
    (v) => Math.max(...v) <= says_.trusted_to_delta_e00,
  );
  // Said to a tenth.
  check(
    Math.max(...now) <= says_.left_out_worst_delta_e00 + 0.05,
    'no tile is further off then than the worst of those left out',
    JSON.stringify([now, says_.left_out_worst_delta_e00]),
  );
  same(
    await page.locator('.slip.chosen .mark').count(),
    0,
    'the mark is gone from it',
  );
  await page.keyboard.press('Control+z');
  const back = await until(
    () => piece(page),
    (p) => p.slips.find((s) => s.id === 'green').invented,
  );
  same(
    back.slips.find((s) => s.id === 'green'),
    had,
    'one undo brings back what was',
  );
}

/** One tile that was written down wrongly. */
async function outlier(page) {
  const { id } = await keep(page, tile('Mixed up', 75, [70, 25, 40]));
  const button = page.getByRole('button', { name: /these seven tiles/ });
  await button.waitFor();
  await button.click();
  await page.waitForSelector('.learned');
  check(
    /Mixed up stands apart/.test(await page.textContent('.learned')),
    'a tile that stands apart is named',
    await page.textContent('.learned'),
  );
  await page.locator(`[data-tile="${id}"] button`).click();
  await page.waitForSelector(`[data-tile="${id}"]`, { state: 'detached' });
}

/** What says nothing of this piece is named and left alone. */
async function others(page) {
  const { glaze_name: _, glaze_g_m2: __, ...bare } = tile('B', 80, [50, -9, 9]);
  await keep(page, bare);
  await reached(
    page.getByText('One more tile is bare, and the piece is glazed').waitFor(),
    'a bare tile is never put together with glazed ones',
  );
  same(await rows(page).count(), 6, 'nor held against the piece');
}

/** White on a body that is truly darker than the piece has it. */
function onWhite(g) {
  const { absorption_m2_g, scattering_m2_g } = slipOf('white');
  const { index, eats_g_m2, dissolved_share } = sample.glaze;
  return {
    stack_top_first:
      g > 0 ? [{ absorption_m2_g, scattering_m2_g, coat_g_m2: g }] : [],
    substrate: { reflectance: sample.body.reflectance.map((r) => 0.7 * r) },
    glaze: { index, eats_g_m2, dissolved_share },
    geometry: '45_0',
  };
}

/** A slip on the body: what its own tile says of the body is the piece's as
 *  well, if wanted. */
async function onBody(page) {
  const body = (await piece(page)).body;
  const { under_name: _, under_g_m2: __, ...t } = tile('', 0, []);
  const on = (g, [lab_l, lab_a, lab_b]) =>
    keep(page, {
      ...t,
      name: `W${g}`,
      slip_name: 'White ground',
      coat_g_m2: g,
      ...{ lab_l, lab_a, lab_b },
    });
  for (const g of [80, 150]) await on(g, says('shade', onWhite(g)).lab);
  const { slip_name: ___, ...alone } = t;
  const [lab_l, lab_a, lab_b] = says('shade', onWhite(0)).lab;
  await keep(page, { ...alone, name: 'B', ...{ lab_l, lab_a, lab_b } });
  await page.getByRole('button', { name: 'White ground', exact: true }).click();
  const button = page.getByRole('button', { name: /these three tiles/ });
  await reached(
    button.waitFor(),
    'a tile of the white ground alone is a tile of that slip, too',
  );
  await button.click();
  await page.getByRole('button', { name: /^take the body’s colour/ }).click();
  const now = await until(
    async () => (await piece(page)).body,
    (b) => JSON.stringify(b) !== JSON.stringify(body),
  );
  same(now.invented, undefined, 'the body is no longer invented');
  // Another spectrum of the same colour: it looks as the tile does.
  const substrate = { reflectance: now.reflectance };
  const seen = says('shade', { ...onWhite(0), substrate }).lab;
  // Written to four figures: each channel is off by 5e-4 at most, L* by
  // 116/3 of that, as much as is seen.
  check(
    off(seen, [lab_l, lab_a, lab_b]) < 0.02,
    'and looks as its tile does',
    JSON.stringify(seen),
  );
  await page.getByRole('button', { name: 'Copper green', exact: true }).click();
  await page.getByText('A tile by numbers').click();
}

/** While the server is away a tile waits, and then it is in the book. */
async function away(page, server) {
  await server.stop();
  const form = page.locator('.by-numbers');
  const n = await rows(page).count();
  await form.getByLabel('its coat weight').check({ force: true });
  for (const [label, text] of [
    ['slip on it, dry', '120'],
    ['L*', '33'],
    ['a*', '-18'],
    ['b*', '7'],
  ]) {
    await form.getByLabel(label, { exact: true }).fill(text);
    await form.getByLabel(label, { exact: true }).press('Enter');
  }
  await form.getByRole('button', { name: 'keep this tile' }).click();
  await reached(
    form.getByText(/^Kept: Copper green, 120/).waitFor(),
    'away from the server a tile is kept on the device',
  );
  const again = await serve(server.port);
  await reached(
    page.waitForFunction(
      (n) => document.querySelectorAll('.tiles-beside li').length > n,
      n,
      { timeout: PATIENCE },
    ),
    'and the book has it when the server is back',
  );
  const found = await until(
    () => kept(page),
    (all) => all.some((t) => t.coat_g_m2 === 120),
  );
  same(found.filter((t) => t.coat_g_m2 === 120).length, 1, 'once');
  return again;
}

const piece = async (page) =>
  api(page, `piece/${(await api(page, 'piece?most=9')).records[0].id}`);

await suite(async (after) => {
  const server = await serve();
  after(() => server.stop());
  const browser = await browse();
  after(() => browser.close());
  const { page, complaints } = await open(browser, server, {
    ...COARSE,
    hasTouch: true,
    viewport: { width: 768, height: 1024 },
  });
  await ask(page, 'colours');
  await page.getByRole('button', { name: 'Copper green', exact: true }).click();
  await page.waitForSelector('.squares');
  await settled(page);
  await byNumbers(page);
  await fromFile(page);
  await learned(page);
  await outlier(page);
  await others(page);
  await onBody(page);
  // It writes down what was refused, too.
  same(
    complaints.filter((c) => !/ 422 .*api\/colour$/.test(c)),
    [],
    'the browser is content',
  );
  const again = await away(page, server);
  after(() => again.stop());
});
