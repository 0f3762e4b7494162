#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Facts of the trade (common practice, no source), from tiles to advice.

usage: trade.py LEATHERHARD TIDE_LINE

A copper green pales when thin and nears black when thick, and thin is its safer
side; a weak violet must go on thick because the glaze eats it; yellow under
violet darkens it, and white between saves it.  Slips are made up, seen by
`shade` (tests/colour checks it against published tables) with the noise of an
instrument and of a hand, learned by `learn`, and asked of by `window` and
`overlaps`: nothing below knows K and S but through the tiles.
"""
import copy
import json
import subprocess
import sys

import numpy as np

program, sample = sys.argv[1], json.load(open(sys.argv[2], encoding='utf-8'))
count = failed = 0


def check(good, words, more=''):
    global count, failed
    count += 1
    failed += not good
    print(f'{"ok" if good else "not ok"} {count} - {words}')
    if not good and more:
        print(f'# {more}')


def run(op, document):
    r = subprocess.run([program, op, '-', '--json'], input=json.dumps(document),
                       capture_output=True, text=True, check=False)
    if r.returncode not in (0, 1):
        print(f'# {op}: {r.stderr}')
    return json.loads(r.stdout)


nm = np.arange(380, 731, 10)
hump = lambda at, wide: np.exp(-((nm - at) / wide) ** 2)
WHITE, BODY = [0.82] * 36, list(0.08 + 0.3 / (1 + np.exp(-(nm - 590) / 25)))
# A dye more than a powder: nothing in it throws light back when it is thick.
GREEN = (0.003 + 0.03 * hump(670, 90) + 0.02 * hump(400, 50),
         0.0003 + 0 * nm)
VIOLET = (0.0004 + 0.006 * hump(560, 55), 0.012 + 0 * nm)
YELLOW = (0.0005 + 0.05 * (1 - 1 / (1 + np.exp(-(nm - 500) / 12))),
          0.02 + 0 * nm)
rng = np.random.default_rng(573)


def tiles(optics, coats, eats):
    out = []
    for ground, R in (('body', BODY), ('white', WHITE)):
        for i, x in enumerate((0,) + coats):
            stack = [] if x == 0 else [
                {'absorption_m2_g': list(optics[0]),
                 'scattering_m2_g': list(optics[1]),
                 'coat_g_m2': x * np.exp(0.05 * rng.normal())}]
            seen = run('shade', {
                'stack_top_first': stack, 'substrate': {'reflectance': R},
                'glaze': {'eats_g_m2': eats, 'dissolved_share': 0.25}})
            noisy = np.array(seen['reflectance']) + 0.003 * rng.normal(size=36)
            out.append({'name': f'{ground} {x}', 'ground': ground,
                        'coat_g_m2': x, 'glaze_g_m2': 600,
                        'reflectance': list(np.clip(noisy, 0, 1.4))})
    return out


def learn(name, optics, eats=0, coats=(20, 40, 80, 160, 320, 640)):
    doc = {'slip': name, 'tiles': tiles(optics, coats, eats),
           'glaze': {'absorption_m2_g': 0} if eats else {'dissolving': 'none'}}
    return run('learn', doc)


def window(learned, best, eats=0, share=0.25):
    return run('window', {
        'slip': learned['slip'], 'best': best, 'over': {'reflectance': WHITE},
        'glaze': {'eats_g_m2': eats, 'dissolved_share': share}})


def at(learned, coat, eats=0, share=0.25):
    return np.array(run('shade', {
        'stack_top_first': [
            {k: learned['slip'][k] for k in
             ('absorption_m2_g', 'scattering_m2_g')} | {'coat_g_m2': coat}],
        'substrate': {'reflectance': WHITE},
        'glaze': {'eats_g_m2': eats, 'dissolved_share': share}})['lab'])


green = learn('copper green (invented)', GREEN)
thin, right, thick = (at(green, x) for x in (15, 60, 1000))
check(thin[0] > right[0] + 10 and np.hypot(*thin[1:]) < np.hypot(*right[1:]),
      'a copper green pales when thin', f'{thin} {right}')
# The shine alone, 4 % of the light, is L* 24 (CIE 15): within 5 of it.
check(thick[0] < 29, 'and nears black when thick', str(thick))
w = window(green, 60)
check(w['safer_side'] == 'thin', 'thin is its safer side', str(
    (w['thin_de00_per_10_percent'], w['thick_de00_per_10_percent'])))

violet = learn('weak violet (invented)', VIOLET, eats=20)
eats = violet['glaze']['eats_g_m2']
check(abs(eats - 20) < 3 * violet['glaze']['eats_error_g_m2'],
      'what the glaze eats of a violet is learned', str(violet['glaze']))
kept = violet['glaze']['dissolved_share']
chroma = [np.hypot(*at(violet, x, eats, kept)[1:]) for x in (20, 150)]
check(chroma[0] < chroma[1] / 2, 'thin, the glaze has eaten its colour',
      str(chroma))
eaten, whole = window(violet, 150, eats, kept), window(violet, 150)
check(eaten['least_g_m2'] > whole['least_g_m2'] + 1,
      'so it must go on thicker than it would without',
      f'{eaten["least_g_m2"]} {whole["least_g_m2"]}')
check(eaten['safer_side'] == 'thick', 'and thick is its safer side')

yellow = learn('yellow (invented)', YELLOW)
piece = copy.deepcopy(sample)
for slip in piece['slips']:
    new = {'green': yellow, 'black': violet}.get(slip['id'])
    if new:
        for key in ('absorption_m2_g', 'scattering_m2_g'):
            slip[key] = new['slip'][key]
over = [o for o in run('overlaps', piece)['overlaps']
        if (o['upper'], o['lower']) == ('black', 'green')]
check(len(over) == 1, 'violet lies on yellow in the sample, so coloured')
o = over[0]
check(o['lab'][0] < o['lab_on_ground'][0] - 3, 'yellow under violet darkens it',
      f'{o["lab"]} {o["lab_on_ground"]}')
check(o['white_needed'] and o['white_between']['delta_e00'] < 3 <
      o['delta_e00'], 'white between saves it', str(o))
print(f'1..{count}')
sys.exit(1 if failed else 0)
