#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Tiles read from made-up photographs, end to end: TAP.

usage: photograph.py LEATHERHARD

The photographs are made by chart_photo.py (numpy and zlib; JPEG by cjpeg);
nothing of the program is in them.  What is read back is compared with the
colours that the tiles' reflectances have under D65.
"""
import json
import os
import struct
import subprocess
import sys
import tempfile

import numpy as np

import chart_photo as c

program = sys.argv[1]
count = failed = 0
folder = tempfile.TemporaryDirectory()
reflectances, truth = c.tiles()


def check(good, words, more=''):
    global count, failed
    count += 1
    if not good:
        failed += 1
    print(f'{"ok" if good else "not ok"} {count} - {words}')
    if not good and more != '':
        print('# ' + str(more)[:1500].replace('\n', '\n# '))


def ask(picture, document, operation='colour', sets=()):
    """Exit code, result or fault's words."""
    path = os.path.join(folder.name, 'picture')
    with open(path, 'wb') as f:
        f.write(picture)
    where = '/photograph' if operation == 'colour' else '/photographs/0'
    p = subprocess.run(
        [program, operation, '-', '--json', '--set', f'{where}/file=@{path}',
         *sets], input=json.dumps(document), capture_output=True, text=True)
    if p.returncode == 0:
        return 0, json.loads(p.stdout)
    return p.returncode, p.stdout + p.stderr


def colour(picture, photograph):
    return ask(picture, {'photograph': photograph})


def misses(result):
    return [c.delta_e00(r['lab'], t) for r, t in zip(result['readings'], truth)]


def jpeg(encoded, *flags):
    """By cjpeg, from a PPM of 8 bits."""
    v = np.clip(np.rint(np.asarray(encoded) * 255), 0, 255).astype('u1')
    ppm = b'P6 %d %d 255\n' % (v.shape[1], v.shape[0]) + v.tobytes()
    return subprocess.run(['cjpeg', *flags], input=ppm, capture_output=True,
                          check=True).stdout


def within(code, r, words):
    """Each tile within its stated range of the truth."""
    good = code == 0 and all(m <= x['delta_e00']
                             for m, x in zip(misses(r), r['readings']))
    check(good, words, r if code else [misses(r), r['readings']])


# ---- two cameras, an uneven light ---------------------------------------------
mixed = c.srgb(c.scene(reflectances, c.by_matrix))
curves = c.srgb(c.scene(reflectances, c.by_curves, seed=2))
code, r = colour(c.png(mixed), c.document())
within(code, r, 'a camera that mixes its channels, PNG of 16 bits')
check(code == 0 and np.mean(misses(r)) < 0.5,
      'whose miss is far below what is stated', r)
# What was evened out: the light over the discs that were looked at.
spots = [c.uneven(x, y) for part in c.places() for x, y in part]
uneven = 100 * (max(spots) / min(spots) - 1)
check(code == 0 and abs(r['lighting_percent'] - uneven) < 0.1 * uneven,
      f'the light differed by {uneven:.0f} %, found to a tenth of that', r)
check(code == 0 and r['profile'] == 'assumed_srgb', 'that it says nothing is said')
within(*colour(c.png(curves), c.document()),
       'a camera with sensitivities of its own')
within(*colour(jpeg(curves, '-quality', '92'), c.document()),
       'the same as JPEG')
bent = np.clip(c.scene(reflectances, c.by_curves, seed=3), 0, 1) ** 0.88
within(*colour(c.png(c.srgb(bent)), c.document()), 'one that bends its tones')
code, r = colour(c.png(curves), c.document(patches=range(18, 24)))
within(code, r, 'six greys: all within their ranges')
code, few = colour(c.png(curves), c.document(patches=[18]))
within(code, few, 'one white: all within their ranges')
check(code == 0 and 'patches_mean_delta_e00' not in few
      and all(a['delta_e00'] > 2 * b['delta_e00'] for a, b in zip(
          few['readings'],
          colour(c.png(curves), c.document())[1]['readings'])),
      'which are more than twice as wide, and nothing is said of others')

# ---- a profile that must not be passed over -----------------------------------
# BT.2020's primaries (ITU-R BT.2020-2, table 4), white D65, a power of 2; one
# white patch, so that nothing else can put the colours right.
XY = np.array([[0.708, 0.292], [0.170, 0.797], [0.131, 0.046]])
W = np.array([0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290])
columns = np.array([[x / y, 1, (1 - x - y) / y] for x, y in XY]).T
wide = columns * np.linalg.solve(columns, W)
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367],
                     [0.0389, -0.0685, 1.0296]])
