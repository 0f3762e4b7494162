# SPDX-License-Identifier: GPL-3.0-or-later
"""The book over HTTP: tags, lost races, merging, undo, blobs, events, and
what must not go in.

  book.py PROGRAM SOURCE-ROOT"""
import hashlib
import json
import os
import socket
import subprocess
import sys
import threading
import time
import zlib

from house import Server, check, done, note

program, root = sys.argv[1:3]
path = os.path.join(os.environ.get('TMPDIR', '/tmp'),
                    f'leatherhard-http-{os.getpid()}.book')
s = Server(program, '--book', path)
one, device = s.pair('a tablet')
two, _ = s.pair('a laptop')
patch_type = {'Content-Type': 'application/json-patch+json'}


def ask(method, where, body=None, who=one, **headers):
    h = {k.replace('_', '-'): v for k, v in headers.items()}
    return s.ask(method, '/api/book' + where, body, {**who, **h}, key=False)


def patch(where, ops, who=one, **headers):
    return ask('PATCH', where, ops, who,
               **{'Content-Type': 'application/json-patch+json', **headers})


def is_(a, status, text, kind=None):
    good = a is not None and a.status == status
    if good and kind:
        good = a.json()['type'] == '/api/#' + kind
    if not check(good, text):
        note(a and f'{a.status} {a.body[:300]}')
    return good


check('A new book' in s.printed(), 'a new book is begun')
a = ask('GET', '')
is_(a, 200, 'the book tells what it holds')
kinds = a.json()['records']
check(set(kinds.values()) == {0} and 'piece' in kinds and 'note' in kinds,
      'nothing yet')

# ---- records -------------------------------------------------------------
material = {'name': 'Sea clay', 'formula': 'Al2O3.2SiO2.2H2O',
            'class': 'kaolin'}
a = ask('POST', '/material', material)
is_(a, 201, 'a material is added')
where = a['Location'][len('/api/book'):]
check(a['ETag'] == '"1"' and where == '/material/' + a.json()['id'],
      'where it is, and its revision as its tag')
a = ask('GET', where)
check(a.status == 200 and a['ETag'] == '"1"' and
      a.json()['name'] == 'Sea clay', 'it is read back')
is_(ask('GET', where, If_None_Match='"1"'), 304, '304 when it is as it was')
h = s.ask('HEAD', '/api/book' + where, headers=one, key=False)
check(h.status == 200 and h['ETag'] == '"1"' and h.body == b'' and
      h['Content-Length'] == str(len(a.body)), 'HEAD has the same head')
is_(ask('GET', where.replace('material', 'slip')), 404,
    'it is no slip', 'notfound')
is_(ask('GET', '/any/' + a.json().get('id', where.split('/')[-1])), 200,
    'its kind may be left open')
for path_ in ('/nokind', '/material/none', '/material/' + 'x' * 65,
              where + '/2', where + '/x', where + '/0', '/blobs/xyz',
              '/blobs/' + '0' * 64, '/any/none/history'):
    is_(ask('GET', path_), 404, f'{path_[:40]} is not there')

# ---- edits, and lost races -----------------------------------------------
edit = [{'op': 'add', 'path': '/price_per_kg', 'value': 2.5}]
is_(patch(where, edit), 428, 'an edit must say what it was made on', 'base')
for tag in ('1', '"x"', '*', '"1", "2"', 'W/"1"', '""', '"-1"',
            '"99999999999999999999"'):
    is_(patch(where, edit, If_Match=tag), 400, f'If-Match: {tag}', 'base')
a = patch(where, edit, If_Match='"1"')
check(a.status == 200 and a['ETag'] == '"2"' and
      a.json()['how'] == 'saved', 'a patch on the newest is saved')
a = patch(where, [{'op': 'replace', 'path': '/price_per_kg', 'value': 3}],
          two, If_Match='"1"')
is_(a, 412, 'on an older one it is a lost race', 'conflict')
check(ask('GET', where).json()['price_per_kg'] == 2.5, 'and changes nothing')
a = patch(where + '?base=1', [{'op': 'add', 'path': '/density', 'value': 2.6}],
          two)
check(a.status == 200 and a.json()['how'] == 'merged',
      'of another thing it is merged, when that is asked for')
a = patch(where + '?base=1', [{'op': 'add', 'path': '/price_per_kg',
                               'value': 9}], two)
check(a.status == 200 and a.json()['how'] == 'aside' and 'met' in a.json(),
      'of the same thing it is kept aside')
aside = a.json()['revision']
document = ask('GET', where).json()
check(document['price_per_kg'] == 2.5 and document['density'] == 2.6,
      'what stands is the first edit and the merged one')
