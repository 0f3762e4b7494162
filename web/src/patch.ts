// SPDX-License-Identifier: GPL-3.0-or-later
// JSON Patch (RFC 6902) with inverses.  A document is never changed in
// place: what a patch does not touch is shared between old and new, so that
// "has this part changed?" is one comparison of references.

export type Json = unknown;
export type Op =
  | { op: 'add' | 'replace' | 'test'; path: string; value: Json }
  | { op: 'remove'; path: string }
  | { op: 'move' | 'copy'; from: string; path: string };

export class PatchError extends Error {
  constructor(
    readonly path: string,
    what: string,
  ) {
    super(`${path || 'the whole document'}: ${what}`);
  }
}

/** The steps of a JSON Pointer (RFC 6901). */
export function steps(pointer: string): string[] {
  if (pointer === '') return [];
  if (pointer[0] !== '/') throw new PatchError(pointer, 'not a JSON pointer');
  return pointer
    .slice(1)
    .split('/')
    .map((s) => {
      if (/~(?![01])/.test(s)) throw new PatchError(pointer, 'a bare ~');
      return s.replace(/~1/g, '/').replace(/~0/g, '~');
    });
}

/** A JSON Pointer from steps. */
export function pointer(...parts: (string | number)[]): string {
  return parts
    .map((p) => '/' + String(p).replace(/~/g, '~0').replace(/\//g, '~1'))
    .join('');
}

const isObject = (v: Json): v is Record<string, Json> =>
  typeof v === 'object' && v !== null && !Array.isArray(v);
const has = (o: object, k: string) =>
  Object.prototype.hasOwnProperty.call(o, k);

function index(key: string, length: number, at: string): number {
  if (!/^(0|[1-9][0-9]*)$/.test(key) || Number(key) > length) {
    throw new PatchError(at, 'no such place in the list');
  }
  return Number(key);
}

/** What stands at a pointer; throws where nothing does. */
export function get(doc: Json, at: string): Json {
  let v = doc;
  for (const key of steps(at)) {
    if (Array.isArray(v)) {
      v = v[index(key, v.length - 1, at)];
    } else if (isObject(v) && has(v, key)) {
      v = v[key];
    } else {
      throw new PatchError(at, 'nothing stands there');
    }
  }
  return v;
}

/** Whether two JSON values are equal as RFC 6902 section 4.6 has it. */
export function same(a: Json, b: Json): boolean {
  if (a === b) return true;
  if (Array.isArray(a) && Array.isArray(b)) {
    return a.length === b.length && a.every((v, i) => same(v, b[i]));
  }
  if (!isObject(a) || !isObject(b)) return false;
  const keys = Object.keys(a);
  return (
    keys.length === Object.keys(b).length &&
    keys.every((k) => has(b, k) && same(a[k], b[k]))
  );
}

/** A copy of `doc` with its container at `path` replaced by `change` of it. */
function within(
  doc: Json,
  path: string[],
  at: string,
  change: (container: Json, key: string) => Json,
): Json {
  const key = path[0] as string;
  if (path.length === 1) return change(doc, key);
  if (Array.isArray(doc)) {
    const i = index(key, doc.length - 1, at);
    const copy = doc.slice();
    copy[i] = within(doc[i], path.slice(1), at, change);
    return copy;
  }
  if (!isObject(doc) || !has(doc, key)) {
    throw new PatchError(at, 'nothing stands there');
  }
  return { ...doc, [key]: within(doc[key], path.slice(1), at, change) };
}

function add(doc: Json, at: string, value: Json): Json {
  const path = steps(at);
  if (!path.length) return value;
  return within(doc, path, at, (c, key) => {
    if (Array.isArray(c)) {
      const i = key === '-' ? c.length : index(key, c.length, at);
      return [...c.slice(0, i), value, ...c.slice(i)];
    }
    if (!isObject(c)) throw new PatchError(at, 'neither object nor list');
    if (key === '__proto__') throw new PatchError(at, 'not a name for a field');
    return { ...c, [key]: value };
  });
}

function remove(doc: Json, at: string): Json {
  const path = steps(at);
  if (!path.length) throw new PatchError(at, 'a document cannot go');
  return within(doc, path, at, (c, key) => {
    if (Array.isArray(c)) {
      const i = index(key, c.length - 1, at);
      return [...c.slice(0, i), ...c.slice(i + 1)];
    }
    if (!isObject(c) || !has(c, key)) {
      throw new PatchError(at, 'nothing stands there');
    }
    const { [key]: _gone, ...rest } = c;
    return rest;
  });
}

function replace(doc: Json, at: string, value: Json): Json {
  const path = steps(at);
  if (!path.length) return value;
  get(doc, at);
  return within(doc, path, at, (c, key) => {
    if (!Array.isArray(c)) return { ...(c as object), [key]: value };
    const copy = c.slice();
    copy[Number(key)] = value;
    return copy;
  });
}

/** The pointer that "-" stood for, and the inverse of an add there. */
function addInverse(doc: Json, at: string): Op {
  const path = steps(at);
  if (!path.length) return { op: 'replace', path: '', value: doc };
  const last = path[path.length - 1] as string;
  const parentAt = at.slice(0, at.lastIndexOf('/'));
  const parent = get(doc, parentAt);
  if (Array.isArray(parent)) {
    const i = last === '-' ? parent.length : Number(last);
    return { op: 'remove', path: `${parentAt}/${i}` };
  }
  if (isObject(parent) && has(parent, last)) {
    return { op: 'replace', path: at, value: parent[last] };
  }
  return { op: 'remove', path: at };
}

function one(doc: Json, op: Op): { doc: Json; back: Op[] } {
  switch (op.op) {
    case 'test':
      if (!same(get(doc, op.path), op.value)) {
        throw new PatchError(op.path, 'something else stands there by now');
      }
      return { doc, back: [] };
    case 'add':
      return {
        doc: add(doc, op.path, op.value),
        back: [addInverse(doc, op.path)],
      };
    case 'remove': {
      const value = get(doc, op.path);
      return {
        doc: remove(doc, op.path),
        back: [{ op: 'add', path: op.path, value }],
      };
    }
    case 'replace': {
      const value = get(doc, op.path);
      return {
        doc: replace(doc, op.path, op.value),
        back: [{ op: 'replace', path: op.path, value }],
      };
    }
    case 'copy': {
      const value = get(doc, op.from);
      return {
        doc: add(doc, op.path, value),
        back: [addInverse(doc, op.path)],
      };
    }
    case 'move': {
      if (op.path === op.from) return { doc, back: [] };
      if (op.path.startsWith(op.from + '/')) {
        throw new PatchError(op.path, 'cannot move into itself');
      }
      const value = get(doc, op.from);
      const without = remove(doc, op.from);
      return {
        doc: add(without, op.path, value),
        back: [
          { op: 'add', path: op.from, value },
          addInverse(without, op.path),
        ],
      };
    }
    default:
      throw new PatchError('', 'not an operation of RFC 6902');
  }
}

/**
 * Apply a patch: all of it or, when a step cannot be, none (it throws).
 * `inverse` brings the result back to `doc`.
 */
export function applyPatch<T>(doc: T, patch: Op[]): { doc: T; inverse: Op[] } {
  let now: Json = doc;
  const inverse: Op[] = [];
  for (const op of patch) {
    const r = one(now, op);
    now = r.doc;
    inverse.unshift(...r.back.slice().reverse());
  }
  return { doc: now as T, inverse };
}
