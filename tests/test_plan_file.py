"""plan.json: what is written is read back equal in either unit; what is no plan is refused with one line."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from fractions import Fraction as F
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yieldopt.ground.errors import UsageError
from yieldopt.ground.lengths import Units
from yieldopt.records.planfile import FORMAT, dumps, from_json, loads, to_json
from yieldopt.records.sections import Foreign, NotReached
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Offcut, Piece, Plan, Spoiled, Totals, Unplaced

MM = F(10, 254)
texts = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"], codec="utf-8"), min_size=1, max_size=8)
layers = st.integers(1, 4)
states = st.sampled_from(["planned", "done"])


def lengths(units: Units) -> st.SearchStrategy[F]:
    """Lengths that a JSON number holds: 1/64 in in an inch job; in a millimetre job hundredths of one, and 1/64 in too."""
    sixty_fourths = st.integers(-6400, 640_000).map(lambda n: F(n, 64))
    return sixty_fourths if units == "in" else sixty_fourths | st.integers(-10_000, 1_000_000).map(lambda n: F(n, 100) * MM)


@st.composite
def board_plans(draw: st.DrawFn, units: Units) -> BoardPlan:
    """A board's plan with every field filled by something; not one that could be sawn."""
    at = lengths(units)
    size = st.tuples(at, at, at, at)
    money = st.integers(0, 10**8).map(lambda n: F(n, 10**4))
    maybe = st.none() | texts

    def some(what: st.SearchStrategy[Any]) -> tuple[Any, ...]:
        return tuple(draw(st.lists(what, max_size=3)))

    cuts = st.builds(
        Cut,
        st.integers(1, 99),
        st.sampled_from(["rough", "resaw", "final"]),
        st.sampled_from(["crosscut", "rip", "resaw"]),
        at,
        at,
        at,
        at,
        maybe,
        st.none() | layers,
        states,
    )
    blanks = st.builds(
        lambda n, s, k, t, p: Blank(n, *s, k, tuple(t), tuple(p)),
        texts,
        size,
        layers,
        st.lists(at, max_size=3),
        st.lists(texts, max_size=3),
    )
    pieces = st.builds(
        lambda names, s, rest: Piece(*names, *s, *rest),
        st.tuples(texts, texts, texts),
        size,
        st.tuples(
            layers,
            layers,
            at,
            maybe,
            st.none() | layers,
            st.sampled_from([None, "A", "B", "sawn"]),
            st.sampled_from([None, "near", "far"]),
            states,
        ),
    )
    offcuts = st.builds(lambda n, s, a, b, k: Offcut(n, *s, a, b, k), texts, size, layers, layers, st.booleans())
    spoiled = st.builds(lambda n, s, a, b: Spoiled(n, *s, a, b), texts, size, layers, layers)
    return BoardPlan(draw(texts), draw(money), draw(money), some(cuts), some(blanks), some(pieces), some(offcuts), some(spoiled))


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """A plan with every field filled."""
    units: Units = draw(st.sampled_from(["in", "mm"]))
    maybe = st.none() | st.floats(0, 1e6)
    totals = Totals(
        draw(st.floats(-1e6, 1e6)),
        draw(maybe),
        draw(maybe),
        draw(st.floats(0, 1)),
        draw(st.integers(0, 9)),
        draw(st.floats(0, 99)),
    )
    boards = tuple(draw(st.lists(board_plans(units), max_size=2)))
    unplaced = tuple(draw(st.lists(st.builds(Unplaced, texts, st.integers(1, 9), texts), max_size=2)))
    said = (Foreign("seed", 7), NotReached(("second choices",)), Foreign("columns", ["a", 1.5]))
    sections = draw(st.permutations(said).map(lambda some: tuple(some[:2])))
    return Plan(draw(texts), units, boards, unplaced, totals, draw(st.integers(1, 9)), sections)


@given(plans())
def test_a_plan_comes_back_equal(plan: Plan) -> None:
    assert loads(dumps(plan)) == plan
    assert from_json(to_json(plan)) == plan


