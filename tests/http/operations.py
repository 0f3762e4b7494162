# SPDX-License-Identifier: GPL-3.0-or-later
"""Each operation's example gives the same JSON through the socket as on the
command line, and each refusal of the command line is the same refusal here.

  operations.py PROGRAM SOURCE-ROOT"""
import glob
import json
import os
import subprocess
import sys

from house import Server, check, done, note

program, root = sys.argv[1:3]
os.environ['SOURCE_DATE_EPOCH'] = '1790000000'
server = Server(program)
openapi = server.ask('GET', '/api/openapi.json', key=False).json()
names = sorted(path[5:] for path, is_ in openapi['paths'].items()
               if 'operations' in is_.get('post', {}).get('tags', []))
check(len(names) >= 13, f'{len(names)} operations are told')
with open(root + '/docs/example-piece.json', 'rb') as f:
    piece = f.read()


def command(op, document, *args):
    return subprocess.run([program, op, '-', '--json', *args], input=document,
                          capture_output=True)


for op in names:
    content = openapi['paths']['/api/' + op]['post']['requestBody'][
        'content']['application/json']
    document = (json.dumps(content['example']).encode()
                if 'example' in content else piece)
    files = [m for m in openapi['paths']['/api/' + op]['post']['responses'][
        '200']['content'] if m != 'application/json']
    out = os.path.join(server.folder.name, 'file')
    want = command(op, document, *(['--out', out] if files else []))
    got = server.ask('POST', '/api/' + op, document,
                     {'Accept': 'application/json'})
    if not check(want.returncode in (0, 1) and got.status == 200 and
                 got.body == want.stdout,
                 f'{op}: the same JSON as on the command line'):
        note(got.status)
        note(got.body[:400])
    check(got['Leatherhard-Outcome'] == ('done', 'stop')[want.returncode],
          f'{op}: and the same outcome')
    for media in files:
        got = server.ask('POST', '/api/' + op, document, {'Accept': media})
        with open(out, 'rb') as f:
            check(got.body == f.read() and got['Content-Type'] == media,
                  f'{op}: the same {media}')
        got = server.ask('POST', '/api/' + op, document)
        check(got['Content-Type'] == media,
              f'{op}: the file when nothing else is asked for')

# The documents of the command line's own tests, those refused among them.
refused = taken = 0
for path in sorted(glob.glob(root + '/tests/cli/*.json')):
    op = os.path.basename(path).split('_')[0].split('.')[0]
    if op not in names:
        continue
    with open(path, 'rb') as f:
        document = f.read()
    files = len(openapi['paths']['/api/' + op]['post']['responses']['200'][
        'content']) > 1
    want = command(op, document, *(['--out', out] if files else []))
    got = server.ask('POST', '/api/' + op, document,
                     {'Accept': 'application/json'})
    name = os.path.basename(path)
    if want.returncode in (0, 1):
        taken += 1
        check(got.body == want.stdout, f'{name}: the same JSON')
    else:
        refused += 1
        words = want.stderr.decode()
        problem = got.json()
        if not check(got.status in (400, 404, 413, 422) and
                     problem['detail'] in words and problem['todo'] in words and
                     got['Content-Type'] == 'application/problem+json',
                     f'{name}: the same refusal'):
            note(words)
            note(got.body.decode())
check(taken > 5, f'{taken} documents taken')

for document, status, kind, where in (
        (b'{"litre_weight_g": "much"}', 422, 'input', '/litre_weight_g'),
        (b'{"litre_weight_g": 1600, "litre_weight_g": 1500}', 400, 'syntax',
         None),
        (b'{"litre_wait_g": 1600}', 422, 'input', '/litre_wait_g'),
        (b'{"litre_weight_g": 99999}', 422, 'range', '/litre_weight_g'),
        (b'', 400, 'syntax', None), (b'\xff\xfe{}', 400, 'syntax', None),
        (b'[' * 70 + b']' * 70, 400, 'syntax', None), (b'null', 422, 'input',
                                                       None)):
    got = server.ask('POST', '/api/thin', document)
    is_ = got.json()
    if not check(got.status == status and is_['type'] == '/api/#' + kind and
                 is_['status'] == status and is_['detail'] and is_['todo'] and
                 (where is None or is_['pointer'] == where),
                 f'{document[:40]} is a problem of kind {kind}'):
        note(got.body.decode())
got = server.ask('POST', '/api/thn', {})
check(got.status == 404 and '"thin"' in got.json()['detail'],
      'an operation that is not there: the nearest is named')
server.finish()
done()
