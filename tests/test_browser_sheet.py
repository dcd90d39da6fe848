"""The calc sheet in a real browser: silent, closed, readable, and whole on paper.

What comes from the npm registry (axe-core, html-validate) is installed into build/ once.
"""

import base64
import json
import os
import re
import shutil
import subprocess
import tempfile
import unicodedata
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from attacks import ATTACKS, AWAY, MARKDOWN_ATTACKS
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output
from pypdf import PdfReader

from calclib.job.file import parse, read
from calclib.job.solve import solve
from calclib.sheet.exporter import compose
from calclib.sheet.notebook import section
from calclib.sheet.page import render

ROOT = Path(__file__).parents[1]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
TOOLS = ("axe-core@4.14.1", "html-validate@10.17.0")
BUILD = ROOT / "build" / "npm"

# Width of the printed text in CSS pixels: the paper's less margins of 0.7 in, at 96 px to the inch.
PAPERS = {"Letter": (8.5 - 1.4) * 96, "A4": (210 / 25.4 - 1.4) * 96}


@pytest.fixture(scope="session")
def tools():
    """Folder of the npm packages, installed on first use."""
    wanted = BUILD / "-".join(tool.replace("@", "_") for tool in TOOLS)
    if not wanted.exists():
        npm = shutil.which("npm")
        if npm is None:
            pytest.skip("no npm on this machine: axe-core and html-validate come with it")
        BUILD.mkdir(parents=True, exist_ok=True)
        # In a folder of its own, for two tests may want it at the same moment.
        folder = Path(tempfile.mkdtemp(dir=BUILD))
        options = ("--no-package-lock", "--no-audit", "--no-fund", "--ignore-scripts")
        command = [npm, "install", "--prefix", str(folder), *options, *TOOLS]
        done = subprocess.run(command, capture_output=True, text=True)
        if done.returncode:
            shutil.rmtree(folder)
            pytest.skip(f"npm could not install {' '.join(TOOLS)}: {done.stderr[-200:]}")
        try:
            folder.rename(wanted)
        except OSError:
            shutil.rmtree(folder)
    return wanted / "node_modules"


@cache
def solved_example(path):
    return solve(read(path))


@cache
def own_notebook():
    """Return a page of a notebook with own text, own formulas, a figure and two sections."""
    svg = (
        "<svg xmlns='http://www.w3.org/2000/svg' width='90' height='40'>"
        "<rect width='90' height='40' fill='#888'/></svg>"
    )
    dot = base64.b64encode(svg.encode()).decode()
    solved = solved_example(EXAMPLES[-1])
    check = solved.checks[0]
    shown = [section(solved, name)._repr_mimebundle_() for name in ("title", "loads")]
    long_code = "a_name_that_does_not_end = " + "x" * 200
    cells = [
        new_markdown_cell("## Survey\n\nThe wall stands on a girder, $M = \\frac{w L^2}{8}$.\n\n"
                          "| place | load |\n|---|---|\n| west | 4 kip |"),
        *(new_code_cell("s", outputs=[new_output("display_data", data=data)],
                        metadata={"tags": ["remove-input"]}) for data in shown),
        new_code_cell(long_code, outputs=[
            new_output("display_data", data={"text/html": check._repr_html_()}),
            new_output("stream", text="z" * 300),
        ]),
        new_markdown_cell(f'![A wall](data:image/svg+xml;base64,{dot} "Seen from the kitchen")'),
    ]  # fmt: skip
    return compose(new_notebook(cells=cells), ROOT, "own.ipynb").html


PAGES = {path.stem: path for path in EXAMPLES} | {"own notebook": None}
each_page = pytest.mark.parametrize("name", PAGES)
LARGEST = ("foxglove_cottage", 1200)


@cache
def html_of(name):
    path = PAGES[name]
    if path is None:
        return own_notebook()
    # The break-points of a whole house take longer than all that is tried here.
    return render(solved_example(path), draft=name == "foxglove_cottage")


