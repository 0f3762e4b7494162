// SPDX-License-Identifier: GPL-3.0-or-later
// A stroke more on a band of 3600 x 480 pixels, as the page's worker takes it:
// laid and its numbers ready, then coloured.  What is measured is the worker's
// own engine (web/src/core/engine.ts) with the WebAssembly module, in node,
// which runs the same JavaScript and WebAssembly as a browser of its age.  Times
// are the process's own, so that other work on the machine counts little.
//
//   node bench/page_stroke.mjs MODULE.wasm
//
// The piece is invented: a cylinder, so that the map has that size, painted
// with so many strokes of 40 points before the one that is measured.
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {dirname, join} from 'node:path';
import {fileURLToPath} from 'node:url';
import {evenly, painted, stroke} from './page_piece.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const require = createRequire(join(root, 'web/'));
const built = await require('esbuild').build({
  entryPoints: [join(root, 'web/src/core/engine.ts')], bundle: true,
  write: false, format: 'esm', platform: 'node', logLevel: 'warning'});
const text = Buffer.from(built.outputFiles[0].contents).toString('base64');
const {Engine, sum} = await import(`data:text/javascript;base64,${text}`);
const wasm = new WebAssembly.Module(readFileSync(process.argv[2]));

const sample = JSON.parse(readFileSync(join(root, 'data/tide-line.json')));
const now = () => {
  const {user, system} = process.cpuUsage();
  return (user + system) / 1000; // [ms]
};
const even = evenly(2026);

console.log('| on the band before | the stroke | numbers ready, ms: median | ' +
  'worst of 30 | coloured, ms: median |');
console.log('|---|---|---|---|---|');
for (const [strokes, count] of [[0, 1], [40, 1], [40, 8], [248, 8], [2000, 8]]) {
  let piece = painted(sample, strokes, even);
  const e = new Engine(wasm), numbers = [], colours = [];
  e.lay(piece);
  sum(piece, e.measure(), []);
  e.tint('wall', 'fired');
  const {nx, ny} = e.zone('wall').size;
  if (nx !== 3600 || ny !== 480) throw new Error(`${nx} x ${ny}`);
  for (let i = 0; i < 33; i++) {
    const more = stroke(even, `new${i}`, 'black', count);
    piece = {...piece, painting: [...piece.painting, more]};
    const a = now();
    e.lay(piece);
    sum(piece, e.measure(), []);
    const b = now();
    e.tint('wall', 'fired');
    if (i < 3) continue; // the compiler is still at work
    numbers.push(b - a);
    colours.push(now() - b);
  }
  const sorted = a => a.sort((x, y) => x - y);
  sorted(numbers);
  sorted(colours);
  console.log(`| ${strokes} strokes | ${count === 1 ? 'once' :
    `${count} times round`} | ${numbers[15].toFixed(1)} | ${
    numbers[29].toFixed(1)} | ${colours[15].toFixed(1)} |`);
}

// The same while the stroke is drawn: it grows by one point at a time.
console.log('\n| while a stroke of 30 points grows, 8 times round | ' +
  'numbers ready, ms: median | 95 % within | worst | ' +
  'coloured, ms: median |');
console.log('|---|---|---|---|---|');
for (const [words, before, zone] of [
  ['the sample, 2814 x 370', sample, sample.zones[0].id],
  ['3600 x 480, nothing on it', painted(sample, 0, even), 'wall'],
  ['3600 x 480, 248 strokes', painted(sample, 248, even), 'wall'],
  ['3600 x 480, 2000 strokes', painted(sample, 2000, even), 'wall']]) {
  const e = new Engine(wasm), numbers = [], colours = [];
  e.lay(before);
  sum(before, e.measure(), []);
  for (const z of before.zones) e.tint(z.id, 'fired');
  for (let k = 0; k < 6; k++) {
    for (let n = 2; n <= 30; n++) {
      const path = Array.from({length: n}, (_, i) => ({x_mm: 1.6 * i,
        y_mm: 6 * Math.sin(i / 5), coat_g_m2: 80,
        width_mm: 3 + 2 * Math.sin(Math.PI * i / 30)}));
      const piece = {...before, painting: [...before.painting, {id: 'new', zone,
        turns: 0.1 + 0.13 * k, up_mm: 15 + 8 * k,
        repeat: {count: 8, may_overlap: true},
        mark: {id: 'new-mark', kind: 'stroke', slip: 'blue', path}}]};
      const a = now();
      const laid = e.lay(piece);
      sum(piece, e.measure(), []);
      const b = now();
      for (const z of laid) e.tint(z.zone, 'fired');
      if (k === 0) continue; // the compiler is still at work
      numbers.push(b - a);
      colours.push(now() - b);
    }
  }
  numbers.sort((x, y) => x - y);
  colours.sort((x, y) => x - y);
  const at = (a, share) => a[Math.min(a.length - 1,
    Math.floor(share * a.length))].toFixed(1);
  console.log(`| ${words} | ${at(numbers, 0.5)} | ${at(numbers, 0.95)} | ${
    at(numbers, 1)} | ${at(colours, 0.5)} |`);
}
