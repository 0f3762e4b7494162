// SPDX-License-Identifier: GPL-3.0-or-later
// The page's own way from a piece document to maps and numbers, beside the
// native program's.  Speaks TAP.
//
//   node engine.mjs ENGINE.js MODULE.wasm LEATHERHARD LAY-NATIVE PIECE.json
//        FLAT-FOLDER SCRATCH-FOLDER
//
// ENGINE.js is web/src/core/engine.ts, bundled; in FLAT-FOLDER lie the zones
// of the piece as the native program writes them (tests/demo/flatten.c).
import {execFileSync} from 'node:child_process';
import {existsSync, readFileSync} from 'node:fs';
import {pathToFileURL} from 'node:url';

const [engine, wasm, leatherhard, lay, path, flats, scratch] =
  process.argv.slice(2);
const {Engine, sum} = await import(pathToFileURL(engine).href);
let count = 0, bad = 0;

function check(ok, text, note) {
  count++;
  if (!ok) bad++;
  console.log(`${ok ? '' : 'not '}ok ${count} - ${text}`);
  if (!ok && note !== undefined) console.log(`# ${note}`);
}

function differing(a, b) {
  if (a.length !== b.length) return `${a.length} bytes for ${b.length}`;
  let n = 0;
  for (let i = 0; i < a.length; i++) n += a[i] !== b[i];
  return n;
}
const bytes = a => new Uint8Array(a.buffer, a.byteOffset, a.byteLength);

const piece = JSON.parse(readFileSync(path, 'utf8'));
const e = new Engine(new WebAssembly.Module(readFileSync(wasm)));
e.lay(piece);
check(e.troubles.length === 0, 'the whole piece is laid',
      JSON.stringify(e.troubles));

for (const z of piece.zones) {
  const file = `${flats}/${z.id}.flat`;
  if (!existsSync(file)) continue;
  let n = differing(bytes(e.flat(piece, z)), readFileSync(file));
  check(n === 0, `${z.id}: the array of numbers is the program's, bit for bit`,
        n);
  execFileSync(lay, ['lay', file, `${scratch}/maps`]);
  const native = readFileSync(`${scratch}/maps`), maps = e.zone(z.id);
  const got = [];
  maps.layerSlips.forEach((_, k) =>
    got.push(bytes(maps.coat(k)), bytes(maps.cover(k))));
  n = differing(Buffer.concat(got), native.subarray(64 * 8));
  check(n === 0, `${z.id}: coats and covers are the program's, bit for bit`, n);
}

// The program prints 15 digits; the sums over zones may differ in the last.
const near = (a, b) => Math.abs(a - b) <= 2e-14 * Math.abs(b);
function compare(numbers, text, document) {
  const want = JSON.parse(execFileSync(leatherhard, ['coverage', '-', '--json'],
    {input: JSON.stringify(document), encoding: 'utf8'}));
  const lines = (want.result ?? want);
  let wrong = [];
  for (const s of lines.slips) {
    const g = numbers.slips.find(x => x.slip === s.slip);
    for (const k of ['area_cm2', 'dry_g', 'coat_g_m2', 'heaviest_g_m2'])
      if (!near(g[k], s[k])) wrong.push(`${s.slip} ${k}: ${g[k]} ${s[k]}`);
  }
  for (const o of lines.overlaps) {
    const g = numbers.overlaps.find(
      x => x.upper === o.upper && x.lower === o.lower);
    for (const k of ['area_cm2', 'upper_g_m2', 'lower_g_m2'])
      if (!g || !near(g[k], o[k])) wrong.push(`${o.upper} on ${o.lower} ${k}`);
  }
  check(lines.slips.length > 0 && wrong.length === 0,
        `${text}: areas, grams and overlaps are those of coverage`,
        wrong.join('; '));
}
compare(sum(piece, e.measure(), e.troubles), 'the piece', piece);

