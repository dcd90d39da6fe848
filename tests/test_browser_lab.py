"""The first lesson in a real JupyterLab: sliders moved by hand, figure and text follow."""

import importlib.util
import os
import shutil
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from bare_redraw import bare_redraw
from lab_server import WATCH_THE_FIGURE, Lab, running_lab
from playwright.sync_api import Page, expect

from calclib.lessons import opening_study

# Here, for one line to be printed and not one for each test.
if importlib.util.find_spec("jupyterlab") is None:
    pytest.skip("no JupyterLab here: its tests need the extra `lab`", allow_module_level=True)
if not (shutil.which("chromium") or shutil.which("chromium-browser")):
    pytest.skip("no Chromium on this machine: browser tests need it", allow_module_level=True)

NOTEBOOK = "notebooks/03_where_the_moment_is.ipynb"
JOB = Path(__file__).parents[1] / "examples" / "larkspur_house.toml"

# How often in a row the notebook is opened anew: CALCLIB_LAB_RUNS=20 before a release.
RUNS = int(os.environ.get("CALCLIB_LAB_RUNS", "1"))
KEYS = 15
WAIT = 20_000

EXPLORER = ".jp-OutputArea-output .widget-vbox"
FIGURE = f"{EXPLORER} > .calc-explorer:has(svg)"
RESULTS = f"{EXPLORER} > .calc-explorer:has(table)"

# One JupyterLab serves all tests of this file, so one worker runs them.
pytestmark = pytest.mark.xdist_group("jupyterlab")

CONTRAST = """
selector => {
  const parts = color => color.match(/[\\d.]+/g).slice(0, 3).map(Number);
  const light = color => {
    const [r, g, b] = color.map(part => part / 255)
      .map(part => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05;
  };
  const behind = element => {
    const color = getComputedStyle(element).backgroundColor;
    return /rgba\\(.*, 0\\)/.test(color) ? behind(element.parentElement) : parts(color);
  };
  return [...document.querySelectorAll(selector)].map(element => {
    const style = getComputedStyle(element);
    const paper = behind(element.closest("div"));
    const drawn = element.closest("svg");
    const share = drawn ? Number(style.fillOpacity) : 1;
    const ink = parts(drawn ? style.fill : style.color)
      .map((part, i) => part * share + paper[i] * (1 - share));
    const [one, other] = [light(ink), light(paper)];
    return Math.max(one, other) / Math.min(one, other);
  });
}
"""


@dataclass
class Opened:
    """The notebook in a page, run, and what the page had to say meanwhile."""

    page: Page
    faults: list[str] = field(default_factory=list)

    def control(self, number: int) -> tuple[object, object]:
        """Return the handle of a slider and the entry beside it."""
        row = self.page.locator(f"{EXPLORER} > .widget-hbox").nth(number)
        return row.locator(".noUi-handle"), row.locator("input")

    def seen(self) -> tuple[str, str]:
        """Return the text alternative of the figure and the results."""
        figure = self.page.locator(f"{FIGURE} svg").get_attribute("aria-label")
        return figure, self.page.locator(RESULTS).inner_text()

    def after(self, act: Callable[[], None]) -> tuple[str, str]:
        """Do something, wait until figure and results are other ones, and return them."""
        old = self.seen()
        act()
        self.page.wait_for_function(
            """([figure, results, was]) =>
            document.querySelector(figure + " svg").getAttribute("aria-label") !== was[0] &&
            document.querySelector(results).innerText !== was[1]""",
            arg=[FIGURE, RESULTS, list(old)],
            timeout=WAIT,
        )
        return self.seen()


