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
let state = 2026;
const even = (a, b) => {
  state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
  return a + (b - a) * state / 4294967296;
};
function stroke(id, slip, count) {
  const turn = even(0, 2 * Math.PI);
  return {
    id, zone: 'wall', turns: even(0, 1), up_mm: even(10, 85),
    repeat: {count, may_overlap: true},
    mark: {id: `${id}-mark`, kind: 'stroke', slip,
      path: Array.from({length: 40}, (_, i) => ({
        x_mm: 0.5 * i * Math.cos(turn) + Math.sin(i / 5),
        y_mm: 0.5 * i * Math.sin(turn) + Math.cos(i / 7),
        width_mm: 1 + 3 * Math.sin(Math.PI * i / 39), coat_g_m2: 60 + i}))},
  };
}
function painted(strokes) {
  const radius = 3600 * 0.2 / (2 * Math.PI);
  const slips = ['blue', 'green', 'amber', 'black'];
  return {...sample, motifs: [], zones: [
    {id: 'wall', from_mm: 0, to_mm: 96}],
  form: {outside: [{diameter_mm: 2 * radius, height_mm: 0},
    {diameter_mm: 2 * radius, height_mm: 96}]},
  painting: [{id: 'ground', zone: 'wall', mark: {id: 'ground-mark', kind: 'fill',
    whole_zone: true, slip: 'white', coats: 2}},
  ...slips.flatMap((s, k) => Array.from({length: strokes / 4},
    (_, i) => stroke(`s${k}-${i}`, s, 8)))]};
}

console.log('| on the band before | the stroke | numbers ready, ms: median | ' +
  'worst of 30 | coloured, ms: median |');
console.log('|---|---|---|---|---|');
for (const [strokes, count] of [[0, 1], [40, 1], [40, 8], [248, 8], [2000, 8]]) {
  let piece = painted(strokes / 8 >= 1 ? 4 * Math.round(strokes / 32) : 0);
  const e = new Engine(wasm), numbers = [], colours = [];
  e.lay(piece);
  sum(piece, e.measure(), []);
  e.tint('wall', 'fired');
  const {nx, ny} = e.zone('wall').size;
  if (nx !== 3600 || ny !== 480) throw new Error(`${nx} x ${ny}`);
  for (let i = 0; i < 33; i++) {
    const more = stroke(`new${i}`, 'black', count);
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
