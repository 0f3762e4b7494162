# SPDX-License-Identifier: GPL-3.0-or-later
"""What is published about the piece document is what the program reads.

    piece_doc.py PIECE_WORDS SOURCE           speaks TAP
    piece_doc.py PIECE_WORDS SOURCE --write   brings the published files up to
                                              date; read the diff after

The schema is judged by an independent program, the Python library jsonschema
(Debian's python3-jsonschema); on each document below it and the reader of the
program must agree.
"""
import copy
import json
import os
import subprocess
import sys
import tempfile

import jsonschema

WORDS, SOURCE = sys.argv[1], sys.argv[2]
SCHEMA = os.path.join(SOURCE, "docs", "piece.schema.json")
MANUAL = os.path.join(SOURCE, "docs", "piece.md")
EXAMPLE = os.path.join(SOURCE, "docs", "example-piece.json")
SAMPLE = os.path.join(SOURCE, "data", "tide-line.json")

count = failed = 0


def check(good, words, note=""):
    global count, failed
    count += 1
    failed += not good
    print("%sok %d - %s" % ("" if good else "not ", count, words))
    if not good and note:
        print("# " + note.replace("\n", "\n# "))


def read(name):
    with open(name, encoding="utf-8") as f:
        return f.read()


def printed(what):
    return subprocess.run([WORDS, what], check=True, capture_output=True,
                          text=True).stdout


def between(text, name, new=None):
    """What stands between two markers; with `new`, the text with it there."""
    first, last = "<!-- %s -->\n" % name, "<!-- end of %s -->" % name
    a = text.index(first) + len(first)
    b = text.index(last)
    return text[a:b] if new is None else text[:a] + new + text[b:]


def fenced(text):
    return "\n```json\n%s```\n\n" % text


def write():
    text = between(read(MANUAL), "example", fenced(read(EXAMPLE)))
    text = between(text, "fields", printed("fields"))
    for name, new in ((SCHEMA, printed("schema")), (MANUAL, text)):
        with open(name, "w", encoding="utf-8", newline="\n") as f:
            f.write(new)


def reader_takes(document):
    with tempfile.NamedTemporaryFile("w", suffix=".json",
                                     encoding="utf-8") as f:
        json.dump(document, f)
        f.flush()
        done = subprocess.run([WORDS, "read", f.name], capture_output=True,
                              text=True)
    return done.returncode, done.stdout.strip()


# Each spoils the example in one way; jsonschema and the reader both refuse.
def put(*path_and_value):
    *path, last, value = path_and_value

    def spoil(d):
        for key in path:
            d = d[key]
        d[last] = value
    return spoil


def drop(*path):
    def spoil(d):
        for key in path[:-1]:
            d = d[key]
        del d[path[-1]]
    return spoil


WRONG = (
    ("a field nobody knows", put("colour", "red")),
    ("a field nobody knows, deep inside",
     put("motifs", 0, "marks", 0, "path", 0, "z_mm", 1)),
    ("no form", drop("form")),
    ("no points outside", drop("form", "outside")),
    ("a slip without a litre weight", drop("slips", 0, "litre_weight_g")),
    ("a litre weight below water's", put("slips", 0, "litre_weight_g", 990)),
    ("35 wavelengths", put("slips", 0, "absorption_m2_g", [0.01] * 35)),
    ("a reflectance above 1", put("body", "reflectance", 1.2)),
    ("a negative width", put("brushes", 0, "width_mm", -3)),
    ("a kind of mark nobody knows",
     put("motifs", 0, "marks", 0, "kind", "splash")),
    ("a flag that is a number", put("slips", 0, "ground", 1)),
    ("half a pot", put("pots", 2.5)),
    ("no pots at all", put("pots", 0)),
    ("a list that is an object", put("zones", {})),
    ("version 0", put("version", 0)),
    ("25 slips", lambda d: d.update(slips=[
        dict(d["slips"][0], id="s%d" % i) for i in range(25)])),
)
# And these are taken by both.
RIGHT = (
    ("null for what is not known", put("note", None)),
    ("a decimal comma in quotes", put("brushes", 0, "width_mm", "5,5")),
    ("36 wavelengths", put("slips", 0, "absorption_m2_g", [0.001] * 36)),
    ("what an operation is asked", put("ask", {"view": "side"})),
)


def main():
    schema = json.loads(read(SCHEMA))
    example, sample = json.loads(read(EXAMPLE)), json.loads(read(SAMPLE))
    manual = read(MANUAL)

    check(read(SCHEMA) == printed("schema"),
          "docs/piece.schema.json is what the program prints",
          "piece_doc.py with --write brings it up to date")
    check(between(manual, "fields") == printed("fields"),
          "the tables of docs/piece.md are what the program prints",
          "piece_doc.py with --write brings them up to date")
    check(between(manual, "example") == fenced(read(EXAMPLE)),
          "the example in docs/piece.md is docs/example-piece.json")
    try:
        jsonschema.Draft202012Validator.check_schema(schema)
        check(True, "jsonschema: a schema of draft 2020-12")
    except jsonschema.SchemaError as e:
        check(False, "jsonschema: a schema of draft 2020-12", e.message)

    validator = jsonschema.Draft202012Validator(schema)
    for words, document in [("the sample piece", sample),
                            ("the example of the manual", example)]:
        why = jsonschema.exceptions.best_match(validator.iter_errors(document))
        check(why is None, "jsonschema takes %s" % words, str(why))
        code, said = reader_takes(document)
        check(code == 0, "the reader takes %s" % words, said)
    for words, spoil in RIGHT:
        document = copy.deepcopy(example)
        spoil(document)
        code, said = reader_takes(document)
        check(validator.is_valid(document), "jsonschema takes %s" % words)
        check(code == 0, "the reader takes %s" % words, said)
    for words, spoil in WRONG:
        document = copy.deepcopy(example)
        spoil(document)
        code, said = reader_takes(document)
        check(not validator.is_valid(document), "jsonschema refuses %s" % words)
        check(code == 2 and said.startswith("/"),
              "the reader refuses %s: %s" % (words, said), str(code))
    print("1..%d" % count)
    return 1 if failed else 0


if len(sys.argv) > 3 and sys.argv[3] == "--write":
    write()
else:
    sys.exit(main())
