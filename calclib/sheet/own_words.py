"""Markdown and LaTeX of a notebook as clean HTML and MathML, without a network."""

from __future__ import annotations

import base64
import html
import mimetypes
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import unquote
from xml.etree import ElementTree

from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath

from calclib.sheet.clean import IMAGE_TYPES, Embed, Say, clean


def formula(latex: str, display: str, say: Say) -> str:
    """Return LaTeX math as MathML whose text alternative is the LaTeX itself.

    Parameters
    ----------
    latex : str
        Without its dollar signs.
    display : str
        "inline" or "block".
    say : callable
        Gets a sentence when it cannot be read; its source is shown then.

    Returns
    -------
    str
    """
    from latex2mathml import exceptions
    from latex2mathml.converter import convert_to_element

    named = [kind for kind in vars(exceptions).values() if isinstance(kind, type)]
    unreadable: tuple[type[Exception], ...] = (
        *(kind for kind in named if issubclass(kind, Exception)),
        IndexError,
        KeyError,
        RecursionError,
        ValueError,
    )
    latex = latex.strip()
    try:
        element = convert_to_element(latex, display=display)
    except unreadable as error:
        say(f"the formula {latex!r} cannot be read ({type(error).__name__})")
        return f"<code>{html.escape(latex)}</code>"
    for part in element.iter():
        # Entities come out as text, and text as it was typed.
        part.text = html.unescape(part.text) if part.text else part.text
        if part.text and part.text.startswith("\\"):
            say(f"the formula {latex!r} holds {part.text}, which is not known")
    element.set("alttext", latex)
    return ElementTree.tostring(element, encoding="unicode")


class _Renderer(IPythonRenderer):
    """Markdown with formulas as MathML and with pictures inside."""

    def __init__(self, embed: Embed, say: Say, **options: Any) -> None:
        super().__init__(escape=False, exclude_anchor_links=True, **options)
        self.embed = embed
        self.say = say

    def block_code(self, code: str, info: str | None = None) -> str:
        return f"<pre><code>{html.escape(code)}</code></pre>\n"

    def inline_math(self, body: str) -> str:
        return formula(body, "inline", self.say)

    def block_math(self, body: str) -> str:
        return formula(body, "block", self.say)

    def latex_environment(self, name: str, body: str) -> str:
        return self.block_math(f"\\begin{{{name}}}{body}\\end{{{name}}}")

    def image(self, text: str, url: str, title: str | None = None) -> str:
        found = self.embed(url)
        source = f' src="{html.escape(found)}"' if found else ""
        caption = f"<figcaption>{html.escape(title)}</figcaption>" if title else ""
        return f'<img alt="{html.escape(html.unescape(text))}"{source}>{caption}'

    def paragraph(self, text: str) -> str:
        # A picture alone is a figure; the title of its Markdown is the caption.
        if re.fullmatch(r'\s*<img( \w+="[^"]*")*>(<figcaption>[^<]*</figcaption>)?\s*', text):
            return f"<figure>{text}</figure>\n"
        return str(super().paragraph(re.sub(r"</?figcaption>", " ", text)))


def picture(folder: Path, attachments: Mapping[str, Mapping[str, str]]) -> Embed:
    """Return a function from the address of a picture to a `data:` address that holds it.

    Parameters
    ----------
    folder : Path
        The notebook's folder. Pictures outside it are not read, so that a notebook from elsewhere
        cannot carry off a file of this machine.
    attachments : mapping
        Pictures inside the cell, by name and type, in base64.
    """
    inside = folder.resolve()

    def embed(address: str) -> str | None:
        if address.startswith(tuple(f"data:{kind};base64," for kind in IMAGE_TYPES)):
            return address
        if address.startswith("attachment:"):
            held = attachments.get(unquote(address.partition(":")[2]), {})
            kind = next((kind for kind in IMAGE_TYPES if kind in held), None)
            return None if kind is None else f"data:{kind};base64,{''.join(held[kind].split())}"
        try:
            file = (inside / unquote(address)).resolve()
            kind = mimetypes.guess_type(file.name)[0]
            if kind not in IMAGE_TYPES or not file.is_relative_to(inside):
                return None
            data = base64.b64encode(file.read_bytes()).decode("ascii")
        except (OSError, ValueError):
            return None
        return f"data:{kind};base64,{data}"

    return embed


def markdown(
    source: str, folder: Path, say: Say, attachments: Mapping[str, Mapping[str, str]] | None = None
) -> str:
    """Return Markdown as clean HTML, formulas as MathML, pictures inside it.

    Parameters
    ----------
    source : str
        Text of a Markdown cell; raw HTML in it is cut down to what is harmless.
    folder : Path
        The notebook's folder, in which pictures are looked for.
    say : callable
        Gets a sentence for each thing that a reader of the page would miss.
    attachments : mapping, optional
        Pictures that the cell holds.

    Returns
    -------
    str
    """
    embed = picture(folder, attachments or {})
    rendered = MarkdownWithMath(renderer=_Renderer(embed, say)).render(source)
    return clean(rendered, embed, say)
