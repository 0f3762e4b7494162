// SPDX-License-Identifier: GPL-3.0-or-later
// Lay painted zones in the WebAssembly module and compare every byte of the
// maps with those the native program laid.  Speaks TAP.
//
//   node lay.mjs MODULE.wasm NATIVE-PROGRAM SCRATCH-FOLDER [IN.flat...]
//
// Without files the native program's own samples are laid.
import {execFileSync} from 'node:child_process';
import {readFileSync} from 'node:fs';

const [modulePath, native, folder, ...files] = process.argv.slice(2);
const NUMBERS = 64, STATUS = 0, WHY = 1, MARK = 2, TAKEN = 4, LAYERS = 5;
const NX = 6, NY = 7, COATS = 32, COVERS = 48; // core/wasm/module.h
let count = 0, bad = 0;

function check(ok, text, note) {
  count++;
  if (!ok) bad++;
  console.log(`${ok ? '' : 'not '}ok ${count} - ${text}`);
  if (!ok && note) console.log(`# ${note}`);
}

const module = new WebAssembly.Module(readFileSync(modulePath));
const wants = WebAssembly.Module.imports(module);
check(wants.length === 0, 'the module imports nothing', JSON.stringify(wants));

function start() {
  const e = new WebAssembly.Instance(module, {}).exports;
  e._initialize();
  return e;
}

// Room at `at`, grown to hold `bytes`.
function grow(e, at, bytes) {
  const lack = at + bytes - e.memory.buffer.byteLength;
  if (lack > 0) e.memory.grow(Math.ceil(lack / 65536));
}

// Lay a flat array; the instance, its report, and where its room begins.
function lay(flat, bytes) {
  const e = start();
  const base = Math.ceil(e.__heap_base.value / 16) * 16;
  const inAt = base + NUMBERS * 8;
  const room = Math.ceil((inAt + flat.byteLength) / 16) * 16;
  grow(e, room, bytes);
  new Uint8Array(e.memory.buffer).set(flat, inAt);
  e.lh_module_lay(inAt, flat.byteLength / 8, room, bytes, base);
  const report = new Float64Array(e.memory.buffer, base, NUMBERS).slice();
  return {e, report, room};
}

// Coat and cover maps in the order the native program writes them.
function maps({e, report, room}) {
  const size = report[NX] * report[NY] * 4, all = [];
  for (let k = 0; k < report[LAYERS]; k++)
    for (const at of [report[COATS + k], report[COVERS + k]])
      all.push(new Uint8Array(e.memory.buffer, room + at, size));
  return all;
}

// Bytes that differ between the maps and the file after its report.
function differing(laid, file) {
  let at = NUMBERS * 8, wrong = 0;
  for (const map of maps(laid)) {
    for (let i = 0; i < map.length; i++) wrong += map[i] !== file[at + i];
    at += map.length;
  }
  return at === file.length ? wrong : Infinity;
}

function relay(laid, text, file) {
  const {e, report, room} = laid;
  let wrong = 0;
  for (const [x0, y0, w, h] of
    [[0, 0, 40, 30], [report[NX] - 33, 7, 33, 90], [211, 100, 77, 1]]) {
    for (const map of maps(laid)) {
      const f = new Float32Array(map.buffer, map.byteOffset, map.length / 4);
      for (let y = y0; y < Math.min(y0 + h, report[NY]); y++)
        f.fill(-3, y * report[NX] + x0, y * report[NX] + x0 + w);
    }
    if (differing(laid, file) === 0) wrong = Infinity;
    e.lh_module_relay(room, x0, y0, x0 + w, y0 + h);
    wrong += differing(laid, file);
  }
  check(wrong === 0, `${text}: relays of rectangles have the same bits`,
        `${wrong} bytes differ`);
}

function compare(text, flatPath) {
  const out = `${folder}/native.maps`;
  execFileSync(native, ['lay', flatPath, out]);
  const flat = readFileSync(flatPath), file = readFileSync(out);
  const want = new Float64Array(file.buffer.slice(
    file.byteOffset, file.byteOffset + NUMBERS * 8));
  const small = lay(flat, 1 << 12);
  check(small.report[STATUS] !== 0, `${text}: a room too small is said`);
  const laid = lay(flat, 96 << 20), got = laid.report;
  check([STATUS, WHY, MARK, LAYERS, NX, NY, 8, 9, 10].every(
    i => got[i] === want[i]), `${text}: the same report`,
        `status ${got[STATUS]} ${want[STATUS]}, why ${got[WHY]}, ` +
        `mark ${got[MARK]}, ${got[NX]} x ${got[NY]}`);
  if (want[STATUS] !== 0) return want;
  const wrong = differing(laid, file);
  check(wrong === 0, `${text}: ${got[LAYERS]} layers of ${got[NX]} x ` +
        `${got[NY]} pixels, bit for bit`, `${wrong} bytes differ`);
  const painted = file.subarray(NUMBERS * 8).some(b => b !== 0);
  check(painted, `${text}: and they are not empty`);
  relay(laid, text, file);
  return want;
}

if (files.length) {
  for (const f of files) compare(f.replace(/.*\//, ''), f);
} else {
  for (const name of ['band', 'disc', 'wrong']) {
    const path = `${folder}/${name}.flat`;
    execFileSync(native, ['sample', name, path]);
    const want = compare(name, path);
    if (name === 'wrong')
      check(want[STATUS] !== 0 && want[MARK] === 8,
            'wrong: names the mark that is wrong');
  }
  const cut = lay(readFileSync(`${folder}/band.flat`).subarray(0, 8000),
                  96 << 20);
  check(cut.report[STATUS] !== 0, 'half an array is refused');
}
console.log(`1..${count}`);
process.exit(bad ? 1 : 0);
