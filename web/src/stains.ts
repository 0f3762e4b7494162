// SPDX-License-Identifier: GPL-3.0-or-later
// The stains of the book that `match` can choose from: materials with K and S.

import { request, serverHere } from './api';
import { hasBook } from './book';

interface Material {
  name: string;
  absorption_m2_g?: unknown;
  scattering_m2_g?: unknown;
}

/** Their names, the newest first, so many at most. */
export async function stainsOfBook(most: number): Promise<string[]> {
  if (!hasBook() || !serverHere()) return [];
  const r = await request({ method: 'GET', path: 'book/material?most=200' });
  const { records } = (await r.json()) as { records: { id: string }[] };
  const names: string[] = [];
  for (const { id } of records) {
    if (names.length >= most) break;
    const path = `book/material/${encodeURIComponent(id)}`;
    const one = await request({ method: 'GET', path });
    const m = (await one.json()) as Material;
    if (m.absorption_m2_g !== undefined && m.scattering_m2_g !== undefined)
      names.push(m.name);
  }
  return names;
}