class Opened:
    """A page in the browser, and all that it did."""

    def __init__(self, browser, path, width=1200, media="screen"):
        self.did = []
        self.page = browser.new_page(viewport={"width": round(width), "height": 1000})
        self.page.emulate_media(media=media)
        self.page.on("console", lambda said: self.did.append(f"console: {said.text}"))
        self.page.on("pageerror", lambda error: self.did.append(f"error: {error}"))
        self.page.on("dialog", lambda box: (self.did.append(f"dialog {box.type}"), box.dismiss()))
        self.page.on("request", lambda asked: self.asked(asked.url))
        self.own = path.as_uri()
        self.page.goto(self.own)
        # The formulas' font comes from the page itself, a moment later.
        self.page.evaluate("document.fonts.ready")

    def asked(self, url):
        if url != self.own and not url.startswith("data:"):
            self.did.append(f"request {url}")


@pytest.fixture
def opened(browser, tmp_path):
    """Open HTML from a file, as a reader does."""
    pages = []

    def open_it(html, **how):
        path = tmp_path / f"page{len(pages)}.html"
        path.write_text(html, encoding="utf-8")
        pages.append(Opened(browser, path, **how))
        return pages[-1]

    yield open_it
    for each in pages:
        each.page.close()


@each_page
def test_the_sheet_asks_for_nothing_and_says_nothing(opened, name):
    """No request but for the file itself, no word on the console."""
    shown = opened(html_of(name))
    shown.page.mouse.wheel(0, 5000)

    assert shown.did == []
    assert shown.page.locator("h1").count() == 1


def test_a_page_that_misbehaves_is_seen_to(opened):
    """What these tests listen for arrives when there is something to hear."""
    shown = opened(f"<body><img src='{AWAY}/a.png'><script>console.log(1); alert(1)</script>")
    shown.page.wait_for_load_state("load")

    kinds = {what.partition(" ")[0].rstrip(":") for what in shown.did}
    assert {"console", "dialog", "request"} <= kinds


PLANTED = f"""<script>alert(1)</script><img src="{AWAY}/a.png" onerror="alert(1)">
<svg onload="alert(1)"></svg><iframe src="{AWAY}/"></iframe>
<link rel="stylesheet" href="{AWAY}/a.css"><object data="{AWAY}/"></object>
<a href="javascript:alert(1)" id="planted">x</a><form action="{AWAY}/"></form>"""


def test_the_policy_of_the_page_holds_even_if_escaping_failed(opened):
    """Planted as it is into the finished page, script does not run and nothing is loaded."""
    html = html_of(EXAMPLES[-1].stem).replace("</main>", PLANTED + "</main>")
    shown = opened(html)
    shown.page.locator("#planted").click()
    # The browser writes down that it refused; that is no deed of the page.
    refused = r"console: .*Content Security Policy"
    deeds = [what for what in shown.did if not re.match(refused, what)]

    assert shown.page.url == shown.own
    assert [what for what in deeds if not what.startswith("request")] == []
    assert len(shown.did) > len(deeds)
    policy = shown.page.locator("meta[http-equiv=Content-Security-Policy]").get_attribute("content")
    assert policy.startswith("default-src 'none'")


def hostile_job():
    """Return a job with script in every field that takes free text, and how many there are."""
    attack = "'''<script>alert(1)</script>\"><img src=x onerror=alert(1)></style></pre>&lt;'''"
    text = EXAMPLES[-1].read_text(encoding="utf-8")
    keys = "title|number|site|revision|prepared_by|checked_by|building_code|source|note"
    return re.subn(rf'\b({keys}) = "[^"]*"', lambda found: f"{found[1]} = {attack}", text)


