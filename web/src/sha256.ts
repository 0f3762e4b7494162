// SPDX-License-Identifier: GPL-3.0-or-later
// SHA-256 (FIPS 180-4).  The browser's own is there only on pages that it
// calls secure; a tablet on plain http has none.

/** The first 32 bits of the fractions of the cube roots of the primes, and of
 *  the square roots of the first eight (FIPS 180-4, 4.2.2 and 5.3.3). */
const primes: number[] = [];
for (let n = 2; primes.length < 64; n++) {
  if (primes.every((p) => n % p)) primes.push(n);
}
/** floor(2^32 * n^(1/root)) of a whole number, exactly. */
function fraction(n: number, root: 2 | 3): number {
  const r = BigInt(root);
  const goal = BigInt(n) << (32n * r);
  let low = 0n,
    high = 1n << 40n;
  while (high - low > 1n) {
    const mid = (low + high) / 2n;
    if (mid ** r <= goal) low = mid;
    else high = mid;
  }
  return Number(low & 0xffffffffn);
}
const K = primes.map((p) => fraction(p, 3));
const H = primes.slice(0, 8).map((p) => fraction(p, 2));

const right = (x: number, n: number): number => (x >>> n) | (x << (32 - n));

/** Of a text as UTF-8, in hex. */
export function sha256(text: string): string {
  const bytes = new TextEncoder().encode(text);
  const size = ((bytes.length + 72) >> 6) << 6;
  const all = new DataView(new ArrayBuffer(size));
  bytes.forEach((b, i) => all.setUint8(i, b));
  all.setUint8(bytes.length, 0x80);
  all.setUint32(size - 8, Math.floor(bytes.length / 2 ** 29));
  all.setUint32(size - 4, bytes.length << 3);
  const h = [...H];
  const w = new Array<number>(64).fill(0);
  const at = (v: number[], i: number): number => v[i] as number;
  for (let block = 0; block < size; block += 64) {
    for (let t = 0; t < 64; t++) {
      if (t < 16) {
        w[t] = all.getUint32(block + 4 * t);
        continue;
      }
      const a = at(w, t - 15),
        b = at(w, t - 2);
      const s0 = right(a, 7) ^ right(a, 18) ^ (a >>> 3);
      const s1 = right(b, 17) ^ right(b, 19) ^ (b >>> 10);
      w[t] = (at(w, t - 16) + s0 + at(w, t - 7) + s1) | 0;
    }
    const v = [...h];
    for (let t = 0; t < 64; t++) {
      const [a, b, c, , e, f, g] = v as [
        number,
        number,
        number,
        number,
        number,
        number,
        number,
      ];
      const s1 = right(e, 6) ^ right(e, 11) ^ right(e, 25);
      const t1 =
        (at(v, 7) + s1 + ((e & f) ^ (~e & g)) + at(K, t) + at(w, t)) | 0;
      const s0 = right(a, 2) ^ right(a, 13) ^ right(a, 22);
      const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      v.pop();
      v.unshift((t1 + t2) | 0);
      v[4] = (at(v, 4) + t1) | 0;
    }
    v.forEach((x, i) => (h[i] = (at(h, i) + x) | 0));
  }
  return h.map((x) => (x >>> 0).toString(16).padStart(8, '0')).join('');
}
