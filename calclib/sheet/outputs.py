"""What the cells of a notebook gave out, as clean HTML: tables, figures, printed text, controls."""

from __future__ import annotations

import base64
import html
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from calclib.sheet.clean import NO_ALTERNATIVE, Say, clean, plain
from calclib.sheet.own_words import markdown, picture

WIDGET = "application/vnd.jupyter.widget-view+json"
WIDGET_STATE = "application/vnd.jupyter.widget-state+json"


@dataclass
class Controls:
    """What the controls under one view are set to, and what they brought about."""

    inputs: dict[tuple[str, str], None] = field(default_factory=dict)
    results: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Printer:
    """Puts outputs on paper.

    Attributes
    ----------
    folder : Path
        The notebook's folder.
    say : callable
        Gets a sentence for each thing that a reader of the page would miss.
    widgets : mapping of str to mapping
        Each control's model by its id.
    """

    folder: Path
    say: Say
    widgets: Mapping[str, Mapping[str, Any]]

    def output(self, output: Mapping[str, Any]) -> str:
        """Return one output as HTML, in the richest form that a page can hold."""
        kind = output["output_type"]
        if kind == "stream":
            return f"<pre>{plain(output['text'])}</pre>"
        if kind == "error":
            return f"<pre>{plain(output['ename'])}: {plain(output['evalue'])}</pre>"
        data, metadata = output["data"], output.get("metadata", {})
        if WIDGET in data:
            return self.view(data[WIDGET]["model_id"])
        for name in ("image/svg+xml", "image/png", "image/jpeg"):
            # A page of HTML made for the reader comes before the picture made for the notebook.
            if name in data and "text/html" not in data:
                return self.image(name, data[name], metadata)
        if "text/html" in data:
            return clean(data["text/html"], picture(self.folder, {}), self.say)
        for name in ("text/markdown", "text/latex"):
            if name in data:
                return markdown(data[name], self.folder, self.say)
        return f"<pre>{plain(data['text/plain'])}</pre>" if "text/plain" in data else ""

    def image(self, kind: str, data: str, metadata: Mapping[str, Any]) -> str:
        """Return an image as data, with the text alternative that came with it."""
        # Jupyter keeps it under the image's type or beside it.
        held = {**metadata, **metadata.get(kind, {})}
        alternative = str(held.get("alt", "")).strip()
        if not alternative:
            self.say("a figure has no text alternative")
        if kind == "image/svg+xml":
            data = base64.b64encode(data.encode()).decode("ascii")
        source = html.escape("".join(data.split()))
        return (
            f'<figure><img alt="{html.escape(alternative or NO_ALTERNATIVE)}" '
            f'src="data:{kind};base64,{source}"></figure>'
        )

    def view(self, model: str) -> str:
        """Return what the controls of a view are set to, and their results; no control itself."""
        found = Controls()
        self._read(model, found)
        if not found.inputs and not found.results:
            self.say("a control is left out that has neither a value nor a result")
        rows = "".join(
            f'<tr><th scope="row">{html.escape(name)}</th><td>{html.escape(value)}</td></tr>'
            for name, value in found.inputs
        )
        table = (
            "<table><caption>Controls of the notebook, as they stood</caption><thead><tr>"
            '<th scope="col">Control</th><th scope="col">Value</th></tr></thead>'
            f"<tbody>{rows}</tbody></table>"
        )
        return (table if rows else "") + "\n".join(found.results)

    def _read(self, model: str, found: Controls) -> None:
        widget = self.widgets.get(model, {})
        state = widget.get("state", {})
        kind = widget.get("model_name", "")
        for child in _children(state):
            self._read(child, found)
        if "outputs" in state:
            found.results += [self.output(output) for output in state["outputs"]]
        elif kind in ("HTMLModel", "HTMLMathModel"):
            found.results.append(
                clean(str(state.get("value", "")), picture(self.folder, {}), self.say)
            )
        elif kind == "LabelModel":
            found.results.append(f"<p>{html.escape(str(state.get('value', '')))}</p>")
        elif (value := _setting(state)) is not None and state.get("description"):
            found.inputs[str(state["description"]).strip(" :"), value] = None


def _children(state: Mapping[str, Any]) -> Iterator[str]:
    for child in state.get("children") or ():
        yield str(child).removeprefix("IPY_MODEL_")


def _setting(state: Mapping[str, Any]) -> str | None:
    """Return what a control is set to, as words; None for what has no setting."""
    labels: Sequence[str] = state.get("_options_labels") or ()
    index = state.get("index")
    if labels:
        chosen = index if isinstance(index, list) else [] if index is None else [index]
        return ", ".join(labels[i] for i in chosen) or "nothing chosen"
    value = state.get("value")
    match value:
        case None:
            return None
        case bool():
            return "yes" if value else "no"
        case float():
            return f"{value:.10g}"
        case [float() | int() as low, float() | int() as high]:
            return f"{low:.10g} to {high:.10g}"
    return str(value)
