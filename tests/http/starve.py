# SPDX-License-Identifier: GPL-3.0-or-later
"""The server when memory runs out in the midst of a request: at each of its
allocations in turn, then for all of them.  It may refuse or hang up, but what
it answers is whole, it stays up, and afterwards all is as before.

  starve.py PROGRAM SOURCE-ROOT STARVE.so"""
import json
import mmap
import os
import struct
import sys
import tempfile
import time

from house import Server, check, done, note

program, root, library = sys.argv[1:4]
folder = tempfile.TemporaryDirectory()
path = folder.name + '/say'
with open(path, 'wb') as f:
    f.write(struct.pack('3q', -1, 0, 0))
with open(path, 'r+b') as f:
    said = mmap.mmap(f.fileno(), 24)


def tell(left, every=False):
    said[8:16] = struct.pack('q', every)
    said[16:24] = struct.pack('q', 0)
    said[0:8] = struct.pack('q', left)


def failed():
    return struct.unpack('q', said[16:24])[0]


s = Server(program, '--book', folder.name + '/a.book',
           env={'LD_PRELOAD': os.path.abspath(library), 'STARVE': path})
with open(root + '/docs/example-piece.json') as f:
    piece = json.load(f)
_, kept = s.pair('a laptop')
who, _ = s.pair('a tablet')
patch = {**who, 'Content-Type': 'application/json-patch+json'}


def device(method, where, body=None, headers=who):
    """The answer, or None when the server hung up."""
    try:
        return s.ask(method, where, body, headers, key=False)
    except (ConnectionError, ValueError):
        return None


a = device('POST', '/api/book/piece', piece)
check(a is not None and a.status == 201, 'a piece is in the book')
mug = a['Location']
called = a.json()['id']
edit = [{'op': 'replace', 'path': '/pots', 'value': 4}]
with open(root + '/tests/cli/chart.png', 'rb') as f:
    a = device('POST', '/api/book/blobs', f.read(),
               {**who, 'Content-Type': 'image/png'})
with open(root + '/tests/cli/colour_photograph_one.json') as f:
    photograph = json.load(f)
shot = photograph['photograph']
shot.update(file='sha256:' + a.json()['sha256'], patches=shot['patches'][18:19])


def memory():
    with open(f'/proc/{s.process.pid}/statm') as f:
        return int(f.read().split()[1]) * os.sysconf('SC_PAGE_SIZE') / 1e6


# name, request, whether the same answer comes each time
requests = [
    ('about', lambda: device('GET', '/api/about'), True),
    ('a page', lambda: device('GET', '/pair'), True),
    ('the help', lambda: device('GET', '/api/'), True),
    ('OpenAPI', lambda: device('GET', '/api/openapi.json'), True),
    ('thin', lambda: device('POST', '/api/thin', {
        'litre_weight_g': 1560, 'target_litre_weight_g': 1450}), True),
    ('a refusal', lambda: device('POST', '/api/thin', {'x': 1}), True),
    ('no JSON', lambda: device('POST', '/api/thin', b'{'), False),
    ('coverage by name', lambda: device('POST', '/api/coverage', {
        'piece': {'id': called, 'revision': 1}, 'ask': {'pixel_mm': 2}}), True),
    ('a photograph', lambda: device('POST', '/api/colour', photograph), True),
    ('the devices', lambda: device('GET', '/api/devices'), True),
    ('a list', lambda: device('GET', '/api/book/piece'), False),
    ('a record', lambda: device('GET', mug + '/1'), True),
    ('a patch', lambda: device('PATCH', mug + '?base=1', edit, patch), False),
    ('a job', lambda: device('POST', '/api/thin', {'litre_weight_g': 1500}, {
        **who, 'Prefer': 'respond-async'}), False),
]
MOST = 300  # tries of each
began = memory()
for name, ask, always in requests:
    tell(-1)
    want = ask()
    tell(1 << 40)
    ask()
    took = (1 << 40) - struct.unpack('q', said[0:8])[0]
    tell(-1)
    odd, tried, short = [], 0, 0
    step = 1 + took // MOST
    for k in range(0, took, step):
        tell(k)
        got = ask()
        short += failed()
        tell(-1)
        tried += 1
        if not s.alive():
            odd.append(f'{k}: it is down')
            break
        if got is None or got.status >= 500:
            continue
        if got['Content-Type'] and 'json' in got['Content-Type']:
            try:
                got.json()
            except ValueError:
                odd.append(f'{k}: half an answer, {got.body[:80]}')
                continue
        if always and (got.status, got.body) != (want.status, want.body):
            odd.append(f'{k}: another answer, {got.status} {got.body[:200]}')
    if not check(not odd and short > 0,
                 f'{name}: {tried} of {took} allocations fail in turn'):
        note('\n'.join(odd[:5]) or 'none failed')
    if not s.alive():
        break
    again = ask()
    if not check(again is not None and again.status == want.status,
                 f'{name}: afterwards as before'):
        note(again and f'{again.status} {again.body[:300]}')

if s.alive():
    tell(0, True)
    for name, ask, _ in requests[:6]:
        ask()
    time.sleep(1.5)  # its own rounds, too
    tell(-1)
    check(s.alive(), 'with no memory at all it stays up')
    for _ in range(100):
        a = device('GET', '/api/about')
        if a is not None and a.status == 200:
            break
        time.sleep(0.1)
    check(a is not None and a.status == 200, 'and answers when there is some')
    a = device('GET', mug)
    check(a.status == 200 and a.json()['pots'] in (piece['pots'], 4),
          'the book is whole')
    grown = memory() - began
    check(grown < 24, f'what was begun is given back ({grown:+.1f} MB)')
a = device('DELETE', '/api/devices/' + kept['id'])
check(a is not None and a.status in (200, 204),
      'no device was lost on the way')
s.finish()
done()
