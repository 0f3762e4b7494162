# SPDX-License-Identifier: GPL-3.0-or-later
"""Tries to get in, on loopback only: every try is refused, and the server
answers the next honest request.

  break_in.py PROGRAM SOURCE-ROOT"""
import os
import random
import socket
import sys
import threading
import time

from house import Server, check, done, note, read_answer

program, root = sys.argv[1:3]
s = Server(program, '--studio-network')
thin = b'{"litre_weight_g": 1500}'
post = {'Content-Type': 'application/json'}


def refused(a, status, kind, text):
    good = a is not None and a.status == status
    if good and kind:
        good = (a['Content-Type'] == 'application/problem+json' and
                a.json()['type'] == '/api/#' + kind)
    if not check(good, text):
        note(a and f'{a.status} {a.body[:200]}')


def honest(text):
    """What broke off an instant ago may still count: try for a moment."""
    a = None
    until = time.monotonic() + 3
    while a is None and time.monotonic() < until:
        try:
            a = s.ask('POST', '/api/thin', thin)
        except OSError:
            pass
        if a is None:
            time.sleep(0.1)
    check(a is not None and a.status == 200 and s.alive(),
          'it still answers after ' + text)


# ---- slow clients run beside all the rest --------------------------------
slow = {}


def drip(name, first, each, every):
    began = time.monotonic()
    try:
        with s.connect(60) as c:
            c.sendall(first)
            c.settimeout(every)
            while time.monotonic() - began < 45:
                try:
                    if not c.recv(4096):
                        break
                except socket.timeout:
                    c.sendall(each)
    except ConnectionError:
        pass
    slow[name] = time.monotonic() - began


head = f'POST /api/thin HTTP/1.1\r\nHost: {s.host}\r\n'
entry = f'Authorization: Bearer {s.key}\r\nContent-Type: application/json\r\n'
drips = [threading.Thread(target=drip, args=a) for a in (
    ('a head that drips', head.encode() + b'X: ', b'a', 0.5),
    ('a body that drips', (head + entry + 'Content-Length: 4000\r\n\r\n'
                           ).encode(), b' ', 0.5),
    ('a chunked body that drips',
     (head + entry + 'Transfer-Encoding: chunked\r\n\r\n').encode(),
     b'1\r\n \r\n', 0.5),
    ('one that says nothing', b'', b'', 0.5))]
for t in drips:
    t.start()

# ---- no token, wrong token -----------------------------------------------
who, device = s.pair('first')
reads = ['/api/devices', '/api/jobs', '/api/events', '/api/jobs/0000',
         '/api/jobs/0000/result']
for path in reads:
    refused(s.ask('GET', path, key=False), 401, 'device', f'{path}: nobody')
refused(s.ask('POST', '/api/thin', thin, key=False), 401, 'device',
        'an operation: nobody')
refused(s.ask('DELETE', '/api/devices/' + device['id'], key=False), 401,
        'device', 'revoking: nobody')
name, token = who['Cookie'].split('=')
for title, cookie in (
        ('a token of zeros', f'{name}={"0" * 32}'),
        ('the token but its last figure', f'{name}={token[:-1]}'),
        ('the token in capitals', f'{name}={token.upper()}'),
        ('the token under another name', f'x{name}={token}'),
        ('the token behind a quote', f'{name}="{token}"'),
        ('an empty token', f'{name}='),
        ('a long one', f'{name}={token * 50}'),
        ('a pattern', f'{name}=*'), ('the key as token', f'{name}={s.key}')):
    refused(s.ask('GET', '/api/devices', headers={'Cookie': cookie},
                  key=False), 401, 'device', title)
for title, header in (
        ('a wrong key', 'Bearer ' + '0' * 32),
        ('the key but its last figure', 'Bearer ' + s.key[:-1]),
        ('the key and more', 'Bearer ' + s.key + '0'),
        ('no key', 'Bearer '), ('another scheme', 'Basic ' + s.key),
        ("the device's token as key", 'Bearer ' + token)):
    refused(s.ask('GET', '/api/devices', headers={'Authorization': header},
                  key=False), 401, 'device', title)
