"""Notebooks as calc sheets: the same page as the command's, and nothing that a cell could plant."""

import base64
import json
import re
import subprocess
import sys
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import nbformat
import pytest
from attacks import ATTACKS, MARKDOWN_ATTACKS
from nbconvert.exporters import get_exporter
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output, new_raw_cell

from calclib.errors import InputError, LookupMiss
from calclib.job.file import read
from calclib.job.solve import solve
from calclib.sheet import page, sections
from calclib.sheet.clean import NO_ALTERNATIVE, clean
from calclib.sheet.compose import TAGS, compose, digest
from calclib.sheet.exporter import CalcSheetExporter, export, run
from calclib.sheet.notebook import SECTION, figure, section, style, text_of
from calclib.sheet.own_words import markdown

ROOT = Path(__file__).parents[1]
STANDARD = ROOT / "notebooks" / "calc_sheet.ipynb"
EXAMPLE = ROOT / "examples" / "larkspur_house.toml"

# The smallest picture there is: a PNG of one dot.
DOT = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJg"
    "gg=="
)


class Faults(HTMLParser):
    """Lists what could run, load, cover or pose as a part of the page."""

    BAD_TAGS = frozenset(
        "script style iframe object embed form input base meta link svg video audio maction "
        "mglyph annotation-xml noscript template".split()
    )

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        if tag in self.BAD_TAGS:
            self.found.append(tag)
        for name, value in attrs:
            text = re.sub(r"\s", "", value or "").lower()
            bad_address = name in ("href", "src") and not text.startswith(
                ("#", "https:", "data:image/") if tag == "img" else ("#", "https:", "mailto:")
            )
            loads = tag == "img" and text.startswith("http")
            if name.startswith("on") or name in ("id", "srcdoc", "srcset") or bad_address or loads:
                self.found.append(f"{tag} {name}={value}")
            if name == "style" and ("url" in text or "position" in text):
                self.found.append(f"{tag} {name}={value}")
            if tag in ("mrow", "maction") and name == "href":
                self.found.append(f"{tag} {name}={value}")


def faults(html):
    parser = Faults()
    parser.feed(html)
    return parser.found


def silent(what):
    """Take down nothing."""


def notebook(*cells):
    made = new_notebook(cells=list(cells))
    made.metadata["kernelspec"] = {"name": "no-such-kernel", "display_name": "x"}
    return made


def composed(*cells, folder=ROOT, name="own.ipynb"):
    return compose(notebook(*cells), Path(folder), name)


def tagged(cell, *tags):
    cell.metadata["tags"] = list(tags)
    return cell


def gave(data, source="1", metadata=None, tags=()):
    """Return a code cell with one output."""
    output = new_output("display_data", data=data, metadata=metadata or {})
    return tagged(new_code_cell(source, outputs=[output]), *tags)


def shows(name, job=None, file="larkspur_house.toml"):
    """Return a cell that shows a section, as the notebook's own display leaves it."""
    text = EXAMPLE.read_text(encoding="utf-8") if job is None else job
    data = {SECTION: {"section": name, "file": file, "job": text}, "text/html": "not trusted"}
    return gave(data, tags=["remove-input"])


@pytest.fixture(scope="module")
def solved():
    return solve(read(EXAMPLE))


@pytest.fixture(scope="module")
def standard():
    """The standard notebook, exported by the command's own way."""
    return export(STANDARD)


def test_the_standard_notebook_is_the_page_of_the_command(standard, solved):
    """Every section's HTML is the same, and nothing else stands between them."""
    for _, html in sections.standard(solved):
        assert html in standard.html

    assert standard.html == page.render(solved)
    assert standard.notes == ()


def test_the_standard_notebook_shows_every_section_once(solved):
    """Its cells name them in the order of the sheet."""
    cells = nbformat.read(STANDARD, as_version=4).cells
    named = re.findall(
        r'^section\(solved, "(\w+)"(?:, record)?\)$', "\n".join(c.source for c in cells), re.M
    )

    assert named == [name for name, _ in sections.standard(solved)]