D50 = np.array([0.9642, 1, 0.8249])
adapt = np.linalg.inv(BRADFORD) @ np.diag(
    (BRADFORD @ D50) / (BRADFORD @ W)) @ BRADFORD


def s15(v):
    return struct.pack('>i', round(v * 65536))


def icc():
    """A profile of version 2.4 by hand.  Ref: ICC.1:2022, 7.2, 7.3, 10.6,
    10.18, 10.31."""
    d50 = adapt @ wide
    tags = [(b'desc', b'desc\0\0\0\0' + struct.pack('>I', 5) + b'wide\0'
             + bytes(78)),
            (b'wtpt', b'XYZ \0\0\0\0' + b''.join(s15(v) for v in D50))]
    for k, name in enumerate((b'rXYZ', b'gXYZ', b'bXYZ')):
        tags.append((name, b'XYZ \0\0\0\0' + b''.join(s15(v)
                                                      for v in d50[:, k])))
    for name in (b'rTRC', b'gTRC', b'bTRC'):
        tags.append((name, b'curv\0\0\0\0' + struct.pack('>IH', 1, 512)))
    at, index, data = 128 + 4 + 12 * len(tags), b'', b''
    for name, body in tags:
        body += bytes(-len(body) % 4)
        index += name + struct.pack('>II', at + len(data), len(body))
        data += body
    head = (struct.pack('>I', at + len(data)) + bytes(4) + b'\x02\x40\0\0'
            + b'mntrRGB XYZ ' + struct.pack('>6H', 2026, 1, 1, 0, 0, 0)
            + b'acsp' + bytes(28) + b''.join(s15(v) for v in D50) + bytes(48))
    return head + struct.pack('>I', len(tags)) + index + data


even = c.scene(reflectances, lambda x: np.linalg.solve(wide, c.xyz(x)),
               light=lambda u, v: 1 + 0 * u, exposure=0.9, noise=0)
encoded = np.sqrt(np.clip(even, 0, 1))
profile = icc()
one = c.document(patches=[18])
import zlib  # noqa: E402
code, r = colour(c.png(encoded, extra=[(b'iCCP', b'wide\0\0'
                                        + zlib.compress(profile))]), one)
check(code == 0 and max(misses(r)) < 0.5 and r['profile'] == 'icc'
      and r['profile_name'] == 'wide', 'an ICC profile of BT.2020 is honoured',
      r if code else misses(r))
code, r = colour(c.png(encoded), one)
check(code == 0 and max(misses(r)) > 5, 'passing it over would be seen',
      r if code else misses(r))
photo = jpeg(encoded, '-quality', '98', '-sample', '1x1')
half = len(profile) // 2
blocks = b''.join(
    b'\xff\xe2' + struct.pack('>H', len(part) + 16) + b'ICC_PROFILE\0'
    + bytes([k + 1, 2]) + part
    for k, part in enumerate((profile[:half], profile[half:])))
code, r = colour(photo[:2] + blocks + photo[2:], one)
# The darkest channel of the iron red stands at 25 of 255: half a step of
# rounding there is 4 % of its light, about 1.5 in a* or b*.
check(code == 0 and max(misses(r)) < 2.0, 'and in a JPEG, in two parts',
      r if code else misses(r))
code, r = colour(photo[:2] + blocks[:half + 18] + photo[2:], one)
check(code == 2 and 'profile' in r, 'of which one is missing: refused', r)

# ---- refused in words -----------------------------------------------------------
small = c.srgb(c.scene(reflectances, c.by_curves, wide=240))
good = c.png(small, 8)
few = c.document(patches=range(12, 24))


def refused(picture, photograph, part, words):
    code, r = colour(picture, photograph)
    check(code == 2 and part in r, words, r)


bright = c.srgb(c.scene(reflectances, c.by_curves, exposure=1.6, wide=240))
refused(c.png(bright, 8), few, 'burnt out', 'a white that is burnt out')
black = small.copy()
black[:, 200:] = 0
refused(c.png(black, 8), few, 'lost in the dark', 'a patch lost in the dark')
glint = small.copy()
glint[88:91, 18:20] = 1  # 6 of 163 pixels of the first tile
code, r = colour(c.png(glint, 8), few)
code2, r2 = colour(good, few)
check(code == 0 and code2 == 0
      and c.delta_e00(r['readings'][0]['lab'], r2['readings'][0]['lab']) < 0.3,
      'a glint on a tile is passed over', r)
