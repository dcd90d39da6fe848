"""What every test shares: no test slips away in CI, draws can be repeated, one browser."""

import os
import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# A busy machine is no fault of the code, so no deadline; in CI the same code gives the same result.
settings.register_profile("calclib", deadline=None, derandomize="CALCLIB_LONG" not in os.environ)
settings.load_profile("calclib")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    return refuse_skip(report)


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector):
    report = yield
    return refuse_skip(report)


def refuse_skip(report):
    """Turn a skip into a failure when CALCLIB_NO_SKIP is set."""
    expected_failure = hasattr(report, "wasxfail")
    if report.skipped and not expected_failure and os.environ.get("CALCLIB_NO_SKIP"):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"CALCLIB_NO_SKIP is set, and this was skipped. {reason}"
    return report


@pytest.fixture(scope="session")
def browser() -> Iterator["Browser"]:
    """The system's Chromium, headless; each test opens its own page in it."""
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        pytest.skip("no Chromium on this machine: browser tests need it")
    # Started by root, as in CI, Chromium has no sandbox. Without the rest it calls home.
    quiet = ["--disable-background-networking", "--disable-component-update", "--disable-sync"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--no-first-run", *quiet]
        )
        yield browser
        browser.close()