check(ask('GET', f'{where}/{aside}').json()['price_per_kg'] == 9,
      'what is aside can be read')
listed = ask('GET', '/material').json()['records'][0]
check(listed['asides'] == 1, 'and the list says that it waits')
is_(ask('POST', where + '/choose', {'revision': aside, 'take': True}), 200,
    'somebody chooses it')
check(ask('GET', where).json()['price_per_kg'] == 9, 'then it stands')
a = ask('GET', where)
document = a.json()
document['class'] = 'plastic clay'
is_(ask('PUT', where, document), 428, 'a whole document must say, too')
a = ask('PUT', where, document, If_Match=a['ETag'])
is_(a, 200, 'a whole document is saved')
is_(ask('PUT', where, document, If_Match='"1"'), 412,
    'but not on an older one')
a = ask('PUT', where, document, If_Match=a['ETag'])
check(a.status == 200 and a.json()['how'] == 'unchanged',
      'saved again it makes no revision')
is_(patch(where, [{'op': 'test', 'path': '/name', 'value': 'x'}],
          If_Match=a['ETag']), 412, 'a test of the patch that fails',
    'conflict')

# ---- undo, for each device -----------------------------------------------
def text(field):
    return ask('GET', where).json().get(field)


is_(ask('POST', where + '/undo'), 200, 'a device takes its last edit back')
check(text('class') == 'kaolin', 'it is as before')
is_(ask('POST', where + '/redo'), 200, 'and brings it again')
check(text('class') == 'plastic clay', 'it is as after')
history = ask('GET', where + '/history').json()['revisions']
check(history[0]['device'].startswith('a tablet ') and
      {h['device'][:8] for h in history} == {'a tablet', 'a laptop'} and
      [h['revision'] for h in history] ==
      list(range(len(history), 0, -1)), 'each revision says who')
is_(ask('POST', where + '/restore', {'revision': 1}), 200,
    'any revision is brought back')
first, now = ask('GET', where + '/1').json(), ask('GET', where).json()
check({k: v for k, v in first.items()} == {k: v for k, v in now.items()},
      'it is that one')
for body, status in (({}, 422), ({'revision': 'x'}, 422), ({'revision': -1},
                     422), ({'revision': 999}, 404), (b'{', 400),
                     ({'take': True}, 422)):
    a = ask('POST', where + '/restore', body)
    check(a.status in (status, 400, 422, 404) and a.status >= 400,
          f'restore {body}: {a.status}')
is_(ask('POST', where + '/burn'), 404, 'no such act')

# ---- hidden --------------------------------------------------------------
is_(ask('DELETE', where), 200, 'deleting hides')
check(ask('GET', '/material').json()['records'] == [] and
      len(ask('GET', '/material?hidden=1').json()['records']) == 1 and
      ask('GET', where).status == 200, 'from lists, not from the book')
is_(ask('POST', where + '/show'), 200, 'and it is shown again')
for i in range(5):
    ask('POST', '/material', {'name': f'Heap {i}', 'formula': 'SiO2'})
names = [m['name'] for m in ask('GET', '/material?most=2&skip=1').json()[
    'records']]
check(names == ['Heap 3', 'Heap 2'], f'a page of a list {names}')
names = [m['name'] for m in ask('GET', '/any?words=sea').json()['records']]
check(names == ['Sea clay'], 'a search over all kinds')
check(ask('GET', '/any?words=%22%27%3B--*').status in (200, 422) and
      ask('GET', '/any?words=' + 'x' * 300).status == 414,
      'odd words find nothing, too many are refused')

# ---- its stock is known to the operations --------------------------------
a = s.ask('POST', '/api/formula', {'recipe': {'kind': 'glaze', 'lines': [
    {'material': 'Sea clay', 'parts': 100}]}}, one, key=False)
check(a.status == 200 or 'Sea clay' not in a.json().get('detail', ''),
      'an operation finds a material of the book by its name')

# ---- what must not go in -------------------------------------------------
for kind, body, status in (
        ('material', {'name': 'x', 'no such key': 1}, 422),
        ('material', {}, 422), ('material', [], 422), ('material', b'{', 400),
        ('material', b'{"name":"a","name":"b"}', 400),
        ('piece', {'format': 'leatherhard.piece', 'version': 99}, 422),
        ('any', {'name': 'x'}, 404)):
    a = ask('POST', '/' + kind, body)
    check(a.status == status, f'{kind} {str(body)[:40]}: {a.status}')