def test_the_kernel_is_fresh_and_the_same_python(tmp_path):
    """A notebook's stored output and the kernel that it names count for nothing."""
    cell = new_code_cell("import sys; print(sys.executable)")
    cell.outputs = [new_output("stream", text="stale")]
    made = notebook(cell)

    run(made, tmp_path, "own.ipynb")

    (output,) = made.cells[0].outputs
    assert output.text.strip() == sys.executable


def test_an_error_in_a_cell_fails_the_export(tmp_path):
    """The message names file, cell and error; no page comes of it."""
    path = tmp_path / "own.ipynb"
    nbformat.write(notebook(new_markdown_cell("x"), new_code_cell("1 / 0")), path)

    with pytest.raises(InputError, match=r"own\.ipynb, cell 2: .* ZeroDivisionError: division by"):
        export(path)


def test_a_file_that_is_no_notebook_is_refused(tmp_path):
    """A job file handed over by mistake, and one that is not there."""
    path = tmp_path / "own.ipynb"
    path.write_text("[job]\n", encoding="utf-8")

    with pytest.raises(InputError, match=r"own\.ipynb: needs a notebook, got a file that is none"):
        export(path)
    with pytest.raises(InputError, match=r"needs a notebook that can be read, got No such file"):
        export(tmp_path / "absent.ipynb")


def test_nbconvert_knows_the_exporter():
    """It is registered under the name that the command line gives it."""
    assert get_exporter("calcsheet") is CalcSheetExporter


def test_nbconvert_writes_the_page(tmp_path):
    """`nbconvert --to calcsheet` runs the cells and logs what a reader would miss."""
    path = tmp_path / "own.ipynb"
    nbformat.write(notebook(new_markdown_cell("# Own\n![](x.png)"), new_code_cell("6 * 7")), path)
    command = [sys.executable, "-m", "nbconvert", "--to", "calcsheet", str(path)]

    done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path)

    html = (tmp_path / "own.html").read_text(encoding="utf-8")
    assert "<title>Own</title>" in html
    assert "<pre>42</pre>" in html
    assert "own.ipynb: cell 1: an image was left out" in done.stderr


def test_the_checker_of_these_tests_sees_each_attack():
    """A checker that is blind would let anything pass; harmless HTML passes it."""
    # Python's parser lets a comment end as older standards had it; a browser test sees this one.
    blind = "<!-- --!><img src=x onerror=alert(1)> -->"

    assert [a for a in ATTACKS if not faults(a) and a != blind] == []
    assert faults("<p><a href='#check'>x</a><img alt=x src='data:image/png;base64,AA'></p>") == []


@pytest.mark.parametrize("attack", ATTACKS)
def test_html_from_a_cell_cannot_plant_anything(attack):
    """Neither script nor an address to load from, an id, a style, or a class of the page."""
    page_html = composed(gave({"text/html": attack}, tags=["remove-input"])).html
    added = page_html.partition('<div class="added">')[2].partition('<section id="notebook">')[0]

    assert faults(added) == []
    assert "alert(1)" not in re.sub(r">[^<]*<", "><", added)
    assert "block" not in added


@pytest.mark.parametrize("attack", MARKDOWN_ATTACKS)
def test_markdown_cannot_plant_anything(attack, tmp_path):
    """In no place that Markdown has."""
    (tmp_path / "dot.png").write_bytes(DOT)
    html = markdown(attack, tmp_path, silent)

    assert faults(html) == []


@pytest.mark.parametrize(
    "attack",
    ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "</style><script>alert(1)"],
)
def test_names_and_printed_text_are_escaped(attack):
    """File name, title, code, printed text, error text, alternatives, papermill's values."""
    cells = [
        new_markdown_cell(f"# {attack}"),
        new_code_cell(attack, outputs=[new_output("stream", text=attack)]),
        gave({"text/plain": attack}, attack),
        gave({"image/png": attack}, attack, {"alt": attack}),
        gave({"image/svg+xml": attack}, attack, {"image/svg+xml": {"alt": attack}}),
        gave({"text/latex": f"$\\text{{{attack}}}$"}, attack),
        new_raw_cell(attack),
    ]
    html = composed(*cells, name=f"{attack}.ipynb").html
    body = html.partition("<body>")[2]

    assert [found for found in faults(body) if not found.startswith("section id=")] == []
    assert html.count("<script") == 0
    assert html.count("</style>") == 1


