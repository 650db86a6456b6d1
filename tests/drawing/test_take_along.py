"""The list to take along: first in the packet, one page, with what a buyer asks at the dealer's."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.drawing.page.primitives import Text
from yieldopt.drawing.words import purchasewords as words
from yieldopt.records.study import FORMAT, Either, IfTested
from yieldopt.records.studyfile import from_json
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan, Totals

FIGURE = {"used": 40.0, "luck": 12.0, "surprises": 3.0, "planning": -9.0, "not_settled": 2.0}
LINE: dict[str, Any] = {
    "dealer": "Hand", "species": "white oak", "quarters": "4/4", "grade": "common", "board_feet": 48.0, "boards": 7,
    "money": 268.8,
    "least_width": 6.5, "least_length": 108.0, "share_picked": 0.6, "driver": "top board", "parts_of_the_figure": FIGURE,
    "parts": [{"part": "top board", "pieces": 4}, {"part": "rail", "pieces": 4}],
    "if_short": {"part": "top board", "width": 5.75, "length": 51.0},
    "else_from": {"dealer": "Other", "species": "white oak", "quarters": "5/4", "grade": "common"},
}  # fmt: skip


def _body(lines: int = 1, units: str = "in") -> dict[str, Any]:
    purchase = {
        "board_feet": 48.0 * lines, "cost": 268.8 * lines, "to_pay": 333.5, "chance_asked": 0.95, "chance": 0.96,
        "standard_error": 0.03, "not_settled": 0.02, "draws": 25, "by": "plans", "picked": True, "lines": [LINE] * lines,
        "parts_of_the_figure": FIGURE, "curve": [[20.0, 0.1], [40.0, 0.6], [60.0, 0.97]],
        "accounts": [{"dealer": "Hand", "wood": 268.8, "delivery": 40.0, "tax": 24.7, "total": 333.5}],
        "two_trips": {"first": {"board_feet": 38.0, "cost": 210.0, "chance": 0.5, "boards": {}}, "second_trip_chance": 0.5,
                      "second_board_feet": 9.0, "mean_board_feet": 42.5},
        "budget": {"money": 300.0, "to_pay": 296.0, "board_feet": 42.0, "chance": 0.71,
                   "lines": [{**LINE, "board_feet": 42.0, "boards": 6}]},
        "other_forms": [{"line": LINE, "other": {**LINE, "dealer": "Mill"}, "pack_board_feet": 100.0, "in_use_is_pack": False,
                         "outlay": 268.8, "other_outlay": 410.0}],
        "quick_layouts": {"board_feet": 55.0, "chance": 0.95, "draws": 200, "standard_error": 0.02},
        "confirmed_by_plans": {"draws": 25, "curve": [], "fresh_draws": {"draws": 40, "made": 38, "lacking": 1, "not_known": 1}},
        "rule_of_thumb": {"board_feet": 22.0, "chance": 0.0},
    }  # fmt: skip
    return {
        "format": FORMAT, "job": "table", "units": units,
        "purchase": purchase, "purchase_whole_job": None, "ways": [], "break_even": None,
        "break_even_ratio": None, "missing_wood": [], "rack_has_enough": False, "grades": [], "wide_parts": [], "choice": None,
        "matched_pairs": None, "resaw_pass": None,
    }  # fmt: skip


def _pages(body: dict[str, Any]) -> list[Any]:
    job, plan = Job("table", "in", (), ()), Plan("table", "in", (), (), Totals(0.0, None, None, 0.0, 0, 0.0))
    return draw_packet(job, plan, date="2026-01-01", buying=from_json(body)).pages


def _said(page: Any) -> str:
    return " ".join(m.text for m in page.marks if isinstance(m, Text))


def test_the_list_is_the_first_page_and_one() -> None:
    pages = _pages(_body(8))
    assert [p.kind for p in pages].count("take along") == 1
    assert pages[0].kind == "take along"


def test_what_the_list_says() -> None:
    said = _said(_pages(_body())[0])
    for text in (
        "[ ] [ ] [ ] [ ] [ ] [ ] [ ]", "white oak 4/4", "Hand", "48 bf", "268.80", '6 1/2"', '108"', "4 x top board",
        "About 333.50 in all", "For 300: 42 bf white oak 4/4 common, 6 boards", "enough in 71 %",
        "In two trips: first 38 bf", "loose from Hand about 269", "by the pack from Mill about 410", "loose costs less",
        'at least 5 3/4" by 51"', "white oak 5/4 common, Other", "in 2 % the time was too short to say",
    ):  # fmt: skip
        assert text in said, text


def test_the_list_of_a_metric_job_is_metric() -> None:
    said = _said(_pages(_body(units="mm"))[0])
    assert "0.113 m³" in said
    assert "165 mm" in said
    assert " bf" not in said


def test_a_study_made_before_lists_were_has_none() -> None:
    body = _body()
    del body["purchase"]["accounts"]
    assert _pages(body)[0].kind != "take along"


def test_the_packets_view_shows_what_the_figure_is_made_of() -> None:
    said = " ".join(_said(p) for p in _pages(_body()) if p.kind == "buying")
    for text in ("-9.0", "driven", "On 40 fresh trials", "38 made every part", "1 not settled"):
        assert text in said, text


def test_boxes() -> None:
    assert words.boxes(3).split("] ") == ["[ ", "[ ", "[ ", ""]
    assert words.boxes(40) == "[ ] x 40"


def test_tested_stock_is_hinted_at_where_it_changes_the_answer_by_a_third() -> None:
    told = words.tested_words(IfTested(way="8/4, resawn", unknown=300.0, tested=199.0))
    assert "--tested" in told[0]
    assert not words.tested_words(IfTested(way="8/4, resawn", unknown=300.0, tested=201.0))
    assert not words.tested_words(None)


def test_this_board_or_that_one() -> None:
    rows = [Either(board=name, covers=True, to_pay=pay, taken=True) for name, pay in (("D4", 62.0), ("D7", 58.5))]
    told = words.either_words(rows)
    assert told == ["This board or that one: with D4 62.00 to pay; with D7 58.50 to pay: take D7."]
    rows[0] = replace(rows[0], covers=False)
    assert "D4: found nothing that covers the job" in words.either_words(rows)[0]
