"""The exporter: runs a notebook in a fresh kernel and returns it as a calc sheet."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import nbformat
import zmq
from jupyter_client.kernelspec import NATIVE_KERNEL_NAME, KernelSpecManager
from jupyter_client.manager import AsyncKernelManager
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, DeadKernelError
from nbconvert.exporters import Exporter
from nbformat import NotebookNode
from traitlets import List, default

from calclib.errors import InputError, message
from calclib.sheet.compose import Sheet, compose, know_tags


def export(path: str | Path) -> Sheet:
    """Run a notebook in a fresh kernel and return it as a calc sheet.

    Parameters
    ----------
    path : str or Path
        The notebook; its cells run in its folder. The file itself is not changed.

    Returns
    -------
    Sheet
        The same page as `calclib sheet` for a notebook that shows the standard sections and
        nothing else.

    Raises
    ------
    InputError
        For a file that is no notebook, a cell that stops with an error, an unknown tag, sections
        of two jobs or one shown twice.
    """
    path = Path(path)
    return _sheet(opened(path), path.parent, path.name)


def opened(path: Path) -> NotebookNode:
    """Return a notebook as it lies in its file.

    Raises
    ------
    InputError
        For a file that cannot be read or is no notebook.
    """
    try:
        return nbformat.read(path, as_version=4)
    except OSError as error:
        reason = error.strerror or "it cannot be read"
        raise InputError(message(str(path), "a notebook that can be read", reason)) from None
    except (ValueError, KeyError, AttributeError, nbformat.ValidationError) as error:
        raise InputError(
            message(path.name, "a notebook", f"a file that is none ({type(error).__name__})")
        ) from None


class CalcSheetExporter(Exporter):
    """Exports a notebook as a calc sheet, for `jupyter nbconvert --to calcsheet`.

    The notebook is always run, so that no stale number is printed.
    """

    output_mimetype = "text/html"
    export_from_notebook = "Calc sheet"
    # It runs the notebook itself and reads the tags itself.
    default_preprocessors: List[Any] = List([]).tag(config=True)

    @default("file_extension")
    def _file_extension(self) -> str:
        return ".html"

    def from_notebook_node(  # type: ignore[override]
        self, nb: NotebookNode, resources: Any = None, **options: Any
    ) -> tuple[str, dict[str, Any]]:
        """Return the page, and nbconvert's own notes on it."""
        nb, resources = super().from_notebook_node(nb, resources, **options)
        about = resources["metadata"]
        name = f"{about.get('name') or 'notebook'}.ipynb"
        sheet = _sheet(nb, Path(about.get("path") or "."), name)
        for note in sheet.notes:
            self.log.warning("%s: %s", name, note)
        return sheet.html, resources


def _sheet(notebook: NotebookNode, folder: Path, name: str) -> Sheet:
    # Before the cells run, which may take a while.
    know_tags(notebook, name)
    run(notebook, folder, name)
    return compose(notebook, folder, name)


class _Client(NotebookClient):
    """Runs cells with the Python that exports, whatever kernel the file or the user names."""

    def create_kernel_manager(self) -> AsyncKernelManager:
        self.km = AsyncKernelManager(
            kernel_name=NATIVE_KERNEL_NAME, kernel_spec_manager=KernelSpecManager(kernel_dirs=[])
        )
        # Newer kernels warn about a connection that others on the machine could listen to.
        if self.km.has_trait("transport_encryption") and zmq.has("curve"):
            self.km.transport_encryption = "auto"
        return self.km

    async def _async_check_alive(self) -> None:
        # Called each second while a cell runs. Once in some thousand cells the reply waits unseen
        # in the client's socket, and the next message is what wakes it: so one is asked for.
        await super()._async_check_alive()
        if self.kc is not None:
            self.kc.kernel_info()


def run(notebook: NotebookNode, folder: Path, name: str) -> None:
    """Run all cells of a notebook in a fresh kernel, in place.

    Parameters
    ----------
    notebook : NotebookNode
        Gets the outputs.
    folder : Path
        Where its cells run.
    name : str
        What messages call it.

    Raises
    ------
    InputError
        When a cell stops with an error.
    """
    client = _Client(
        notebook, resources={"metadata": {"path": str(folder)}}, record_timing=False, timeout=None
    )
    try:
        client.execute()
    except CellExecutionError as error:
        number = 1 + next(
            index
            for index, cell in enumerate(notebook.cells)
            if any(out.output_type == "error" for out in cell.get("outputs", ()))
        )
        got = f"{error.ename}: {plain_line(error.evalue)}"
        raise InputError(
            message(
                f"{name}, cell {number}",
                "code that runs to its end",
                got,
                "Mend it and export again.",
            )
        ) from None
    except DeadKernelError:
        raise InputError(
            message(name, "a kernel that lives to the end", "one that died on the way")
        ) from None


def plain_line(text: str) -> str:
    """Return the text of an error for a message, each line of it told apart by a space."""
    return re.sub(r"\s+", " ", re.sub(r"\x1b\[[0-9;]*m", "", text)).strip().rstrip(".")