def test_a_forged_section_shows_only_what_its_job_says():
    """The HTML beside it is not used, and its text goes through the reader of job files."""
    hostile = EXAMPLE.read_text(encoding="utf-8").replace(
        'title = "Larkspur', 'title = "<script>alert(1)</script>Larkspur'
    )
    html = composed(shows("title", hostile)).html

    assert "not trusted" not in html
    assert "<script" not in html
    assert "&lt;script&gt;alert(1)" in html
    with pytest.raises(InputError, match=r"own\.ipynb, cell 1: needs a section of the standard"):
        composed(shows("<img>"))
    with pytest.raises(InputError, match="needs a section with its job, got an output without"):
        composed(gave({SECTION: ["title"]}))
    with pytest.raises(InputError, match=r"x\.toml"):
        composed(shows("title", "format = 1\n", "x.toml"))


def test_a_second_job_and_a_section_shown_twice_are_refused():
    """Ids on the page would not be unique, and a reader would mix up two houses."""
    other = EXAMPLE.read_text(encoding="utf-8").replace("plies = 3", "plies = 4")

    with pytest.raises(InputError, match="cell 2: needs sections of one job, got a second job"):
        composed(shows("title"), shows("loads", other))
    with pytest.raises(InputError, match='cell 2: needs each section once, got "loads" again'):
        composed(shows("loads"), shows("loads"))


def test_no_sheet_goes_without_title_block_and_cautions(solved):
    """A notebook that shows neither gets both, and what it leaves out is named."""
    known = dict(sections.standard(solved))
    html = composed(new_markdown_cell("Own words."), shows("loads")).html

    starts = [html.index(f'<section id="{name}">') for name in ("title", "cautions", "loads")]
    assert starts == sorted(starts)
    assert known["title"] in html
    assert known["cautions"] in html
    assert "left out: open, matters, summary, drawings, path, diagrams," in html


def test_a_link_to_a_section_that_is_left_out_becomes_plain_words():
    """The loads name assumptions by number; without the register there is nowhere to lead."""
    html = composed(shows("loads")).html

    assert re.search(r"<span>A\d+</span>", html)
    links = set(re.findall(r'<a href="#([^"]+)"', html))
    assert links
    assert links <= set(re.findall(r'\bid="([^"]+)"', html))


def test_missing_metadata_is_named(solved):
    """An empty name in the job, and a notebook without a job at all."""
    with_job = composed(shows("title")).html
    without = composed(new_markdown_cell("# Loft beam\nOwn words.")).html

    assert '<th scope="row">Prepared by</th><td>not given</td>' in with_job
    assert "Not given in the title block: job number, revision, site, date, prepared by" in without
    assert "<h1>Loft beam</h1>" in without
    assert without.count("Loft beam") == 3  # also in <title> and at the head of printed pages
    assert sections.CAUTIONS[0] in without


def test_tags_decide_what_the_page_shows():
    """Text and code for the screen stay there; code is shown unless its cell says otherwise."""
    html = composed(
        tagged(new_markdown_cell("for me"), "screen-only"),
        tagged(new_code_cell("secret = 1"), "parameters", "screen-only"),
        tagged(new_code_cell("secret = 2"), "injected-parameters"),
        gave({"text/plain": "3 ft"}, "shown()"),
        gave({"text/plain": "4 ft"}, "hidden()", tags=["remove-input"]),
        tagged(new_code_cell("slider()"), "widget"),
        tagged(new_code_cell("width = 12"), "parameters"),
    ).html

    assert "for me" not in html
    assert "secret" not in html
    assert "slider()" not in html
    assert "hidden()" not in html
    for text in ("shown()", "3 ft", "4 ft", "width = 12"):
        assert text in html


