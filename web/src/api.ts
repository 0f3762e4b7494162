// SPDX-License-Identifier: GPL-3.0-or-later
// The server's operations, and whether the server is there.
//
// An operation gets a JSON document and gives a JSON result or a file.  A
// refusal carries where, what and what to do (RFC 9457).  No answer at all
// means that the server is away: whoever asked hears so, and the page asks
// again now and then until it is back.

export class Refusal extends Error {
  constructor(
    readonly status: number,
    readonly what: string,
    readonly todo: string,
    readonly where: string,
  ) {
    super(todo ? `${what}: ${todo}` : what);
  }
}
/** The server did not answer. */
export class Away extends Error {
  constructor() {
    super('the server is away');
  }
}

let here = true;
let timer: ReturnType<typeof setTimeout> | undefined;
let wait = 1000;
const listeners = new Set<() => void>();

/** Is the server there, as far as is known? */
export const serverHere = () => here;
/** Call `fn` when the server goes or comes; returns what stops that. */
export function onServer(fn: () => void): () => void {
  listeners.add(fn);
  return () => void listeners.delete(fn);
}

function set(now: boolean): void {
  if (now) wait = 1000;
  if (now !== here) {
    here = now;
    for (const fn of [...listeners]) fn();
  }
  clearTimeout(timer);
  if (!now) {
    timer = setTimeout(knock, wait);
    wait = Math.min(wait * 2, 15000);
  }
}

/** What the server says of itself. */
export interface About {
  version?: string;
  transport?: 'loopback' | 'plain' | 'tls';
  admitted?: boolean;
  warning?: string;
  token?: string;
  device?: { id: string; name: string };
}
let about: Promise<About> | undefined;
let run = '';

/** Another word for each run of the server; '' before it was heard. */
export const serverRun = () => run;

async function askAbout(): Promise<About> {
  const r = await fetch('api/about', { cache: 'no-store' });
  set(true);
  const is = r.ok ? ((await r.json()) as About) : {};
  if (is.token) run = is.token;
  return is;
}
/** Asked once, and again after the server was away: it may have a new token. */
export function aboutServer(): Promise<About> {
  if (!about) {
    about = askAbout();
    about.catch(() => {
      about = undefined;
    });
  }
  return about;
}

/** Any answer shows that it is back. */
async function knock(): Promise<void> {
  about = undefined;
  try {
    await aboutServer();
  } catch {
    set(false);
  }
}
if (typeof addEventListener === 'function') {
  addEventListener('online', () => void knock());
}

async function refusal(r: Response): Promise<Refusal> {
  let p: Record<string, unknown> = {};
  try {
    p = (await r.json()) as Record<string, unknown>;
  } catch {
    // not a problem document: the status must do
  }
  const text = (k: string) =>
    typeof p[k] === 'string' ? (p[k] as string) : '';
  return new Refusal(
    r.status,
    text('detail') || text('title') || `the server answered ${r.status}`,
    text('todo'),
    text('pointer') || text('where'),
  );
}

interface Request {
  method: 'GET' | 'POST' | 'PATCH' | 'DELETE';
  path: string; // below api/
  body?: string | Blob;
  media?: string;
  accept?: string;
  signal?: AbortSignal | undefined;
}

async function once(q: Request): Promise<Response> {
  try {
    const { token } = await aboutServer();
    return await fetch(`api/${q.path}`, {
      method: q.method,
      headers: {
        accept: q.accept ?? 'application/json',
        ...(q.body === undefined
          ? {}
          : { 'content-type': q.media ?? 'application/json' }),
        ...(token && q.method !== 'GET' ? { 'leatherhard-token': token } : {}),
      },
      cache: 'no-store',
      ...(q.body === undefined ? {} : { body: q.body }),
      ...(q.signal ? { signal: q.signal } : {}),
    });
  } catch (e) {
    if (q.signal?.aborted) throw e;
    about = undefined;
    set(false);
    throw new Away();
  }
}

let stranger = () => {};
/** What to do when the server does not know this device, or no longer. */
export function onStranger(fn: () => void): void {
  stranger = fn;
}

/** Ask the server; what is no success throws a Refusal or Away. */
export async function request(q: Request): Promise<Response> {
  let r = await once(q);
  if (r.status === 403) {
    // It was started again, with another token.
    about = undefined;
    r = await once(q);
  }
  set(true);
  if (r.status === 401) stranger();
  if (!r.ok) throw await refusal(r);
  return r;
}

const post = (
  op: string,
  body: string,
  accept: string,
  signal?: AbortSignal,
): Promise<Response> =>
  request({ method: 'POST', path: op, body, accept, signal });

/** The JSON result of an operation. */
export async function ask<T>(
  op: string,
  doc: unknown,
  signal?: AbortSignal,
): Promise<T> {
  return askText<T>(op, JSON.stringify(doc), signal);
}

/** The same, when the document is text already. */
export async function askText<T>(
  op: string,
  body: string,
  signal?: AbortSignal,
): Promise<T> {
  const r = await post(op, body, 'application/json', signal);
  return (await r.json()) as T;
}

/** The file that an operation gives; `body` is the document as text. */
export async function file(
  op: string,
  body: string,
  media: string,
  signal?: AbortSignal,
): Promise<Blob> {
  const r = await post(op, body, media, signal);
  const blob = await r.blob();
  return blob.type === media ? blob : new Blob([blob], { type: media });
}
