"""A JupyterLab of its own for the browser tests: own folders, no news, no network of its own."""

import json
import os
import secrets
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlunsplit

ROOT = Path(__file__).parents[1]
START, STOP = 60.0, 10.0

# The toast that asks whether news may be fetched covers a corner of the page.
SETTINGS = {
    "@jupyterlab/apputils-extension:notification": {
        "fetchNews": "false",
        "checkForUpdates": False,
        "doNotDisturbMode": True,
    },
    "@jupyterlab/docmanager-extension:plugin": {"autosave": False},
}

# From a key to the painted figure, each time, in `window.calcTimes` [ms].
WATCH_THE_FIGURE = """figure => {
  window.calcTimes = [];
  let pressed = 0;
  document.addEventListener("keydown", event => { pressed = event.timeStamp; }, true);
  new MutationObserver(() => {
    const from = pressed;
    pressed = 0;
    if (from) requestAnimationFrame(() => {
      const painted = new MessageChannel();
      painted.port1.onmessage = () => window.calcTimes.push(performance.now() - from);
      painted.port2.postMessage(0);
    });
  }).observe(figure, { childList: true, subtree: true });
}"""

# A proxy of the environment is not for this machine's own addresses.
STRAIGHT = urllib.request.build_opener(urllib.request.ProxyHandler({}))


@dataclass(frozen=True)
class Lab:
    """A running JupyterLab.

    Attributes
    ----------
    address, token : str
    folder : Path
        What it shows: a copy of notebooks and examples.
    """

    address: str
    token: str
    folder: Path

    def page(self, notebook: str) -> str:
        """Return the address of a notebook, in a workspace of its own."""
        space = secrets.token_hex(4)
        return f"{self.address}/lab/workspaces/{space}/tree/{notebook}?token={self.token}"

    def ask(self, path: str, method: str = "GET") -> Any:
        """Return the answer of the server."""
        asked = urllib.request.Request(
            f"{self.address}/api/{path}",
            method=method,
            headers={"Authorization": f"token {self.token}"},
        )
        with STRAIGHT.open(asked, timeout=5) as answer:
            body = answer.read()
        return json.loads(body) if body else None

    def kernel_of(self, notebook: str) -> dict[str, str] | None:
        """Return the kernel that is bound to a notebook, if there is one."""
        for session in self.ask("sessions"):
            if session["path"] == notebook:
                return session["kernel"]
        return None

    def wait_until_idle(self, notebook: str, seconds: float) -> str:
        """Wait until the kernel of a notebook can work, and return its id.

        Cells that are run before a kernel is bound open a dialog and wait for it.
        """
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            kernel = self.kernel_of(notebook)
            if kernel and kernel["execution_state"] == "idle":
                return kernel["id"]
            time.sleep(0.05)
        raise AssertionError("the notebook's kernel did not become idle")


@contextmanager
def running_lab(folder: Path) -> Iterator[Lab]:
    """Run a JupyterLab in a new folder, and end it with all of its kernels."""
    shown = folder / "shown"
    for name in ("notebooks", "examples"):
        shutil.copytree(ROOT / name, shown / name, ignore=shutil.ignore_patterns(".*"))
    own = {
        "JUPYTER_CONFIG_DIR": "config",
        "JUPYTER_DATA_DIR": "data",
        "JUPYTER_RUNTIME_DIR": "runtime",
        "JUPYTERLAB_SETTINGS_DIR": "settings",
        "JUPYTERLAB_WORKSPACES_DIR": "workspaces",
        "IPYTHONDIR": "ipython",
    }
    for variable, name in own.items():
        (folder / name).mkdir()
        own[variable] = str(folder / name)
    (folder / "config" / "labconfig").mkdir()
    overrides = folder / "config" / "labconfig" / "default_setting_overrides.json"
    overrides.write_text(json.dumps(SETTINGS), encoding="utf-8")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    lab = Lab(urlunsplit(("http", f"127.0.0.1:{port}", "", "", "")), secrets.token_hex(16), shown)
    command = [
        *(sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root"),
        *("--ServerApp.ip=127.0.0.1", f"--ServerApp.port={port}", "--ServerApp.port_retries=0"),
        f"--ServerApp.root_dir={shown}",
        f"--IdentityProvider.token={lab.token}",
        "--LabApp.news_url=None",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly",
    ]
    with (folder / "log.txt").open("wb") as log:
        server = subprocess.Popen(
            command, cwd=shown, env=os.environ | own, stdout=log, stderr=subprocess.STDOUT
        )
        try:
            _wait_for(lab, server, folder / "log.txt")
            yield lab
        finally:
            _stop(lab, server)


def _wait_for(lab: Lab, server: subprocess.Popen[bytes], log: Path) -> None:
    end = time.monotonic() + START
    while time.monotonic() < end:
        try:
            lab.ask("status")
            return
        except OSError:
            assert server.poll() is None, log.read_text(encoding="utf-8", errors="replace")
            time.sleep(0.1)
    raise AssertionError(f"JupyterLab did not start in {START:.0f} s: {log.read_text('utf-8')}")


def _stop(lab: Lab, server: subprocess.Popen[bytes]) -> None:
    try:
        # The server ends its kernels before itself.
        lab.ask("shutdown", "POST")
        server.wait(STOP)
    except (OSError, subprocess.TimeoutExpired):
        server.kill()
        server.wait(STOP)
