-- SPDX-License-Identifier: GPL-3.0-or-later
-- wrk asks for an operation: how much water a jar of slip wants.
wrk.method = 'POST'
wrk.body = '{"litre_weight_g": 1600, "target_litre_weight_g": 1450}'
wrk.headers['Content-Type'] = 'application/json'
wrk.headers['Authorization'] = 'Bearer ' .. os.getenv('LEATHERHARD_KEY')
