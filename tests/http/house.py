# SPDX-License-Identifier: GPL-3.0-or-later
"""What the server's tests share: TAP, a server of their own on loopback, and
requests written byte by byte, so that nothing a client library would refuse
to send is left untried."""
import atexit
import json
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import time

count = failed = 0


def check(good, text):
    global count, failed
    count += 1
    if not good:
        failed += 1
    print(f"{'' if good else 'not '}ok {count} - {text}", flush=True)
    return good


def note(text):
    for line in str(text).splitlines():
        print('# ' + line, flush=True)


def done():
    print(f'1..{count}')
    sys.exit(1 if failed else 0)


class Answer:
    def __init__(self, status, headers, body):
        self.status, self.headers, self.body = status, headers, body

    def __getitem__(self, name):
        return self.headers.get(name.lower())

    def json(self):
        return json.loads(self.body)


def read_answer(f, head=False):
    """One answer from a file over a socket; None at its end."""
    line = f.readline()
    if not line:
        return None
    status = int(line.split()[1])
    headers = {}
    while True:
        line = f.readline().rstrip(b'\r\n')
        if not line:
            break
        name, value = line.decode('latin-1').split(':', 1)
        headers[name.lower()] = value.strip()
    if status == 100:
        return read_answer(f, head)
    if head or status in (204, 304):
        body = b''
    elif 'content-length' in headers:
        body = f.read(int(headers['content-length']))
    elif headers.get('transfer-encoding') == 'chunked':
        body = b''
        while True:
            n = int(f.readline(), 16)
            body += f.read(n)
            f.readline()
            if n == 0:
                break
    else:
        body = f.read()
    return Answer(status, headers, body)


class Server:
    """leatherhard serve on a free port, with a state folder of its own."""

    def __init__(self, program, *args, state=None, env=None):
        self.folder = tempfile.TemporaryDirectory()
        self.state = state or self.folder.name
        self.tls = '--tls-cert' in args
        self.log = open(os.path.join(self.folder.name, 'out'), 'w+b')
        self.process = subprocess.Popen(
            [program, 'serve', '--port', '0', *args], stdin=subprocess.DEVNULL,
            stdout=self.log, stderr=subprocess.STDOUT,
            env={**os.environ, 'NO_COLOR': '1', 'XDG_STATE_HOME': self.state,
                 **(env or {})})
        # whatever happens to the test, its server does not outlive it
        atexit.register(self.process.kill)
        for _ in range(300):
            found = re.search(r'://127\.0\.0\.1:(\d+)/pair#key=(\w+)',
                              self.printed())
            if found or self.process.poll() is not None:
                break
            time.sleep(0.1)
        if not found:
            print('Bail out! the server does not start')
            note(self.printed())
            sys.exit(1)
        self.port, self.key = int(found[1]), found[2]
        self.host = f'127.0.0.1:{self.port}'

    def printed(self):
        with open(self.log.name, encoding='utf-8', errors='replace') as f:
            return f.read()

    def code(self):
        """The pairing code that the terminal shows now."""
        return re.findall(r'type the code\s+([0-9-]+)', self.printed())[-1]

    def alive(self):
        return self.process.poll() is None

    def connect(self, timeout=30):
        s = socket.create_connection(('127.0.0.1', self.port), timeout)
        return s

    def raw(self, data, timeout=30):
        """Bytes as they are; the first answer, or None."""
        try:
            with self.connect(timeout) as s:
                s.sendall(data)
                return read_answer(s.makefile('rb'))
        except (ConnectionError, socket.timeout, ValueError):
            return None

    def ask(self, method, path, body=None, headers=None, key=True, timeout=60):
        """A well-behaved request; headers may take any of it away."""
        h = {'Host': self.host, 'Connection': 'close'}
        if key:
            h['Authorization'] = 'Bearer ' + self.key
        if body is not None:
            if not isinstance(body, bytes):
                body = json.dumps(body).encode()
            h['Content-Type'] = 'application/json'
            h['Content-Length'] = str(len(body))
        for name, value in (headers or {}).items():
            h.pop(name, None)
            if value is not None:
                h[name] = value
        text = f'{method} {path} HTTP/1.1\r\n' + ''.join(
            f'{k}: {v}\r\n' for k, v in h.items()) + '\r\n'
        with self.connect(timeout) as s:
            s.sendall(text.encode() + (body or b''))
            return read_answer(s.makefile('rb'), method == 'HEAD')

    def pair(self, name='a tablet', code=None):
        """Admit a device: its cookie and the run's token."""
        a = self.ask('POST', '/api/pair', {'code': code or self.key,
                                           'name': name}, key=False)
        return {'Cookie': a['Set-Cookie'].split(';')[0],
                'Leatherhard-Token': a.json()['token']}, a.json()['device']

    def stop(self, wait=40):
        """End it as the user would; its exit code."""
        if self.alive():
            self.process.send_signal(signal.SIGTERM)
        try:
            return self.process.wait(wait)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
            return None

    def finish(self):
        """Ends it; whatever a sanitizer found makes the exit code."""
        code = self.stop()
        if not check(code == 0, 'the server ends well'):
            note(self.printed())
