# SPDX-License-Identifier: GPL-3.0-or-later
"""The QR code on the terminal, read back by zbar from a picture of it.

  qr.py PROGRAM SOURCE-ROOT"""
import re
import subprocess
import sys

from house import Server, check, done, note

s = Server(sys.argv[1], '--studio-network')
text = s.printed()
rows = [line[2:] for line in text.splitlines()
        if line.startswith('  ') and set(line) <= set(' \u2580\u2584\u2588')]
width = max(map(len, rows))
light = []  # in plain text a block is light, a blank is dark
for row in rows:
    row = row.ljust(width)
    light.append([c in '\u2580\u2588' for c in row])
    light.append([c in '\u2584\u2588' for c in row])
light = light[:width]  # half a row is left over below
check(len(light) == width, f'a square of {width}')
edge = [light[y][x] for y in range(width) for x in range(width)
        if min(x, y, width - 1 - x, width - 1 - y) < 4]
check(all(edge), 'four squares are left light all around (ISO/IEC 18004)')
scale = 6
pixels = bytearray()
for row in light:
    line = b''.join(bytes([255 if on else 0]) * scale for on in row)
    pixels += line * scale
path = s.folder.name + '/code.pgm'
with open(path, 'wb') as f:
    f.write(b'P5 %d %d 255\n' % (width * scale, width * scale) + pixels)
read = subprocess.run(['zbarimg', '--raw', '-q', path], capture_output=True)
got = read.stdout.decode().strip()
page = re.search(r'\n  (http://[0-9.:]+/pair)\n', text)[1]
if not check(got == page + '#code=' + s.code(),
             'it holds the address, and the code behind the #'):
    note(got)
a = s.ask('POST', '/api/pair', {'code': got.split('=')[1], 'name': 'scanned'},
          key=False)
check(a.status == 200, 'and admits who scans it')
s.finish()
done()
