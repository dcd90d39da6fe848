"""Tables of the sheet, with caption and scopes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from markupsafe import Markup, escape


def table(
    caption: str,
    head: Sequence[str],
    rows: Iterable[Sequence[object]],
    *,
    numeric: Sequence[int] = (),
    kind: str = "",
    below: Mapping[int, object] | None = None,
) -> Markup:
    """Return a table as HTML.

    Parameters
    ----------
    caption : str
    head : sequence of str
    rows : iterable of sequence
        Text is escaped; markup stands as it is.
    numeric : sequence of int
        Columns of numbers.
    kind : str
        Its class.
    below : mapping of int to object, optional
        For some rows a line over all columns that goes on with them.
    """

    # Put together as plain text, each content escaped: of a sheet's time this is a good part.
    def cell(tag: str, place: int, content: object, scope: str = "") -> str:
        css = ' class="n"' if place in numeric else ""
        return f"<{tag}{scope}{css}>{escape(content)}</{tag}>"

    top = "".join([cell("th", place, name, ' scope="col"') for place, name in enumerate(head)])
    lines = []
    for place, row in enumerate(rows):
        first = cell("th", 0, row[0], ' scope="row"')
        rest = "".join([cell("td", i, item) for i, item in enumerate(row[1:], start=1)])
        lines.append(f"<tr>{first}{rest}</tr>")
        if below and place in below:
            wide = f'<td colspan="{len(head)}">{escape(below[place])}</td>'
            lines.append(f'<tr class="below">{wide}</tr>')
    css = f' class="{escape(kind)}"' if kind else ""
    body = "\n".join(lines)
    return Markup(
        f'<div class="wide"><table{css}><caption>{escape(caption)}</caption><thead><tr>{top}</tr>'
        f"</thead><tbody>{body}</tbody></table></div>"
    )
