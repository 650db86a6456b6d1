"""What is chalked on the wood goes on meaning what it meant: names over chains of re-plans. Invented data."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path
from random import Random

import pytest
from happenings import a_surprise, some_lines, told_or_not
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import layout
from strategies import jobs

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.ground.files import write_all_atomically
from yieldopt.planning import plan_job
from yieldopt.reading.writing import job_files
from yieldopt.records.planfile import dumps, loads
from yieldopt.replanning.again import LEAST, replan
from yieldopt.replanning.givenup import given_up, giving_up
from yieldopt.replanning.lasting import with_lasting_names
from yieldopt.replanning.relabel import with_lasting_labels
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Board, Defect, Job, Part
from yieldopt.wood.plan import BoardPlan, Cut, Plan

# Lines are dear, so that what is not hit stays.
KEEP = ("--mark-price", "100")
LONG = os.environ.get("YIELDOPT_TESTS") == "long"


def blank_places(entry: BoardPlan) -> dict[tuple[object, ...], str]:
    return {(b.x, b.y, b.length, b.width, b.layers, b.thicknesses): b.blank for b in entry.blanks}


def lines(entry: BoardPlan) -> dict[tuple[object, ...], Cut]:
    """Rough cuts by their line."""
    return {(c.kind, c.at, c.start, c.end): c for c in entry.cuts if c.stage == "rough"}


def crossed_first(cut: Cut, entry: BoardPlan, late: set[int]) -> bool:
    """Does the cut end at one of the other direction that is made late, or is it one of those that have to wait for the
    strip of a stress test?"""
    if entry.stress_strip is not None and {c.order for c in entry.stress_strip.cuts(entry.cuts)} & late:
        return True
    return any(
        c.order in late and c.stage == "rough" and c.kind != cut.kind and c.start <= cut.at <= c.end and c.order < cut.order
        for c in entry.cuts
    )


def names(plan: Plan) -> dict[str, set[object]]:
    """By board all that its sheet calls something."""
    return {
        b.board: {*(k.blank for k in b.blanks), *(c.order for c in b.cuts), *(o.offcut for o in b.offcuts)} for b in plan.boards
    }


class Chalk:
    """What was ever written, and what of it has been given up."""

    def __init__(self, plan: Plan) -> None:
        self.plan, self.gone = plan, {b.board: set[object]() for b in plan.boards}

    def next(self, plan: Plan) -> None:
        before, after = {b.board: b for b in self.plan.boards}, {b.board: b for b in plan.boards}
        now = names(plan)
        for board, mine in now.items():
            assert not mine & self.gone.get(board, set()), (board, "a name that was given up means something again")
        for board, had in names(self.plan).items():
            self.gone.setdefault(board, set()).update(had - now.get(board, set()))
        for board, entry in after.items():
            old = before.get(board)
            if old is None:
                continue
            was, new = blank_places(old), blank_places(entry)
            assert {place: new[place] for place in new if place in was} == {place: was[place] for place in new if place in was}
            self.cuts(old, entry)
        self.pieces(plan)
        self.plan = plan

    def cuts(self, old: BoardPlan, entry: BoardPlan) -> None:
        was, new = lines(old), lines(entry)
        top = max((c.order for c in old.cuts), default=0)
        fresh = {c.order for place, c in new.items() if place not in was}
        assert all(n > top or n in {c.order for c in old.cuts} for n in fresh)
        for place in new.keys() & was.keys():
            if new[place].order != was[place].order:
                late = {c.order for c in entry.cuts if c.order > top}
                assert new[place].order > top, "it took the number of another"
                assert crossed_first(new[place], entry, late), (entry.board, was[place], new[place])

    def pieces(self, plan: Plan) -> None:
        """One that lies where one of its part lay has its name, unless its glue-up lies otherwise or a pin or the parts list
        says another."""
        lay = {(b.board, p.part, p.x, p.y, p.layer, p.layers, p.length, p.width): p for b, p in self.plan.pieces()}
        moved = [
            (was.piece, p.piece)
            for b, p in plan.pieces()
            if (was := lay.get((b.board, p.part, p.x, p.y, p.layer, p.layers, p.length, p.width)))
            and was.piece != p.piece
            and p.stave is None
        ]
        self.moved = moved


def follow(job: Job, rng: Random, steps: int, seconds: float) -> None:
    plan = loads(dumps(plan_job(job, seconds=0.3, seed=1).plan))
    chalk = Chalk(plan)
    for _ in range(steps):
        surprise = told_or_not(job, plan, some_lines(rng, job, plan), a_surprise(rng, job, plan))
        result = replan(job, plan, surprise, seconds=seconds, mark_price=rng.choice((0.0, 0.5)))
        job, plan = result.job, loads(dumps(result.plan))
        assert [str(f) for f in check(job, plan)] == []
        chalk.next(plan)
        if result.ways:
            # The least change is always among the ways shown, and one of them is taken.
            assert (result.ways[0].what, sum(w.taken for w in result.ways)) == (LEAST, 1)
        if not result.renamed and surprise.parts is None and not job.pins:
            assert chalk.moved == []


@settings(max_examples=6)
@given(jobs(most_boards=3, most_rows=4), st.integers(0, 2**32))
def test_over_a_chain_of_re_plans(job: Job, seed: int) -> None:
    follow(job, Random(seed), 4, 0.2)


@pytest.mark.long
@settings(max_examples=200 if LONG else 60, derandomize=False)
@given(jobs(most_boards=6, most_rows=6), st.integers(0, 2**32))
def test_over_long_chains_of_re_plans(job: Job, seed: int) -> None:
    follow(job, Random(seed), 8, 0.5)


def strangely_named(entry: BoardPlan, rng: Random) -> BoardPlan:
    """The same layout under other names, as a planner that knows no earlier plan gives them."""
    letters = [b.blank for b in entry.blanks]
    names = dict(zip(letters, rng.sample(letters, len(letters)), strict=True))
    offcuts = [o.offcut for o in entry.offcuts]
    shift = rng.randint(1, 30)
    return replace(
        entry,
        cuts=tuple(replace(c, order=c.order + shift, blank=names.get(c.blank or "", c.blank)) for c in entry.cuts),
        blanks=tuple(replace(b, blank=names[b.blank]) for b in entry.blanks),
        pieces=tuple(replace(p, blank=names[p.blank]) for p in entry.pieces),
        offcuts=tuple(
            replace(o, offcut=n) for o, n in zip(entry.offcuts, rng.sample(offcuts, len(offcuts)), strict=True)
        ),
    )


@settings(max_examples=500 if LONG else 25)
@given(jobs(), st.integers(0, 9), st.integers(0, 2**32))
def test_a_layout_found_again_has_its_old_names(job: Job, seed: int, shuffle: int) -> None:
    """Letters swapped, cuts renumbered, nothing moved: so a planner gives them that starts afresh."""
    plan, rng = layout(job, seed), Random(shuffle)
    anew = [strangely_named(b, rng) for b in plan.boards]
    assert with_lasting_names(job, plan, anew) == list(plan.boards)


@settings(max_examples=500 if LONG else 25)
@given(jobs(), st.integers(0, 9), st.integers(0, 2**32))
def test_pieces_found_again_have_their_old_labels(job: Job, seed: int, shuffle: int) -> None:
    """Pieces of one part in each other's places, which are alike."""
    job = replace(job, pins=())
    plan, rng = layout(job, seed), Random(shuffle)
    alone = [p.piece for _, p in plan.pieces() if job.part_named[p.part].match is None and p.stave is None]
    by_part: dict[str, list[str]] = {}
    for n in alone:
        by_part.setdefault(n[: n.rfind("#")], []).append(n)
    names = {a: b for mine in by_part.values() for a, b in zip(mine, rng.sample(mine, len(mine)), strict=True)}
    anew = [
        replace(
            e,
            pieces=tuple(replace(p, piece=names.get(p.piece, p.piece)) for p in e.pieces),
            blanks=tuple(replace(b, pieces=tuple(names.get(n, n) for n in b.pieces)) for b in e.blanks),
        )
        for e in plan.boards
    ]
    assert with_lasting_labels(job, plan, anew) == list(plan.boards)


