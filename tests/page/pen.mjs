// SPDX-License-Identifier: GPL-3.0-or-later
// A hand over the band: what the suites that draw share.

export const BAND = '.band-place canvas';
/** Until the worker has nothing to do, and what it did is on the screen. */
export async function rest(page, ms = 150) {
  await page.waitForTimeout(ms);
  await page.waitForSelector(`${BAND}[aria-busy=false]`);
  await page.evaluate(
    () =>
      new Promise((go) =>
        requestAnimationFrame(() => requestAnimationFrame(go)),
      ),
  );
}
export const choose = (page, tool) =>
  page.getByLabel(tool, { exact: true }).check({ force: true });

/** A pen over the band: places about its upper left corner, and pressures. */
export async function pen(page, cdp, path) {
  const box = await page.locator(BAND).boundingBox();
  const say = (type, [x, y, force]) =>
    cdp.send('Input.dispatchMouseEvent', {
      type,
      x: box.x + x,
      y: box.y + y,
      force,
      button: 'left',
      buttons: type === 'mouseReleased' ? 0 : 1,
      pointerType: 'pen',
      tiltX: 18,
      clickCount: 1,
    });
  await say('mousePressed', path[0]);
  for (const p of path.slice(1)) await say('mouseMoved', p);
  await say('mouseReleased', path[path.length - 1]);
  await rest(page);
}
export const stroke = (x, y, force, n = 30) =>
  Array.from({ length: n }, (_, i) => [
    x + 2 * i,
    y + 10 * Math.sin(i / 5),
    force,
  ]);

