"""The rules that everything else goes by against the check, which words them by itself; and that nobody words them anew."""

from __future__ import annotations

import ast
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

import yieldopt
from yieldopt.checking.alone import check_blank
from yieldopt.checking.finding import Finding
from yieldopt.replanning.hits import show_face
from yieldopt.rules.boards import hindrance, may_come_from
from yieldopt.rules.faces import in_layer, met, shows_fault, spoilt_by, thrown
from yieldopt.wood.lumber import DEFECT_KINDS, Board, Defect, Job, Part, Shop
from yieldopt.wood.plan import Blank, Piece, Show
from yieldopt.wood.shop import Allowances

PACKAGE = Path(yieldopt.__file__).parent
# Eighths, so that what overlaps overlaps by far more than the hair that the check passes over.
eighths = st.integers(0, 24).map(lambda n: F(n, 8))
SHOP = Shop(allowances=Allowances(split_along=F(1), check_along=F(3, 4), pith_across=F(1, 2)))
LENGTH, WIDTH = F(20), F(4)


@st.composite
def defects(draw: st.DrawFn) -> Defect:
    """One in or beside a piece of `LENGTH` by `WIDTH` with its corner at (10, 3)."""
    x, y = 8 + 8 * draw(eighths), 1 + 2 * draw(eighths)
    kind, face = draw(st.sampled_from(sorted(DEFECT_KINDS))), draw(st.sampled_from(["A", "B", "both"]))
    return Defect(kind, face, x, y, F(1, 8) + draw(eighths), F(1, 8) + draw(eighths) / 2)


@st.composite
def lying(draw: st.DrawFn) -> tuple[Job, Board, Part, Blank, Piece]:
    """A piece alone in its blank, in one layer of up to three."""
    part = Part("rail", 1, "oak", F(3, 4), WIDTH - F(1, 4), LENGTH - 1, draw(st.sampled_from([0, 1, 2])),
                draw(st.frozensets(st.sampled_from(sorted(DEFECT_KINDS)), max_size=6)))
    board = Board("B", "oak", "16/4", F(4), F(60), F(12), F(4), defects=tuple(draw(st.lists(defects(), max_size=3))))
    layers = draw(st.integers(1, 3))
    shows: list[Show] = ["A", "B"]
    piece = Piece("rail#1", "rail", "b1", F(10), F(3), LENGTH, WIDTH, draw(st.integers(1, layers)), layers, F(3, 4),
                  show=draw(st.sampled_from(shows)))
    blank = Blank("b1", F(10), F(3), LENGTH, WIDTH, layers, (F(3, 4),) * layers, ("rail#1",))
    return Job("j", "in", (part,), (board,), SHOP), board, part, blank, piece


def breaches(job: Job, board: Board, blank: Blank, piece: Piece) -> tuple[Finding, ...]:
    return check_blank(job, board.name, blank, [piece])


@given(lying())
def test_a_piece_is_spoilt_where_the_check_says_so(case: tuple[Job, Board, Part, Blank, Piece]) -> None:
    job, board, part, blank, piece = case
    spoilt = spoilt_by(part, list(met(part, board.defects, piece, SHOP)))
    event("spoilt" if spoilt else "clear")
    assert bool(spoilt) == bool({501, 502} & {f.code for f in breaches(job, board, blank, piece)})


@given(lying())
def test_some_face_shows_no_fault_where_the_piece_is_not_spoilt(case: tuple[Job, Board, Part, Blank, Piece]) -> None:
    """With one clear face the piece is good with one face up or the other; the face named is a good one."""
    job, board, part, _, piece = case
    here = list(met(part, board.defects, piece, SHOP))
    good = [f for f in ("A", "B") if not any(shows_fault(part, replace(piece, show=f), d) for d in here)]
    assert bool(good) == (not spoilt_by(part, here))
    shown = show_face(job, board, piece, part)
    if good and part.faces == 1 and piece.layers == 1:
        assert shown in good


@given(lying())
def test_what_the_machines_could_throw_is_what_the_check_says(case: tuple[Job, Board, Part, Blank, Piece]) -> None:
    job, board, _, blank, piece = case
    found = thrown(board.defects, blank, SHOP)
    event("thrown" if found else "safe")
    assert found == (310 in {f.code for f in breaches(job, board, blank, piece)})


@given(lying(), st.sampled_from(["oak", "ash"]), st.sampled_from(["any", "flat", "quarter"]),
       st.sampled_from(["", "flat", "quarter"]), st.sampled_from([(), ("B",), ("C",), ("B", "C")]))
def test_a_part_comes_from_the_boards_that_the_check_lets_it_come_from(
    case: tuple[Job, Board, Part, Blank, Piece], species: str, wanted: str, sawn: str, sources: tuple[str, ...]
) -> None:
    job, board, part, blank, piece = case
    part = replace(part, species=species, sawn=wanted, sources=sources)  # type: ignore[arg-type]
    board = replace(board, sawn=sawn)  # type: ignore[arg-type]
    job = replace(job, parts=(part,), boards=(board,))
    wrong = {403, 404, 405} & {f.code for f in breaches(job, board, blank, piece)}
    assert may_come_from(part, board) == (not wrong)
    assert (hindrance(part, board) is None) == (not wrong)


@pytest.mark.parametrize(
    ("face", "layer", "there"), [("A", 1, True), ("A", 2, False), ("B", 2, False), ("B", 3, True), ("both", 2, True)]
)
def test_a_defect_is_in_the_layer_next_to_its_face(face: str, layer: int, there: bool) -> None:
    assert in_layer(Defect("knot", face, F(0), F(0), F(1), F(1)), layer, 3) is there  # type: ignore[arg-type]


# Who may name the sets of kinds: the values themselves, the rules, the check, the grading rules (which count other things),
# and what only lists or draws kinds.
MAY_NAME = {"wood/lumber.py", "rules", "checking", "trade", "web", "rack/show/picture.py"}
SETS = {"SOUND_KINDS", "UNSOUND_KINDS", "THROWN_KINDS", "SWIRL_KINDS"}


def test_no_other_room_words_these_rules_anew() -> None:
    for file in PACKAGE.rglob("*.py"):
        name = file.relative_to(PACKAGE).as_posix()
        if name in MAY_NAME or name.split("/")[0] in MAY_NAME:
            continue
        named = {n.id for n in ast.walk(ast.parse(file.read_text(encoding="utf-8"))) if isinstance(n, ast.Name)} & SETS
        assert not named, f"{name} asks for {named}: that rule stands in rules/"