glint[85:95, 15:25] = 1
refused(c.png(glint, 8), few, 'cobalt_aluminate_blue', 'a large one is not')
moved = json.loads(json.dumps(few))
moved['patches'][2]['x'], moved['patches'][2]['y'] = 1 / 12, 0.5
refused(good, moved, '"red" disagrees', 'a disc on something else is named')
moved = json.loads(json.dumps(few))
moved['patches'][5]['lab'] = [50, 60, 40]
refused(good, moved, 'cyan', 'a patch whose Lab is wrong is named')
turned = json.loads(json.dumps(few))
labs = [p['lab'] for p in turned['patches']]
for p, x in zip(turned['patches'], labs[5:] + labs[:5]):
    p['lab'] = x
refused(good, turned, 'disagree', 'a chart that lies the wrong way round')
# Under an incandescent lamp (CIE A) no mixing of channels makes daylight's
# colours: the chart says so.
_, cie = c.columns('cie1931_5nm.csv')
lamp = cie[(cie[:, 0] >= 380) & (cie[:, 0] <= 730), 4]
SEEN = np.array([np.exp(-((c.NM - m) / w) ** 2 / 2)
                 for m, w in ((600, 35), (540, 38), (460, 26))])
lit = c.scene(reflectances, lambda x: (SEEN @ (lamp * x)) / (SEEN @ lamp),
              wide=240)
refused(c.png(c.srgb(lit)), c.document(), 'daylight',
        'lamplight instead of daylight')
edge = json.loads(json.dumps(few))
edge['tiles'][0]['x'] = 0.01
refused(good, edge, 'beyond', 'a tile beyond the edge')
edge['tiles'][0].update(x=0.1, radius=0.005)
refused(good, edge, 'fewer than 100 pixels', 'a disc of a few pixels')
refused(good, {**few, 'patches': []}, 'too few patches', 'no patch')
refused(good, {**few, 'tiles': []}, 'no tile', 'no tile')
refused(good, {**few, 'tiles': few['tiles'][:1] * 2}, 'two tiles',
        'a tile told twice')
refused(b'II*\0\x08\0\0\0\0\0', few, 'neither a JPEG nor a PNG', 'a TIFF')
code, r = ask(good, {'photograph': few, 'hex': '#102030'})
check(code == 2 and '2 times' in r, 'a colour told as well', r)
code, r = ask(bytes([0x80]) + bytes(64 * 2 ** 20), {'photograph': few})
check(code == 2 and '64 MB' in r, 'a file of more than 64 MB', r)

# ---- learn ------------------------------------------------------------------------
photograph = c.document(['ground', 'thin', 'middle', 'thick'])
rows = [{'name': n, 'ground': 'body', 'coat_g_m2': x, 'glaze_g_m2': 600}
        for n, x in (('ground', 0), ('thin', 60), ('middle', 120),
                     ('thick', 240))]
slip = {'slip': 'made up', 'glaze': {}, 'tiles': rows,
        'photographs': [photograph]}
# Four browns, from a dark body to an ochre.
P = reflectances
browns = [P[3] * (1 - a) + P[4] * a for a in (0.3, 0.6, 0.85, 1.0)]
shot = c.png(c.srgb(c.scene(browns, c.by_matrix)))
code, r = ask(shot, slip, 'learn')
check(code == 0 and r['geometry'] == '45_0',
      'learn takes a photograph, by itself at 45/0', r)
if code == 0:
    readings = {x['name']: x['lab'] for x in r['photographs'][0]['readings']}
    typed = {'slip': 'made up', 'glaze': {}, 'tiles_read_by': 'photograph',
             'geometry': '45_0',
             'tiles': [{**t, 'lab': readings[t['name']]} for t in rows]}
    p = subprocess.run([program, 'learn', '-', '--json'],
                       input=json.dumps(typed), capture_output=True, text=True)
    same = json.loads(p.stdout)
    check(np.allclose(same['slip']['absorption_m2_g'],
                      r['slip']['absorption_m2_g'], rtol=1e-9),
          'the same as typing its readings in', p.stderr)
code, told = ask(shot, {**slip, 'geometry': 'd8_ex'}, 'learn')
check(code == 0 and told['geometry'] == 'd8_ex', 'unless another is told', told)
code, r = ask(shot, {**slip, 'tiles_read_by': 'colorimeter'}, 'learn')
check(code == 2 and 'photographs' in r, 'but not by a colorimeter', r)
code, r = ask(shot, {**slip, 'photographs': [
    {**photograph, 'tiles': photograph['tiles'][:3]}]}, 'learn')
check(code == 2 and 'was not read' in r, 'a tile that is in none', r)

print(f'1..{count}')
sys.exit(1 if failed else 0)