@pytest.fixture(scope="module")
def lab(browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    with running_lab(tmp_path_factory.mktemp("lab")) as lab:
        yield lab


@pytest.fixture(scope="module", params=range(RUNS))
def opened(lab: Lab, browser, request: pytest.FixtureRequest) -> Iterator[Opened]:
    """The notebook with a fresh kernel, all cells run."""
    page = browser.new_page(viewport={"width": 1300, "height": 1000})
    found = Opened(page)
    page.on("pageerror", lambda error: found.faults.append(str(error)))
    page.on(
        "console",
        lambda said: found.faults.append(said.text) if said.type == "error" else None,
    )
    page.on("request", lambda asked: found.faults.extend(_elsewhere(asked.url, lab)))
    page.goto(lab.page(NOTEBOOK))
    page.locator(".jp-Notebook").wait_for(timeout=WAIT)
    kernel = lab.wait_until_idle(NOTEBOOK, WAIT / 1000)
    choose(page, "Run", "Run All Cells")
    page.locator(f"{FIGURE} svg").wait_for(timeout=WAIT)
    page.locator(f"{RESULTS} table").wait_for(timeout=WAIT)
    yield found
    page.close()
    lab.ask(f"kernels/{kernel}", "DELETE")


def _elsewhere(url: str, lab: Lab) -> list[str]:
    is_own = url.startswith((lab.address, lab.address.replace("http", "ws"), "data:", "blob:"))
    return [] if is_own else [f"asked for {url}"]


def choose(page: Page, menu: str, *items: str) -> None:
    """Open a menu, walk through its submenus, and choose the last item."""
    page.get_by_role("menuitem", name=menu, exact=True).click()
    for item in items:
        page.locator(".lm-Menu-itemLabel").get_by_text(item, exact=True).click()


@pytest.mark.parametrize(("number", "name"), [(0, "clear span"), (1, "tributary width")])
def test_each_slider_moves_by_keyboard(opened: Opened, number: int, name: str):
    """An arrow key is one inch; entry, figure and text follow."""
    handle, entry = opened.control(number)
    first = entry.input_value()

    handle.focus()
    figure, results = opened.after(lambda: opened.page.keyboard.press("ArrowRight"))

    expect(entry).not_to_have_value(first)
    assert f"{name} {entry.input_value()}" in results
    assert "Moment peaks at" in figure
    assert opened.faults == []


@pytest.mark.parametrize("number", [0, 1])
def test_each_slider_moves_by_mouse(opened: Opened, number: int):
    """A drag to the left makes every number smaller."""
    handle, entry = opened.control(number)
    handle.scroll_into_view_if_needed()
    box = handle.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before, typed = float(handle.get_attribute("aria-valuenow")), entry.input_value()

    def drag() -> None:
        opened.page.mouse.move(x, y)
        opened.page.mouse.down()
        opened.page.mouse.move(x - 25, y, steps=5)
        opened.page.mouse.up()

    _, results = opened.after(drag)

    assert float(handle.get_attribute("aria-valuenow")) < before - 0.5
    expect(entry).not_to_have_value(typed)
    assert entry.input_value() in results
    assert opened.faults == []


def test_a_carpenters_dimension_is_typed(opened: Opened):
    """The slider goes where the entry says, between its own steps too."""
    handle, entry = opened.control(0)
    before = handle.get_attribute("aria-valuenow")

    def enter() -> None:
        entry.fill("14'-3 3/8\"")
        entry.press("Enter")

    _, results = opened.after(enter)

    assert "clear span 14 ft 3 3/8 in" in results
    expect(handle).not_to_have_attribute("aria-valuenow", before)
    assert float(handle.get_attribute("aria-valuenow")) == pytest.approx(14.28, abs=0.1)
    assert opened.faults == []


def test_what_cannot_be_read_stays_with_the_reason_beside_it(opened: Opened):
    """Neither the typed text nor the figure is lost, and a right text clears the reason."""
    _, entry = opened.control(0)
    reason = opened.page.locator(".calc-refusal")
    before = opened.seen()

    entry.fill("16 psf")
    entry.press("Enter")
    reason.wait_for(timeout=WAIT)
    said, typed, seen = reason.inner_text(), entry.input_value(), opened.seen()
    entry.fill("15 ft")
    opened.after(lambda: entry.press("Enter"))
    reason.wait_for(state="detached", timeout=WAIT)

    assert said == 'clear span: needs a length, got "16 psf". Write it as "13 ft 2 in".'
    assert typed == "16 psf"
    assert seen == before
    assert opened.faults == []


def test_controls_are_reached_in_order_by_tab(opened: Opened):
    """Slider, its entry, the next slider."""
    (first, entry), (second, _) = opened.control(0), opened.control(1)
    first.focus()

    for element in (entry, second):
        opened.page.keyboard.press("Tab")
        assert element.evaluate("element => element === document.activeElement")


def test_nothing_jumps_when_a_slider_moves(opened: Opened):
    """Every part of the explorer keeps its place and its size, in a wide and a narrow window."""
    handle, _ = opened.control(0)
    parts = opened.page.locator(f"{EXPLORER} > *")
    places: dict[int, set[str]] = {}

    for width in (1300, 760):
        opened.page.set_viewport_size({"width": width, "height": 1000})
        handle.focus()
        for key in ("End", "PageDown", "Home", "PageUp"):
            opened.after(lambda key=key: opened.page.keyboard.press(key))
            shape = parts.evaluate_all(
                "all => JSON.stringify(all.map(e => [e.offsetTop, e.offsetHeight]))"
            )
            places.setdefault(width, set()).add(shape)
    opened.page.set_viewport_size({"width": 1300, "height": 1000})

    assert {width: len(shapes) for width, shapes in places.items()} == {1300: 1, 760: 1}
    assert opened.faults == []


def test_nothing_is_cut_off_in_a_narrow_window(opened: Opened):
    """Words wrap, and what cannot wrap scrolls in a box of its own."""
    parts = f"{EXPLORER} p, {EXPLORER} input, {EXPLORER} .slider, {EXPLORER} .calc-scroll"
    opened.page.set_viewport_size({"width": 700, "height": 1000})

    beyond = opened.page.evaluate(
        """([explorer, parts]) => {
          const edge = document.querySelector(explorer).getBoundingClientRect().right;
          return [...document.querySelectorAll(parts)].map(
            part => part.getBoundingClientRect().right - edge);
        }""",
        [EXPLORER, parts],
    )
    opened.page.set_viewport_size({"width": 1300, "height": 1000})

    assert len(beyond) >= 7
    assert max(beyond) <= 1


def test_the_lesson_reads_without_widgets(opened: Opened):
    """Each cell but that of the sliders has figure, table or text as its output."""
    # A notebook lets go of what is out of sight.
    opened.page.set_viewport_size({"width": 1300, "height": 9000})
    opened.page.locator(".jp-OutputArea-output", has_text="Largest moment").first.wait_for()
    outputs = opened.page.locator(".jp-OutputArea-output").all()
    plain = [output for output in outputs if output.locator(".jupyter-widgets").count() == 0]
    text = "\n".join(output.inner_text() for output in plain)

    assert "Largest moment" in text
    assert "utilization" in text
    pictures = [output.locator("figure img") for output in plain]
    assert [picture.count() for picture in pictures if picture.count()] == [1]
    assert opened.page.locator("figure img").evaluate("image => image.naturalWidth") > 0
    assert "Moment peaks at" in opened.page.locator("figure img").get_attribute("alt")
    assert opened.page.locator(".jp-OutputArea-output[data-mime-type*=error]").count() == 0
    opened.page.set_viewport_size({"width": 1300, "height": 1000})


@pytest.mark.parametrize("theme", ["JupyterLab Dark", "JupyterLab Light"])
def test_figure_and_text_can_be_read_in_both_themes(opened: Opened, theme: str):
    """At least 4.5 to 1 between text and ground, as WCAG 2 asks (1.4.3)."""
    page = opened.page

    choose(page, "Settings", "Theme", theme)
    page.wait_for_function(
        "theme => document.body.dataset.jpThemeName === theme", arg=theme, timeout=WAIT
    )
    ratios = page.evaluate(CONTRAST, f"{FIGURE} text, {RESULTS} td, {RESULTS} p")

    assert len(ratios) > 40
    assert min(ratios) >= 4.5
    assert opened.faults == []


def test_a_new_figure_comes_about_as_fast_as_a_bare_redraw(
    opened: Opened, capsys: pytest.CaptureFixture[str]
):
    """From key to painted figure, against Matplotlib redrawing the same axes in place."""
    handle, _ = opened.control(0)
    page = opened.page
    study = opening_study(JOB)
    redraw = bare_redraw([study.at(span=span) for span in ("13 ft 6 in", "14 ft")])
    redraw(0)
    page.locator(FIGURE).evaluate(WATCH_THE_FIGURE)
    handle.focus()
    redraws = []

    for done in range(KEYS):
        page.keyboard.press("ArrowLeft" if done % 2 else "ArrowRight")
        page.wait_for_function(f"window.calcTimes.length > {done}", timeout=WAIT)
        # In turn, so that what else the machine does weighs on both alike; once to warm up.
        redraw(done)
        start = time.perf_counter()
        redraw(done + 1)
        redraws.append(1000 * (time.perf_counter() - start))
    key, bare = statistics.median(page.evaluate("window.calcTimes")), statistics.median(redraws)

    with capsys.disabled():
        print(f"\nfrom key to figure {key:.0f} ms, bare redraw {bare:.0f} ms: {key / bare:.2f}")
    assert key <= 1.5 * bare