def test_script_in_every_text_field_of_a_job_stays_text(opened):
    """Also in the name of the file and in the job file that the sheet carries."""
    text, count = hostile_job()
    job = parse(text, "<script>alert(1)</script>.toml")
    shown = opened(render(solve(job), draft=True))

    assert count > 20
    assert shown.did == []
    assert shown.page.locator("script, img, iframe").count() == 0
    assert shown.page.title().startswith("<script>alert(1)</script>")
    assert shown.page.locator("h1").inner_text().startswith("<script>alert(1)</script>")
    # The foot's text is a string of CSS; had it ended early, the rules behind it would be lost.
    shown.page.emulate_media(media="print")
    assert shown.page.locator("main").evaluate("e => getComputedStyle(e).maxWidth") == "none"


def test_script_in_every_part_of_a_notebook_stays_text(opened):
    """Markdown, code, printed text, HTML and picture outputs, file name: nothing even tries."""
    svg = "<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"
    outputs = [new_output("display_data", data={"text/html": attack}) for attack in ATTACKS]
    outputs += [new_output("display_data", data={"image/svg+xml": svg})]
    outputs += [new_output("stream", text=attack) for attack in ATTACKS]
    cells = [new_markdown_cell(attack) for attack in MARKDOWN_ATTACKS]
    cells += [new_code_cell(attack, outputs=outputs[:1]) for attack in ATTACKS]
    cells.append(new_code_cell("1", outputs=outputs))
    html = compose(new_notebook(cells=cells), ROOT, "<script>alert(1)</script>.ipynb").html
    shown = opened(html)
    links = shown.page.locator("main a")
    for place in range(links.count()):
        if not (links.nth(place).get_attribute("href") or "#").startswith("http"):
            links.nth(place).click(timeout=2000)

    assert shown.did == []
    planted = "script, iframe, form, object, .added svg, .added [style]"
    assert shown.page.locator(planted).count() == 0
    cautions = shown.page.locator("#cautions")
    assert cautions.is_visible()


OPEN_ALL = "document.querySelectorAll('details').forEach(each => { each.open = true; })"

# What sticks out: of the text's width, of its cell, of its own box, of a drawing's paper.
STICKS_OUT = """() => {
  const main = document.querySelector('main'), style = getComputedStyle(main);
  const box = main.getBoundingClientRect(), found = [];
  const left = box.left + parseFloat(style.paddingLeft) - 1;
  const right = box.right - parseFloat(style.paddingRight) + 1;
  const words = e => (e.getAttribute('alttext') || e.textContent).trim();
  const name = e => `${e.tagName} ${words(e).slice(0, 60)}`;
  for (const e of main.querySelectorAll('*')) {
    const drawing = e.closest('svg'), formula = e.closest('math');
    if ((drawing && drawing !== e) || (formula && formula !== e)) continue;
    const parts = formula ? [e, ...e.querySelectorAll('*')] : [e];
    const r = {left: Math.min(...parts.map(p => p.getBoundingClientRect().left)),
               right: Math.max(...parts.map(p => p.getBoundingClientRect().right))};
    if (r.left === r.right) continue;
    if (r.right > right || r.left < left) found.push(`page: ${name(e)}`);
    const cell = e.parentElement.closest('td, th');
    if (cell && r.right > cell.getBoundingClientRect().right + 1) found.push(`cell: ${name(e)}`);
    const scrolls = getComputedStyle(e).overflowX !== 'visible';
    const hides = e.clientWidth && e.scrollWidth > e.clientWidth + 1;
    if (scrolls && hides) found.push(`box: ${name(e)}`);
  }
  const texts = document.createTreeWalker(main, NodeFilter.SHOW_TEXT), range = new Range();
  while (texts.nextNode()) {
    range.selectNodeContents(texts.currentNode);
    const r = range.getBoundingClientRect();
    if (texts.currentNode.parentElement.closest('svg, math') || !r.width) continue;
    const cell = texts.currentNode.parentElement.closest('td, th');
    const most = cell ? cell.getBoundingClientRect().right + 1 : right;
    if (r.right > most || r.left < left) found.push(`text: ${texts.currentNode.data.slice(0, 60)}`);
  }
  for (const t of main.querySelectorAll('svg text')) {
    const r = t.getBoundingClientRect(), q = t.ownerSVGElement.getBoundingClientRect();
    const across = r.right < q.right + 1 && r.left > q.left - 1;
    const down = r.bottom < q.bottom + 1 && r.top > q.top - 1;
    if (!across || !down) found.push(`drawing: ${t.textContent}`);
  }
  return found;
}"""