check(s.ask('GET', '/api/devices', headers=who, key=False).status == 200,
      'the device itself is let in')
for title, run in (('without', None), ('with a wrong', '0' * 32),
                   ('with an empty', ''), ("with the cookie's", token)):
    refused(s.ask('POST', '/api/thin', thin,
                  {**who, 'Leatherhard-Token': run}, key=False), 403, 'token',
            f'a write {title} token of the run')
check(s.ask('POST', '/api/thin', thin, who, key=False).status == 200,
      "with the run's token it is done")
for method in ('PUT', 'PATCH', 'DELETE', 'OPTIONS', 'TRACE', 'FOO'):
    a = s.ask(method, '/api/thin', headers=who, key=False)
    refused(a, 405, 'method', f'{method} is not for an operation')
refused(s.ask('GET', '/api/thin'), 405, 'method', 'nor is GET')

# ---- another Host, another Origin ----------------------------------------
for host in ('evil.example', f'evil.example:{s.port}', '127.0.0.1',
             f'127.0.0.1:{s.port + 1}', f'127.0.0.1:{s.port}.evil.example',
             f'localhost.evil.example:{s.port}', f'127.0.0.2:{s.port}',
             f'[::1]:{s.port}', f'127.0.0.1@evil.example:{s.port}',
             f'0.0.0.0:{s.port}', f'127.0.0.1:{s.port}/', '', ':',
             f'127.0.0.1:0{s.port}0', f'127.1:{s.port}'):
    a = s.ask('GET', '/api/about', headers={'Host': host})
    refused(a, 421 if host else 421, 'host', f'Host: {host!r}')
a = s.raw(b'GET /api/about HTTP/1.1\r\n\r\n')
check(a is not None and a.status == 400, 'no Host at all')
a = s.raw(f'GET /api/about HTTP/1.1\r\nHost: {s.host}\r\nHost: evil.example'
          '\r\nConnection: close\r\n\r\n'.encode())
refused(a, 400, 'request', 'two Hosts')
check(s.ask('GET', '/api/about', headers={'Host': f'localhost:{s.port}'}
            ).status == 200, 'localhost is this machine')
for origin in ('https://evil.example', 'null', f'https://{s.host}',
               f'http://127.0.0.1:{s.port + 1}', 'http://127.0.0.1',
               f'http://{s.host}.evil.example', f'http://{s.host}/',
               f'http://localhost:{s.port}', 'file://', ''):
    for method, path, body in (('POST', '/api/thin', thin),
                               ('GET', '/api/about', None),
                               ('POST', '/api/pair', b'{"code":"1"}')):
        a = s.ask(method, path, body, {**who, 'Origin': origin}, key=False)
        refused(a, 403, 'origin', f'{method} {path} from {origin!r}')
check(s.ask('POST', '/api/thin', thin, {**who, 'Origin': 'http://' + s.host},
            key=False).status == 200, "the server's own page is let through")
refused(s.ask('GET', '/api/about', headers={'Sec-Fetch-Site': 'cross-site'}),
        403, 'origin', 'a browser says that another site asks')
a = s.ask('GET', '/api/about', headers=who, key=False)
check(not any(h.startswith('access-control') for h in a.headers),
      'no other origin is ever let in by a header')

# ---- media, and bodies ---------------------------------------------------
for media in ('text/plain', 'application/x-www-form-urlencoded',
              'multipart/form-data; boundary=x', 'application/jsonp', '',
              'application/json; charset=utf-16', 'application/json,text/plain',
              None):
    a = s.ask('POST', '/api/thin', thin, {'Content-Type': media})
    refused(a, 415, 'media', f'Content-Type: {media!r}')
check(s.ask('POST', '/api/thin', thin, {
    'Content-Type': 'Application/JSON; Charset=UTF-8'}).status == 200,
    'JSON in UTF-8 is taken')
