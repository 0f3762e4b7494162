// SPDX-License-Identifier: GPL-3.0-or-later
// CIEDE2000 with culori from npm (pinned in package-lock.json, for this
// comparison only), over the pairs of bench_ciede2000.c.
import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { differenceCiede2000 } from 'culori';

const PAIRS = 1000000, TIMES = 5;
const spread = (i, root) => {
  const v = (i + 1) * Math.sqrt(root);
  return v - Math.floor(v);
};
const make = (i, l, a, b) => ({
  mode: 'lab65',
  l: 100 * spread(i, l),
  a: 200 * spread(i, a) - 100,
  b: 200 * spread(i, b) - 100,
});
const p = [], q = [];
for (let i = 0; i < PAIRS; i++) {
  p.push(make(i, 2, 3, 5));
  q.push(make(i, 7, 11, 13));
}
const difference = differenceCiede2000();
let best = Infinity, sum = 0;
for (let k = 0; k < TIMES; k++) {
  const from = process.hrtime.bigint();
  sum = 0;
  for (let i = 0; i < PAIRS; i++) sum += difference(p[i], q[i]);
  best = Math.min(best, Number(process.hrtime.bigint() - from));
}
const ns = best / PAIRS;
console.log(`| culori 4.0.2 on node ${process.version} | ${ns.toFixed(1)} | | ` +
  `${(sum / PAIRS).toFixed(9)} |`);
const ours = `../${process.env.BUILD ?? 'build-bench'}/bench/bench_ciede2000`;
if (existsSync(ours)) {
  const our = Number(execFileSync(ours, ['ns']));
  console.log(`| culori's time over our fastest | ${(ns / our).toFixed(1)} | | |`);
}
