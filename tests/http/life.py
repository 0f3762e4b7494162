# SPDX-License-Identifier: GPL-3.0-or-later
"""Pages and their tags, being told to stop, TLS, and starting badly.

  life.py PROGRAM SOURCE-ROOT"""
import gzip
import json
import os
import signal
import socket
import ssl
import subprocess
import sys
import tempfile
import threading
import time

from house import Server, check, done, note, read_answer

program, root = sys.argv[1:3]
s = Server(program)
with open(root + '/data/tide-line.json') as f:
    piece = json.load(f)


def get(path, **headers):
    return s.ask('GET', path, headers={k.replace('_', '-'): v for k, v in
                                       headers.items()}, key=False)


# ---- pages ---------------------------------------------------------------
here = root + '/http/page/'
for name, media in (('pair.html', 'text/html; charset=utf-8'),
                    ('pair.js', 'text/javascript; charset=utf-8'),
                    ('plain.css', 'text/css; charset=utf-8'),
                    ('mark.svg', 'image/svg+xml')):
    with open(here + name, 'rb') as f:
        want = f.read()
    a = get('/' + name)
    check(a.body == want and a['Content-Type'] == media and
          'Content-Encoding' not in a.headers, f'{name} as it is')
    z = get('/' + name, Accept_Encoding='gzip, deflate')
    check(z['Content-Encoding'] == 'gzip' and gzip.decompress(z.body) == want
          and len(z.body) < len(want), f'{name} packed by gzip')
    b = get('/' + name, Accept_Encoding='gzip, deflate, br')
    unpacked = subprocess.run(['brotli', '-dc'], input=b.body,
                              capture_output=True).stdout
    check(b['Content-Encoding'] == 'br' and unpacked == want and
          len(b.body) < len(z.body), f'{name} packed by brotli, smaller yet')
    tags = {a['ETag'], z['ETag'], b['ETag']}
    check(len(tags) == 3 and all(t[0] == t[-1] == '"' for t in tags) and
          all(x['Vary'] == 'Accept-Encoding' for x in (a, z, b)),
          f'{name}: a strong tag for each form')
    c = get('/' + name, Accept_Encoding='br', If_None_Match=b['ETag'])
    check(c.status == 304 and c.body == b'' and c['ETag'] == b['ETag'],
          f'{name}: 304 when it is as it was')
    check(get('/' + name, If_None_Match=b['ETag']).status == 200,
          f'{name}: the tag of another form does not count')
    check(get('/' + name, If_None_Match=f'"x", W/{a["ETag"]}, "y"').status ==
          304 and get('/' + name, If_None_Match='*').status == 304,
          f'{name}: lists, weak tags and * are understood')
    h = s.ask('HEAD', '/' + name, key=False)
    check(h.status == 200 and h.body == b'' and
          h['Content-Length'] == str(len(want)) and h['ETag'] == a['ETag'],
          f'{name}: HEAD has the same head')
a = get('/favicon.ico')
check(a.status == 200 and a['Content-Type'] == 'image/svg+xml',
      'who asks for an icon by its old name gets one')
h = s.ask('HEAD', '/api/events')
check(h.status == 200 and h.body == b'' and
      h['Content-Type'] == 'text/event-stream', 'HEAD of a stream ends')
q = get('/plain.css', Accept_Encoding='br;q=0, gzip;q=0.5')
check(q['Content-Encoding'] == 'gzip', 'a weight of none is heeded')
for path in ('/api/openapi.json', '/api/'):
    a = get(path)
    check(a['ETag'] and get(path, If_None_Match=a['ETag']).status == 304,
          f'{path}: 304 when it is as it was')
a = get('/')
check(a.status == 303 and a['Location'] == '/pair',
      'a device that is not admitted is led to where it can be')
who, _ = s.pair()
a = s.ask('GET', '/', headers=who, key=False)
check(a.status == 200 or a['Location'] == '/api/', 'another to the page')
check(b'<h2 id="op-thin">' in get('/api/').body and
      b'&lt;' not in get('/api/').body.split(b'<h2')[0],
      'the operations are told to people')
for path in ('/', '/pair', '/api/about', '/api/nothing', '/api/thin', '/x'):
    a = get(path)
    check("default-src 'none'" in a['Content-Security-Policy'] and
          "'wasm-unsafe-eval'" in a['Content-Security-Policy'] and
          'unsafe-inline' not in a['Content-Security-Policy'] and
          a['X-Content-Type-Options'] == 'nosniff' and
          a['Referrer-Policy'] == 'no-referrer' and
          a['X-Frame-Options'] == 'DENY', f'{path}: the policy goes along')
about = get('/api/about').json()
check(about['transport'] == 'loopback' and not about['network'] and
      'warning' not in about, 'about: on this machine only')
with open('/proc/net/tcp') as f:
    mine = [line.split()[1] for line in f if f':{s.port:04X} ' in line and
            line.split()[3] == '0A']