began = time.monotonic()
a = s.raw((head + entry + 'Content-Length: 99999999999\r\n\r\n').encode())
refused(a, 413, 'toolarge', 'a body said to be 100 GB')
check(time.monotonic() - began < 5, 'is refused at once')
a = s.raw((head + entry + f'Content-Length: {32 * 1024 * 1024 + 1}\r\n\r\n'
           ).encode())
refused(a, 413, 'toolarge', 'one byte more than 32 MB')
a = s.ask('POST', '/api/pair', b' ' * 4097, key=False)
refused(a, 413, 'toolarge', 'pairing: 4 KB')


def chunked(path, total, more, size=65536):
    """Send a chunked body; what came back, and how much was sent."""
    sent = 0
    with s.connect(60) as c:
        c.sendall(f'POST {path} HTTP/1.1\r\nHost: {s.host}\r\n{more}'
                  'Content-Type: application/json\r\n'
                  'Transfer-Encoding: chunked\r\n\r\n'.encode())
        try:
            while sent < total:
                n = min(size, total - sent)
                c.sendall(f'{n:x}\r\n'.encode() + b' ' * n + b'\r\n')
                sent += n
            c.sendall(b'0\r\n\r\n')
            return read_answer(c.makefile('rb')), sent
        except ConnectionError:
            return None, sent


a, _ = chunked('/api/pair', 5000, '', 1000)
refused(a, 413, 'toolarge', 'chunked, too large: counted as it comes')
a, sent = chunked('/api/pair', 64 << 20, '')
check(a is None and sent < (16 << 20),
      f'chunked without end is cut ({sent >> 10} KB taken off the wire)')
a, _ = chunked('/api/thin', 100000, entry.split('Content')[0])
refused(a, 400, 'syntax', 'chunked, of a right size, is read')
for n in ('-1', '+5', '0x10', '5 5', 'five', '5,5', '18446744073709551616',
          ''):
    a = s.raw((head + entry + f'Content-Length: {n}\r\n\r\n{{}}   ').encode(),
              5)
    check(a is None or a.status in (400, 413), f'Content-Length: {n!r}')
a = s.raw((head + entry + 'Content-Length: 2\r\nTransfer-Encoding: chunked\r\n'
           '\r\n2\r\n{}\r\n0\r\n\r\n').encode(), 5)
check(a is None or a.status == 400, 'a length and chunks together')
a = s.raw((head + entry + 'Content-Length: 2\r\nContent-Length: 3\r\n\r\n{} '
           ).encode(), 5)
check(a is None or a.status == 400, 'two lengths')
a = s.raw((head + entry + 'Transfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n'
           ).encode(), 5)
check(a is None or a.status in (400, 413, 501), 'another transfer coding')
for chunk in (b'zz\r\n', b'-1\r\n', b'ffffffffffffffffff\r\n', b'\r\n\r\n'):
    a = s.raw((head + entry + 'Transfer-Encoding: chunked\r\n\r\n').encode() +
              chunk + b'{}\r\n0\r\n\r\n', 5)
    check(a is None or a.status in (400, 413), f'a chunk of size {chunk!r}')

# ---- heads and addresses -------------------------------------------------
a = s.ask('GET', '/api/' + 'a' * 2100)
refused(a, 414, 'toolarge', 'an address of 2 KB')
a = s.ask('GET', '/' + 'a' * 60000)
check(a is None or a.status in (414, 431), 'an address of 60 KB')
a = s.ask('GET', '/api/about', headers={'X': 'a' * 17000})
refused(a, 431, 'toolarge', 'a header of 17 KB')
a = s.raw(f'GET /api/about HTTP/1.1\r\nHost: {s.host}\r\n'.encode() +
          b''.join(b'X-%d: y\r\n' % i for i in range(20000)) + b'\r\n')
