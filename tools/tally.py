#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Count what the tests said, line by line.

  tally.py testlog.json [--built N]

Reads Meson's log of one run (one JSON object a line) and counts the TAP lines
themselves.  A suite that printed no TAP line, no plan, another number of
lines than its plan says, or that ended badly though every line says ok, adds
one failure.  --built N adds N failures for what did not build.  The last line
is "N passed, N failed"; the exit code is 1 when something failed.
"""
import json
import re
import sys

LINE = re.compile(r'^(not )?ok\b(.*)$')
PLAN = re.compile(r'^1\.\.(\d+)')


def count(test):
    """Passed, failed, skipped, and the lines worth showing."""
    passed = failed = skipped = 0
    plan, shown = None, []
    for line in (test.get('stdout') or '').splitlines():
        if m := PLAN.match(line):
            plan = int(m.group(1))
        elif m := LINE.match(line):
            if re.search(r'#\s*SKIP', m.group(2), re.I):
                skipped += 1
            elif m.group(1):
                failed += 1
                shown.append(line)
            else:
                passed += 1
        elif line.startswith('#') and shown and len(shown) < 60:
            if shown[-1].startswith('not ok'):
                shown.append('  ' + line)
    whole = plan == passed + failed + skipped
    if not whole or (plan == 0 and not skipped):
        failed += 1
        shown.append('no TAP line' if plan is None and not passed + failed
                     else f'plan {plan}, but {passed + failed - 1} lines')
    elif failed == 0 and test['returncode'] != 0:
        failed += 1
        shown.append(f'every line says ok, but exit code '
                     f'{test["returncode"]}')
    if failed and test.get('stderr'):
        shown += ['  ! ' + s for s in test['stderr'].splitlines()[:30]]
    return passed, failed, skipped, shown


def main():
    built = 0
    if '--built' in sys.argv:
        built = int(sys.argv[sys.argv.index('--built') + 1])
    rows, total = [], [0, built]
    try:
        with open(sys.argv[1], encoding='utf-8', errors='replace') as f:
            tests = [json.loads(line) for line in f if line.strip()]
    except OSError as e:
        print(f'tally: {e}')
        tests, total[1] = [], total[1] + 1
    for t in tests:
        name = t['name'].replace('leatherhard:', '')
        rows.append((name, t['duration'], *count(t)))
    for name, s, passed, failed, skipped, shown in rows:
        if shown:
            print(f'\n{name}:')
            print('\n'.join('  ' + line for line in shown[:60]))
    print(f'\n{"suite":<34}{"seconds":>8}{"passed":>9}{"failed":>8}'
          f'{"skipped":>9}')
    for name, s, passed, failed, skipped, shown in sorted(rows):
        print(f'{name:<34}{s:>8.2f}{passed:>9}{failed:>8}{skipped:>9}')
        total[0] += passed
        total[1] += failed
    if built:
        print(f'{"(did not build)":<34}{"":>8}{0:>9}{built:>8}')
    print(f'{total[0]} passed, {total[1]} failed')
    return 1 if total[1] or not rows else 0


sys.exit(main())
