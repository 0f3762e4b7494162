// SPDX-License-Identifier: GPL-3.0-or-later
// A made-up card of reference patches, pictures of it with a tile, and tiles
// whose colour is known: what the suites about tiles share.
//
// The pictures are made here: squares of known L*a*b*, by the equations of
// CIE 15 (L*a*b*, D65) and IEC 61966-2-1 (sRGB), under a light that falls off
// to one side.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { deflateSync } from 'node:zlib';
import { PATIENCE, axeSource, program, root, same, shot } from './house.mjs';

/** What the command line says to the same document. */
export const says = (op, doc) =>
  JSON.parse(
    execFileSync(program, [op, '-', '--json'], { input: JSON.stringify(doc) }),
  );

/* ---- a picture -------------------------------------------------------------- */

/** Linear sRGB of a colour. */
function light([L, a, b]) {
  const f = (t) => (t > 6 / 29 ? t ** 3 : 3 * (6 / 29) ** 2 * (t - 4 / 29));
  const y = (L + 16) / 116;
  // The white of sRGB, D65.
  const [X, Y, Z] = [0.9505 * f(y + a / 500), f(y), 1.089 * f(y - b / 200)];
  return [
    3.2406 * X - 1.5372 * Y - 0.4986 * Z,
    -0.9689 * X + 1.8758 * Y + 0.0415 * Z,
    0.0557 * X - 0.204 * Y + 1.057 * Z,
  ];
}
const code = (v) => {
  const c = Math.min(1, Math.max(0, v));
  return Math.round(
    255 * (c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055),
  );
};

/** CRC-32 (ISO/IEC 15948, annex D). */
function crc(bytes) {
  let c = ~0;
  for (const b of bytes) {
    c ^= b;
    for (let k = 0; k < 8; k++) c = (c >>> 1) ^ (c & 1 ? 0xedb88320 : 0);
  }
  return ~c >>> 0;
}
/** PNG (ISO/IEC 15948) of 8-bit colours, marked as sRGB. */
function png(wide, high, rgb) {
  const part = (kind, data) => {
    const body = Buffer.concat([Buffer.from(kind, 'latin1'), data]);
    const out = Buffer.alloc(body.length + 8);
    out.writeUInt32BE(data.length, 0);
    body.copy(out, 4);
    out.writeUInt32BE(crc(body), body.length + 4);
    return out;
  };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(wide, 0);
  head.writeUInt32BE(high, 4);
  head.set([8, 2, 0, 0, 0], 8);
  const rows = Buffer.alloc(high * (3 * wide + 1));
  for (let y = 0; y < high; y++) {
    for (let x = 0; x < wide; x++) {
      rows.set(rgb(x, y), y * (3 * wide + 1) + 1 + 3 * x);
    }
  }
  return Buffer.concat([
    Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]),
    part('IHDR', head),
    part('sRGB', Buffer.from([0])),
    part('IDAT', deflateSync(rows)),
    part('IEND', Buffer.alloc(0)),
  ]);
}

/** A card that was made up: four patches in a row, three rows. */
export const CARD = [
  ['white', 95, 0, 1],
  ['light grey', 78, 0, 0],
  ['grey', 60, 0, 0],
  ['dark grey', 40, 0, 0],
  ['red', 48, 42, 26],
  ['yellow', 80, 4, 58],
  ['green', 52, -32, 26],
  ['blue', 40, 8, -38],
  ['skin', 66, 17, 18],
  ['teal', 58, -24, -10],
  ['violet', 42, 24, -26],
  ['black', 22, 0, 0],
];
const [WIDE, HIGH] = [800, 600];
const PITCH = 0.13;
export const middle = (i) => [
  0.17 + PITCH * (i % 4),
  (0.1 * HIGH + PITCH * WIDE * Math.floor(i / 4)) / HIGH,
];
export const TILE = [0.74, 0.75];

/** The card, and a tile below it, on grey. */
export function picture(tile, { exposure = 0.85, swap = -1, glare = 0 } = {}) {
  const lights = CARD.map((c) => light(c.slice(1)));
  if (swap >= 0)
    [lights[swap], lights[swap + 1]] = [lights[swap + 1], lights[swap]];
  const [cloth, own] = [light([50, 0, 0]), light(tile)];
  return png(WIDE, HIGH, (x, y) => {
    let c = cloth;
    CARD.forEach((_, i) => {
      const [u, v] = middle(i);
      if (Math.max(Math.abs(x - u * WIDE), Math.abs(y - v * HIGH)) < 42)
        c = lights[i];
    });
    const [u, v] = TILE;
    const d = Math.max(Math.abs(x - u * WIDE), Math.abs(y - v * HIGH));
    if (d < 90) c = own;
    // It falls off by an eighth from left to right.
    const e = exposure * (1 - (0.125 * x) / WIDE) + (d < 90 ? glare : 0);
    return c.map((k) => code(e * k));
  });
}

