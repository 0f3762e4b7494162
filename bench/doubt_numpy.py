#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The draws of bench_doubt.c with numpy, in whole arrays: what is drawn, the
distance, twelve figures and their quantiles; without the causes."""
import time

import numpy as np

N, OXIDES, FLUXES, DRAWS, TIMES = 6, 12, 7, 10000, 15
mol = 0.01 * np.fmod(np.sqrt(2.0) * np.arange(1, N * OXIDES + 1), 1.0)
mol = mol.reshape(N, OXIDES)
sd = 0.03 * mol / 1.6448536269514722
grams = 10.0 + np.arange(N)
target = np.where(np.arange(OXIDES) < FLUXES, 1 / 7, 0.5)
took = []
for k in range(TIMES):
    rng = np.random.default_rng(k)
    start = time.process_time()
    z = rng.standard_normal((N, OXIDES, DRAWS))
    z *= sd[:, :, None]
    z += mol[:, :, None]
    np.maximum(z, 0.0, out=z)
    m = np.tensordot(grams, z, 1)
    scale = target @ m / (m * m).sum(0)
    far = np.sqrt(((scale * m - target[:, None]) ** 2).sum(0))
    unity = m / m[:FLUXES].sum(0)
    quantiles = np.quantile(np.vstack([far, unity]), (0.05, 0.5, 0.95), axis=1)
    took.append(1e3 * (time.process_time() - start))
took.sort()
print("| numpy %s, whole arrays | %.1f (%.1f to %.1f) | %.4f %.4f %.4f |" %
      (np.__version__, took[TIMES // 2], took[0], took[-1], *quantiles[:, 0]))
