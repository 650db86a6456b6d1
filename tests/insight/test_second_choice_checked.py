"""Every second choice, taken: the pieces moved there in the plan itself, and the whole check asked."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import layout
from strategies import jobs

from yieldopt.checking import check
from yieldopt.insight.second_choice import Choice, choices_of
from yieldopt.wood.lumber import Board, Defect, Job, Part
from yieldopt.wood.plan import Blank, BoardPlan, Plan


def taken(job: Job, plan: Plan, choice: Choice) -> Plan:
    """The plan with the choice's pieces at their other place, in a blank of their own; its cuts and money as before."""
    names = choice.together or (choice.piece,)
    members = [p for _, p in plan.pieces() if p.piece in names]
    x, y = min(p.x for p in members), min(p.y for p in members)
    layers = {old: new for new, old in enumerate(sorted({p.layer for p in members}), 1)}
    size = (choice.length, choice.width) if len(members) == 1 else None
    moved = tuple(
        replace(
            p,
            blank="second",
            x=choice.x + p.x - x,
            y=choice.y + p.y - y,
            length=size[0] if size else p.length,
            width=size[1] if size else p.width,
            layer=layers[p.layer],
            layers=len(layers),
        )
        for p in members
    )
    m = job.shop.machines
    blank = Blank(
        "second",
        choice.x,
        choice.y,
        max(choice.length, m.min_mill_length),
        max(choice.width, m.min_rip_width),
        len(layers),
        tuple(next(p.thickness for p in moved if p.layer == n) for n in sorted(layers.values())),
        tuple(p.piece for p in moved),
    )
    boards = {bp.board: _without(bp, names, choice) for bp in plan.boards}
    there = boards.get(choice.board, BoardPlan(choice.board, F(0), F(0)))
    boards[choice.board] = replace(there, blanks=(*there.blanks, blank), pieces=(*there.pieces, *moved))
    return replace(plan, boards=tuple(boards.values()))


def _without(bp: BoardPlan, names: tuple[str, ...], choice: Choice) -> BoardPlan:
    pieces = tuple(p for p in bp.pieces if p.piece not in names)
    held = {p.blank for p in pieces} | {p.blank for p in bp.pieces if p.piece not in names}
    blanks = tuple(replace(b, pieces=tuple(n for n in b.pieces if n not in names)) for b in bp.blanks if b.blank in held)
    offcuts = tuple(o for o in bp.offcuts if o.offcut != choice.wood.removeprefix("kept offcut "))
    return replace(bp, pieces=pieces, blanks=blanks, offcuts=offcuts)


# What a piece's new place can breach: where it lies, the machines, sizes, wood, thickness, defects. Cuts and money are not
# made anew here, and a blank that lost one of its layers stands as it was.
def _breaches(job: Job, plan: Plan) -> list[str]:
    return [str(f) for f in check(job, plan) if 200 < f.code < 600 and f.code not in (309, 311)]


def _held(job: Job, plan: Plan) -> int:
    before = set(_breaches(job, plan))
    choices = [c for cs in choices_of(job, plan).values() for c in cs]
    for choice in choices:
        assert set(_breaches(job, taken(job, plan, choice))) <= before, choice
    return len(choices)


@settings(deadline=None)
@given(jobs(pins=False), st.integers(0, 9))
def test_a_second_choice_taken_keeps_every_rule(job: Job, seed: int) -> None:
    plan = layout(job, seed)
    # A board that is not cut, so that there is a choice more often.
    _held(job, replace(plan, boards=plan.boards[1:]))


@pytest.mark.long
@settings(deadline=None, max_examples=3000)
@given(jobs(pins=False), st.integers(0, 99))
def test_many_second_choices_taken_keep_every_rule(job: Job, seed: int) -> None:
    plan = layout(job, seed)
    _held(job, replace(plan, boards=plan.boards[1:]))


@pytest.mark.parametrize("kind", ["loose knot", "split"])
def test_no_second_choice_over_what_a_machine_throws(kind: str) -> None:
    """A part may hold it, no blank may: it can be thrown."""
    part = Part("rail", 1, "ash", F(3, 4), F(3), F(20), 1, allow=frozenset({kind}))
    first = Board("B", "ash", "4/4", F(1), F(40), F(4), F(1), cost=F(10))
    defect = Defect(kind, "both", F(18), F(1), F(2), F(2))
    other = replace(first, name="C", cost=F(12), defects=(defect,))
    clear = replace(other, defects=(replace(defect, x=F(30)),))
    for board, there in ((other, False), (clear, True)):
        job = Job("j", "in", (part,), (first, board))
        plan = layout(replace(job, boards=(first,)))
        assert [bp.board for bp in plan.boards] == ["B"]
        found = [c for cs in choices_of(job, plan).values() for c in cs if c.board == "C"]
        assert bool(found) == there
        assert _held(job, plan) >= there