def test_an_unknown_tag_is_refused():
    """A slip of the keyboard would otherwise do nothing without a word."""
    with pytest.raises(InputError, match=r'cell 1: needs a tag of the kit, got "widgets"\. Did yo'):
        composed(tagged(new_code_cell("x"), "widgets"))
    assert len(TAGS) == 4


def test_the_notebook_explains_each_tag():
    """Who copies it reads there what they do."""
    text = nbformat.read(STANDARD, as_version=4).cells[0].source

    assert set(re.findall(r"^\| `([\w-]+)` \|", text, re.M)) == set(TAGS)


def test_formulas_in_text_are_mathml_with_their_source(tmp_path):
    """In line and on a line of their own, with characters that HTML has plans for."""
    html = markdown(
        "So $a < b$ and\n\n$$M = \\frac{w L^2}{8}$$\n\n$\\text{R&D<b>}$", tmp_path, silent
    )

    assert '<math display="inline" alttext="a &lt; b">' in html
    assert '<math display="block" alttext="M = \\frac{w L^2}{8}">' in html
    assert "<mfrac>" in html
    assert "<mtext>R&amp;D&lt;b&gt;</mtext>" in html
    assert "$" not in html


@pytest.mark.parametrize("source", ["$\\frac{$", "$x^$", "$\\notacommand{x}$", "$\\begin{a}x$"])
def test_a_formula_that_cannot_be_read_is_named(source, tmp_path):
    """It stands as it was typed, and the page says so."""
    said = []
    html = markdown(source, tmp_path, said.append)

    assert len(said) == 1
    assert "the formula" in said[0]
    assert source.strip("$").split("{")[0] in html


def test_pictures_stand_in_the_page(tmp_path):
    """From the notebook's folder and from the cell itself, with alternative and caption."""
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "north wall.png").write_bytes(DOT)
    data = base64.b64encode(DOT).decode()
    cell = new_markdown_cell(
        '![Studs at 16 in](photos/north%20wall.png "First > survey")\n\n'
        "![A crack](attachment:crack.png)\n\n<img src='photos/north wall.png' alt='Raw' width=20>"
    )
    cell.attachments = {"crack.png": {"image/png": data}}
    sheet = composed(cell, folder=tmp_path)

    assert sheet.notes == ()
    assert sheet.html.count(f'src="data:image/png;base64,{data}"') == 3
    assert '<figure><img alt="Studs at 16 in"' in sheet.html
    assert "<figcaption>First &gt; survey</figcaption></figure>" in sheet.html
    assert 'alt="A crack"' in sheet.html


@pytest.mark.parametrize(
    "source",
    ["../outside.png", "/etc/hostname", "link.png", "notes.txt", "absent.png", "photos", "%00.png"],
)
def test_no_file_outside_the_folder_of_the_notebook_is_read(source, tmp_path):
    """Nor one that is no picture; its place says that it is missing."""
    folder = tmp_path / "own"
    (folder / "photos").mkdir(parents=True)
    (tmp_path / "outside.png").write_bytes(DOT)
    (folder / "link.png").symlink_to(tmp_path / "outside.png")
    (folder / "notes.txt").write_text("x")
    said = []
    html = markdown(f"![The post](<{source}>)", folder, said.append)

    assert said == ["an image was left out (The post)"]
    assert "[image left out: The post]" in html
    assert "data:" not in html


def test_a_picture_without_a_text_alternative_is_named():
    """In Markdown, in HTML, and as an output of a plotting library."""
    data = base64.b64encode(DOT).decode()
    sheet = composed(
        new_markdown_cell(f"![](data:image/png;base64,{data})"),
        gave({"text/html": f"<img src='data:image/png;base64,{data}'>"}),
        gave({"image/png": data}),
        gave({"image/png": data}, metadata={"image/png": {"alt": "Moment peaks at 9,840 lbf·ft"}}),
    )

    assert [note.partition(":")[0] for note in sheet.notes] == ["cell 1", "cell 2", "cell 3"]
    assert sheet.html.count(f'alt="{NO_ALTERNATIVE}"') == 3
    assert 'alt="Moment peaks at 9,840 lbf·ft"' in sheet.html
    assert "In cell 3: a figure has no text alternative." in sheet.html


