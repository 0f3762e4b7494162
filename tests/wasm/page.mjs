// SPDX-License-Identifier: GPL-3.0-or-later
// What a page asks of the WebAssembly module, beside the same done natively:
// zones changed and laid again where they changed, measured, coloured, every
// byte compared.  Speaks TAP.
//
//   node page.mjs MODULE.wasm LAY-NATIVE PAGE-NATIVE SCRATCH-FOLDER
import {execFileSync} from 'node:child_process';
import {readFileSync} from 'node:fs';

const [modulePath, lay, page, folder] = process.argv.slice(2);
const NUMBERS = 64, LAYERS = 5, NX = 6, NY = 7; // core/wasm/module.h
const MEASURE_MOST = 5 + 5 * (2 * 12 + 12 * 13), MOST = 12;
const ROOM = 8 << 20;
let count = 0, bad = 0;

function check(ok, text, note) {
  count++;
  if (!ok) bad++;
  console.log(`${ok ? '' : 'not '}ok ${count} - ${text}`);
  if (!ok && note) console.log(`# ${note}`);
}

const module = new WebAssembly.Module(readFileSync(modulePath));

/** The module, and memory handed out from its heap upward. */
function start() {
  const e = new WebAssembly.Instance(module, {}).exports;
  e._initialize();
  let next = e.__heap_base.value;
  const take = bytes => {
    const at = Math.ceil(next / 16) * 16;
    next = at + bytes;
    const lack = next - e.memory.buffer.byteLength;
    if (lack > 0) e.memory.grow(Math.ceil(lack / 65536));
    return at;
  };
  const give = bytes => {
    const at = take(bytes.byteLength);
    new Uint8Array(e.memory.buffer).set(
      new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength), at);
    return at;
  };
  return {e, take, give};
}

const out = [];
let hits = 0;
const put = (w, at, bytes) =>
  out.push(new Uint8Array(w.e.memory.buffer, at, bytes).slice());

function ready(w, flat) {
  const at = w.give(flat), room = w.take(ROOM), report = w.take(NUMBERS * 8);
  w.e.lh_module_ready(at, flat.byteLength / 8, room, ROOM, report);
  const r = new Float64Array(w.e.memory.buffer, report, NUMBERS).slice();
  return {room, layers: r[LAYERS], pixels: r[NX] * r[NY], nx: r[NX],
          ny: r[NY], maps: []};
}

function pointers(w, z) {
  const at = w.take(8 * MOST);
  new Uint32Array(w.e.memory.buffer, at, 2 * MOST).set(z.maps);
  return at;
}

/** As page_native.c has it. */
const bleedOf = layer => layer % 2 ? 0 : 0.15 + 0.1 * layer;
function putBled(w, z, palette, stale, memo, rgba) {
  const tiles = Math.ceil(z.nx / 32) * Math.ceil(z.ny / 32);
  const wide = w.take(tiles), maps = w.take(8 * MOST), at = [];
  new Uint8Array(w.e.memory.buffer).copyWithin(wide, stale, stale + tiles);
  w.e.lh_module_reach(z.room, 1.25, wide);
  put(w, wide, tiles);
  for (let k = 0; k < z.layers; k++) {
    const mm = bleedOf(k), out = w.take(4 * z.pixels);
    const work = w.take(w.e.lh_module_work(z.room, mm) + 16);
    w.e.lh_module_bleed(z.room, mm, z.maps[2 * k], wide, work, out);
    put(w, out, 4 * z.pixels);
    at.push(out, z.maps[2 * k + 1]);
  }
  new Uint32Array(w.e.memory.buffer, maps, 2 * MOST).set(at);
  w.e.lh_module_tint(palette, z.room, maps, wide, memo, 1, rgba);
  put(w, rgba, 4 * z.pixels);
}

function putAll(w, z, palette, stale, sums, memo, rgba) {
  const numbers = w.take(MEASURE_MOST * 8), says = w.take(z.pixels);
  const mm2 = w.take(24), maps = pointers(w, z);
  const n = w.e.lh_module_measure(z.room, maps, stale, sums, numbers);
  put(w, numbers, 8 * n);
  for (let k = 0; k < 2 * z.layers; k++) put(w, z.maps[k], 4 * z.pixels);
  w.e.lh_module_tint(palette, z.room, maps, stale, memo, 1, rgba);
  put(w, rgba, 4 * z.pixels);
  w.e.lh_module_window(z.room, maps, 2, 100, 200, says, mm2);
  put(w, says, z.pixels);
  put(w, mm2, 24);
  putBled(w, z, palette, stale, memo, rgba);
}

function work(before, after, pal) {
  const w = start();
  out.length = 0;
  const palette = w.take(128 << 10), memo = w.take(w.e.lh_module_memo());
  const stale = w.take(1 << 20), answer = w.take(4 * (3 + MOST));
  w.e.lh_module_palette(w.give(pal), pal.byteLength / 8, palette, 128 << 10);
  const x = ready(w, before);
  for (let i = 0; i < 2 * MOST; i++) x.maps.push(w.take(4 * x.pixels));
  const rgba = w.take(8 * x.pixels);
  const sums = w.take(w.e.lh_module_sums(x.room) + (1 << 16));
  w.e.lh_module_since(0, x.room, stale, answer);
  w.e.lh_module_paint(x.room, pointers(w, x), stale);
  putAll(w, x, palette, stale, sums, memo, rgba);
  const y = ready(w, after);
  w.e.lh_module_since(x.room, y.room, stale, answer);
  put(w, answer, 4 * (3 + MOST));
  const a = new Int32Array(w.e.memory.buffer, answer, 3 + MOST).slice();
  for (let i = 0; i < MOST; i++)
    for (let c = 0; c < 2; c++)
      y.maps.push(a[3 + i] < 0 ? w.take(4 * y.pixels)
                               : x.maps[2 * a[3 + i] + c]);
  w.e.lh_module_paint(y.room, pointers(w, y), stale);
  new Uint8Array(w.e.memory.buffer, memo, w.e.lh_module_memo()).fill(0);
  putAll(w, y, palette, stale, sums, memo, rgba);
  putHits(w, y);
  return Buffer.concat(out);
}