@given(plans())
def test_the_text_is_strict_json_with_the_keys_of_the_reference(plan: Plan) -> None:
    def no_constant(name: str) -> None:
        raise AssertionError(f"{name} is no JSON")

    body = json.loads(dumps(plan), parse_constant=no_constant)
    assert body["format"] == FORMAT == "yieldopt-plan/1"
    assert set(body) - {s.key for s in plan.sections} == {"format", "job", "units", "revision", "boards", "unplaced", "totals"}
    assert set(body["totals"]) == {"net_cost", "bound", "gap", "yield", "boards_cut", "seconds"}
    for board in body["boards"]:
        assert set(board) == {"board", "cost", "credit", "cuts", "blanks", "pieces", "offcuts", "spoiled"}
        for cut in board["cuts"]:
            assert set(cut) == {"order", "stage", "kind", "at", "from", "to", "kerf", "blank", "layer", "state"}
        for piece in board["pieces"]:
            assert set(piece) == {
                "piece",
                "part",
                "blank",
                "x",
                "y",
                "length",
                "width",
                "layer",
                "layers",
                "thickness",
                "set",
                "stave",
                "show",
                "hinge",
                "state",
            }


PIECE = Piece("rail#1", "rail", "a", F(2), F(1, 8), F(27), F(9, 4), 1, 1, F(3, 4))
PLAN = Plan(
    "shelf",
    "in",
    (
        BoardPlan(
            "B1",
            F(31),
            F("1.7982"),
            (Cut(1, "rough", "crosscut", F(2), F(0), F(8), F(1, 8)),),
            (Blank("a", F(2), F(1, 8), F(27), F(9, 4), 1, (F(3, 4),), ("rail#1",)),),
            (PIECE,),
            (Offcut("o", F(30), F(0), F(20), F(4)),),
        ),
    ),
    (Unplaced("back", 1, "no board is quartersawn"),),
    Totals(29.2, None, None, 0.4, 1, 0.1),
)


def test_numbers_are_in_the_job_s_units() -> None:
    assert to_json(PLAN)["boards"][0]["pieces"][0]["width"] == 2.25
    assert to_json(replace(PLAN, units="mm"))["boards"][0]["pieces"][0]["width"] == 57.15
    assert '"x": 2,' in dumps(PLAN)


def test_what_another_tool_leaves_out_has_its_usual_value() -> None:
    body = to_json(PLAN)
    board = body["boards"][0]
    for key in ("cuts", "offcuts", "spoiled", "credit"):
        del board[key]
    for key in ("state", "set", "stave", "show", "hinge"):
        del board["pieces"][0][key]
    del body["revision"]
    read = from_json(body)
    assert read.boards[0] == replace(PLAN.boards[0], cuts=(), offcuts=(), credit=F(0))
    assert read.revision == 1


def _set(path: str, value: Any) -> dict[str, Any]:
    body = copy.deepcopy(to_json(PLAN))
    *way, last = path.split("/")
    target: Any = body
    for step in way:
        target = target[int(step) if step.isdigit() else step]
    target[int(last) if last.isdigit() else last] = value
    return body


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("format", "yieldopt-plan/2"),
        ("units", "ft"),
        ("boards", None),
        ("boards", 3),
        ("totals", []),
        ("unplaced", {"part": 1}),
        ("boards/0/pieces/0/x", "2"),
        ("boards/0/pieces/0/x", None),
        ("boards/0/pieces/0/x", True),
        ("boards/0/pieces/0/x", float("nan")),
        ("boards/0/pieces/0/x", float("inf")),
        ("boards/0/cuts/0/order", float("inf")),
        ("boards/0/cuts/0/order", "first"),
        ("boards/0/cost", "dear"),
        ("boards/0/cost", float("inf")),
        ("boards/0/blanks/0/thicknesses", 1),
        ("boards/0/pieces", None),
        ("boards/0", "B1"),
        ("totals/net_cost", None),
    ],
)
def test_what_is_no_plan_is_a_usage_error(path: str, value: Any) -> None:
    with pytest.raises(UsageError, match=r"^(not a plan: expected|the plan can't be read: )"):
        from_json(_set(path, value))


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "null", "3", '"plan"', "{} {}", "[" * 100_000, '{"a": ' + "9" * 5000 + "}", "\0"]
)
def test_text_that_is_no_plan_is_a_usage_error(text: str) -> None:
    with pytest.raises(UsageError, match=r"^(not a plan: expected|the plan is not valid JSON: )"):
        loads(text)


@given(
    path=st.sampled_from(["x", "y", "length", "layer", "thickness", "piece", "blank"]),
    value=st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5) | st.lists(st.integers(), max_size=2),
)
def test_any_value_gives_a_plan_or_a_usage_error(path: str, value: Any) -> None:
    try:
        read = from_json(_set(f"boards/0/pieces/0/{path}", value))
    except UsageError:
        return
    assert read.job == "shelf"


def test_completeness_and_pieces() -> None:
    assert not PLAN.complete
    assert replace(PLAN, unplaced=()).complete
    assert [(b.board, q.piece) for b, q in PLAN.pieces()] == [("B1", "rail#1")]
