"""How answers, records and plans look in a notebook."""

from dataclasses import replace
from html.parser import HTMLParser

import pytest

from project_files import ROOT
from threadwright import Readings, identify
from threadwright.cli import format
from threadwright.job import job_from_tables, plan_job, read_job
from threadwright.notebook import SHOWN, share
from threadwright.record import Answer, OpenSession, Record, parse_record
from threadwright.repair.settle import RepairPlan

TAGS = {"table", "caption", "thead", "tbody", "tr", "th", "td"}
SPITE = "<script>alert('lid')</script>"


class Page(HTMLParser):
    """Tags, and the texts of the rows of all tables, as a browser would show them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: set[str] = set()
        self.rows: list[list[str]] = []
        self.captions: list[str] = []
        self.feed(text)
        self.close()
        assert [] == self.open
        assert self.tags <= TAGS

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert [] == attrs
        self.tags.add(tag)
        self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")
        if tag == "caption":
            self.captions.append("")

    def handle_endtag(self, tag: str) -> None:
        assert tag == self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.open[-1] == "caption":
            self.captions[-1] += data
        else:
            self.rows[-1][-1] += data


def test_an_identification_shows_its_ranking() -> None:
    answer = identify(Readings(major="0.372 in", pitch="20 tpi"))
    page = Page(answer._repr_html_())
    assert ["3/8-20 BSF, probability 0.85, not settled"] == page.captions
    assert ["thread", "probability", "name", "also called"] == page.rows[0]
    assert ["3/8-20 BSF", "0.85", "British Standard Fine", ""] == page.rows[1]
    assert ["any other", "none of these"] == [row[0] for row in page.rows[-2:]]
    shown = sum(one.probability for one in answer.candidates if one.probability >= SHOWN)
    assert share(1 - answer.none_of_these - shown) == page.rows[-2][1]


def test_the_caption_says_whether_it_is_settled_and_whether_anything_fits() -> None:
    settled = identify(Readings(major="4.66 mm", pitch="0.81 mm +- 0.005"))
    assert ["2 BA, probability 0.97"] == Page(settled._repr_html_()).captions
    nothing = identify(Readings(major="9 mm", pitch="3.3 mm"))
    page = Page(nothing._repr_html_())
    assert ["None of the threads in the tables fits (probability >0.99); the nearest"] == page.captions
    assert 4 == len(page.rows)


def test_a_probability_is_written_the_same_everywhere() -> None:
    assert format.share is share


def test_a_record_shows_its_fasteners_and_what_is_not_finished() -> None:
    held = parse_record(
        '[machine]\nname = "press"\n[[fastener]]\nplace = "lid"\nthread = "M8"\nprobability = 0.9\n'
        'notes = "<b>"\n'
        '[[session]]\nplace = "foot"\n',
        name="press.toml",
    )
    page = Page(held._repr_html_())
    assert ["press"] == page.captions
    assert [["lid", "M8x1.25", "0.90", "<b>"], ["foot", "not finished", "", ""]] == page.rows[1:]
    assert ["A machine without a name"] == Page(Record()._repr_html_()).captions


@pytest.fixture(scope="module")
def bracket() -> RepairPlan:
    return plan_job(read_job(ROOT / "samples" / "press-ink-disc-bracket.toml"))


def test_a_plan_shows_the_bush_and_the_ways(bracket: RepairPlan) -> None:
    page = Page(bracket._repr_html_())
    assert "3/8-20 BSF, probability >0.99" == page.captions[0]
    assert "Ways to repair the hole, best first" in page.captions
    leading = bracket.leading
    assert leading is not None
    assert f"Bush for 3/8-20 BSF in {leading.parent}" in page.captions
    assert ["outer thread", leading.bush.outer_thread.designation] in page.rows
    assert ["tapping drill in the bush", f"{leading.bush.inner_tapping_drill_mm:.2f} mm"] in page.rows
    assert len(leading.cautions) == sum(row[0] == "caution" for row in page.rows)


def test_a_plan_for_a_thread_that_is_not_settled_says_what_may_be_cut() -> None:
    tables = {
        "fastener": {"major": "0.372 in", "pitch": "20 tpi"},
        "hole": {"depth": "22 mm", "edge": "30 mm"},
        "parent": {"material": "cast iron"},
    }
    plan = plan_job(job_from_tables(tables, where=lambda section, key: f"{section}.{key}"))
    page = Page(plan._repr_html_())
    cut = {row[0]: row[1:] for row in page.rows if row[0] in [one.name for one in plan.decisions]}
    assert ["NOT SETTLED", "3/8-20 BSF; 3/8-20 UN"] == cut["inner thread of the bush"]
    assert "yes" == cut["length of the bush"][0]


def test_a_bush_that_does_not_fit_says_why() -> None:
    tables = {
        "fastener": {"designation": "M8"}, "hole": {"depth": "25 mm"},
        "parent": {"material": "cast iron", "boss": "14 mm"},
    }  # fmt: skip
    plan = plan_job(job_from_tables(tables, where=lambda section, key: f"{section}.{key}"), keep_refusal=True)
    page = Page(plan._repr_html_())
    assert "M8x1.25, probability 1.00" in page.captions
    assert ["no bush", plan.plans[0].refused_because] in page.rows


def test_no_text_becomes_a_tag(bracket: RepairPlan) -> None:
    leading = bracket.leading
    assert leading is not None
    bush = Page(replace(leading, parent=SPITE, because=SPITE, cautions=(SPITE,))._repr_html_())
    assert [f"Bush for 3/8-20 BSF in {SPITE}"] == bush.captions
    assert ["caution", SPITE] in bush.rows
    session = OpenSession(place=SPITE, answers=(Answer("side", "screw"),))
    assert [SPITE, "not finished", "", ""] in Page(Record(sessions=(session,))._repr_html_()).rows
    answer = identify(Readings(major="8 mm"))
    named = replace(answer, candidates=(replace(answer.candidates[0], designation=SPITE),))
    assert SPITE in Page(named._repr_html_()).rows[1]
    whole = Page(replace(bracket, identification=named)._repr_html_())
    assert SPITE in whole.rows[1]


def test_a_record_of_a_part_with_a_spiteful_name_is_harmless() -> None:
    text = f'[machine]\nname = "{SPITE}"\n[[fastener]]\nplace = "{SPITE}"\nthread = "2 BA"\n'
    held = parse_record(text, name="x.toml")
    page = Page(held._repr_html_())
    assert ([SPITE], [SPITE, "2 BA", "1.00", ""]) == (page.captions, page.rows[1])