def test_a_drawing_in_html_stands_as_an_image():
    """Whole, with its words as text alternative; one that is broken is named, not spelled out."""
    drawing = "<svg viewBox='0 0 9 9'><title>Shear</title><desc>peaks at 4 kip</desc><text>x</text>"
    sheet = composed(
        gave({"text/html": f"<figure>{drawing}</svg><figcaption>V</figcaption></figure>"}),
        gave({"text/html": f"<p>{drawing}<g></svg></p>"}),
        gave({"text/html": f"<p>{drawing}"}),
    )

    (data,) = re.findall(
        r'alt="Shear. peaks at 4 kip" src="data:image/svg\+xml;base64,([^"]*)"', sheet.html
    )
    assert b"<text>x</text></svg>" in base64.b64decode(data)
    assert "<figcaption>V</figcaption></figure>" in sheet.html
    assert sheet.notes == (
        "cell 2: an image was left out (drawing)",
        "cell 3: a drawing that does not end was left out",
    )
    assert "peaks at" not in sheet.html.replace('alt="Shear. peaks at 4 kip"', "")


def test_headings_of_own_text_fit_into_the_page():
    """One first heading, none skipped on the way down, wherever they come from."""
    html = composed(
        new_markdown_cell("# Loft\n\n#### Deep\n\n# Again"),
        gave({"text/html": "<h1>From a library</h1><h5>Below</h5>"}),
        new_markdown_cell("### Third"),
    ).html

    levels = [int(level) for level in re.findall(r"<h([1-6])", html)]
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))
    assert len(re.findall(r"<h\d", html)) == len(re.findall(r"</h\d", html))


def test_values_and_checks_of_own_cells_keep_their_formulas(solved):
    """What a traced value prints passes whole: formula, alternative, source."""
    check = solved.checks[0]
    shown = check.demand._repr_html_() + check._repr_html_()
    html = composed(gave({"text/html": shown})).html

    for alternative in re.findall(r'alttext="[^"]*"', shown):
        assert alternative in html
    assert html.count("<mfrac>") == shown.count("<mfrac>")
    aligned = '<mtd style="text-align:right;'
    assert html.count(aligned) == shown.count(aligned) > 0


CONTROLS = """
import ipywidgets as w
from IPython.display import display
span = w.FloatSlider(value=14, min=8, max=20, description="Span (ft):")
typed = w.FloatText(value=14, description="Span (ft)")
species = w.Dropdown(options=[("hem-fir", 1), ("spruce", 2)], index=1, description="Species")
both = w.FloatRangeSlider(value=(2, 5), min=0, max=9, description="Loaded from to (ft)")
kept = w.Checkbox(value=True, description="Wall above")
go = w.Button(description="Go")
words = w.HTML(value="<b>bold</b><script>alert(1)</script>")
def redraw(L):
    print(f"moment {L**2 / 8:.1f}")
    display({"image/png": DOT, "text/plain": "x"}, raw=True, metadata={"alt": "a figure"})
out = w.interactive_output(redraw, {"L": span})
w.VBox([w.HBox([span, typed]), species, both, kept, go, words, w.Label(value="a < b"), out])
"""


def test_controls_are_printed_as_what_they_are_set_to(tmp_path):
    """No control stands on a sheet: its setting does, and what it brought about."""
    dot = new_code_cell(f'DOT = "{base64.b64encode(DOT).decode()}"')
    made = notebook(tagged(dot, "screen-only"), tagged(new_code_cell(CONTROLS), "widget"))

    run(made, tmp_path, "own.ipynb")
    sheet = compose(made, tmp_path, "own.ipynb")

    rows = re.findall(r'<tr><th scope="row">(.*?)</th><td>(.*?)</td></tr>', sheet.html)
    assert rows == [
        ("Span (ft)", "14"),
        ("Species", "spruce"),
        ("Loaded from to (ft)", "2 to 5"),
        ("Wall above", "yes"),
    ]
    assert "<pre>moment 24.5" in sheet.html
    assert 'alt="a figure"' in sheet.html
    assert "<b>bold</b>" in sheet.html
    assert "a &lt; b" in sheet.html
    assert "Slider" not in sheet.html
    assert "ipywidgets" not in sheet.html
    assert "<script" not in sheet.html