def rails() -> Job:
    """Five rails, two to a board, on three boards of ash."""
    rail = Part("rail", 5, "ash", F(3, 4), F(5), F(19))
    boards = tuple(Board(f"A{k}", "ash", "4/4", F(1), F(72), F(13, 2), F(1), cost=F(20)) for k in (1, 2, 3))
    return Job("rails", "in", (rail,), boards)


def test_given_up_letters_and_numbers_are_never_used_again() -> None:
    """A worm hole in one piece after the other: its blank moves along the board or to another. The plan's file remembers all
    that was ever called anything."""
    job, plan = rails(), plan_job(rails(), steps=4).plan
    gone: set[str] = set()
    for _ in range(4):
        entry, piece = next(iter(plan.pieces()))
        hole = Defect("worm", "both", piece.x + piece.length - 3, piece.y + 2, F(1, 4), F(1, 4))
        result = replan(job, plan, Surprise(found={entry.board: (hole,)}), seconds=0.3, mark_price=100)
        before = {b.blank for e in plan.boards for b in e.blanks}
        job, plan = result.job, loads(dumps(result.plan))
        now = {b.blank for e in plan.boards for b in e.blanks}
        assert before - now
        gone |= before - now
        assert not now & gone
        assert {n for names in given_up(plan).values() for n in names.blanks} == gone
    assert len(gone) >= 4


