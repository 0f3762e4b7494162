// SPDX-License-Identifier: GPL-3.0-or-later
// Builds the page into a folder: node build.mjs [--out DIR] [--wasm FILE]
// What is not in the source tree (node_modules) comes from `npm ci`.
import { build } from 'esbuild';
import { createHash } from 'node:crypto';
import { cp, mkdir, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { existsSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const word = (name, without) => {
  const i = process.argv.indexOf(name);
  return i > 0 ? resolve(process.argv[i + 1]) : without;
};
const out = word('--out', join(here, 'dist'));
const wasm = word('--wasm', '');
const at = (...p) => join(here, ...p);

// The pot and the band have folders of their own; without them the shell
// shows the program's pictures.
const places = {
  name: 'places',
  setup(b) {
    b.onResolve({ filter: /^place:/ }, ({ path }) => {
      const own = at('src', path.slice('place:'.length), 'index.tsx');
      return { path: existsSync(own) ? own : at('src/ui/noplace.ts') };
    });
  },
};
const common = {
  bundle: true,
  minify: true,
  target: 'es2021',
  format: 'esm',
  legalComments: 'none',
  logLevel: 'warning',
  loader: { '.csv': 'text' },
};

const FONTS = [
  ['lato', 'Lato', 400, 'normal'],
  ['lato', 'Lato', 700, 'normal'],
  ['vollkorn', 'Vollkorn', 500, 'italic'],
];
// From the packages' own CSS (https://fonts.google.com's subsets).
const RANGES = {
  latin:
    'U+0000-00FF,U+0131,U+0152-0153,U+02BB-02BC,U+02C6,U+02DA,U+02DC,' +
    'U+0304,U+0308,U+0329,U+2000-206F,U+20AC,U+2122,U+2191,U+2193,U+2212,' +
    'U+2215,U+FEFF,U+FFFD',
  'latin-ext':
    'U+0100-02BA,U+02BD-02C5,U+02C7-02CC,U+02CE-02D7,U+02DD-02FF,U+0304,' +
    'U+0308,U+0329,U+1D00-1DBF,U+1E00-1E9F,U+1EF2-1EFF,U+2020,' +
    'U+20A0-20AB,U+20AD-20C0,U+2113,U+2C60-2C7F,U+A720-A7FF',
};

async function fonts() {
  await mkdir(join(out, 'fonts'), { recursive: true });
  let css = '';
  for (const [pack, family, weight, style] of FONTS) {
    for (const [subset, range] of Object.entries(RANGES)) {
      const name = `${pack}-${subset}-${weight}-${style}.woff2`;
      await cp(
        at('node_modules/@fontsource', pack, 'files', name),
        join(out, 'fonts', name),
      );
      css +=
        `@font-face{font-family:${family};font-style:${style};` +
        `font-weight:${weight};font-display:swap;` +
        `src:url(fonts/${name}) format("woff2");unicode-range:${range}}\n`;
    }
    await cp(
      at('node_modules/@fontsource', pack, 'LICENSE'),
      join(out, 'fonts', `${pack}-licence.txt`),
    );
  }
  return css;
}

async function files(dir) {
  const all = await readdir(dir, { withFileTypes: true });
  const deep = all.map((f) =>
    f.isDirectory() ? files(join(dir, f.name)) : [join(dir, f.name)],
  );
  return (await Promise.all(deep)).flat().sort();
}

await rm(out, { recursive: true, force: true });
await mkdir(out, { recursive: true });
await build({
  ...common,
  entryPoints: { app: at('src/main.tsx') },
  outdir: out,
  splitting: true,
  chunkNames: 'part-[hash]',
  jsx: 'automatic',
  jsxImportSource: 'preact',
  plugins: [places],
});
if (existsSync(at('src/core/worker.ts'))) {
  await build({
    ...common,
    entryPoints: { worker: at('src/core/worker.ts') },
    outdir: out,
  });
}
const css = await build({
  ...common,
  stdin: {
    contents:
      (await fonts()) +
      (await readFile(at('css/page.css'), 'utf8')) +
      (await readFile(at('css/colours.css'), 'utf8')) +
      (await readFile(at('css/tiles.css'), 'utf8')) +
      (await readFile(at('css/motifs.css'), 'utf8')) +
      (await readFile(at('css/band.css'), 'utf8')) +
      (await readFile(at('css/pot.css'), 'utf8')),
    loader: 'css',
    resolveDir: here,
  },
  external: ['fonts/*'],
  write: false,
});
await writeFile(join(out, 'app.css'), css.outputFiles[0].contents);
for (const f of ['index.html', 'icon.svg', 'manifest.webmanifest']) {
  await cp(at(f), join(out, f));
}
await cp(at('../data/tide-line.json'), join(out, 'sample.json'));
if (wasm) await cp(wasm, join(out, 'core.wasm'));

const built = (await files(out)).map((f) => relative(out, f));
const hash = createHash('sha256');
for (const f of built) hash.update(f).update(await readFile(join(out, f)));
await build({
  ...common,
  entryPoints: { sw: at('src/sw.ts') },
  outdir: out,
  format: 'iife',
  define: {
    BUILT_FILES: JSON.stringify(built.filter((f) => f !== 'index.html')),
    BUILT_HASH: JSON.stringify(hash.digest('hex').slice(0, 16)),
  },
});