function putHits(w, z) {
  const n = w.e.lh_module_shapes(z.room, 0, 0), at = w.take(80 * n + 16);
  w.e.lh_module_shapes(z.room, n, at);
  put(w, at, 80 * n);
  for (let i = 0; i < 200; i++) {
    new Float64Array(w.e.memory.buffer, at, 2).fill(-1);
    const x = 2.5 * (i % 40) - 30, y = 9.0 * Math.floor(i / 40) - 4;
    hits += w.e.lh_module_hit(z.room, x, y, 0.5, at);
    put(w, at, 16);
  }
}

function differing(a, b) {
  if (a.length !== b.length) return Infinity;
  let n = 0;
  for (let i = 0; i < a.length; i++) n += a[i] !== b[i];
  return n;
}

execFileSync(page, ['numbers', 'palette', `${folder}/palette`]);
const pal = readFileSync(`${folder}/palette`);
for (const name of ['band', 'disc']) {
  const before = `${folder}/${name}.flat`;
  execFileSync(lay, ['sample', name, before]);
  for (const kind of ['move', 'drop', 'add', 'top', 'size']) {
    const after = `${folder}/after.flat`, to = `${folder}/native`;
    execFileSync(page, ['edit', kind, before, after]);
    const said = execFileSync(page,
      ['work', before, after, `${folder}/palette`, to], {encoding: 'utf8'});
    const [all, tiles, wrong, layers] = said.trim().split(' ').map(Number);
    check(wrong === 0, `${name}, ${kind}: what changed laid again is the whole ` +
          `laid, ${layers} layers`, `${wrong} maps differ`);
    check(kind === 'size' ? all === 1 : all === 0 && tiles > 0 && tiles < 150,
          `${name}, ${kind}: ${kind === 'size' ? 'all is' : 'only some tiles ' +
          'are'} laid again`, said);
    const n = differing(work(readFileSync(before), readFileSync(after), pal),
                        readFileSync(to));
    check(n === 0, `${name}, ${kind}: maps, numbers, colours, bleeds, windows and ` +
          'outlines, bit for bit', `${n} bytes differ`);
  }
}

check(hits > 500 && hits < 2000, 'some places are met, and some are not', hits);

/** The palette pale, then strong. */
function strengths() {
  const w = start(), n = pal.byteLength / 8, at = w.give(pal);
  const laid = w.give(new Float64Array(Array.from({length: 10}, (_, i) =>
    [0.02 * (i + 1), 40 + 15 * i, i ? 0 : -1, 220]).flat()));
  const to = w.take(16 * n);
  w.e.lh_module_strength(at, n, laid, 1, to);
  w.e.lh_module_strength(at, n, laid, 2, to + 8 * n);
  return Buffer.from(w.e.memory.buffer.slice(to, to + 16 * n));
}
execFileSync(page, ['numbers', 'strengths', `${folder}/strengths`]);
const ends = readFileSync(`${folder}/strengths`);
const [pales, moved] = [differing(strengths(), ends),
                        differing(ends.subarray(0, pal.length), pal)];
// At the least five bytes of each of 720 numbers.
check(pales === 0 && moved > 3600, 'a palette pale and strong, bit for bit',
      `${pales} bytes differ, ${moved} moved`);

/** Every function of shape.c, in the order of page_native.c. */
function shapes() {
  const w = start(), list = a => w.give(new Float64Array(a));
  const profile = list([28, 0, 52, 8, 78, 24, 90, 46]);
  const shrink = list([0.04, 0.045, 0.06, 0.065]);
  const zone = list([0, 0, 10, 65]);
  const odd = list([1, 0, 0.01, 4, 0.05, 1.2, 5, 1, 0, 0, 0, 1]);
  const R = 160 << 10, room = w.take(R), at = w.take(4096 * 8), got = [];
  const add = (status, n) => got.push(status,
    ...new Float64Array(w.e.memory.buffer, at, n));
  add(w.e.lh_module_resize(profile, 4, 0, 1, shrink, at), 8);
  let n = w.e.lh_module_rings(profile, 4, room, R, 64, at);
  add(n, 5 * n);
  n = w.e.lh_module_repeat(4, 5, 0.02, odd, 2, room, R, 64, at);
  add(n, 8 * n);
  n = w.e.lh_module_dab(11, 4, 0.2, 210, 0.4, at);
  add(n, 4 * n);
  add(w.e.lh_module_chart(profile, 4, zone, room, R, at), 8);
  add(w.e.lh_module_place(room, 0.37, 20, at), 3);
  const [x, y] = got.slice(-3);
  add(w.e.lh_module_back(room, x, y, at), 3);
  return Buffer.from(new Float64Array(got).buffer);
}
execFileSync(page, ['numbers', 'shapes', `${folder}/shapes`]);
const want = readFileSync(`${folder}/shapes`);
check(differing(shapes(), want) === 0,
      'profiles, rings, charts, repeats and dabs, bit for bit');
console.log(`1..${count}`);
process.exit(bad ? 1 : 0);