for ops in (5, [5], [{'op': 'x'}], [{'op': 'add', 'path': 'name', 'value': 1}],
            [{'op': 'remove', 'path': '/nothing'}],
            [{'op': 'replace', 'path': '/name', 'value': {}}],
            [{'op': 'move', 'from': '', 'path': '/name'}],
            [{'op': 'add', 'path': '/' + 'a/' * 500, 'value': 1}]):
    a = patch(where + '?base=1', ops)
    check(a.status in (400, 409, 413, 422), f'patch {str(ops)[:50]}: {a.status}')
is_(ask('PATCH', where, edit, If_Match='"1"'), 415,
    'a patch must be said to be one', 'media')
is_(ask('POST', '/firing', {'id': 'first', 'name': 'First firing',
                          'peak_c': 1050}), 201,
    'a record may bring its own id')
is_(ask('POST', '/firing', {'id': 'first', 'name': 'Second firing',
                          'peak_c': 1060}), 409,
    'but not one that is taken', 'conflict')
is_(ask('DELETE', '/firing/first'), 200, 'it is hidden again')
before = ask('GET', '').json()['seq']
for method, where_, body in (('POST', '/material', material),
                             ('PUT', where, material),
                             ('PATCH', where, edit), ('DELETE', where, None),
                             ('POST', where + '/undo', None),
                             ('POST', '/blobs', b'x')):
    for title, headers in (
            ('nobody', {}), ('without the token', {'Cookie': one['Cookie']}),
            ('from elsewhere', {**one, 'Origin': 'http://evil.example'})):
        a = s.ask(method, '/api/book' + where_, body, headers, key=False)
        check(a.status in (401, 403), f'{method} {where_[:9]}, {title}: '
              f'{a.status}')
check(ask('GET', '').json()['seq'] == before, 'none of them saved anything')

# ---- blobs ---------------------------------------------------------------
def png():
    def part(name, data):
        return (len(data).to_bytes(4, 'big') + name + data +
                zlib.crc32(name + data).to_bytes(4, 'big'))
    return (b'\x89PNG\r\n\x1a\n' + part(b'IHDR', bytes([0, 0, 0, 1, 0, 0, 0, 1,
                                                     8, 0, 0, 0, 0])) +
            part(b'IDAT', zlib.compress(b'\0\0')) + part(b'IEND', b''))


picture = png()
a = ask('POST', '/blobs', picture, Content_Type='image/png')
is_(a, 201, 'a picture is kept')
hex_ = hashlib.sha256(picture).hexdigest()
check(a.json()['sha256'] == hex_, 'by its SHA-256 (hashlib)')
a = ask('GET', '/blobs/' + hex_, Accept='application/json')
check(a.body == picture and a['Content-Type'] == 'image/png' and
      a['X-Content-Type-Options'] == 'nosniff' and
      'immutable' in a['Cache-Control'], 'and fetched as it was')
is_(ask('POST', '/blobs', b'<html>', Content_Type='image/png'), 422,
    'what is no picture is not taken for one')
is_(ask('POST', '/blobs', b'<html>', Content_Type='text/html'), 415,
    'nor is a page kept', 'media')
a = s.raw((f'POST /api/book/blobs HTTP/1.1\r\nHost: {s.host}\r\n'
           f'Authorization: Bearer {s.key}\r\nContent-Type: image/png\r\n'
           f'Content-Length: {64 * 1024 * 1024 + 1}\r\n\r\n').encode())
is_(a, 413, 'more than 64 MB is refused at once', 'toolarge')

# ---- an operation reads a blob --------------------------------------------
# The chart of the command line's cases: the same picture, the same answer.
with open(os.path.join(root, 'tests/cli/chart.png'), 'rb') as f:
    chart = f.read()
with open(os.path.join(root, 'tests/cli/colour_photograph_one.json')) as f:
    photograph = json.load(f)
with open(os.path.join(root, 'tests/cli/colour_photograph_one.out')) as f:
    told = json.load(f)
photograph['photograph']['file'] = ('sha256:'
                                    + hashlib.sha256(chart).hexdigest())
a = s.ask('POST', '/api/colour', photograph, one, key=False)
is_(a, 404, 'a photograph that was not sent is not there', 'notfound')
is_(ask('POST', '/blobs', chart, Content_Type='image/png'), 201,
    'a photograph is kept')
a = s.ask('POST', '/api/colour', photograph, one, key=False)
is_(a, 200, 'then tiles are read from it')
check(a.json() == told, 'as on the command line, where it is handed in')

