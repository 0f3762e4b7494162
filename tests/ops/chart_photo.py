# SPDX-License-Identifier: GPL-3.0-or-later
"""Made-up photographs of a chart of 24 patches with six tiles among them.

Nothing of the program is used: reflectances times light times the camera's
own sensitivities, summed up in numpy, written as PNG (zlib) by hand.

Sources: the chart's reflectances, N. Ohta (1997), and its colours under D65
(tests/ref/chart24_*.csv); CIE 1931 observer and D65 (tests/ref/cie1931_5nm.csv);
the tiles' reflectances are powders measured by the USGS
(tests/ref/pigment_reflectance_10nm.csv).
"""
import csv
import pathlib
import struct
import zlib

import numpy as np

REF = pathlib.Path(__file__).resolve().parent.parent / 'ref'
WIDE, HIGH = 480, 360


def table(name):
    with open(REF / name, encoding='utf-8') as f:
        rows = list(csv.reader(r for r in f if not r.startswith('#')))
    return rows[0], rows[1:]


def columns(name):
    head, rows = table(name)
    return head, np.array([[float(v) for v in r] for r in rows])


_, cie = columns('cie1931_5nm.csv')
cie = cie[(cie[:, 0] >= 380) & (cie[:, 0] <= 730)]
NM, XBAR, D65 = cie[:, 0], cie[:, 1:4], cie[:, 7]
chart_names, chart = columns('chart24_reflectance_5nm.csv')
CHART_NM, CHART = chart[:, 0], chart[:, 1:].T
CHART = np.array([np.interp(NM, CHART_NM, r) for r in CHART])
PATCHES = chart_names[1:]
WHITE = XBAR.T @ D65


def xyz(reflectance):
    return XBAR.T @ (D65 * reflectance) / WHITE[1]


def lab(c):
    """ISO/CIE 11664-4, against D65 as summed up here."""
    t = c / (WHITE / WHITE[1])
    f = np.where(t > 216 / 24389, np.cbrt(t), 841 / 108 * t + 4 / 29)
    return [116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])]


