// SPDX-License-Identifier: GPL-3.0-or-later
// What a field is when the piece does not say: read from the schema that the
// program publishes, so that page and program cannot differ.

import schema from '../../../docs/piece.schema.json';

interface Node {
  default?: unknown;
  type?: string | string[];
  properties?: Record<string, Node>;
  items?: Node;
  anyOf?: Node[];
  enum?: unknown[];
}

/** The node of a path such as "painting/mark/edge_mm"; lists and "or null"
 *  are passed through. */
function node(path: string): Node {
  let at = schema as unknown as Node;
  const inner = (n: Node): Node =>
    n.anyOf ? inner(n.anyOf[0] as Node) : n.items ? inner(n.items) : n;
  for (const step of path.split('/')) {
    const next = inner(at).properties?.[step];
    if (!next) throw new Error(`the schema has no ${path}`);
    at = next;
  }
  return at;
}

function number(path: string): number {
  const v = node(path).default;
  if (typeof v !== 'number') throw new Error(`no number at ${path}`);
  return v;
}
function text(path: string): string {
  return String(node(path).default);
}

/** The words of a choice, in the order of the program's numbers. */
function choice(path: string): string[] {
  const inner = (n: Node): unknown[] =>
    n.enum ?? inner((n.anyOf?.[0] ?? n.items) as Node);
  return inner(node(path)).map(String);
}

export const defaults = {
  measured: text('form/measured'),
  index: number('glaze/index'),
  eats: number('glaze/eats_g_m2'),
  share: number('glaze/dissolved_share'),
  uncertainty: number('slips/uncertainty_percent'),
  glaze: number('glaze_g_m2'),
  kind: text('zones/kind'),
  face: text('zones/face'),
  coats: number('painting/mark/coats'),
  edge: number('painting/mark/edge_mm'),
  way: text('painting/repeat/way'),
  axis: number('painting/repeat/axis_turns'),
};

export const kinds = choice('painting/mark/kind');
export const ways = choice('painting/repeat/way');
