// SPDX-License-Identifier: GPL-3.0-or-later
// What this browser, at this address, can do.  Plain http from another device
// is no secure context and lacks a good deal; the page says what, and does
// without.

export interface Capable {
  webgl2: boolean;
  wasm: boolean;
  installable: boolean;
}

export function capable(): Capable {
  let webgl2 = false;
  try {
    const c = document.createElement('canvas');
    const gl = c.getContext('webgl2');
    webgl2 = gl !== null;
    gl?.getExtension('WEBGL_lose_context')?.loseContext();
  } catch {
    // none
  }
  return {
    webgl2,
    wasm: typeof WebAssembly === 'object',
    installable: isSecureContext && 'serviceWorker' in navigator,
  };
}

/** In words, what is missing; empty when nothing is. */
export function lacks(c: Capable, safe: boolean): string[] {
  const out: string[] = [];
  if (!safe) {
    out.push(
      'This browser keeps nothing over a reload: save the piece to a file.',
    );
  }
  if (!c.webgl2) {
    out.push('It cannot turn the pot: the program draws pictures instead.');
  }
  if (!c.wasm) {
    out.push('It cannot lay marks itself: numbers come from the server.');
  }
  if (!c.installable) {
    out.push(
      'At this address the page cannot be installed or open without the ' +
        'server: the connection is not a secure one.',
    );
  }
  return out;
}