@each_page
@pytest.mark.parametrize("width", [1200, 700, 380])
def test_nothing_sticks_out_on_screen(opened, name, width):
    """From a desk's screen to a phone's; nobody scrolls sideways."""
    page = opened(html_of(name), width=width).page
    page.evaluate(OPEN_ALL)

    assert page.evaluate(STICKS_OUT) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@each_page
@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_sticks_out_in_print(opened, name, paper):
    """At the width that the paper leaves between its margins."""
    page = opened(html_of(name), width=PAPERS[paper], media="print").page
    page.evaluate(OPEN_ALL)

    assert page.evaluate(STICKS_OUT) == []


def test_what_sticks_out_is_seen(opened):
    """The measure finds a wide formula in a narrow cell and a text beside its drawing."""
    shown = opened(
        "<main style='width:300px'><table style='table-layout:fixed;width:200px'><tr><td>"
        "<math alttext='long'><mspace width='150px' height='9px'></mspace></math><td>b"
        "</table><svg width=50 height=20 style='overflow:visible'><text x=40 y=9>wide</text></svg>"
        "<p style='width:400px'>a paragraph</p><p>" + "word" * 20 + "</p></main>"
    )

    kinds = {what.partition(":")[0] for what in shown.page.evaluate(STICKS_OUT)}
    assert kinds == {"cell", "drawing", "page", "text"}


def squeezed(text):
    # Some fonts set fi as one letter.
    return re.sub(r"[\s\u2212-]", "", unicodedata.normalize("NFKC", text))


def lines_of(pdf_page):
    """Return the text of a printed page as lines from top to bottom, each (y, text), in points."""
    spots = []

    def visit(text, cm, tm, font, size):
        if text.strip():
            x, y = tm[4], tm[5]
            spots.append((cm[1] * x + cm[3] * y + cm[5], cm[0] * x + cm[2] * y + cm[4], text))

    pdf_page.extract_text(visitor_text=visit)
    rows = {}
    for y, x, text in spots:
        # Half a line's height: superscripts and units stay in their line.
        at = next((known for known in rows if abs(known - y) < 3), y)
        rows.setdefault(at, []).append((x, text))
    return [(y, "".join(text for _, text in sorted(rows[y]))) for y in sorted(rows, reverse=True)]


@dataclass
class Printed:
    """The pages of a PDF, and what the page that was printed holds.

    Heads are texts; a table is its head and the texts of its rows; a figure is its caption and
    what stands in its drawing.
    """

    pages: list
    heads: list
    tables: list
    figures: list

    def texts(self):
        """Return the text of each page without its spaces."""
        return [squeezed("".join(text for _, text in lines_of(page))) for page in self.pages]


@pytest.fixture(scope="module")
def printed(browser, tmp_path_factory):
    """Print a page, once for each paper."""

    @cache
    def print_it(name, paper):
        folder = tmp_path_factory.mktemp("printed")
        path = folder / "page.html"
        path.write_text(html_of(name), encoding="utf-8")
        page = Opened(browser, path, media="print").page
        page.pdf(path=folder / "page.pdf", format=paper, prefer_css_page_size=True)
        heads = page.evaluate(
            "[...document.querySelectorAll('main h1,main h2,main h3,main caption,main thead tr')]"
            ".map(e => e.textContent)"
        )
        tables = page.evaluate(
            """[...document.querySelectorAll('main table')].filter(t => t.tHead).map(t =>
               [[...t.tHead.querySelectorAll('th')].map(c => c.textContent).join(' '),
               [...t.tBodies[0].rows]
               .filter(r => r.checkVisibility() && !r.querySelector('math'))
               .map(r => r.textContent)])"""
        )
        figures = page.evaluate(
            """[...document.querySelectorAll('main figure')].map(f => [
               f.querySelector('figcaption').textContent,
               ...[...f.querySelectorAll('svg text')].map(t => t.textContent)])"""
        )
        page.close()
        return Printed(PdfReader(folder / "page.pdf").pages, heads, tables, figures)

    return print_it


