// SPDX-License-Identifier: GPL-3.0-or-later
// Pairing in a real browser: a stranger is led to it, a wrong code is told, a
// code and the key admit, and the key does not stay in the address.
//
//   pair.mjs LEATHERHARD SOURCE-ROOT
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, openSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const [program, root] = process.argv.slice(2);
const need = createRequire(join(root, 'web', 'package.json'));
const { chromium } = need('playwright-core');
const axe = need('axe-core');
const folder = mkdtempSync(join(tmpdir(), 'leatherhard-pair-'));
const log = join(folder, 'out');

let count = 0;
let failed = 0;
function check(good, text, more) {
  count++;
  if (!good) failed++;
  console.log(`${good ? '' : 'not '}ok ${count} - ${text}`);
  if (!good && more !== undefined) console.log(`# ${more}`);
}

/** A wait as a check: it falls by its name when nothing comes. */
async function reached(wait, text) {
  const why = await wait.then(
    () => undefined,
    (e) => e,
  );
  check(!why, text, why);
  if (why) throw why;
}

const out = openSync(log, 'w');
const server = spawn(program, ['serve', '--port', '0', '--studio-network'], {
  stdio: ['ignore', out, out],
  env: { ...process.env, NO_COLOR: '1', XDG_STATE_HOME: folder },
});
const printed = () => readFileSync(log, 'utf8');
const code = () =>
  printed().match(/type the code\s+([0-9-]+)(?![\s\S]*type the code)/)[1];
for (let i = 0; i < 600 && !/type the code/.test(printed()); i++) {
  await new Promise((done) => setTimeout(done, 100));
}
const [link, base] = printed().match(
  /(http:\/\/127\.0\.0\.1:\d+)\/pair#key=\w+/,
);
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM,
  args: ['--no-sandbox'],
});

// A device of its own each time.
async function device(address) {
  const context = await browser.newContext({
    viewport: { width: 768, height: 1024 },
    bypassCSP: false,
  });
  context.setDefaultTimeout(60000); // other tests may run beside
  const page = await context.newPage();
  const refused = [];
  page.on('console', (m) => {
    // That no book is open is an answer, not a file that is missing.
    if (/\/api\/book\//.test(m.location().url)) return;
    if (/Content Security Policy|404/.test(m.text())) {
      refused.push(`${m.text()} ${m.location().url}`);
    }
  });
  await page.goto(address);
  return { context, page, refused };
}
const at = async (page) => page.url(); // asked of the browser: a page may move on

try {
  const one = await device(base + '/');
  await one.page.waitForSelector('#form:not([hidden])');
  check(
    (await at(one.page)) === base + '/pair',
    'a stranger is led to pairing',
  );
  const spent = code();
  const wrong = spent === '1111-2222' ? '3333-4444' : '1111-2222';
  await one.page.fill('#code', wrong);
  await one.page.click('button');
  await reached(
    one.page.waitForFunction(() =>
      /not right/.test(document.getElementById('say').textContent),
    ),
    'a wrong code is told in words',
  );
  // In the page's own way: the policy lets no script of ours in by a tag.
  await one.page.evaluate(axe.source);
  const found = await one.page.evaluate(() => globalThis.axe.run());
  check(
    found.violations.length === 0,
    'axe-core finds nothing',
    JSON.stringify(found.violations.map((v) => v.id)),
  );
  const small = await one.page.$$eval(
    'input, button',
    (all) => all.filter((e) => e.getBoundingClientRect().height < 44).length,
  );
  check(small === 0, 'every target is 44 px high');
  await one.page.focus('#code');
  await one.page.keyboard.press('Control+A');
  await one.page.keyboard.type(spent);
  await one.page.keyboard.press('Enter');
  await reached(
    one.page.waitForURL((u) => u.pathname !== '/pair'),
    'the right one admits, by keyboard alone',
  );
  await one.page.goto(base + '/pair');
  await reached(
    one.page.waitForURL((u) => u.pathname !== '/pair'),
    'who is admitted is not asked again',
  );
  check(
    one.refused.length === 0,
    'the page keeps its own policy and misses no file',
    one.refused,
  );

  const two = await device(`${base}/pair#code=${spent}`);
  await two.page.waitForSelector('#form:not([hidden])');
  check(
    (await two.page.inputValue('#code')) === spent,
    'a code that is scanned is filled in',
  );
  await two.page.click('button');
  await reached(
    two.page.waitForFunction(() =>
      /not right/.test(document.getElementById('say').textContent),
    ),
    'but a spent one admits nobody',
  );

  const three = await device(base + '/pair');
  await three.page.waitForSelector('#form:not([hidden])');
  await three.page.goto(link); // the same page, another part behind the #
  await three.page.waitForURL((u) => u.pathname !== '/pair');
  check(
    !(await at(three.page)).includes('key='),
    'the printed address admits, also where the page is open already',
  );
  const cookies = await three.context.cookies();
  check(
    cookies.length === 1 &&
      cookies[0].httpOnly &&
      cookies[0].sameSite === 'Strict' &&
      /^leatherhard-\d+-/.test(cookies[0].name),
    'by one cookie, out of the reach of scripts',
    JSON.stringify(cookies),
  );
  await three.page.goBack().catch(() => null);
  // going back may lead on again at once: ask the browser, not the page
  await three.page.waitForLoadState().catch(() => null);
  check(
    !three.page.url().includes('key='),
    'the key does not stay in the history',
  );
} catch (e) {
  check(false, 'no step hangs', String(e).split('\n')[0]);
} finally {
  await browser.close();
  server.kill('SIGTERM');
  const ended = await new Promise((done) => server.on('exit', done));
  check(ended === 0, 'the server ends well', ended);
  rmSync(folder, { recursive: true });
  console.log(`1..${count}`);
  process.exit(failed ? 1 : 0);
}
