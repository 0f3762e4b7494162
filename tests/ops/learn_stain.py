#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A stain at several strengths, learned and then matched with.

usage: learn_stain.py LEATHERHARD

Tiles are the two-flux equations summed up by Runge and Kutta's rule, base and
stain mixed by their shares of the dry slip (Duncan 1940), below a surface of
n = 1.5 by Fresnel's formulas, integrated here.  The joint fit is made again by
scipy.optimize.least_squares on Kubelka's hyperbolic formula, with the same
words known beforehand (docs/tiles.md).
"""
import json
import subprocess
import sys

import numpy as np
from scipy.optimize import least_squares

program = sys.argv[1]
count = failed = 0


def check(good, words, more=''):
    global count, failed
    count += 1
    failed += not good
    print(f'{"ok" if good else "not ok"} {count} - {words}')
    if not good and more:
        print(f'# {more}')


def run(op, document, code=0):
    r = subprocess.run([program, op, '-', '--json'], input=json.dumps(document),
                       capture_output=True, text=True, check=False)
    if r.returncode != code:
        print(f'# {op}: exit {r.returncode}: {r.stderr}')
        return None
    return json.loads(r.stdout) if code == 0 else r.stderr


nm = np.arange(380, 731, 10)
BASE = (0.001 + 0.002 * np.exp(-(nm - 380) / 60), 0.02 * np.sqrt(550 / nm))
STAIN = (0.06 + 0.9 * np.exp(-((nm - 600) / 99) ** 2), 0.15 * np.sqrt(550 / nm))
GROUND = {'body': 0.1 + 0.35 / (1 + np.exp(-(nm - 590) / 25)),
          'white': np.full(36, 0.85)}


def fresnel(cosine, n=1.5):
    """Reflectance from air, by the angle outside."""
    c = np.sqrt(1 - (1 - cosine ** 2) / n ** 2)
    s, p = (cosine - n * c) / (cosine + n * c), (n * cosine - c) / (n * cosine + c)
    return (s * s + p * p) / 2


# k2: from inside, diffuse: 1 - (1 - diffuse from outside)/n^2.
mu = (np.arange(200000) + 0.5) / 200000
K2 = 1 - (1 - np.mean(2 * mu * fresnel(mu))) / 1.5 ** 2
K1 = fresnel(np.cos(np.radians(8)))


def seen(R, geometry='d8_in'):
    if geometry == '45_0':  # no shine; in at 45 degrees, out straight
        t = (1 - fresnel(np.cos(np.pi / 4))) * (1 - fresnel(1.0))
        return t / 1.5 ** 2 * R / (1 - K2 * R)
    return K1 + (1 - K1) * (1 - K2) * R / (1 - K2 * R)


def layer(K, S, X, R):
    """dR/dx = S - 2 (K + S) R + S R^2 from the ground up."""
    h = X / 300
    f = lambda r: S - 2 * (K + S) * r + S * r * r
    for _ in range(300):
        a = f(R)
        b = f(R + h / 2 * a)
        c = f(R + h / 2 * b)
        R = R + h / 6 * (a + 2 * b + 2 * c + f(R + h * c))
    return R


def mixed(percent):
    c = percent / (100 + percent)
    return [(1 - c) * b + c * s for b, s in zip(BASE, STAIN)]


def tile(name, ground, coat, percent, optics, rng=None, geometry=None):
    R = GROUND[ground]
    if coat:
        hand = np.exp(0.05 * rng.normal()) if rng else 1
        R = layer(*optics, coat * hand, R)
    R = seen(R, geometry or 'd8_in')
    if rng:
        R = R + 0.003 * rng.normal(size=36)
    t = {'name': name, 'ground': ground, 'coat_g_m2': coat, 'glaze_g_m2': 600,
         'reflectance': list(np.clip(R, 0, 1.4))}
    if coat:
        t['stain_percent'] = percent
    if geometry:
        t['geometry'] = geometry
    return t


def tiles(percents, optics=mixed, rng=None, camera=False):
    out = [tile(g, g, 0, 0, None, rng) for g in GROUND]
    for p in percents:
        for i, x in enumerate((40, 110, 260)):
            for g in GROUND:
                out.append(tile(f'{p:g} {g} {x}', g, x, p, optics(p), rng,
                                '45_0' if camera and i == 1 else None))
    return out


BLUE = {'name': 'a blue (invented)', 'kind': 'inert'}
GLAZE = {'dissolving': 'none'}


def off(a, b):
    return float(np.max(np.abs(np.log(np.array(a) / np.array(b)))))


# ---- an inert stain, no noise: what went in comes back ----------------------
# As in learn.py: the readings agree to the digits of the surface's table.
def comes_back(words, got, truth, bound=0.03):
    check(off(got['absorption_m2_g'], truth[0]) < bound, f'{words}: K',
          str(off(got['absorption_m2_g'], truth[0])))
    check(off(got['scattering_m2_g'], truth[1]) < bound, f'{words}: S',
          str(off(got['scattering_m2_g'], truth[1])))


clean = run('learn', {'stain': BLUE, 'glaze': GLAZE, 'at_percent': 7,
                      'tiles': tiles((0, 4, 12))})
check(clean is not None and clean['settled'], 'three strengths: settles')
comes_back('a gram of the stain', clean['stain'], STAIN)
comes_back('the base', clean['base'], BASE)
comes_back('at 7 %, where no tile was', clean['slip'], mixed(7))
check(clean['tested_percent'] == [0, 4, 12], 'the tested strengths are told')
check(not clean['provisional'] and clean['left_out_delta_e00'] < 0.2,
      'tiles left out are foretold', str(clean['left_out_delta_e00']))
no_base = run('learn', {'stain': BLUE, 'glaze': GLAZE,
                        'tiles': tiles((3, 6, 14))})
for what, truth in (('stain', STAIN), ('base', BASE)):
    for key, is_ in zip(('absorption', 'scattering'), truth):
        z = np.abs(np.log(np.array(no_base[what][key + '_m2_g']) / is_)) / \
            np.array(no_base[what][key + '_error_percent']) * 100
        check(np.max(z) < 1, f'no tile of the base: {key} of the {what} comes '
              'back within its error', str(np.max(z)))
both = run('learn', {'stain': BLUE, 'glaze': GLAZE,
                     'tiles': tiles((0, 4, 12), camera=True)})
comes_back('some read by a sphere, some as a camera sees', both['stain'], STAIN)
wrong = tiles((0, 4, 12), camera=True)
for t in wrong:
    t.pop('geometry', None)
wrong = run('learn', {'stain': BLUE, 'glaze': GLAZE, 'tiles': wrong})
check(off(wrong['stain']['absorption_m2_g'], STAIN[0]) > 0.06,
      'the geometry is part of the reading: unsaid, K is off')

# ---- with noise: scipy's fit of the same ------------------------------------
rng = np.random.default_rng(20261126)
noisy = tiles((0, 4, 12), rng=rng)
N = len(noisy)


def model(p):
    kb, sb, ks, ss = np.exp(p[:144].reshape(4, 36))
    ground = dict(zip(GROUND, 1 / (1 + np.exp(-p[144:216].reshape(2, 36)))))
    out = []
    for i, t in enumerate(noisy):
        R = ground[t['ground']]
        if t['coat_g_m2']:
            c = t['stain_percent'] / (100 + t['stain_percent'])
            K, S = (1 - c) * kb + c * ks, (1 - c) * sb + c * ss
            a = 1 + K / S
            b = np.sqrt(a * a - 1)
            B = b / np.tanh(b * S * t['coat_g_m2'] * np.exp(p[216 + i]))
            R = (1 - R * (a - B)) / (a - R + B)
        out.append((seen(R) - t['reflectance']) / 0.003)
    return out


def rows(p):
    q = p[:144].reshape(4, 36)
    return np.concatenate(
        model(p) + [np.diff(q, 2).ravel() / 0.5,
                    [p[216 + i] / (0.05 if t['coat_g_m2'] else 1)
                     for i, t in enumerate(noisy)],
                    (q[2] + 1.2) / 3, (q[3] + 2.3) / 3])


begin = np.concatenate([np.log(x) for x in BASE + STAIN] +
                       [np.log(r / (1 - r)) for r in GROUND.values()] +
                       [np.zeros(N)])
fit = least_squares(rows, begin, method='trf', x_scale='jac', xtol=1e-10,
                    ftol=1e-12)
J = fit.jac
scatter = max(1, 2 * fit.cost / (len(fit.fun) - len(fit.x)))
sd = np.sqrt(np.diag(np.linalg.inv(J.T @ J)) * scatter)
got = run('learn', {'stain': BLUE, 'glaze': GLAZE, 'tiles': noisy})
for k, (what, key) in enumerate((('base', 'absorption'), ('base', 'scattering'),
                                 ('stain', 'absorption'),
                                 ('stain', 'scattering'))):
    here = np.log(got[what][key + '_m2_g'])
    stated = np.array(got[what][key + '_error_percent']) / 100
    s = sd[36 * k:36 * k + 36]
    d = np.max(abs(here - fit.x[36 * k:36 * k + 36]) / s)
    # Where two searches stop: a twentieth of what the number is good to.
    check(d < 0.05, f'scipy finds the same {key} of the {what}', f'{d} sd')
    check(np.max(abs(np.log(stated / s))) < 0.02,
          f'and the same error of it', str(np.max(abs(np.log(stated / s)))))

# ---- learn, then match ------------------------------------------------------
OVER = {'reflectance': 0.8}


def lab(optics, coat):
    r = run('shade', {'stack_top_first': [
        {'absorption_m2_g': list(optics[0]), 'scattering_m2_g': list(optics[1]),
         'coat_g_m2': coat}], 'substrate': OVER, 'glaze': {}})
    return r['lab']


for source, words, far in ((clean, 'no noise', 0.1), (got, 'noise', 0.7)):
    m = run('match', {'target': {'lab': lab(mixed(7), 110)}, 'coat_g_m2': 110,
                      'base': source['base'], 'stains': [source['stain']],
                      'over': OVER, 'glaze': {}})
    check(m is not None, f'{words}: match takes what learn tells')
    if m:
        add = m['choices'][0]['additions']
        # 0.7 of 7 %: K of a gram is stated to about 5 % with noise.
        check(len(add) == 1 and abs(add[0]['percent'] - 7) < far,
              f'{words}: and finds the 7 % that were asked', str(add))

# ---- an oxide that dissolves ------------------------------------------------
GREEN = {'name': 'an oxide (invented)', 'kind': 'dissolving'}


def oxide(percent):  # far from in proportion
    return (0.001 + 0.004 * percent ** 2 * np.exp(-((nm - 660) / 80.0) ** 2),
            0.02 * np.sqrt(550 / nm) / (1 + 0.1 * percent))


each = run('learn', {'stain': GREEN, 'glaze': GLAZE, 'at_percent': 3,
                     'tiles': tiles((1, 2, 4), oxide)})
check(each is not None and [s['percent'] for s in each['stain']['strengths']]
      == [1, 2, 4], 'a dissolving oxide: each strength by itself')
for s in each['stain']['strengths']:
    comes_back(f'at {s["percent"]} %', s, oxide(s['percent']))
two, four = each['stain']['strengths'][1:]
for key in ('absorption', 'scattering'):
    mean = np.sqrt(np.array(two[key + '_m2_g']) * np.array(four[key + '_m2_g']))
    check(off(each['slip'][key + '_m2_g'], mean) < 1e-9,
          f'half way between: the geometric mean ({key})')
    e = np.array(each['slip'][key + '_error_percent'])
    # D/sqrt(12), a rectangular distribution (JCGM 100:2008, 4.3.7), or more.
    step = np.abs(np.log(np.array(two[key + '_m2_g']) /
                         np.array(four[key + '_m2_g']))) / np.sqrt(12) * 100
    check(np.all(e >= step) and np.all(e > two[key + '_error_percent']),
          f'and less sure than either ({key})')
truth = np.log(np.array(each['slip']['absorption_m2_g']) / oxide(3)[0])
check(np.all(abs(truth) < 1.645 / 100 *
             np.array(each['slip']['absorption_error_percent'])),
      'what it truly is there lies in the range')
words = run('learn', {'stain': GREEN, 'glaze': GLAZE, 'at_percent': 5,
                      'tiles': tiles((1, 2, 4), oxide)}, 2)
check(words is not None and '1, 2 and 4' in words,
      'outside of the tested strengths: refused, with them', str(words))

for ask, least, most, words in ((3, 2.7, 3.3, 'found between them'),
                                (6, 4, 4, 'never beyond the strongest'),
                                (0.3, 1, 1, 'never below the weakest')):
    m = run('match', {'target': {'lab': lab(oxide(ask), 110)}, 'coat_g_m2': 110,
                      'base': {'name': 'base', 'absorption_m2_g': list(BASE[0]),
                               'scattering_m2_g': list(BASE[1])},
                      'stains': [each['stain'], clean['stain']], 'over': OVER,
                      'choices': 10, 'glaze': {}})
    add = [c['additions'] for c in m['choices']
           if any('oxide' in a['stain'] for a in c['additions'])]
    check(len(add) == 1 and len(add[0]) == 1 and
          least - 1e-9 <= add[0][0]['percent'] <= most + 1e-9,
          f'match: {words}, and by itself', str(add))

# ---- what the tiles cannot bear ---------------------------------------------
few = tiles((4,))
for doc, piece in (
        ({'stain': BLUE, 'tiles': few}, 'cannot be told apart'),
        ({'stain': BLUE, 'tiles': tiles((0, 4))[:9]}, 'cannot be told apart'),
        ({'tiles': few}, 'not of what'),
        ({'at_percent': 3, 'tiles': [{k: v for k, v in t.items()
                                      if k != 'stain_percent'}
                                     for t in few]}, 'not of what'),
        ({'stain': GREEN, 'tiles': tiles((1,), oxide)[:3]}, 'need two'),
        ({'stain': BLUE, 'tiles': [{k: v for k, v in t.items()
                                    if k != 'stain_percent'}
                                   for t in few]}, 'is missing'),
        ({'stain': BLUE, 'tiles_read_by': 'colorimeter', 'tiles': [
            {**{k: v for k, v in t.items() if k != 'reflectance'},
             'lab': [50, 0, 0]} for t in tiles((0, 4))]}, 'apart')):
    words = run('learn', {'glaze': GLAZE, **doc}, 2)
    check(words is not None and piece in words, f'refused: {piece}', str(words))
half = dict(each['stain'], strengths=each['stain']['strengths'][:1])
for stain, piece in ((half, 'two at least'),
                     (dict(each['stain'], absorption_m2_g=1,
                           scattering_m2_g=1), 'does not mix'),
                     (dict(each['stain'], kind='inert'), 'no strengths'),
                     ({'name': 'x'}, 'are missing'),
                     (dict(each['stain'], most_percent=0.5), 'than is allowed'),
                     (dict(each['stain'],
                           strengths=each['stain']['strengths'][::-1]),
                      'ascend')):
    words = run('match', {'target': {'lab': [50, 0, 0]}, 'coat_g_m2': 100,
                          'base': clean['base'], 'stains': [stain]}, 2)
    check(words is not None and piece in words, f'match refuses: {piece}',
          str(words))
# Two strengths of two stacks each are little: it says so.
r = run('learn', {'stain': BLUE, 'glaze': GLAZE, 'tiles': [
    t for t in tiles((0, 8)) if t['coat_g_m2'] != 110 and
    t['ground'] == 'white']})
check(r is not None and r['provisional'], 'two strengths, two coats of each: '
      'provisional')

print(f'1..{count}')
sys.exit(1 if failed else 0)