def test_a_board_that_comes_back_has_new_names() -> None:
    """Not cut in one revision, cut again in the next: what was chalked on it first means nothing any more."""
    job = rails()
    first = plan_job(job, steps=4).plan
    without = giving_up(first, replace(first, boards=first.boards[1:]))
    back = replace(first.boards[0])
    (named, *_) = with_lasting_names(job, without, [back])
    assert not {b.blank for b in named.blanks} & {b.blank for b in back.blanks}
    assert min(c.order for c in named.cuts) > max(c.order for c in back.cuts)
    assert check(job, replace(without, boards=(named, *first.boards[1:]), unplaced=first.unplaced), without) == ()


def test_the_check_holds_it_against_the_plan_before() -> None:
    job, plan = rails(), plan_job(rails(), steps=4).plan
    entry = next(b for b in plan.boards if len(b.blanks) > 1)
    one, other = entry.blanks[0].blank, entry.blanks[1].blank
    swap = {one: other, other: one}
    blanks = tuple(replace(b, blank=swap.get(b.blank, b.blank)) for b in entry.blanks)
    pieces = tuple(replace(p, blank=swap.get(p.blank, p.blank)) for p in entry.pieces)
    cuts = tuple(replace(c, blank=swap.get(c.blank or "", c.blank)) for c in entry.cuts)
    swapped = replace(entry, blanks=blanks, pieces=pieces, cuts=cuts)
    new = replace(plan, boards=tuple(swapped if b is entry else b for b in plan.boards))
    assert check(job, new) == ()
    assert {f.code for f in check(job, new, plan)} == {117}


def folder_of(path: Path, job: Job, plan: Plan) -> Path:
    write_all_atomically(path, {"plan.json": dumps(plan), **{f"job/{n}": text for n, text in job_files(job).items()}})
    return path / "plan.json"


def test_what_is_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Which names are no more, which are new, and the ways that there were, the least change first."""
    job, plan = rails(), plan_job(rails(), steps=4).plan
    path = folder_of(tmp_path / "one", job, plan)
    piece = plan.boards[0].pieces[0]
    at = f"{float(piece.x + 5)}, {float(piece.y + 1)}, 1/2 x 1/2"
    line = f"board {plan.boards[0].board}: split at {at}"
    assert main(["replan", str(path), "--happened", line, "--out", str(tmp_path / "two"), "--seconds", "1", *KEEP]) == 0
    said = capsys.readouterr().out
    assert f"no more: {piece.blank}" in said
    new = loads((tmp_path / "two" / "plan.json").read_text())
    fresh = {b.blank for e in new.boards for b in e.blanks} - {b.blank for e in plan.boards for b in e.blanks}
    assert fresh
    told = [s for s in said.splitlines() if s.startswith("sheet ")]
    assert all(any(n in s.split("; new: ")[-1] or s.startswith(f"sheet {n[:2]}: new") for s in told) for n in fresh)
    ways = said.split("ways on:\n")[1].splitlines()
    assert ways[0].startswith("  only what is lost planned again: ")
    assert sum("this one is taken" in w for w in ways) == 1
    assert main(["check", str(tmp_path / "two" / "plan.json")]) == 0


def test_check_reads_the_plan_before(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A hand that swaps two letters in the file of a re-plan is found out by the plan before, which lies in `earlier`."""
    job, plan = rails(), plan_job(rails(), steps=4).plan
    path = folder_of(tmp_path / "one", job, plan)
    lost = plan.boards[-1].pieces[0].piece
    asked = ["replan", str(path), "--happened", f"{lost}: spoiled", "--out", str(tmp_path / "two"), "--seconds", "1"]
    assert main(asked) == 0
    two = tmp_path / "two" / "plan.json"
    body = json.loads(two.read_text())
    entry = next(b for b in body["boards"] if len(b["blanks"]) > 1)
    a, b = (k["blank"] for k in entry["blanks"][:2])
    for thing in (*entry["blanks"], *entry["pieces"], *entry["cuts"]):
        thing["blank"] = {a: b, b: a}.get(thing["blank"], thing["blank"])
    two.write_text(json.dumps(body))
    capsys.readouterr()
    assert main(["check", str(two)]) == 1
    assert f"[117] {entry['board']}: blank {a}" in capsys.readouterr().out


def test_a_show_face_that_flips_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One clear face is wanted, and a knot comes up on the one that was to show: the piece stays where it is and shows the
    other."""
    job = replace(rails(), parts=(Part("rail", 1, "ash", F(3, 4), F(5), F(19), faces=1),))
    plan = plan_job(job, steps=4).plan
    ((entry, piece),) = plan.pieces()
    path = folder_of(tmp_path / "one", job, plan)
    line = f"{piece.piece}: knot on {piece.show} at 4, 2, 1 x 1"
    assert main(["replan", str(path), "--happened", line, "--out", str(tmp_path / "two"), "--seconds", "1"]) == 0
    now = {"A": "B", "B": "A"}[piece.show or ""]
    told = f"TURNED: rail#1 on {entry.board} shows face {now} now, no longer {piece.show}: mark its show face again"
    assert told in capsys.readouterr().out