check(mine == [f'0100007F:{s.port:04X}'], 'it listens on loopback alone')
check(os.stat(s.state + '/leatherhard').st_mode & 0o777 == 0o700,
      "the list of devices is the user's alone")
with open(s.state + '/leatherhard/devices.json') as f:
    text = f.read()
check(who['Cookie'].split('=')[1] not in text and s.key not in text,
      'no token stands in it')

# ---- a folder instead ----------------------------------------------------
folder = tempfile.TemporaryDirectory()
for name, text in (('index.html', '<!doctype html>mine'), ('a.js', '1'),
                   ('sub/b.css', 'b{}')):
    path = os.path.join(folder.name, name)
    os.makedirs(os.path.dirname(path), exist_ok=True)
    with open(path, 'w') as f:
        f.write(text)
os.symlink('/etc/passwd', folder.name + '/link.txt')
os.symlink('/etc', folder.name + '/etc')
os.mkfifo(folder.name + '/pipe.txt')
t = Server(program, '--page-dir', folder.name)
a = t.ask('GET', '/', key=True)
check(a.body == b'<!doctype html>mine', '--page-dir: its index')
check(t.ask('GET', '/a.js')['Content-Type'].startswith('text/javascript') and
      t.ask('GET', '/sub/b.css').body == b'b{}', 'its other files')
a = t.ask('GET', '/a.js')
check(t.ask('GET', '/a.js', headers={'If-None-Match': a['ETag']}).status ==
      304, 'with tags')
time.sleep(0.01)
with open(folder.name + '/a.js', 'w') as f:
    f.write('22')
check(t.ask('GET', '/a.js', headers={'If-None-Match': a['ETag']}).body ==
      b'22', 'that change with the file')
for path in ('/link.txt', '/etc/passwd', '/sub', '/pipe.txt',
             '/sub/../a.js', '/%2e%2e/x'):
    check(t.ask('GET', path).status in (400, 404), f'{path}: nothing')
check(t.ask('GET', '/pair').status == 200, 'pairing is always there')
t.finish()

# ---- told to stop --------------------------------------------------------
long = json.dumps({**piece, 'ask': {'view': 'side', 'width_px': 2000,
                                    'pixel_mm': 0.2}}).encode()


def told_to_stop(body, again=False, **more):
    t = Server(program)
    got = {}

    def wait():
        got['answer'] = t.ask('POST', '/api/picture', body, timeout=120)
    w = threading.Thread(target=wait)
    w.start()
    idle = t.connect()
    time.sleep(0.4)
    t.process.send_signal(signal.SIGTERM)
    time.sleep(0.3)
    try:
        t.connect(2).close()
        refused = False
    except OSError:
        refused = True
    if again:
        t.process.send_signal(signal.SIGTERM)
    began = time.monotonic()
    code = t.process.wait(60)
    w.join()
    idle.close()
    return code, got.get('answer'), refused, time.monotonic() - began


code, a, refused, _ = told_to_stop(long)
check(code == 0 and a is not None and a.status == 200 and
      a.body[:8] == b'\x89PNG\r\n\x1a\n',
      'SIGTERM: what is under way is finished')
check(refused, 'and nothing new is taken')
check(a['Connection'] == 'close', 'the answer says that it is the last')
huge = json.dumps({**piece, 'ask': {'view': 'side', 'width_px': 4000,
                                    'pixel_mm': 0.1}}).encode()
code, a, _, took = told_to_stop(huge, again=True)
check(code == 0 and (a is None or a.status != 200) and took < 8,
      f'told twice it does not wait ({took:.1f} s)')
t = Server(program)
with t.connect() as c:
    c.sendall(f'GET /api/events HTTP/1.1\r\nHost: {t.host}\r\nAuthorization: '
              f'Bearer {t.key}\r\n\r\n'.encode())
    c.recv(10)
    began = time.monotonic()
    check(t.stop() == 0 and time.monotonic() - began < 5,
          'a stream does not hold it up')
t = Server(program)
with t.connect() as c:
    c.sendall(b'POST /api/thin HTTP/1.1\r\nHost: ' + t.host.encode() +
              b'\r\nContent-Type: application/json\r\nAuthorization: Bearer ' +
              t.key.encode() + b'\r\nContent-Length: 24\r\n\r\n{"litre_wei')
    time.sleep(0.3)
    t.process.send_signal(signal.SIGTERM)
    time.sleep(0.5)
    c.sendall(b'ght_g": 1500}')
    a = read_answer(c.makefile('rb'))
    check(a is not None and a.status == 200, 'SIGTERM in the middle of a '
          'request: its rest is read and answered')
    check(t.stop() == 0, 'then it ends')

# ---- the same devices tomorrow -------------------------------------------
state = tempfile.TemporaryDirectory()
t = Server(program, state=state.name)
who, device = t.pair('kept')
port = t.port
t.stop()
u = Server(program, '--port', str(port), state=state.name)
a = u.ask('GET', '/api/about', headers=who, key=False).json()
check(a['admitted'] and a['device'] == device,
      'a device is still known after a restart')
