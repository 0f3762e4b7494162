# SPDX-License-Identifier: GPL-3.0-or-later
"""Operations that are not waited for, the stream of events, and leaving.

  jobs.py PROGRAM SOURCE-ROOT"""
import json
import socket
import sys
import time

from house import Server, check, done, note

program, root = sys.argv[1:3]
s = Server(program)
who, device = s.pair('a tablet')
other, _ = s.pair('another')
later = {'Prefer': 'respond-async'}
with open(root + '/data/tide-line.json') as f:
    piece = json.load(f)
# Some seconds of work: a large picture, finely laid.
long = json.dumps({**piece, 'ask': {'view': 'side', 'width_px': 4000,
                                    'pixel_mm': 0.1}}).encode()
# one that outlasts the ten seconds after which a device has left
longest = json.dumps({**piece, 'ask': {'view': 'side', 'width_px': 8000,
                                       'pixel_mm': 0.1}}).encode()


def ask(method, path, body=None, headers=None, as_=who):
    return s.ask(method, path, body, {**as_, **(headers or {})}, key=False)


class Stream:
    """Server-sent events, read one by one."""

    def __init__(self, last=None, as_=who):
        self.c = s.connect(60)
        more = f'Last-Event-ID: {last}\r\n' if last else ''
        self.c.sendall(f'GET /api/events HTTP/1.1\r\nHost: {s.host}\r\n'
                       f'Cookie: {as_["Cookie"]}\r\n{more}\r\n'.encode())
        self.raw = self.rest = b''
        self.ended = False
        while b'\r\n\r\n' not in self.raw:
            self.more()
        head, self.raw = self.raw.split(b'\r\n\r\n', 1)
        self.head = head.decode().split('\r\n')

    def more(self):
        data = self.c.recv(65536)
        self.raw += data
        self.ended = not data
        return not self.ended

    def unpack(self):
        """Whole chunks from raw to rest."""
        while b'\r\n' in self.raw:
            size, after = self.raw.split(b'\r\n', 1)
            n = int(size, 16)
            if len(after) < n + 2:
                return
            self.rest += after[:n]
            self.raw = after[n + 2:]
            if n == 0:
                self.ended = True
                return

    def next(self, timeout=30):
        """The next event as a dict; None at the end or when it is silent."""
        self.c.settimeout(timeout)
        self.unpack()
        try:
            while b'\n\n' not in self.rest:
                if self.ended or not self.more():
                    return None
                self.unpack()
        except (socket.timeout, ConnectionError):
            return None
        text, self.rest = self.rest.split(b'\n\n', 1)
        event = {}
        for line in text.decode().split('\n'):
            k, v = line.split(': ', 1)
            event[k or 'comment'] = v
        if 'data' in event:
            event['data'] = json.loads(event['data'])
        return event

    def close(self):
        self.c.close()


def wait_for(job, states, seconds=60):
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        is_ = ask('GET', '/api/jobs/' + job).json()
        if is_['state'] in states:
            return is_
        time.sleep(0.1)
    return is_


# ---- a short one ---------------------------------------------------------
stream = Stream()
check(any('text/event-stream' in h for h in stream.head), 'a stream of events')
hello = stream.next()
check(hello['event'] == 'hello' and not hello['data']['missed'] and
      hello['data']['run'] == s.ask('GET', '/api/about').json()['run'],
      'it says hello, and from which run')
a = ask('POST', '/api/thin', {'litre_weight_g': 1500}, later)
check(a.status == 202 and a['Preference-Applied'] == 'respond-async' and
      a['Location'] == '/api/jobs/' + a.json()['id'], '202, and where to ask')
job = a.json()['id']
check(wait_for(job, ['done'])['outcome'] == 'done', 'it gets done')
result = ask('GET', f'/api/jobs/{job}/result')
check(result.status == 200 and result.body ==
      ask('POST', '/api/thin', {'litre_weight_g': 1500}).body,
      'the result is what would have been answered')
events = [stream.next(), stream.next()]
check(all(e['event'] == 'job' and e['data']['id'] == job for e in events) and
      events[-1]['data']['state'] == 'done', 'the stream told of it')
check(ask('GET', '/api/jobs/' + job, as_=other).status == 404 and
      ask('GET', f'/api/jobs/{job}/result', as_=other).status == 404 and
      ask('DELETE', '/api/jobs/' + job, as_=other).status == 404 and
      ask('GET', '/api/jobs', as_=other).json()['jobs'] == [],
      'another device sees nothing of it')
check([j['id'] for j in ask('GET', '/api/jobs').json()['jobs']] == [job],
      'its own device lists it')
a = ask('DELETE', '/api/jobs/' + job)
check(a.status == 200 and ask('GET', '/api/jobs/' + job).status == 404,
      'one that has ended is forgotten by DELETE')

# ---- refused -------------------------------------------------------------
a = ask('POST', '/api/thin', {'litre_weight_g': 'x'}, later)
is_ = wait_for(a.json()['id'], ['refused'])
check(is_['problem']['pointer'] == '/litre_weight_g' and
      is_['problem']['status'] == 422, 'a refusal is told in the job')
a = ask('GET', a['Location'] + '/result')
check(a.status == 422 and a['Content-Type'] == 'application/problem+json',
      'and is what its result answers')
a = ask('POST', '/api/thin', b'{"litre', later)
check(wait_for(a.json()['id'], ['refused'])['problem']['status'] == 400,
      'also when it is no JSON')
while stream.next(1):
    pass