# ---- events --------------------------------------------------------------
class Events(threading.Thread):
    def __init__(self, who):
        super().__init__(daemon=True)
        self.c = s.connect(60)
        self.c.sendall(f'GET /api/events HTTP/1.1\r\nHost: {s.host}\r\nCookie: '
                       f'{who["Cookie"]}\r\n\r\n'.encode())
        self.text = b''
        self.start()

    def run(self):
        try:
            while True:
                data = self.c.recv(65536)
                if not data:
                    return
                self.text += data
        except OSError:
            return

    def has(self, words, seconds=10):
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            if all(w.encode() in self.text for w in words):
                return True
            time.sleep(0.05)
        return False


stream = Events(two)
check(stream.has(['event: hello']), 'a stream is open')
a = ask('POST', '/note', {'name': 'Tide table'})
if a.status != 201:
    a = ask('POST', '/material', {'name': 'Tide table', 'formula': 'SiO2'})
began = time.monotonic()
check(stream.has(['event: book', a.json()['id'], 'Tide table', 'a tablet']),
      'what one device saves another is told')
check(time.monotonic() - began < 3, f'at once ({time.monotonic() - began:.2f} s)')

# ---- a piece of the book, named instead of sent --------------------------
with open(root + '/docs/example-piece.json') as f:
    piece = json.load(f)
a = ask('POST', '/piece', piece)
is_(a, 201, 'a piece is added')
called, mug = a.json()['id'], a['Location'][len('/api/book'):]
is_(patch(mug, [{'op': 'replace', 'path': '/pots', 'value': 9}],
          If_Match='"1"'), 200, 'and changed')


def operation(name, document):
    return s.ask('POST', '/api/' + name, document, one, key=False)


fine = {'ask': {'pixel_mm': 0.5}}
for revision, pots in ((1, piece['pots']), (2, 9), (None, 9)):
    named = {'id': called, **({'revision': revision} if revision else {})}
    a = operation('coverage', {'piece': named, **fine})
    b = operation('coverage', {**piece, 'pots': pots, **fine})
    check(a.status == b.status == 200 and a.json() == b.json(),
          f'its revision {revision or "left open"} answers as the whole does')
is_(operation('coverage', {'piece': {'id': 'none'}}), 404,
    'one that is not there is not', 'notfound')
is_(operation('coverage', {'piece': {'id': called, 'revision': 3}}), 404,
    'nor a revision that is not there', 'notfound')
is_(operation('coverage', {'piece': {'id': called}, 'pots': 1}), 422,
    'nor is it half named, half sent', 'input')
is_(operation('thin', {'piece': {'id': called}}), 422,
    'where no piece is taken none can be named', 'input')

# ---- another program, and a restart --------------------------------------
out = subprocess.run([program, 'book', path, 'check'], capture_output=True)
check(out.returncode == 0, 'the book can be checked meanwhile')
state = s.state
is_(patch(where, [{'op': 'replace', 'path': '/name', 'value': 'Sea clay, dry'}],
          If_Match=ask('GET', where)['ETag']), 200, 'an edit before the end')
stand = ask('GET', where).json()
s.process.terminate()
check(s.process.wait(20) == 0, 'told to stop')
t = Server(program, '--book', path, '--port', str(s.port), state=state)
check('A new book' not in t.printed(), 'the book is there again')
run = t.ask('GET', '/api/about', headers=one, key=False).json()['token']
again = {**one, 'Leatherhard-Token': run}
a = t.ask('GET', '/api/book' + where, headers=again, key=False)
check(a.json() == stand, 'with what was saved')
a = t.ask('POST', '/api/book' + where + '/undo', headers=again, key=False)
check(a.status == 200 and a.json()['how'] == 'saved' and
      t.ask('GET', '/api/book' + where, headers=again, key=False).json()[
          'name'] == 'Sea clay', 'and undo reaches back past the restart')
t.finish()
t = Server(program)
is_(t.ask('GET', '/api/book'), 404, 'without --book there is none, said so',
    'notfound')
a = t.ask('POST', '/api/coverage', {'piece': {'id': called}})
is_(a, 404, 'and no piece of it to be named', 'notfound')
check(a.json()['pointer'] == '/piece' and 'no book' in a.json()['detail'],
      'which is said')
t.finish()
with open(path + '.txt', 'w') as f:
    f.write('no book at all, whatever its name says')
out = subprocess.run([program, 'serve', '--port', '0', '--book',
                      path + '.txt'], capture_output=True, timeout=30)
check(out.returncode in (2, 3) and not out.stdout and
      (path + '.txt').encode() in out.stderr, 'what is no book is not opened')
for end in ('', '-wal', '-shm', '.txt'):
    if os.path.exists(path + end):
        os.remove(path + end)
done()
