// SPDX-License-Identifier: GPL-3.0-or-later
// The page's arithmetic without a page: patches, numbers, other eyes.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check, module, near, root, same, suite } from './house.mjs';

await suite(async () => {
  const { applyPatch, pointer, steps } = await module('patch.ts');
  const { readNumber, fixed } = await module('words.ts');
  const { seen } = await module('sight.ts');

  // RFC 6902, Appendix A, from memory: document, patch, result (undefined: an
  // error).
  const examples = [
    [
      'A.1',
      { foo: 'bar' },
      [{ op: 'add', path: '/baz', value: 'qux' }],
      { foo: 'bar', baz: 'qux' },
    ],
    [
      'A.2',
      { foo: ['bar', 'baz'] },
      [{ op: 'add', path: '/foo/1', value: 'qux' }],
      { foo: ['bar', 'qux', 'baz'] },
    ],
    [
      'A.3',
      { baz: 'qux', foo: 'bar' },
      [{ op: 'remove', path: '/baz' }],
      { foo: 'bar' },
    ],
    [
      'A.4',
      { foo: ['bar', 'qux', 'baz'] },
      [{ op: 'remove', path: '/foo/1' }],
      { foo: ['bar', 'baz'] },
    ],
    [
      'A.5',
      { baz: 'qux', foo: 'bar' },
      [{ op: 'replace', path: '/baz', value: 'boo' }],
      { baz: 'boo', foo: 'bar' },
    ],
    [
      'A.6',
      { foo: { bar: 'baz', waldo: 'fred' }, qux: { corge: 'grault' } },
      [{ op: 'move', from: '/foo/waldo', path: '/qux/thud' }],
      { foo: { bar: 'baz' }, qux: { corge: 'grault', thud: 'fred' } },
    ],
    [
      'A.7',
      { foo: ['all', 'grass', 'cows', 'eat'] },
      [{ op: 'move', from: '/foo/1', path: '/foo/3' }],
      { foo: ['all', 'cows', 'eat', 'grass'] },
    ],
    [
      'A.8',
      { baz: 'qux', foo: ['a', 2, 'c'] },
      [
        { op: 'test', path: '/baz', value: 'qux' },
        { op: 'test', path: '/foo/1', value: 2 },
      ],
      { baz: 'qux', foo: ['a', 2, 'c'] },
    ],
    [
      'A.9',
      { baz: 'qux' },
      [{ op: 'test', path: '/baz', value: 'bar' }],
      undefined,
    ],
    [
      'A.10',
      { foo: 'bar' },
      [{ op: 'add', path: '/child', value: { grandchild: {} } }],
      { foo: 'bar', child: { grandchild: {} } },
    ],
    [
      'A.11',
      { foo: 'bar' },
      [{ op: 'add', path: '/baz', value: 'qux', xyz: 123 }],
      { foo: 'bar', baz: 'qux' },
    ],
    [
      'A.12',
      { foo: 'bar' },
      [{ op: 'add', path: '/baz/bat', value: 'qux' }],
      undefined,
    ],
    [
      'A.14',
      { '/': 9, '~1': 10 },
      [{ op: 'test', path: '/~01', value: 10 }],
      { '/': 9, '~1': 10 },
    ],
    [
      'A.15',
      { '/': 9, '~1': 10 },
      [{ op: 'test', path: '/~01', value: '10' }],
      undefined,
    ],
    [
      'A.16',
      { foo: ['bar'] },
      [{ op: 'add', path: '/foo/-', value: ['abc', 'def'] }],
      { foo: ['bar', ['abc', 'def']] },
    ],
  ];
  const sorted = (v) =>
    Array.isArray(v)
      ? v.map(sorted)
      : v && typeof v === 'object'
        ? Object.fromEntries(
            Object.keys(v)
              .sort()
              .map((k) => [k, sorted(v[k])]),
          )
        : v;
  for (const [name, doc, patch, want] of examples) {
    const before = JSON.stringify(doc);
    let got;
    try {
      got = applyPatch(doc, patch);
    } catch {
      got = undefined;
    }
    same(sorted(got?.doc), sorted(want), `RFC 6902 ${name}`);
    if (got) {
      same(
        sorted(applyPatch(got.doc, got.inverse).doc),
        sorted(doc),
        `RFC 6902 ${name}: the inverse brings it back`,
      );
    }
    same(
      JSON.stringify(doc),
      before,
      `RFC 6902 ${name}: what was is untouched`,
    );
  }
  // RFC 6901, sections 3 and 5, from memory.
  same(steps('/a~1b'), ['a/b'], 'RFC 6901: ~1 is a slash');
  same(steps('/m~0n'), ['m~n'], 'RFC 6901: ~0 is a tilde');
  same(pointer('a/b', 'm~n', 0), '/a~1b/m~0n/0', 'a pointer from steps');

  // A long walk there and back: every inverse in turn gives the start.
  {
    let seed = 12345;
    const dice = (n) => {
      seed = (Math.imul(seed, 1103515245) + 12345) & 0x7fffffff;
      return (seed >>> 8) % n; // the low figures of such dice repeat
    };
    const start = { list: [1, 2, 3], map: { a: 1 } };
    let doc = start;
    const back = [];
    for (let i = 0; i < 500; i++) {
      const n = doc.list.length;
      const patch = [
        [{ op: 'add', path: `/list/${dice(n + 1)}`, value: i }],
        [{ op: 'add', path: `/map/k${dice(5)}`, value: { i } }],
        n > 1
          ? [{ op: 'move', from: `/list/${dice(n)}`, path: `/list/${dice(n)}` }]
          : [],
        n > 0 ? [{ op: 'remove', path: `/list/${dice(n)}` }] : [],
        n > 0 ? [{ op: 'replace', path: `/list/${dice(n)}`, value: [i] }] : [],
        n > 0 ? [{ op: 'copy', from: `/list/${dice(n)}`, path: '/map/c' }] : [],
      ][dice(6)];
      const r = applyPatch(doc, patch);
      back.push({ was: doc, inverse: r.inverse });
      doc = r.doc;
    }
    let astray = 0;
    for (const { was, inverse } of back.reverse()) {
      doc = applyPatch(doc, inverse).doc;
      if (JSON.stringify(sorted(doc)) !== JSON.stringify(sorted(was))) astray++;
    }
    same(astray, 0, '500 edits, and each inverse brings back what was');
    same(sorted(doc), sorted(start), 'down to the start');
  }

  // Numbers as people write them.
  for (const [text, want] of [
    ['2,5', 2.5],
    ['2.5', 2.5],
    [' 12 ', 12],
    ['-0,25', -0.25],
    [',5', 0.5],
  ]) {
    same(readNumber(text).value, want, `"${text}" is read`);
  }
  for (const text of [
    '',
    '1.234,5',
    '1,2,3',
    '1 000',
    '12 mm',
    'Infinity',
    '1e3x',
  ]) {
    check('why' in readNumber(text), `"${text}" is refused`);
  }
  same(fixed(-0.04, 1), '0.0', 'no minus before nothing');

  // What the page tells the core of slips that bleed and of how sure they are:
  // piece/optics.h says how a slip is usually laid.
  const { bleedNumbers } = await module('core/engine.ts');
  const { laidNumbers } = await module('core/strength.ts');
  const piece = {
    slips: [
      { coat_g_m2: 110, ground: true, window: { best_g_m2: '220' } },
      { coat_g_m2: 70, bleed_mm: '0,3', uncertainty_percent: 8 },
      { coat_g_m2: '80', bleed_mm: -0.2, window: { least_g_m2: 40 } },
    ],
  };
  same(bleedNumbers(piece, 'fired'), [0, 0.3, 0], 'fired: what bleeds, bleeds');
  same(bleedNumbers(piece, 'painted'), [0, 0, 0], 'painted: nothing has yet');
  same(
    [...laidNumbers(piece)],
    [
      [0.15, 220, -1, 0],
      [0.08, 140, 0, 220],
      [0.15, 160, 0, 220],
    ].flat(),
    'doubt and usual coat of each slip, over the ground or the body',
  );

  // Other eyes: the published matrices, worked by another program
  // (tests/page/ref says which); printed to six decimals, so good to 5e-7.
  const table = readFileSync(
    join(root, 'tests/page/ref/cvd_check.csv'),
    'utf8',
  );
  for (const line of table.trim().split('\n')) {
    if (line.startsWith('# ') || line.startsWith('hex')) continue;
    const [hex, type, severity, ...want] = line.split(',');
    const rgb = [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16) / 255);
    seen(rgb, type, Number(severity)).forEach((v, i) =>
      near(
        v,
        Number(want[i]),
        5.1e-7,
        `${hex} ${type} ${severity} ${'RGB'[i]}`,
      ),
    );
  }
});
