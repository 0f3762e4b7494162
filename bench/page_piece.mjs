// SPDX-License-Identifier: GPL-3.0-or-later
// An invented piece to draw on: a cylinder whose map has 3600 x 480 pixels of
// 0.2 mm, painted with so many strokes of 40 points, each eight times round.

/** Evenly spread numbers, the same in every run. */
export function evenly(seed) {
  let state = seed;
  return (a, b) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return a + ((b - a) * state) / 4294967296;
  };
}

export function stroke(even, id, slip, count) {
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

/** `strokes` as they stand on the pot: each of a quarter as many slips. */
export function painted(sample, strokes, even = evenly(2026)) {
  const each = strokes / 8 >= 1 ? Math.round(strokes / 32) : 0;
  const radius = 3600 * 0.2 / (2 * Math.PI);
  const slips = ['blue', 'green', 'amber', 'black'];
  return {...sample, id: `cylinder-${strokes}`, motifs: [], zones: [
    {id: 'wall', from_mm: 0, to_mm: 96}],
  form: {outside: [{diameter_mm: 2 * radius, height_mm: 0},
    {diameter_mm: 2 * radius, height_mm: 96}]},
  painting: [{id: 'ground', zone: 'wall', mark: {id: 'ground-mark', kind: 'fill',
    whole_zone: true, slip: 'white', coats: 2}},
  ...slips.flatMap((s, k) => Array.from({length: each},
    (_, i) => stroke(even, `s${k}-${i}`, s, 8)))]};
}