def twice(name, paper):
    """The largest sheet says the same on A4, where nothing of it may stick out either."""
    return (name, paper) == ("foxglove_cottage", "A4")


each_print = pytest.mark.parametrize(
    ("name", "paper"),
    [(name, paper) for name in PAGES for paper in PAPERS if not twice(name, paper)],
)


@each_print
def test_every_printed_page_says_which_of_how_many_it_is(printed, name, paper):
    """With the job's number at the other end of the line, clear of the text above."""
    pages = printed(name, paper).pages

    for number, page in enumerate(pages, start=1):
        (above, _), (y, foot) = lines_of(page)[-2:]
        assert f"page {number} of {len(pages)}" in foot
        assert above - y > 12
        height = float(page.mediabox.height)
        assert height == pytest.approx({"Letter": 792, "A4": 842}[paper], abs=1)
    assert len(pages) > 1


@pytest.mark.parametrize("name", ["larkspur_house", "foxglove_cottage"])
def test_twelve_members_print_on_less_than_forty_pages(printed, name):
    """What repeats is said once; the derivations of repeated checks print when they are opened."""
    solved = solved_example(PAGES[name])
    members = len({check.id.split("/")[1] for check in solved.checks})

    assert len(printed(name, "Letter").pages) < 40 * members / 12


@each_print
def test_no_printed_page_ends_with_a_heading(printed, name, paper):
    """Nor with a table's caption or head: what they stand over follows on the same page."""
    found = printed(name, paper)
    ends = [squeezed(head) for head in found.heads]

    lonely = []
    for number, page in enumerate(found.pages, start=1):
        (_, before), (_, text) = lines_of(page)[-3:-1]
        last, both = squeezed(text), squeezed(before + text)
        # A heading of one line, or the end of one of several.
        lonely += [
            (number, text)
            for end in ends
            if len(last) > 3
            and (end == last or (end.endswith(last) and (end in both or end.endswith(both))))
        ]

    assert lonely == []


@each_print
def test_every_page_of_a_table_has_its_head(printed, name, paper):
    """A reader of page nine need not turn back to know what a column is."""
    page = printed(name, paper)
    texts = page.texts()
    found = [
        (head, squeezed(row), [text for text in texts if squeezed(row) in text])
        for head, rows in page.tables
        for row in rows
    ]
    # A row that reads like another table's is left out, and one that was set in several lines.
    clear = [(head, row, on[0]) for head, row, on in found if len(on) == 1]
    # Word by word: a head may stand in two lines.
    headless = [
        (head, row)
        for head, row, text in clear
        if not all(squeezed(word) in text for word in head.split())
    ]

    assert headless == []
    assert len(clear) > len(found) / 4


@each_print
def test_no_figure_is_parted_from_its_caption(printed, name, paper):
    """Drawing and caption stand whole on one page."""
    page = printed(name, paper)
    texts = page.texts()

    for caption, *words in page.figures:
        whole = [text for text in texts if squeezed(caption) in text]
        assert whole, caption
        longest = max(words, key=len, default="")
        assert any(squeezed(longest) in text for text in whole), (caption, longest)
    assert page.figures


