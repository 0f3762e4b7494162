# SPDX-License-Identifier: GPL-3.0-or-later
"""The OpenAPI document against the OpenAPI Initiative's own schema, read by
python3-jsonschema, and against what the server does.

  openapi.py PROGRAM SOURCE-ROOT"""
import json
import re
import sys
import tempfile

import jsonschema

from house import Server, check, done, note

program, root = sys.argv[1:3]
folder = tempfile.TemporaryDirectory()
server = Server(program, '--book', folder.name + '/a.book')
got = server.ask('GET', '/api/openapi.json', key=False)
document = got.json()
with open(root + '/tests/http/ref/openapi-3.1.json') as f:
    oas = json.load(f)

jsonschema.Draft202012Validator.check_schema(oas)
errors = list(jsonschema.Draft202012Validator(oas).iter_errors(document))
if not check(not errors, 'it is an OpenAPI 3.1 document'):
    for e in errors[:5]:
        note(f'{list(e.absolute_path)}: {e.message[:200]}')
broken = json.loads(got.body)
del broken['info']['title']
check(list(jsonschema.Draft202012Validator(oas).iter_errors(broken)),
      'and the validator finds one that is not')


def references(at):
    if isinstance(at, dict):
        if isinstance(at.get('$ref'), str):
            yield at['$ref']
        for v in at.values():
            yield from references(v)
    elif isinstance(at, list):
        for v in at:
            yield from references(v)


def follow(ref):
    at = document
    for part in ref[2:].split('/'):
        at = at.get(part) if isinstance(at, dict) else None
    return at


wrong = [r for r in set(references(document))
         if not r.startswith('#/') or follow(r) is None]
check(not wrong, f'every reference leads somewhere {wrong}')
forms = [re.sub('{[^}]*}', '{}', p) for p in document['paths']]
check(len(forms) == len(set(forms)), 'no two paths are the same form')
ids = [m['operationId'] for p in document['paths'].values()
       for k, m in p.items() if k in ('get', 'post', 'delete', 'patch', 'put')]
check(len(ids) == len(set(ids)), f'{len(ids)} operations, each its own id')


def valid(schema, v):
    whole = {**schema, 'components': document['components']}
    return list(jsonschema.Draft202012Validator(whole).iter_errors(v))


with open(root + '/docs/example-piece.json') as f:
    piece = json.load(f)
for path, item in document['paths'].items():
    post = item.get('post', {})
    if 'operations' not in post.get('tags', []):
        continue
    content = post['requestBody']['content']['application/json']
    jsonschema.Draft202012Validator.check_schema(content['schema'])
    example = content.get('example', piece)
    errors = valid(content['schema'], example)
    if not check(not errors, f'{path}: its example is valid by its schema'):
        note(errors[0].message[:300])
    check(valid(content['schema'], {**example, 'no such key': 1}),
          f'{path}: an unknown key is not')
    if 'oneOf' in content['schema']:
        check(valid(content['schema'], {**example, 'ask': {'no such key': 1}}),
              f'{path}: nor one in ask')
        named = {'piece': {'id': 'tide-line', 'revision': 2}}
        check(not valid(content['schema'], named) and
              not valid(content['schema'], {**named, 'ask': {'pixel_mm': 1}}),
              f'{path}: a piece of the book may be named instead')
        check(valid(content['schema'], {**named, 'pots': 2}) and
              valid(content['schema'], {**example, **named}) and
              valid(content['schema'], {**named, 'ask': {'no such key': 1}}),
              f'{path}: but not half named, half sent')

# What the server answers is what the document says.
schemas = document['components']['schemas']
check(not valid(schemas['About'], server.ask('GET', '/api/about').json()),
      'about is as told')
who, _ = server.pair()
check(not valid(schemas['About'],
                server.ask('GET', '/api/about', headers=who,
                           key=False).json()), 'also to a device')
devices = server.ask('GET', '/api/devices').json()['devices']
check(len(devices) == 1 and not valid(schemas['Device'], devices[0]),
      'a device is as told')
check(not valid(schemas['Problem'],
                server.ask('GET', '/api/nothing/here').json()),
      'a problem is as told')
saved = server.ask('POST', '/api/book/material', {'name': 'Sand',
                                                 'formula': 'SiO2'})
check(saved.status == 201 and not valid(schemas['Saved'], saved.json()),
      'what came of saving is as told')
listed = server.ask('GET', '/api/book/material').json()['records']
check(len(listed) == 1 and not valid(schemas['Record'], listed[0]),
      'a record in a list is as told')
listed = server.ask('GET', saved['Location'] + '/history').json()['revisions']
check(len(listed) == 1 and not valid(schemas['Revision'], listed[0]),
      'a revision is as told')
job = server.ask('POST', '/api/thin', {'litre_weight_g': 1500},
                 {'Prefer': 'respond-async'})
check(job.status == 202 and not valid(schemas['Job'], job.json()),
      'a job is as told')
job = server.ask('POST', '/api/thin', {}, {'Prefer': 'respond-async'})
check(not valid(schemas['Job'], server.ask('GET', job['Location']).json()),
      'also one that is refused')

# Every path of the document is there: anything but 404 and 405.
for path, item in document['paths'].items():
    for method in ('get', 'post', 'delete', 'put', 'patch'):
        if method not in item or path == '/api/events':
            continue
        where = path.replace('{kind}', 'form')
        where = where.replace('{id}', 'none').replace(
            '{part}', '1' if method == 'get' else 'undo')
        a = server.ask(method.upper(), where.replace('{sha256}', '0' * 64))
        gone = a.status == 404 and '{' not in path
        check(not gone and a.status != 405, f'{method} {path} is answered')
server.finish()
done()
