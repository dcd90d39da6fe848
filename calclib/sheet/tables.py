"""Tables of the sheet, with caption and scopes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from markupsafe import Markup


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

    def cell(tag: str, place: int, content: object, scope: str = "") -> Markup:
        css = Markup(' class="n"') if place in numeric else Markup("")
        return Markup("<{}{}{}>{}</{}>").format(
            Markup(tag), Markup(scope), css, content, Markup(tag)
        )

    top = Markup("").join(cell("th", i, name, ' scope="col"') for i, name in enumerate(head))
    lines = []
    for place, row in enumerate(rows):
        first = cell("th", 0, row[0], ' scope="row"')
        rest = Markup("").join(cell("td", i + 1, item) for i, item in enumerate(row[1:]))
        lines.append(Markup("<tr>{}{}</tr>").format(first, rest))
        if below and place in below:
            wide = Markup('<tr class="below"><td colspan="{}">{}</td></tr>')
            lines.append(wide.format(len(head), below[place]))
    css = Markup(f' class="{kind}"') if kind else Markup("")
    return Markup(
        '<div class="wide"><table{}><caption>{}</caption><thead><tr>{}</tr></thead>'
        "<tbody>{}</tbody></table></div>"
    ).format(css, caption, top, Markup("\n").join(lines))