@pytest.mark.parametrize(
    ("name", "width"),
    # Of the largest sheet the narrow view alone, which holds all that the wide one does.
    [(name, width) for name in PAGES for width in (1200, 380) if (name, width) != LARGEST],
)
def test_axe_finds_no_fault(opened, tools, name, width):
    """All rules of axe-core, best practices too."""
    page = opened(html_of(name), width=width).page
    page.evaluate(OPEN_ALL)
    page.evaluate((tools / "axe-core" / "axe.min.js").read_text(encoding="utf-8"))

    found = page.evaluate("axe.run()")

    assert [
        (each["id"], each["nodes"][0]["html"][:200], len(each["nodes"]))
        for each in found["violations"]
    ] == []
    assert len(found["passes"]) > 15


@each_page
def test_the_html_validates(tools, name, tmp_path):
    """By html-validate's rules for standard and accessible HTML."""
    path = tmp_path / "page.html"
    path.write_text(html_of(name), encoding="utf-8")
    # A bar's length is data, and a formula's cells are aligned: both stand in style attributes.
    rules = {"no-inline-style": "off"}
    presets = ["html-validate:standard", "html-validate:a11y"]
    settings = {"root": True, "extends": presets, "rules": rules}
    (tmp_path / ".htmlvalidate.json").write_text(json.dumps(settings))
    command = ["node", str(tools / "html-validate" / "bin" / "html-validate.mjs"), "-f", "json"]

    done = subprocess.run(
        [*command, path.name], capture_output=True, text=True, cwd=tmp_path, env=os.environ
    )

    faults = [
        (each["ruleId"], each["message"], each["line"], each["column"])
        for report in json.loads(done.stdout)
        for each in report["messages"]
    ]
    assert faults == []


@each_page
def test_the_page_reads_well_by_ear(opened, name):
    """Headings in order, tables with captions and scopes, figures and formulas with words."""
    page = opened(html_of(name)).page
    heads = "[...document.querySelectorAll('h1,h2,h3,h4,h5,h6')]"
    levels = page.evaluate(f"{heads}.map(e => +e.tagName[1])")
    tree = page.evaluate(
        """() => { const all = q => [...document.querySelectorAll(q)]; return {
        bare_tables: all('table').filter(t => !t.caption && !t.closest('.added')).length,
        bare_heads: all('th:not([scope])').filter(t => !t.closest('.added')).length,
        tables: all('table').length,
        bare_formulas: all('math:not([alttext])').length,
        formulas: all('math').length,
        bare_figures: all('svg, img').filter(e => e.tagName === 'IMG' ? !e.alt :
          !(e.getAttribute('aria-labelledby') || '').split(' ').every(id => id &&
          document.getElementById(id) && document.getElementById(id).textContent.trim())).length,
        figures: all('svg, img').length}; }"""
    )

    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))
    assert {key: tree[key] for key in tree if key.startswith("bare")} == {
        "bare_tables": 0,
        "bare_heads": 0,
        "bare_formulas": 0,
        "bare_figures": 0,
    }
    assert min(tree["tables"], tree["formulas"], tree["figures"]) > 0


@each_page
def test_the_keyboard_walks_the_links_in_the_order_of_the_page(opened, name):
    """Only links and what opens take the focus, each link leads to a place that exists."""
    page = opened(html_of(name)).page
    stops = page.evaluate(
        "(window.stops = [...document.querySelectorAll('a[href], summary')]"
        ".filter(e => e.checkVisibility())).length"
    )
    # Thousands of links: the first and the last are walked, and a stretch before what opens.
    opens = page.evaluate("stops.findIndex(e => e.tagName === 'SUMMARY')")
    for start in {0, max(opens - 20, 0), max(stops - 60, 0)}:
        page.evaluate(f"{start} ? stops[{start} - 1].focus() : document.activeElement.blur()")
        for place in range(start, min(start + 60, stops)):
            page.keyboard.press("Tab")
            assert page.evaluate(f"document.activeElement === stops[{place}]"), place

    assert page.evaluate("document.querySelectorAll('[tabindex]').length") == 0
    missing = page.evaluate(
        "[...document.querySelectorAll('a[href^=\"#\"]')].map(e => e.getAttribute('href'))"
        ".filter(h => !document.getElementById(h.slice(1)))"
    )
    assert missing == []