// A stroke more, as if by pen, seven times round.
const stroke = {
  id: 'one-more', zone: 'zone-wall', turns: 0.07, up_mm: 20,
  repeat: {count: 7},
  mark: {id: 'one-more-mark', kind: 'stroke', slip: 'blue', brush: 'brush-round',
    path: Array.from({length: 40}, (_, i) => ({x_mm: i * 0.6,
      y_mm: 6 * Math.sin(i / 6), width_mm: 1 + i / 12, coat_g_m2: 60 + i}))},
};
const after = {...piece, painting: [...piece.painting, stroke]};
const changed = e.lay(after).find(z => z.zone === 'zone-wall');
const pixels = changed.rects.reduce((n, r) => n + r.w * r.h, 0);
check(!changed.all && pixels < 0.3 * changed.nx * changed.ny,
      'a stroke more: only where it lies is laid again', pixels);
compare(sum(after, e.measure(), e.troubles), 'a stroke more', after);

const wrong = {...after, painting: [...after.painting,
  {...stroke, id: 'x', mark: {...stroke.mark, id: 'y', slip: 'chartreuse'}}]};
e.lay(wrong);
check(e.troubles.length === 1 && e.troubles[0].entry === 'x',
      'a mark of a slip that there is not is left out and named',
      JSON.stringify(e.troubles));

// The colours: what the program says of a stack, and what lies on the map.
const t = e.tint('zone-wall', 'fired');
const first = [...t.rgba.subarray(0, 4)];
check(t.rects.length === 1 && first[3] === 255, 'colours for all of the zone');
e.lay(piece);
const back = e.tint('zone-wall', 'fired');
const again = new Engine(new WebAssembly.Module(readFileSync(wasm)));
again.lay(piece);
const firstColours = again.tint('zone-wall', 'fired');
const whole = {rgba: firstColours.rgba.slice()};
const n = differing(back.rgba, whole.rgba);
check(n === 0, 'there and back: the colours are those of a fresh start', n);

// Slips that bleed: other colours, the same numbers; and after a stroke more
// the colours of a fresh start, though only some of them were worked out.
const bleeding = p => ({...p, slips: p.slips.map(
  s => s.ground ? s : {...s, bleed_mm: s.id === 'blue' ? '0,8' : 0.3})});
const fresh = () => new Engine(new WebAssembly.Module(readFileSync(wasm)));
const b = fresh();
b.lay(bleeding(piece));
const numbers = JSON.stringify(b.measure());
const dry = fresh();
dry.lay(piece);
check(numbers === JSON.stringify(dry.measure()),
      'slips that bleed: areas, grams and overlaps stay as painted');
const bled = b.tint('zone-wall', 'fired').rgba.slice();
check(differing(bled, whole.rgba) > 10000, 'and the colours are others');
check(differing(b.tint('zone-wall', 'painted').rgba,
                again.tint('zone-wall', 'painted').rgba) === 0,
      'what is painted, not fired, has not bled');
b.lay(bleeding(after));
const some = b.tint('zone-wall', 'fired');
const f = fresh();
f.lay(bleeding(after));
const all = f.tint('zone-wall', 'fired');
const few = some.rects.reduce((n, r) => n + r.w * r.h, 0);
check(few < 0.6 * changed.nx * changed.ny && few > pixels &&
      differing(some.rgba, all.rgba) === 0,
      'a stroke more: where it bleeds to is coloured again, and no more',
      `${few} of ${changed.nx * changed.ny}, ${differing(some.rgba, all.rgba)}`);
b.lay(bleeding(piece));
check(differing(b.tint('zone-wall', 'fired').rgba, bled) === 0,
      'and back: the colours that were');
b.lay(piece);
check(differing(b.tint('zone-wall', 'fired').rgba, whole.rgba) === 0,
      'no bleed any more: the colours of before');

// Pale, expected, strong: from light to dark, and back to the very bytes.
const light = s => {
  b.strength = s;
  const {rgba} = b.tint('zone-wall', 'fired');
  let sum = 0;
  for (let i = 0; i < rgba.length; i += 4) sum += rgba[i + 1];
  return sum;
};
const [pale, middle, strong] = ['pale', 'expected', 'strong'].map(light);
check(pale > middle && middle > strong, 'pale is lighter, strong is darker',
      [pale, middle, strong]);
light('expected');
check(differing(b.tint('zone-wall', 'fired').rgba, whole.rgba) === 0,
      'and expected again: the colours of before');
console.log(`1..${count}`);
process.exit(bad ? 1 : 0);