# ---- a long one, watched, then stopped -----------------------------------
a = ask('POST', '/api/picture', long, later)
job = a.json()['id']
seen, states = [], []
until = time.monotonic() + 30
while time.monotonic() < until and len(seen) < 4:
    e = stream.next()
    if e and e.get('event') == 'job' and e['data']['id'] == job:
        states.append(e['data']['state'])
        seen.append(e['data']['done'])
check(states[-1] == 'running' and seen == sorted(seen) and 0 < seen[-1] < 1,
      f'its progress is followed: {seen}')
early = ask('GET', f'/api/jobs/{job}/result')
check(early.status == 409 and early['Retry-After'], 'no result yet')
began = time.monotonic()
check(ask('POST', '/api/thin', {'litre_weight_g': 1500}).status == 200 and
      time.monotonic() - began < 1, 'a short one does not wait behind it')
began = time.monotonic()
check(ask('DELETE', '/api/jobs/' + job).status == 200, 'it is cancelled')
is_ = wait_for(job, ['cancelled', 'done'], 5)
check(is_['state'] == 'cancelled', f'and stops, {time.monotonic() - began:.1f} '
      's later')
last = None
while True:
    e = stream.next(2)
    if not e:
        break
    if 'id' in e:
        last = e
check(last['data']['id'] == job and last['data']['state'] == 'cancelled',
      'the stream told of that too')
check(ask('GET', f'/api/jobs/{job}/result').status == 499,
      'its result is that it was stopped')

# ---- a stream that broke -------------------------------------------------
stream.close()
a = ask('POST', '/api/thin', {'litre_weight_g': 1600}, later)
missed = a.json()['id']
wait_for(missed, ['done'])
stream = Stream(last['id'])
e = stream.next()
check(e['event'] == 'hello' and not e['data']['missed'],
      'it goes on where it was')
e = stream.next()
check(e['data']['id'] == missed, 'with what it missed')
stream.close()
for id_ in ('nonsense', '00000000-1', last['id'].split('-')[0] + '-999999999',
            last['id'].split('-')[0] + '--1', '\x01', '-' * 500):
    stream = Stream(id_)
    e = stream.next()
    check(e['data']['missed'], f'from {id_[:20]!r} it cannot: it says so')
    stream.close()
streams = [Stream() for _ in range(6)]
for t in streams:
    t.next(2)
check(all(t.next(2) is None and t.ended for t in streams[:2]) and
      not any(t.ended for t in streams[2:]),
      'of more than four streams of a device the oldest ends')
a = ask('POST', '/api/thin', {'litre_weight_g': 1600}, later)
check(all(t.next()['data']['id'] == a.json()['id'] for t in streams[2:]),
      'the others are all told')

# ---- leaving -------------------------------------------------------------
def probe():
    """A long job of the terminal's own; where to ask after it."""
    for _ in range(100):
        a = s.ask('POST', '/api/picture', long, later)
        if a.status == 202:
            return a['Location']
        time.sleep(0.2)  # those cancelled have not yet left the queue
    return '/api/jobs/none'


def runs(where, seconds):
    """Does it get a worker within so long?"""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if s.ask('GET', where).json().get('state') in (
                'running', 'done'):
            return True
        time.sleep(0.1)
    return False


def idle(seconds):
    """Are both workers free, or soon: do two long jobs get to run?"""
    two = [probe(), probe()]
    good = all([runs(w, seconds) for w in two])
    for w in two:
        s.ask('DELETE', w)
    return good


def waiting_client():
    c = s.connect()
    c.sendall((f'POST /api/picture HTTP/1.1\r\nHost: {s.host}\r\n'
               f'Authorization: Bearer {s.key}\r\n'
               'Content-Type: application/json\r\n'
               f'Content-Length: {len(long)}\r\n\r\n').encode() + long)
    return c


check(idle(25), 'nothing is at work')
clients = [waiting_client(), waiting_client()]
time.sleep(0.5)
third = probe()
check(not runs(third, 1), 'while two wait for pictures a third has no turn')
for c in clients:
    c.close()
began = time.monotonic()
check(runs(third, 15), 'they leave: it has its turn, '
      f'{time.monotonic() - began:.1f} s later')
s.ask('DELETE', third)
a = ask('POST', '/api/picture', longest, later)
job = a.json()['id']
for t in streams:
    t.close()
time.sleep(1)
check(ask('GET', '/api/jobs/' + job).json()['state'] in
      ('running', 'waiting'), 'a page that is loaded again loses nothing')
is_ = wait_for(job, ['cancelled', 'done'], 25)
if not check(is_['state'] == 'cancelled',
             "a device whose last stream closed has left: its jobs stop"):
    note(is_)
check(idle(25), 'and the workers are free')

# ---- too many ------------------------------------------------------------
jobs = []
for _ in range(90):
    a = ask('POST', '/api/picture', long, later)
    if a.status != 202:
        break
    jobs.append(a.json()['id'])
check(a.status == 503 and a['Retry-After'] and len(jobs) <= 66,
      f'after {len(jobs)} jobs that wait no more are taken')
check(ask('POST', '/api/thin', {'litre_weight_g': 1600}).status in (200, 503),
      'and it is said, not hung')
for job in jobs:
    ask('DELETE', '/api/jobs/' + job)
check(idle(30), 'all are stopped')

# ---- revoked -------------------------------------------------------------
stream = Stream(as_=other)
stream.next()
a = ask('POST', '/api/picture', long, later, as_=other)
ids = {d['name']: d['id'] for d in ask('GET', '/api/devices').json()['devices']}
check(ask('DELETE', '/api/devices/' + ids['another']).status == 200,
      'a device is revoked')
e = True
until = time.monotonic() + 10
while e and time.monotonic() < until:
    e = stream.next(5)
check(e is None, 'its stream ends')
check(idle(25), 'its jobs stop')
s.finish()
done()