/* ---- tiles whose colour is known ------------------------------------------- */

export const sample = JSON.parse(
  readFileSync(join(root, 'data/tide-line.json'), 'utf8'),
);
export const slipOf = (id) => sample.slips.find((s) => s.id === id);
const white = says('coverage', sample).slips.find((s) => s.slip === 'white');
/** The chips lie on as much white as the piece has, to half a gram. */
export const WHITE_G = Math.round(2 * white.coat_g_m2) / 2;

/** The green as it truly is: half as strong again as the piece has it. */
const TRUE = { k: 1.5, s: 0.9 };
export function colour(g, { k, s } = TRUE) {
  const of = (id, coat_g_m2, k = 1, s = 1) => ({
    absorption_m2_g: slipOf(id).absorption_m2_g.map((v) => k * v),
    scattering_m2_g: slipOf(id).scattering_m2_g.map((v) => s * v),
    coat_g_m2,
  });
  const { index, eats_g_m2, dissolved_share } = sample.glaze;
  return says('shade', {
    stack_top_first: [
      ...(g > 0 ? [of('green', g, k, s)] : []),
      of('white', WHITE_G),
    ],
    substrate: { reflectance: sample.body.reflectance },
    glaze: { index, eats_g_m2, dissolved_share },
    geometry: '45_0',
  }).lab;
}
export const off = (lab1, lab2) => says('difference', { lab1, lab2 }).delta_e00;

/* ---- the page ---------------------------------------------------------------- */

export const api = (page, path, method = 'GET', doc = undefined) =>
  page.evaluate(
    async ([path, method, doc]) => {
      const { token } = await (await fetch('/api/about')).json();
      const r = await fetch(`/api/book/${path}`, {
        method,
        headers: {
          'content-type': 'application/json',
          'leatherhard-token': token,
        },
        ...(doc ? { body: JSON.stringify(doc) } : {}),
      });
      return r.json();
    },
    [path, method, doc],
  );

/** All tiles of the book. */
export async function kept(page) {
  const { records } = await api(page, 'tile?most=100');
  return Promise.all(records.map(({ id }) => api(page, `tile/${id}`)));
}

export async function until(what, good) {
  let got;
  for (const end = Date.now() + PATIENCE; Date.now() < end;) {
    got = await what();
    if (good(got)) return got;
    await new Promise((ok) => setTimeout(ok, 100));
  }
  return got;
}

export async function axe(page) {
  await page.evaluate(readFileSync(axeSource, 'utf8'));
  return page.evaluate(async () => {
    const r = await window.axe.run(document);
    return r.violations.map(
      (v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 160)).join(' | ')}`,
    );
  });
}

/** At both widths, by day and by night: a picture, and what axe-core says. */
export async function looks(page, name, at) {
  for (const [width, height] of [
    [1440, 900],
    [768, 1024],
  ]) {
    for (const colorScheme of ['light', 'dark']) {
      await page.setViewportSize({ width, height });
      await page.emulateMedia({ colorScheme });
      await page.locator(at).scrollIntoViewIfNeeded();
      await shot(page, `${name}-${width}-${colorScheme}`);
      same(
        await axe(page),
        [],
        `${name} at ${width}, ${colorScheme}: axe finds nothing`,
      );
    }
  }
  await page.emulateMedia({ colorScheme: 'light' });
  const low = await page.$$eval(
    '.tiles button, .tiles summary, .tiles select, .square, dialog button:not(.ring)',
    (all) =>
      all
        .map((e) => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
        .filter(([, b]) => b.height > 0 && b.height < 43.5)
        .map(([html]) => html),
  );
  same(low, [], `${name}: fingers find what they want`);
}

export const rows = (page) => page.locator('.tiles-beside li');

export const square = (page, n) => page.locator('.squares .row .square').nth(n);

export const grams = async (page, n) =>
  Number(
    /, (\d+) g/.exec(
      await square(page, n).locator('input').getAttribute('aria-label'),
    )[1],
  );
