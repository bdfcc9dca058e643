"""The plain HTML table."""

from __future__ import annotations

from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from threadwright.tables.html import table_html


class _Cells(HTMLParser):
    """Texts of the cells, as a browser would show them."""

    def __init__(self) -> None:
        super().__init__()
        self.cells: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert attrs == []
        self.tags.add(tag)
        if tag in ("td", "th"):
            self.cells.append("")

    def handle_data(self, data: str) -> None:
        self.cells[-1] += data


def test_header_caption_and_an_empty_cell_stand_in_their_places():
    expected = (
        "<table><caption>A &amp; B</caption><thead><tr><th>x</th></tr></thead>"
        "<tbody><tr><td></td></tr><tr><td>0</td></tr></tbody></table>"
    )
    assert expected == table_html([(None,), (0,)], header=["x"], caption="A & B")


_TEXT = st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc"]), max_size=20)


@given(st.lists(st.lists(_TEXT, min_size=1, max_size=3), max_size=4))
def test_every_text_comes_through_as_text_and_none_as_markup(rows):
    parser = _Cells()
    parser.feed(table_html(rows, header=["<b>"]))
    parser.close()
    assert ["<b>", *(cell for row in rows for cell in row)] == parser.cells
    assert parser.tags <= {"table", "thead", "tbody", "tr", "th", "td"}
