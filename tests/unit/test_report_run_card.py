import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from brazesoak.answer import Caution, Ceiling, Plan, Window
from brazesoak.report.format import sentence
from brazesoak.report.run_card import run_card_html
from brazesoak.report.text import plan_text
from brazesoak.report.wording import DEFERRAL

from .fake_plan import make_crowded_plan, make_plan


class Reader(HTMLParser):
    """Collects text and tags, and checks that every tag is closed."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text += data


def read(html: str) -> Reader:
    reader = Reader()
    reader.feed(html)
    reader.text = " ".join(reader.text.split())
    return reader


@pytest.fixture(scope="module")
def card() -> str:
    return run_card_html(make_plan())


def test_is_whole_html_with_one_figure(card: str) -> None:
    reader = read(card)
    assert reader.open == []
    assert reader.tags.count("svg") == 1


@pytest.mark.parametrize("plan", [make_plan(), make_crowded_plan()], ids=["plain", "crowded"])
def test_nothing_is_fetched_and_nothing_runs(plan: Plan) -> None:
    html = run_card_html(plan)
    assert not set(read(html).tags) & {"script", "link", "img", "iframe", "object", "embed", "base"}
    assert re.findall(r"(?:src|href)\s*=\s*[\"'](?!#)", html) == []
    assert "@import" not in html
    assert set(re.findall(r"url\(([^)]{1,8})", html)) - set(re.findall(r"url\((#[^)]{1,7})", html)) == set()


def test_says_what_to_set(card: str) -> None:
    text = read(card).text
    for part in ("730 °C", "1346 °F", "37 min", "725 °C", "8 °C/min", "520 °C", "1 h 3 min"):
        assert part in text, part


@pytest.mark.parametrize("plan", [make_plan(), make_crowded_plan()], ids=["plain", "crowded"])
def test_no_warning_and_no_caution_is_lost(plan: Plan) -> None:
    text = read(run_card_html(plan)).text
    for notice in plan.warnings:
        assert text.count(notice.message) >= len(plan.warnings)
        assert notice.action in text
    for caution in plan.cautions:
        assert caution.text in text
    assert DEFERRAL in text


def test_text_of_the_user_is_escaped() -> None:
    html = run_card_html(replace(make_plan(), title='<script>alert("x")</script> & sons'))
    assert "<script>" not in html
    assert "&lt;script&gt;" in html


def test_more_to_say_makes_smaller_type_not_a_second_page(card: str) -> None:
    crowded = run_card_html(make_crowded_plan())
    sizes = [float(re.search(r"font: ([\d.]+)pt", html)[1]) for html in (card, crowded)]  # type: ignore[index]
    assert sizes[0] > sizes[1]


def test_equal_plans_give_equal_bytes(card: str) -> None:
    assert run_card_html(make_plan()) == card


def test_loaded_hot_the_clock_starts_with_the_door_or_when_the_display_is_back() -> None:
    by_door = read(run_card_html(make_plan(clock_start=0.0, loaded_hot=True))).text
    assert "door shut" in by_door
    assert "Door closed at" in by_door
    assert "first shows this" not in by_door
    back = read(run_card_html(make_plan(loaded_hot=True))).text
    assert "comes back to this" in back
    assert "Display was back at 725 °C at" in back.replace(" ", " ")


def test_no_hold_is_no_number_on_the_card() -> None:
    text = read(run_card_html(make_plan(hold_time=0.0))).text
    assert "none" in text
    assert "0 min from" not in text


def test_filler_is_counted_for_each_copy() -> None:
    assert "for each copy" not in run_card_html(make_plan())
    assert "for each copy" in run_card_html(replace(make_plan(), copies=4))


def test_what_a_hold_supposes_stands_beside_its_minutes() -> None:
    doubt = "if every segment were one temperature throughout: these are not"
    assert f"enough in 95 of 100 heats like this, {doubt}" in run_card_html(make_plan(hold_doubt=doubt))


def test_a_hold_that_breaks_a_limit_says_so_beside_its_minutes() -> None:
    broken = Window(3600.0, 3600.0, (Ceiling("flux", 1800.0, "r", "m", "s"),))
    assert "this breaks a limit, see the warnings" in run_card_html(make_plan(window=broken))
    assert "in a usual heat" not in run_card_html(make_plan(window=broken))
    assert "breaks a limit" not in run_card_html(make_plan())


def test_a_hold_by_the_thermocouple_that_keeps_the_limit_is_told_beside_one_that_breaks_it() -> None:
    place = make_plan().placing
    assert place is not None
    broken = Window(place.end + 60.0, 3600.0, (Ceiling("zinc", place.end + 1.0, "r", "m", "s"),))
    told = "by the thermocouple on the load, 7 min from when it shows 675 °C, it keeps within the limit in a usual heat"
    assert told in run_card_html(make_plan(window=broken)).replace("\N{NO-BREAK SPACE}", " ")
    assert told in " ".join(plan_text(make_plan(window=broken)).split())
    assert "usual heat" not in run_card_html(make_plan(window=broken, hold_doubt="if ..."))


def test_cautions_are_one_line_on_the_card_and_whole_overleaf_with_every_default_and_its_reason() -> None:
    caution = Caution("fire", "Non-combustible floor, extinguisher, fire watch.", "a code", "extinguisher near")
    plan = make_plan(cautions=(caution,))
    text = read(run_card_html(plan)).text
    card, overleaf = text.split("Cautions in full", 1)
    assert "Fire: extinguisher near" in card
    assert "Non-combustible" not in card
    assert "Fire. Non-combustible floor, extinguisher, fire watch. A code." in overleaf
    for item in plan.assumptions:
        assert sentence(item.why) in overleaf
    for driver in plan.drivers:
        assert f"ange of {driver.name}" in overleaf
    assert text.count(DEFERRAL) == 2


def test_a_load_put_into_the_hot_furnace_counts_from_the_door() -> None:
    text = read(run_card_html(make_plan(loaded_hot=True))).text
    assert "expected times after the door closes" in text
    assert "after the start" not in text
