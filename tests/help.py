#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What the program says of itself, and how it behaves on a terminal: TAP.

    help.py PROGRAM SOURCE

Every operation of the table has its help, its schema, an example that runs
and is what its schema asks for, and a case in tests/cli.  The man page is
judged by mandoc, the schemas by the Python library jsonschema, the completion
by bash itself.  Colour and the progress line are looked at on a
pseudo-terminal.
"""
import json
import os
import pty
import re
import select
import shutil
import subprocess
import sys
import tempfile
import time

PROGRAM = os.path.abspath(sys.argv[1])
SOURCE = os.path.abspath(sys.argv[2])
PIECE = os.path.join(SOURCE, "docs", "example-piece.json")
CASES = os.path.join(SOURCE, "tests", "cli")
COLOUR = "\033["

# Not from the caller: each test sets what it needs.
for name in ("NO_COLOR", "TERM"):
    os.environ.pop(name, None)
os.environ["LC_ALL"] = "C.UTF-8"
os.environ.setdefault(
    "LSAN_OPTIONS", "suppressions=%s/tests/lsan.supp:print_suppressions=0"
    % SOURCE)

count = failed = 0


def check(truth, words, why=""):
    global count, failed
    count += 1
    failed += not truth
    print("%sok %d - %s" % ("" if truth else "not ", count, words))
    if not truth and why:
        print("\n".join("# " + line for line in str(why).splitlines()[:12]))
    return truth


def skip(words, why):
    global count
    count += 1
    print("ok %d - %s # SKIP %s" % (count, words, why))


def run(*args, **more):
    return subprocess.run([PROGRAM, *args], capture_output=True, text=True,
                          encoding="utf-8", **more)


def on_terminal(args, env=None, out_too=True):
    """Run with standard error, and output too, on a terminal; gives what the
    terminal saw, what the pipe got, and the seconds."""
    main, other = pty.openpty()
    begun = time.monotonic()
    p = subprocess.Popen([PROGRAM, *args], stdin=subprocess.DEVNULL,
                         stdout=other if out_too else subprocess.PIPE,
                         stderr=other, env={**os.environ, **(env or {})})
    os.close(other)
    seen, piped = b"", b""
    pipes = [main] + ([] if out_too else [p.stdout.fileno()])
    while pipes:
        for fd in select.select(pipes, [], [])[0]:
            try:
                got = os.read(fd, 65536)
            except OSError:  # the other end of a terminal is closed
                got = b""
            if not got:
                pipes.remove(fd)
            elif fd == main:
                seen += got
            else:
                piped += got
    p.wait()
    os.close(main)
    if p.stdout:
        p.stdout.close()
    return (seen.decode("utf-8"), piped.decode("utf-8"),
            time.monotonic() - begun)


# ---- the table --------------------------------------------------------------

def operations():
    text = run("help").stdout
    table = text.split("...\n", 1)[1].split("\n\n")[0].strip("\n")
    return dict(re.match(r"  (\S+)\s+(.*)", line).groups()
                for line in table.splitlines())


def the_help(ops):
    text = run("help").stdout
    check(len(ops) >= 11, "%d operations are listed" % len(ops), text)
    check(all(ops.values()), "each with a line")
    check(run().stdout == text, "without a word the help is printed")
    check(run("--help").stdout == text and run("help", "help").stdout == text,
          "--help and help help are the same")
    check("demo" in text and "--set" in text and "Exit code" in text,
          "demo, flags and exit codes are told")
    wide = [line for line in text.splitlines() if len(line) > 80]
    check(not wide, "no line is wider than 80", "\n".join(wide))


def an_example(name, text, folder):
    """A document for an operation, from its help."""
    if "The document is a piece" in text:
        check("docs/example-piece.json" in text,
              "%s: the example piece is named" % name)
        return PIECE
    at = text.find("\nExample (")
    if not check(at >= 0, "%s: there is an example" % name, text):
        return None
    path = os.path.join(folder, name + ".json")
    with open(path, "w", encoding="utf-8") as f:
        f.write(text[text.index("\n", at + 1):])
    return path


def one(name, folder):
    done = run("help", name)
    text = done.stdout
    parts = text.split("\n\n")
    check(done.returncode == 0 and not done.stderr, "%s: help" % name)
    check(len(parts) > 2 and len(parts[1]) > 60,
          "%s: its purpose in a short paragraph" % name, text[:300])
    check(run(name, "--help").stdout == text, "%s: --help is the same" % name)
    wide = [line for line in text.splitlines() if "\t" in line]
    check(not wide, "%s: no tabs" % name)
    path = an_example(name, text, folder)
    args = [name, path]
    if "Gives a file" in text:
        args += ["--out", os.path.join(folder, "out")]
        if path == PIECE:
            args += ["--set", "/ask/pixel_mm=1"]
        missing = run(name, path)
        check(missing.returncode == 2 and not missing.stdout and
              "--out" in missing.stderr, "%s: wants --out" % name)
    done = run(*args, "--json")
    if check(done.returncode in (0, 1) and not done.stderr,
             "%s: the example runs" % name, done.stderr):
        check(isinstance(json.loads(done.stdout), dict),
              "%s: and gives one JSON document" % name)
    cases = [f for f in os.listdir(CASES) if f.endswith(".cmd") and
             open(os.path.join(CASES, f)).read().split()[:1] == [name]]
    check(len(cases) >= 1, "%s: %d cases in tests/cli" % (name, len(cases)))
    refusals = [f for f in cases
                if os.path.exists(os.path.join(CASES, f[:-4] + ".err"))]
    check(len(refusals) >= 1, "%s: %d of them refused" % (name, len(refusals)))
    schema_of(name, path)


def schema_of(name, path):
    import jsonschema
    done = run(name, "--schema")
    schema = json.loads(done.stdout)
    try:
        jsonschema.Draft202012Validator.check_schema(schema)
        check(True, "%s: jsonschema takes its schema" % name)
    except jsonschema.SchemaError as e:
        check(False, "%s: jsonschema takes its schema" % name, e.message)
    with open(path, encoding="utf-8") as f:
        document = json.load(f)
    validator = jsonschema.Draft202012Validator(schema)
    why = jsonschema.exceptions.best_match(validator.iter_errors(document))
    check(why is None, "%s: its example is what the schema asks for" % name,
          why and why.message)
    document["no such key"] = 1
    check(not validator.is_valid(document),
          "%s: its schema refuses an unknown key" % name)
    done = run(name, "-", "--out", "/dev/null", input=json.dumps(document)) \
        if "Gives a file" in run("help", name).stdout \
        else run(name, "-", input=json.dumps(document))
    check(done.returncode == 2 and "no such key" in done.stderr and
          not done.stdout, "%s: so does the program" % name, done.stderr)


# ---- made from the table ----------------------------------------------------

def man_page(ops, folder):
    done = run("help", "man")
    missing = [name for name in ops if "\n.Ss %s\n" % name not in done.stdout]
    check(not missing, "the man page names each operation", missing)
    path = os.path.join(folder, "leatherhard.1")
    with open(path, "w", encoding="utf-8") as f:
        f.write(done.stdout)
    if not shutil.which("mandoc"):
        skip("mandoc finds nothing to say", "mandoc is not installed")
        return
    lint = subprocess.run(["mandoc", "-T", "lint", "-W", "warning", path],
                          capture_output=True, text=True)
    check(lint.returncode == 0 and not lint.stdout,
          "mandoc finds nothing to say of it", lint.stdout)
    text = subprocess.run(["mandoc", "-T", "utf8", path], capture_output=True,
                          text=True).stdout
    text = re.sub(".\b", "", text)  # bold is struck twice
    check("EXIT STATUS" in text and "NO_COLOR" in text,
          "mandoc prints exit codes and environment")


def completion(ops, folder):
    path = os.path.join(folder, "completion")
    with open(path, "w", encoding="utf-8") as f:
        f.write(run("help", "completion").stdout)
    done = subprocess.run(["bash", "-n", path], capture_output=True, text=True)
    check(done.returncode == 0 and not done.stderr, "bash -n: the completion",
          done.stderr)

    def completed(*words):
        script = ("source %s; COMP_WORDS=(%s); COMP_CWORD=%d; _leatherhard; "
                  "printf '%%s\\n' \"${COMPREPLY[@]}\""
                  % (path, " ".join("'%s'" % w for w in words),
                     len(words) - 1))
        return subprocess.run(["bash", "-c", script], capture_output=True,
                              text=True, cwd=CASES).stdout.split()

    check(set(ops) <= set(completed("leatherhard", "")),
          "every operation is offered")
    check(completed("leatherhard", "th") == ["thin"], "th goes on as thin")
    check("thin" in completed("leatherhard", "help", "th"), "also behind help")
    check(completed("leatherhard", "thin", "--sc") == ["--schema"],
          "a flag goes on")
    check("thin_example.json" in completed("leatherhard", "thin", "thin_ex"),
          "a file goes on")


# ---- on a terminal ----------------------------------------------------------

def colours():
    words = ["piece", PIECE, "--set", "/ask/pixel_mm=1"]
    plain = run(*words).stdout
    check(COLOUR not in plain, "no colour into a pipe")
    seen, _, _ = on_terminal(words, {"TERM": "xterm"})
    check(COLOUR in seen, "colour on a terminal", seen[:200])
    check(re.sub(r"\033\[[0-9;]*m", "", seen).replace("\r\n", "\n") == plain,
          "without it the same words")
    for env, what in (({"TERM": "xterm", "NO_COLOR": "1"}, "NO_COLOR=1"),
                      ({"TERM": "dumb"}, "TERM=dumb")):
        seen, _, _ = on_terminal(words, env)
        check(COLOUR not in seen, "%s: none" % what, seen[:200])
    seen, _, _ = on_terminal(words, {"TERM": "xterm", "NO_COLOR": ""})
    check(COLOUR in seen, "an empty NO_COLOR is none")
    seen, _, _ = on_terminal(["piece", "no-such-file"], {"TERM": "xterm"})
    check(COLOUR in seen, "a fault in colour", seen)
    _, piped, _ = on_terminal(words, {"TERM": "xterm"}, out_too=False)
    check(COLOUR not in piped, "a pipe stays plain beside a terminal")
    _, piped, _ = on_terminal(words + ["--json"], {"TERM": "xterm"},
                              out_too=False)
    check(json.loads(piped)["verdict"], "--json stays JSON")


def progress():
    sample = os.path.join(SOURCE, "data", "tide-line.json")
    for pixel in ("0.1", "0.07", "0.05"):
        words = ["coverage", sample, "--set", "/ask/pixel_mm=" + pixel]
        seen, piped, seconds = on_terminal(words, {"TERM": "xterm"},
                                           out_too=False)
        if seconds > 2:
            break
    quiet = run(*words)
    check(not quiet.stderr, "no progress into a pipe", quiet.stderr)
    check(quiet.stdout == piped, "nor into the result")
    if seconds <= 2:
        skip("a line of progress after a second",
             "this machine works for %.1f s only" % seconds)
    else:
        check(re.search(r"\rcoverage: \d+ %", seen),
              "a line of progress after a second (%.1f s)" % seconds, seen)
        check(seen.endswith("\r\033[K"), "which is taken away at the end",
              repr(seen[-20:]))
    seen, _, seconds = on_terminal(
        ["coverage", PIECE, "--set", "/ask/pixel_mm=1"], {"TERM": "xterm"},
        out_too=False)
    check(not seen or seconds > 1, "none for what is quick", seen)


def main():
    ops = operations()
    the_help(ops)
    with tempfile.TemporaryDirectory() as folder:
        for name in ops:
            one(name, folder)
        man_page(ops, folder)
        completion(ops, folder)
    colours()
    progress()
    print("1..%d" % count)
    return failed > 0


if __name__ == "__main__":
    sys.exit(main())
