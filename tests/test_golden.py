"""The sheets of the examples by their content: headings, verdicts, numbers; not by their bytes.

What stands in tests/golden/ guards against change only (regression, no source). After a change
that is meant: CALCLIB_GOLDEN=write pytest tests/test_golden.py, and read the difference.
"""

import html
import json
import os
import re
from pathlib import Path

import pytest

from calclib.job.file import read
from calclib.job.solve import solve
from calclib.sheet.page import render

ROOT = Path(__file__).parents[1]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
GOLDEN = Path(__file__).parent / "golden"


def words(markup):
    """Return what a reader reads: formulas by their alternative, no tags."""
    markup = re.sub(r'<math[^>]*alttext="([^"]*)".*?</math>', r"\1", markup, flags=re.DOTALL)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", markup))).strip()


def part(page, name):
    found = re.search(rf'<section id="{name}">(.*?)</section>', page, re.DOTALL)
    return found[1]


def rows(markup):
    return re.findall(r"<tr[^>]*>(.*?)</tr>", markup, re.DOTALL)


def results(markup):
    """Return the results at the right of a calculation, in order."""
    return [words(each) for each in re.findall(r'<td class="v">(.*?)</td>', markup, re.DOTALL)]


def content(page):
    """Return the content of a sheet."""
    checks = {}
    for block in part(page, "checks").split('<div class="check">')[1:]:
        block = block.partition("<h3>")[0]
        checks[re.findall(r"<code>(.*?)</code>", block)[0]] = results(block)
    name = None
    for row in re.findall(r"<tr.*?</tr>", part(page, "derivations"), re.DOTALL):
        if row.startswith('<tr class="name">'):
            name = re.findall(r"<code>(.*?)</code>", row)[0]
            checks[name] = []
        if name:
            checks[name] += results(row)
    register = {}
    for row in rows(part(page, "assumptions")):
        if '<span id="a' not in row:
            continue
        what = re.search(r"</span>(.*?)</th>", row, re.DOTALL)
        register[words(what[1])] = words(re.search(r'<td class="n">(.*?)</td>', row, re.DOTALL)[1])
    return {
        "headings": [words(head) for head in re.findall(r"<h[12]\b.*?</h[12]>", page, re.DOTALL)],
        "verdicts": [
            " | ".join(words(cell) for cell in re.findall(r"<t[hd].*?</t[hd]>", row, re.DOTALL))
            for row in rows(part(page, "summary"))[1:]
        ],
        "open": [words(line) for line in re.findall(r"<li.*?</li>", part(page, "open"))],
        "path": [words(row) for row in rows(re.sub(r"<svg.*?</svg>", "", part(page, "path"),
                                                   flags=re.DOTALL))],
        "loads": results(part(page, "loads")),
        "checks": checks,
        "reactions": [words(row) for row in rows(part(page, "reactions"))],
        "register": register,
    }  # fmt: skip


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_sheet_of_an_example_says_what_it_said(path):
    solved = solve(read(path))
    found = content(render(solved, draft=True))
    file = GOLDEN / f"{path.stem}.json"
    if os.environ.get("CALCLIB_GOLDEN") == "write":
        file.parent.mkdir(exist_ok=True)
        text = json.dumps(found, indent=1, ensure_ascii=False)
        file.write_text(text + "\n", encoding="utf-8")

    golden = json.loads(file.read_text(encoding="utf-8"))

    # What is read from the page is all that there is to read.
    assert len(found["verdicts"]) == len(solved.checks)
    assert sum(bool(lines) for lines in found["checks"].values()) > len(solved.checks) / 2
    assert found.keys() == golden.keys()
    for kind, expected in golden.items():
        assert found[kind] == expected, kind