check(a is None or a.status == 431, '20,000 headers')
secret = os.path.join(s.folder.name, 'leatherhard', 'devices.json')
check(os.path.exists(secret), 'there is a file worth having')
up = '../' * 12
for path in (up + 'etc/passwd', '..%2f' * 12 + 'etc/passwd',
             '%2e%2e/' * 12 + 'etc/passwd', '..%5c' * 12 + 'etc/passwd',
             '....//' * 12 + 'etc/passwd', '%252e%252e/' * 12 + 'etc/passwd',
             '..%c0%af' * 12 + 'etc/passwd', '%c0%ae%c0%ae/etc/passwd',
             'pair.html%00.png', '/etc/passwd', '//etc/passwd', './pair',
             'a/../pair', 'api/../pair', '%ff', '%', '%1', '%zz', 'a//b',
             'a' + '/a' * 20, secret[1:], '..;/pair', '%e0%80%ae', 'a\\b',
             '~root', '.git/config', '\x7f'):
    a = s.raw(f'GET /{path} HTTP/1.1\r\nHost: {s.host}\r\nConnection: close'
              '\r\n\r\n'.encode('latin-1'), 5)
    if not check(a is None or a.status in (400, 404),
                 f'/{path[:40]!r} leads nowhere'):
        note(a.status)
for target in ('http://evil.example/', 'evil.example:80', '*',
               'api/about', '?', '/api/about#x'):
    a = s.raw(f'GET {target} HTTP/1.1\r\nHost: {s.host}\r\nConnection: close'
              '\r\n\r\n'.encode(), 5)
    check(a is None or a.status in (400, 404), f'target {target!r}')
honest('odd addresses')

# ---- pairing -------------------------------------------------------------
code = s.code()


def pair(code, **more):
    return s.ask('POST', '/api/pair', {'code': code, 'name': 'x', **more},
                 key=False)


a = pair(code)
check(a.status == 200 and 'HttpOnly' in a['Set-Cookie'] and
      'SameSite=Strict' in a['Set-Cookie'], 'the code admits a device')
refused(pair(code), 403, 'code', 'the same code again does not')
check(s.code() != code, 'the terminal shows a new one')
for wrong in ('', '0', '00000000', '99999999999', 'a' * 500, '%s%n',
              s.code()[:-1]):
    a = s.ask('POST', '/api/pair', {'code': wrong}, key=False)
    # an empty one is no document, and no try
    check(a.status in (403, 429) if wrong else a.status == 422,
          f'the code {wrong[:20]!r}: {a.status}')
refused(pair(s.code()), 429, 'code',
        'after five wrong tries even the right code must wait')
check(len(set(s.printed().split('type the code')[1:])) >= 3,
      'and the code was renewed')
check(pair(s.key).status == 200, "the terminal's key is not held up by that")
for body, status in ((b'{}', 422), (b'[]', 422), (b'{"code": 5}', 422),
                     (b'{"code": null}', 422), (b'{"code":"1","code":"2"}', 400),
                     (b'{"code":"1","x":1}', 422), (b'{"code":"\xff"}', 400),
                     (b'{' * 4000, 400), (b'', 400)):
    a = s.ask('POST', '/api/pair', body, post, key=False)
    check(a.status == status, f'pairing with {body[:20]}: {a.status}')
names = ['', 'n' * 4000, '\u0000', '<script>alert(1)</script>', '\u202e', '鉢' * 50,
         'a\nb']
for n in names:
    a = s.ask('POST', '/api/pair', {'code': s.key, 'name': n}, key=False)
    check(a.status in (200, 400, 413, 422) and s.alive(),
          f'a name {n[:10]!r}')
listed = s.ask('GET', '/api/devices').json()['devices']
check(all(0 < len(d['name'].encode()) < 64 and '\n' not in d['name']
          for d in listed), 'names are one short line')
for _ in range(40):
    last = s.ask('POST', '/api/pair', {'code': s.key, 'name': 'many'},
                 key=False)
refused(last, 409, 'conflict', 'no more than so many devices')
honest('pairing')

# ---- revoked -------------------------------------------------------------
a = s.ask('DELETE', '/api/devices/' + device['id'], headers=who, key=False)
check(a.status == 200, 'a device is revoked')
refused(s.ask('GET', '/api/devices', headers=who, key=False), 401, 'device',
        'and not let in again')
