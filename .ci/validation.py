"""Holds the tables of VALIDATION.md to what the checks just wrote.

    validation.py FOLDER [--write]

Each table stands in VALIDATION.md between `<!-- table NAME -->` and `<!-- end -->`. A difference, a table without
a file or a file without a table fails; --write puts the files' lines in instead.
"""

import pathlib
import re
import sys

folder = pathlib.Path(sys.argv[1])
write = "--write" in sys.argv[2:]
page = pathlib.Path(__file__).resolve().parent.parent / "VALIDATION.md"
text = page.read_text(encoding="utf-8")
fresh = {f.stem: f.read_text(encoding="utf-8") for f in sorted(folder.glob("*.md"))}
faults = []
seen = set()


def put(match):
    name, old = match.group(1), match.group(2)
    seen.add(name)
    if name not in fresh:
        faults.append(f"table {name}: no check wrote it")
        return match.group(0)
    if fresh[name] != old and not write:
        faults.append(f"table {name} differs. Now:\n{fresh[name]}")
    return f"<!-- table {name} -->\n{fresh[name]}<!-- end -->"


result = re.sub(r"<!-- table (\S+) -->\n(.*?)<!-- end -->", put, text, flags=re.S)
faults += [f"table {name}: not in VALIDATION.md" for name in fresh if name not in seen]
if write:
    page.write_text(result, encoding="utf-8")
for fault in faults:
    print(fault)
if faults:
    sys.exit("VALIDATION.md is not what the checks say; .ci/validation.py FOLDER --write brings it up to date")
print(f"VALIDATION.md: {len(seen)} tables as the checks wrote them")