def delta_e00(p, q):
    """CIEDE2000 after Sharma, Wu and Dalal (2005)."""
    L1, a1, b1 = p
    L2, a2, b2 = q
    cm = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    g = 0.5 * (1 - np.sqrt(cm ** 7 / (cm ** 7 + 25.0 ** 7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2([b1, b2], [a1, a2])) % 360
    dh = (h2 - h1 + 180) % 360 - 180 if c1 * c2 else 0
    dH = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(dh / 2))
    h = h1 + dh / 2 if c1 * c2 else h1 + h2
    L, c = (L1 + L2) / 2, (c1 + c2) / 2
    t = (1 - 0.17 * np.cos(np.radians(h - 30)) + 0.24 * np.cos(np.radians(2 * h))
         + 0.32 * np.cos(np.radians(3 * h + 6))
         - 0.20 * np.cos(np.radians(4 * h - 63)))
    sl = 1 + 0.015 * (L - 50) ** 2 / np.sqrt(20 + (L - 50) ** 2)
    sc, sh = 1 + 0.045 * c, 1 + 0.015 * c * t
    rt = (-2 * np.sqrt(c ** 7 / (c ** 7 + 25.0 ** 7))
          * np.sin(np.radians(60 * np.exp(-(((h % 360) - 275) / 25) ** 2))))
    x, y, z = (L2 - L1) / sl, (c2 - c1) / sc, dH / sh
    return float(np.sqrt(x * x + y * y + z * z + rt * y * z))


# ---- where things lie: four rows of patches, the tiles in a row between ------
def places():
    patch = [((c + 0.5) / 6, (0.10, 0.30, 0.70, 0.90)[r])
             for r in range(4) for c in range(6)]
    tile = [((c + 0.5) / 6, 0.5) for c in range(6)]
    return patch, tile


# ---- light and camera ---------------------------------------------------------
def uneven(x, y):
    """A window to the left and a lens that darkens its corners (cos^4)."""
    r2 = ((x - 0.5) ** 2 + ((y - 0.5) * HIGH / WIDE) ** 2) / 0.64
    return (1.15 - 0.45 * x + 0.10 * y) / (1 + r2 * 0.5) ** 2


# Linear mixing of three channels: no sRGB, but the eye's own space.
MIXED = np.array([[0.75, 0.35, -0.05], [-0.15, 1.05, 0.12], [0.02, 0.06, 0.80]])


def by_matrix(reflectance, matrix=MIXED):
    """A camera whose channels are mixtures of X, Y and Z."""
    return matrix @ xyz(reflectance)


def by_curves(reflectance):
    """A camera with sensitivities of its own, no mixture of X, Y and Z:
    normal curves about 600, 540 and 460 nm (made up)."""
    s = np.array([np.exp(-((NM - m) / w) ** 2 / 2)
                  for m, w in ((600, 35), (540, 38), (460, 26))])
    return (s @ (D65 * reflectance)) / (s @ D65)


def srgb(v):
    """IEC 61966-2-1's curve."""
    return np.where(v <= 0.0031308, 12.92 * v,
                    1.055 * np.maximum(v, 1e-9) ** (1 / 2.4) - 0.055)


def scene(tiles, camera, light=uneven, exposure=0.8, noise=0.01, seed=1,
          wide=WIDE):
    """Linear camera light, rows x columns x 3."""
    high = wide * HIGH // WIDE
    y, x = np.mgrid[0:high, 0:wide]
    u, v = (x + 0.5) / wide, (y + 0.5) / high
    picture = np.empty((high, wide, 3))
    picture[:] = camera(np.full(NM.size, 0.25))
    patch, tile = places()
    for (cx, cy), r in list(zip(patch, CHART)) + list(zip(tile, tiles)):
        near = (abs(u - cx) < 0.06) & (abs(v - cy) < 0.075)
        picture[near] = camera(r)
    picture *= exposure * light(u, v)[:, :, None]
    rng = np.random.default_rng(seed)
    return picture * (1 + noise * rng.standard_normal(picture.shape))


# ---- files ----------------------------------------------------------------------
def chunk(name, data):
    return (struct.pack('>I', len(data)) + name + data
            + struct.pack('>I', zlib.crc32(name + data)))


def png(encoded, bits=16, extra=(), kind=2):
    """A PNG of 0..1 numbers; chunks to go before the pixels as (name, data)."""
    full = 65535 if bits == 16 else 255
    v = np.clip(np.rint(np.asarray(encoded) * full), 0, full)
    v = v.astype('>u2' if bits == 16 else 'u1')
    high, wide = v.shape[:2]
    rows = b''.join(b'\0' + r.tobytes() for r in v)
    return (b'\x89PNG\r\n\x1a\n'
            + chunk(b'IHDR', struct.pack('>IIBBBBB', wide, high, bits, kind,
                                         0, 0, 0))
            + b''.join(chunk(n, d) for n, d in extra)
            + chunk(b'IDAT', zlib.compress(rows, 6)) + chunk(b'IEND', b''))


TILES = ('cobalt_aluminate_blue', 'chromium_oxide_green',
         'copper_carbonate_green', 'iron_oxide_red', 'yellow_ochre',
         'cobalt_violet')


def tiles():
    """The six tiles' reflectances, and their colours under D65."""
    head, rows = table('pigment_reflectance_10nm.csv')
    v = np.array([[float(x) for x in r] for r in rows])
    r = [np.interp(NM, v[:, 0], v[:, head.index(n)]) for n in TILES]
    return r, [lab(xyz(x)) for x in r]


def document(tile_names=TILES, radius=0.03, patches=range(24)):
    patch, tile = places()
    _, rows = table('chart24_colour.csv')
    known = {r[0]: [float(v) for v in r[5:8]] for r in rows if r[1] == 'D65'}
    return {
        'patches': [{'name': PATCHES[i], 'x': patch[i][0], 'y': patch[i][1],
                     'radius': radius, 'lab': known[PATCHES[i]]}
                    for i in patches],
        'tiles': [{'name': n, 'x': tile[i][0], 'y': tile[i][1],
                   'radius': radius} for i, n in enumerate(tile_names)]}