refused(s.ask('DELETE', '/api/devices/' + device['id']), 404, 'notfound',
        'nor there to be revoked again')

# ---- crafted documents ---------------------------------------------------
for title, body in (
        ('100,000 deep', b'[' * 100000 + b']' * 100000),
        ('objects 5,000 deep', b'{"a":' * 5000 + b'1' + b'}' * 5000),
        ('never closed', b'{"a":' * 30000), ('a number of a megabyte',
                                             b'1' * (1 << 20)),
        ('1e999999', b'{"litre_weight_g": 1e999999}'),
        ('broken UTF-8', b'{"litre_weight_g": "\xc3\x28"}'),
        ('a surrogate alone', b'{"a": "\\ud800"}'),
        ('a zero byte', b'{"litre_weight_g\\u0000": 1}'),
        ('a key twice', b'{"volume_ml":1,"volume_ml":2}'),
        ('200,000 keys', b'{' + b','.join(b'"k%d":1' % i
                                          for i in range(200000)) + b'}'),
        ('a key of 1 MB', b'{"' + b'k' * (1 << 20) + b'":1}'),
        ('trailing text', thin + b' {}'), ('NaN', b'{"litre_weight_g": NaN}'),
        ('__proto__', b'{"__proto__": {"litre_weight_g": 1}}')):
    a = s.ask('POST', '/api/thin', body)
    if not check(a.status in (400, 413, 422) and len(a.body) < 2000,
                 f'{title}: {a.status}'):
        note(a.body[:200])
honest('crafted documents')

# ---- garbage and pipelines -----------------------------------------------
one = (f'GET /api/about HTTP/1.1\r\nHost: {s.host}\r\n\r\n').encode()
with s.connect() as c:
    c.sendall(one * 20 + one.replace(b'\r\n\r\n',
                                     b'\r\nConnection: close\r\n\r\n'))
    f = c.makefile('rb')
    got = [read_answer(f) for _ in range(21)]
    check(all(a and a.status == 200 for a in got) and not f.read(),
          'twenty-one requests in a row are answered in a row')
with s.connect(5) as c:
    evil = one.replace(b'127.0.0.1', b'evil')
    c.sendall(one + evil + one)
    f = c.makefile('rb')
    got = [read_answer(f) for _ in range(3)]
    got = [a and a.status for a in got]
    check(got in ([200, 421, None], [200, 421, 200]),
          f'each of a pipeline is judged: {got}')
rng = random.Random(1)
for i in range(60):
    junk = bytes(rng.randrange(256) for _ in range(rng.randrange(1, 3000)))
    if i % 3 == 1:
        junk = b'GET /' + junk
    if i % 3 == 2:
        at = rng.randrange(len(one))
        junk = one[:at] + junk[:3] + one[at:]
    s.raw(junk + b'\r\n\r\n', 0.3)
a = s.raw(b'\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03' + b'\x00' * 300, 2)
check(s.alive() and (a is None or a.status >= 400),
      'garbage, and a greeting in TLS')
for n in range(300):
    with s.connect() as c:
        c.sendall(one[:n % len(one)])
honest('three hundred that broke off')
many = []
for _ in range(400):
    try:
        many.append(s.connect(2))
    except OSError:
        break
for c in many:
    c.close()
time.sleep(1)
honest(f'{len(many)} connections at once')
many = [s.connect(2) for _ in range(120)]
time.sleep(0.5)
shut = 0
for c in many:
    c.settimeout(0.05)
    try:
        shut += c.recv(1) == b''
    except socket.timeout:
        pass
    except ConnectionError:
        shut += 1
check(20 <= shut < 120, f'one address cannot take all: {shut} of 120 are shut')
for c in many:
    c.close()
time.sleep(0.5)

for t in drips:
    t.join()
for name, seconds in slow.items():
    check(19 <= seconds <= 27, f'{name} is cut after {seconds:.1f} s')
honest('all of it')
s.finish()
done()