def test_additions_are_told_from_the_standard_sheet():
    """A bar beside them, and at the end the notebook and the hash of its cells as written."""
    cells = [new_markdown_cell("Own words."), shows("loads")]
    html = composed(*cells).html

    assert '<div class="added"><p>Own words.</p>' in html
    assert "computed in the notebook own.ipynb, run by calclib" in html
    assert f"<code>{digest(notebook(*cells))}</code>" in html
    cells[1].outputs = []
    assert digest(notebook(*cells)) in html


def test_two_exports_give_the_same_bytes(tmp_path):
    """No clock and no random id reach the page."""
    source = (
        "from matplotlib import pyplot\nfrom calclib.sheet.notebook import figure\n"
        "drawing, axes = pyplot.subplots()\naxes.plot([1, 2]); axes.fill_between([0, 1], [1, 2])\n"
        "figure(drawing, 'rises from 1 to 2', 'A line')"
    )
    pages = []
    for _ in range(2):
        made = notebook(new_code_cell(source))
        run(made, tmp_path, "own.ipynb")
        pages.append(compose(made, tmp_path, "own.ipynb").html)

    assert pages[0] == pages[1]
    assert pages[0].count("<figure>") == 1
    assert 'alt="rises from 1 to 2"' in pages[0]


def test_a_figure_needs_its_words():
    """There is no figure without a text alternative."""
    with pytest.raises(InputError, match="figure: needs a text alternative, got none"):
        figure(None, " ", "A line")


def test_a_section_shows_itself_in_rich_and_in_plain_form(solved):
    """HTML for JupyterLab, text for a terminal, and for the exporter the job itself."""
    shown = section(solved, "summary")
    bundle = shown._repr_mimebundle_()

    assert dict(sections.standard(solved))["summary"] in bundle["text/html"]
    assert bundle[SECTION]["section"] == "summary"
    assert bundle[SECTION]["job"] == EXAMPLE.read_text(encoding="utf-8")
    assert json.loads(json.dumps(bundle)) == bundle
    assert "Bending of opening beam" in bundle["text/plain"]
    assert "<" not in bundle["text/plain"]
    assert repr(shown) == bundle["text/plain"]


def test_plain_text_of_a_section_has_formulas_and_figures_in_words(solved):
    """By their text alternatives, not letter by letter."""
    html = dict(sections.standard(solved))
    formulas = re.findall(r'alttext="([^"<&]*)"', html["checks"])

    assert formulas
    assert all(formula in text_of(html["checks"]) for formula in formulas)
    assert "lbf·ft" in text_of(html["diagrams"])


def test_a_section_that_does_not_exist_is_refused(solved):
    """With the name that is near."""
    with pytest.raises(LookupMiss, match=r'section: needs a .*, got "sumary"\. Did you mean "summ'):
        section(solved, "sumary")


def test_the_style_of_a_section_reaches_nothing_outside_it():
    """Every rule but the font's stands inside the section's own box."""
    rules = style().removeprefix("<style>").removesuffix("</style>")
    outside, depth = [""], 0
    for c in rules:
        depth += (c == "{") - (c == "}")
        if depth == 0 and c == "}":
            outside.append("")
        elif depth == 0:
            outside[-1] += c
    heads = {head.strip() for head in outside} - {""}

    assert depth == 0
    assert {head for head in heads if not head.startswith(("@font-face", "math"))} == {
        ".calc-sheet.calc-sheet"
    }
    assert "FOOTER" not in rules
    assert "@page" not in rules


def test_clean_leaves_harmless_html_alone():
    """Tables, lists, emphasis, links in the page and to the web."""
    html = (
        '<table><caption>C</caption><thead><tr><th scope="col">A</th></tr></thead><tbody><tr>'
        '<td colspan="2">1</td></tr></tbody></table><ul><li><em>x</em></li></ul>'
        '<p><a href="#check" rel="noopener noreferrer">y</a></p>'
    )

    assert clean(html, lambda source: None, silent) == html
