// SPDX-License-Identifier: GPL-3.0-or-later
// Colours beside culori from npm (pinned in bench/package-lock.json, brought by
// tools/install.sh): sRGB, XYZ, CIELAB, CIEDE2000 of 10,000 seeded pairs, and
// other eyes by its own copy of the matrices of Machado and others (2009).
//
//   node culori.mjs SAY FOLDER   say.c's program; the sources' folder
import { execFileSync } from 'node:child_process';
import { createRequire } from 'node:module';

const [say, folder] = process.argv.slice(2);
let culori;
try {
  culori = createRequire(`${folder}/bench/`)('culori');
} catch (e) {
  if (e.code !== 'MODULE_NOT_FOUND') throw e;
  console.log('1..0 # SKIP culori is not installed: run tools/install.sh');
  process.exit(0);
}
const lines = execFileSync(say, { encoding: 'utf8', maxBuffer: 1 << 26 })
  .trim().split('\n').map(l => l.split(' ').map(Number));

let count = 0, failed = 0;
const check = (good, words, more) => {
  if (!good) failed++;
  console.log(`${good ? 'ok' : 'not ok'} ${++count} - ${words}`);
  if (!good) console.log(`# ${more}`);
};
// Math.max keeps NaN.
const worst = {};
const apart = (name, a, b) => {
  worst[name] = Math.max(worst[name] ?? 0, ...a.map((v, i) => Math.abs(v - b[i])));
};

const xyz65 = culori.converter('xyz65');
const lab65 = culori.converter('lab65');
const rgb = culori.converter('rgb');
const e00 = culori.differenceCiede2000();
const eyes = [culori.filterDeficiencyProt, culori.filterDeficiencyDeuter,
  culori.filterDeficiencyTrit];
const linear = v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;

for (const l of lines) {
  const [sight, severity] = l;
  const at = i => l.slice(i, i + 3);
  const c = { mode: 'rgb', r: l[2], g: l[3], b: l[4] };
  const x = xyz65(c), p = lab65(c);
  const own = { mode: 'lab65', l: l[8], a: l[9], b: l[10] };
  const q = { mode: 'lab65', l: l[14], a: l[15], b: l[16] };
  const r = rgb(own);
  apart('xyz', at(5), [x.x, x.y, x.z]);
  apart('lab', at(8), [p.l, p.a, p.b]);
  apart('rgb', at(11), [r.r, r.g, r.b]);
  apart('e00', [l[20]], [e00(own, q)]);
  apart('back', [l[21]], [e00(q, own)]);
  // The matrices are for light; culori takes whatever it is given.
  const s = eyes[sight](severity)({ mode: 'rgb', r: linear(l[2]),
    g: linear(l[3]), b: linear(l[4]) });
  apart('eyes', at(17), [s.r, s.g, s.b]);
}

check(lines.length === 10000, '10,000 pairs', lines.length);
// Both are double precision throughout: a few roundings of 1e-16, the worst
// where a root is steep (Lab near black, 500 x 7.8) or undone (sRGB, 12.92).
const near = (name, most, words) =>
  check(worst[name] <= most, `${words}: ${worst[name].toExponential(1)} apart`,
    `at most ${most}`);
near('xyz', 1e-14, 'sRGB to XYZ');
near('lab', 1e-11, 'sRGB to CIELAB');
near('rgb', 1e-12, 'CIELAB to sRGB');
near('e00', 1e-9, 'CIEDE2000');
near('back', 1e-9, 'CIEDE2000, the other way round');
near('eyes', 1e-14, 'eyes that lack a kind of cone, eleven severities');
console.log(`1..${count}`);
process.exit(failed ? 1 : 0);
