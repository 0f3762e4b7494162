// SPDX-License-Identifier: GPL-3.0-or-later
// What the page's suites share: TAP, a server of their own, a browser.
//
//   node SUITE.mjs LEATHERHARD DIST SOURCE-ROOT [SHOTS]
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

export const [program, dist, root] = process.argv
  .slice(2, 5)
  .map((p) => resolve(p));
export const shots = process.argv[5] && resolve(process.argv[5]);
const require = createRequire(join(root, 'web/'));
export const { chromium } = require('playwright-core');
export const esbuild = require('esbuild');
export const axeSource = require.resolve('axe-core/axe.min.js');

// ---- TAP ---------------------------------------------------------------
let lines = 0;
let failed = 0;
export function check(good, words, ...why) {
  lines++;
  if (!good) failed++;
  console.log(`${good ? 'ok' : 'not ok'} ${lines} - ${words}`);
  if (!good) for (const w of why) console.log(`# ${w}`.replace(/\n/g, '\n# '));
}
/** A wait as a check: it falls by its name when what is waited for never
 *  comes; what follows hangs on it, so the suite ends there. */
export async function reached(wait, words) {
  const why = await wait.then(
    () => undefined,
    (e) => e,
  );
  check(!why, words);
  if (why) throw why;
}
export function same(got, want, words) {
  const g = JSON.stringify(got);
  const w = JSON.stringify(want);
  check(g === w, words, `got  ${g}`, `want ${w}`);
}
export function near(got, want, within, words) {
  check(
    Math.abs(got - want) <= within,
    words,
    `got ${got}, want ${want} within ${within}`,
  );
}
export function done() {
  console.log(`1..${lines}`);
  process.exitCode = failed ? 1 : 0;
}
/** Run a suite; whatever it throws is a line that is not ok. */
export async function suite(work) {
  const undo = [];
  try {
    await work((fn) => undo.push(fn));
  } catch (e) {
    check(false, 'the suite runs to its end', e.stack ?? String(e));
  }
  for (const fn of undo.reverse()) await fn().catch(() => {});
  done();
}

// ---- the page's own modules, alone ----------------------------------------
/** Import a module of web/src as it stands. */
export async function module(name) {
  const r = await esbuild.build({
    entryPoints: [join(root, 'web/src', name)],
    bundle: true,
    write: false,
    format: 'esm',
    platform: 'node',
    loader: { '.csv': 'text' },
    logLevel: 'warning',
  });
  const text = Buffer.from(r.outputFiles[0].contents).toString('base64');
  return import(`data:text/javascript;base64,${text}`);
}

// ---- the server --------------------------------------------------------------
async function freePort() {
  const s = createServer().listen(0, '127.0.0.1');
  await once(s, 'listening');
  const { port } = s.address();
  s.close();
  await once(s, 'close');
  return port;
}

/** Where this suite's servers keep the devices they admitted. */
const state = mkdtempSync(join(tmpdir(), 'leatherhard-page-'));
process.on('exit', () => rmSync(state, { recursive: true, force: true }));

/** How long anything is waited for on a busy machine. [ms] */
export const PATIENCE = 60000;

/** Start `leatherhard serve`; `address` admits who opens it. */
export async function serve(port, { book = true, more = [] } = {}) {
  const at = port ?? (await freePort());
  const child = spawn(
    program,
    [
      ...['serve', '--port', String(at), '--page-dir', dist],
      ...(book ? ['--book', join(state, 'studio.book')] : []),
      ...more,
    ],
    {
      stdio: ['ignore', 'pipe', 'pipe'],
      env: { ...process.env, XDG_STATE_HOME: state },
    },
  );
  let said = '';
  child.stderr.on('data', (d) => (said += d));
  const address = await new Promise((ok, no) => {
    child.stdout.on('data', (d) => {
      said += d;
      const found = /https?:\/\/\S+#key=\S+/.exec(said);
      if (found) ok(found[0]);
    });
    child.on('exit', (code) => no(new Error(`serve ended, ${code}: ${said}`)));
    setTimeout(
      () => no(new Error(`serve says only: ${said}`)),
      PATIENCE,
    ).unref();
  });
  child.stdout.on('data', () => {});
  return {
    address,
    port: at,
    origin: `http://127.0.0.1:${at}`,
    stop: async () => {
      if (child.exitCode !== null || child.signalCode !== null) return;
      child.kill('SIGTERM');
      await once(child, 'exit');
    },
  };
}

// ---- the browser ----------------------------------------------------------------
export async function browse() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox'],
  });
}

/** Where nobody looks closely: half the points, a quarter of the work for a
 *  processor that must draw the pot by itself. */
export const COARSE = { deviceScaleFactor: 0.5 };

/** A page of its own, admitted, with what it complains of in `complaints`. */
export async function open(browser, server, options = {}) {
  const context = await browser.newContext({
    viewport: { width: 1440, height: 900 },
    reducedMotion: 'reduce',
    ...options,
  });
  context.setDefaultTimeout(PATIENCE);
  const page = await context.newPage();
  const complaints = [];
  page.on('pageerror', (e) => complaints.push(`error: ${e.message}`));
  page.on('console', (m) => {
    if (m.type() === 'error') {
      complaints.push(`${m.text()} ${m.location().url}`);
    }
  });
  await page.goto(server.address);
  await page.waitForURL((u) => u.pathname === '/', { timeout: PATIENCE });
  await page.waitForSelector('main');
  return { context, page, complaints };
}

/** Go to a question and wait until its answer stands. */
export async function ask(page, route) {
  await page.evaluate((r) => {
    location.hash = `#/${r}`;
  }, route);
  if (QUESTIONS.includes(route)) {
    await page.waitForSelector(`nav a[href="#/${route}"][aria-current]`);
  } else {
    await page.waitForSelector(`main h1[data-route="${route}"]`, {
      state: 'attached',
    });
  }
  await settled(page);
}

/** Nothing is being worked out or drawn. */
export async function settled(page) {
  await page.waitForFunction(
    () =>
      !/Working it out|Looking \u2026|being drawn/.test(
        document.body.textContent ?? '',
      ),
    undefined,
    { timeout: PATIENCE },
  );
}

export async function shot(page, name) {
  if (!shots) return;
  mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true });
}

export const QUESTIONS = [
  'shape',
  'where',
  'colours',
  'mix',
  'order',
  'fire',
  'tests',
];
/** What is reached behind the piece's name. */
export const ASIDE = ['past', 'devices'];