a2 = u.ask('POST', '/api/thin', {'litre_weight_g': 1500}, who, key=False)
check(a2.status == 403 and a2.json()['type'] == '/api/#token',
      "the token of the run is another's")
check(u.ask('POST', '/api/thin', {'litre_weight_g': 1500},
            {**who, 'Leatherhard-Token': a['token']}, key=False).status == 200,
      'and can be asked for anew')
u.ask('DELETE', '/api/devices/' + device['id'])
u.stop()
u = Server(program, '--port', str(port), state=state.name)
check(not u.ask('GET', '/api/about', headers=who, key=False
                ).json()['admitted'], 'one that was revoked stays out')
path = state.name + '/leatherhard/devices.json'


def starts(*args, env=None):
    return subprocess.run([program, 'serve', *args], capture_output=True,
                          timeout=30, env={**os.environ, 'NO_COLOR': '1',
                                           'XDG_STATE_HOME': state.name,
                                           **(env or {})})


a = starts('--port', str(u.port))
check(a.returncode == 3 and b'already in use' in a.stderr and not a.stdout,
      'a port that is taken: said')
u.stop()
for args, code, words in (
        (['--port', '70000'], 2, b'no port'), (['--port', 'x'], 2, b'no port'),
        (['--port'], 2, b'missing'), (['--prot', '1'], 2, b'--port'),
        (['x'], 2, b'no such word'), (['--page-dir', '/none'], 2, b'cannot'),
        (['--tls-cert', '/none'], 2, b'--tls-key'),
        (['--tls-cert', '/none', '--tls-key', '/none'], 2, b'/none')):
    a = starts(*args)
    if not check(a.returncode == code and words in a.stderr and not a.stdout,
                 f'serve {" ".join(args)}: {a.returncode}'):
        note(a.stderr)
for text in ('{', '[]', '{"format":"x","version":1,"id":"00000000",'
             '"devices":[]}', '{"format":"leatherhard.devices","version":1,'
             '"id":"../../xx","devices":[]}', '\0' * 100, ''):
    with open(path, 'w') as f:
        f.write(text)
    a = starts('--port', '0')
    check(a.returncode == 2 and path.encode() in a.stderr,
          f'a spoiled list of devices is told: {text[:20]!r}')

# ---- TLS -----------------------------------------------------------------
pems = tempfile.TemporaryDirectory()
cert, key = pems.name + '/cert.pem', pems.name + '/key.pem'
made = subprocess.run(
    ['openssl', 'req', '-x509', '-newkey', 'ec', '-pkeyopt',
     'ec_paramgen_curve:P-256', '-nodes', '-days', '1', '-subj',
     '/CN=studio.example', '-addext', 'subjectAltName=DNS:studio.example,'
     'IP:127.0.0.1', '-keyout', key, '-out', cert], capture_output=True)
check(made.returncode == 0, 'a certificate of our own')
a = starts('--port', '0', '--tls-cert', cert, '--tls-key', cert)
check(a.returncode == 2, 'a key that is none is refused')
t = Server(program, '--tls-cert', cert, '--tls-key', key, '--host',
           'studio.example', '--studio-network')
context = ssl.create_default_context(cafile=cert)


def over_tls(path, host, method='GET', body=b'', more=''):
    with context.wrap_socket(t.connect(), server_hostname='studio.example'
                             ) as c:
        c.sendall(f'{method} {path} HTTP/1.1\r\nHost: {host}:{t.port}\r\n'
                  f'Content-Type: application/json\r\nContent-Length: '
                  f'{len(body)}\r\nConnection: close\r\n{more}\r\n'.encode() +
                  body)
        return read_answer(c.makefile('rb'))


a = over_tls('/api/about', 'studio.example')
check(a.status == 200 and a.json()['transport'] == 'tls' and
      'warning' not in a.json(), 'TLS, by the name that was given')
check(over_tls('/api/about', 'other.example').status == 421,
      'not by another')
a = over_tls('/api/pair', 'studio.example', 'POST', json.dumps(
    {'code': t.key}).encode(), f'Origin: https://studio.example:{t.port}\r\n')
check(a.status == 200 and '; Secure' in a['Set-Cookie'],
      'its cookie is for TLS only')
a = t.raw(f'GET /api/about HTTP/1.1\r\nHost: {t.host}\r\n\r\n'.encode(), 5)
check(a is None, 'plain http is not answered there')
check(f'https://studio.example:{t.port}/pair' in t.printed(),
      'the address that is shown has the name')
t.finish()

# ---- the studio's network, by the machine's other address -----------------
t = Server(program, '--studio-network')
out = subprocess.run(['hostname', '-I'], capture_output=True).stdout.split()
check('type the code' in t.printed() and '█' in t.printed(),
      'a code is shown, and as a QR code')
check('plain http' in t.printed().lower().replace('\n', ' '),
      'and that plain http can be read along')
a = t.ask('GET', '/api/about', headers={
    'Host': f'{socket.gethostname().lower()}:{t.port}'})
check(a.status == 200, "the machine's own name is taken")
t.finish()
s.finish()
done()
