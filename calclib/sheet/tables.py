"""Tables of the sheet, with caption and scopes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup


def table(
    caption: str,
    head: Sequence[str],
    rows: Iterable[Sequence[object]],
    *,
    numeric: Sequence[int] = (),
    kind: str = "",
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
    """

    def cell(tag: str, place: int, content: object, scope: str = "") -> Markup:
        css = Markup(' class="n"') if place in numeric else Markup("")
        return Markup("<{}{}{}>{}</{}>").format(
            Markup(tag), Markup(scope), css, content, Markup(tag)
        )

    top = Markup("").join(cell("th", i, name, ' scope="col"') for i, name in enumerate(head))
    lines = []
    for row in rows:
        first = cell("th", 0, row[0], ' scope="row"')
        rest = Markup("").join(cell("td", i + 1, item) for i, item in enumerate(row[1:]))
        lines.append(Markup("<tr>{}{}</tr>").format(first, rest))
    css = Markup(f' class="{kind}"') if kind else Markup("")
    return Markup(
        '<div class="wide"><table{}><caption>{}</caption><thead><tr>{}</tr></thead>'
        "<tbody>{}</tbody></table></div>"
    ).format(css, caption, top, Markup("\n").join(lines))
