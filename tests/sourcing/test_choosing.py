"""The choice among a dealer's logged boards, held to trying every set."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from by_hand import line, silent, slats

from yieldopt.checking import check
from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import UsageError
from yieldopt.sourcing.choice import choosing, instead
from yieldopt.sourcing.choice.choosing import Chosen, choose
from yieldopt.sourcing.choice.offered import priced, read_offered
from yieldopt.sourcing.ways.buying import plan_parts
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import BoardPlan, Plan, Unplaced
from yieldopt.workers.runner import Runner

# One slat is 22 1/2 in rough: boards of 27, 50, 72, 96 in by 6 give 1, 2, 2 and 4 of them (4 in of trim, kerfs of 1/8 in).
GIVES = {27: 1, 50: 2, 72: 3, 96: 4}


def board(name: str, length: int, cost: float | None, **more: str) -> Board:
    money = None if cost is None else F(cost).limit_denominator(100)
    return Board(name, "oak", "4/4", F(1), F(length), F(6), F(1), cost=money, notes=more)


# Steps of the search for one plan, as in a study that counts them; the clock decides nothing.
STEPS, NO_END = 60, 86_400.0


def chosen(job: Job, boards: Sequence[Board], rack: Plan | None = None) -> Chosen:
    with ThreadPoolExecutor(1) as one, Runner(one, 1, plans=100) as runner:
        return choose(job, priced(boards, job.prices), runner, Deadline(NO_END), 0, silent, rack, STEPS)


def brute_force(qty: int, boards: Sequence[Board]) -> float:
    """Cheapest set by trying all."""
    sets = (c for n in range(len(boards) + 1) for c in itertools.combinations(boards, n))
    return min(float(sum((b.price for b in c), F(0))) for c in sets if sum(GIVES[int(b.length)] for b in c) >= qty)


def test_cheapest_set_and_second_choices() -> None:
    boards = [
        board("D1", 96, 20),
        board("D2", 96, 26),
        board("D3", 50, 9),
        board("D4", 50, 14),
        board("D5", 27, 7),
        board("D6", 72, 15),
    ]
    job = slats(F(3, 4), 7, line("4/4", F(1), 4))
    found = chosen(job, boards)
    assert found.cost == brute_force(7, boards) == 35  # D1 and D6
    assert found.bound == pytest.approx(35)
    assert {o.board.name for o in found.boards} == {"D1", "D6"}
    assert {i.gone for i in found.instead} == {"D1", "D6"}
    for i in found.instead:
        assert i.more is not None
        assert found.cost + i.more == pytest.approx(brute_force(7, [b for b in boards if b.name != i.gone]))
    assert found.plan is not None
    assert not found.plan.unplaced


def test_the_racks_own_boards_cost_nothing_more() -> None:
    job = replace(slats(F(3, 4), 5, line("4/4", F(1), 4)), boards=(board("R1", 96, 99),))
    found = chosen(job, [board("D1", 96, 20), board("D5", 27, 6)])
    assert [o.board.name for o in found.boards] == ["D5"]
    assert found.cost == 6


def test_what_no_set_covers_is_said() -> None:
    found = chosen(slats(F(3, 4), 9, line("4/4", F(1), 4)), [board("D1", 96, 20)])
    assert found.unplaced == (("slat", 5),)
    assert found.plan is None


def test_bundles_count() -> None:
    """A bundle of 40 board feet at 4 costs 160 however little of it is needed; one board elsewhere costs 30."""
    bundled = replace(line("4/4", F(1), 4), dealer="Bundles", bundle_bf=F(40))
    job = slats(F(3, 4), 4, bundled)
    found = chosen(job, [board("D1", 96, None, dealer="Bundles"), board("E1", 96, 30, dealer="Elsewhere")])
    assert [o.board.name for o in found.boards] == ["E1"]
    only = chosen(job, [board("D1", 96, None, dealer="Bundles")])
    assert only.cost == 160
    assert only.bundles == {0: 36.0}


def test_bills_by_the_price_sheet() -> None:
    lines = (replace(line("4/4", F(1), 4), grade="common"), replace(line("4/4", F(1), 9), grade="select"))
    dear, own = priced([board("D1", 96, None, grade="select"), board("D2", 96, 7, grade="select")], lines)
    assert (dear.cost, own.cost) == (36, 7)
    with pytest.raises(UsageError, match="no price for D3"):
        priced([board("D3", 96, None, grade="prime")], lines)


def test_a_bill_is_in_cents() -> None:
    """7 by 96 in is 4 2/3 board feet, at 5 a foot 23.3333."""
    exact = replace(line("4/4", F(1), 5), tally="exact")
    (one,) = priced([replace(board("D1", 96, None), width=F(7))], (exact,))
    assert one.cost == one.board.cost == F("23.33")
    assert one.board_feet == F(14, 3)


def test_offered_boards_are_read(tmp_path: Path) -> None:
    job = slats(F(3, 4), 4, line("4/4", F(1), 4))
    (tmp_path / "boards.csv").write_text("board,species,quarters,length,width,cost,dealer\nD1,oak,4/4,96,6,20,Hand\n")
    assert [(b.name, b.cost, b.notes["dealer"]) for b in read_offered(tmp_path, job)] == [("D1", 20, "Hand")]
    with pytest.raises(UsageError, match="own rack: D1"):
        read_offered(tmp_path, replace(job, boards=(board("D1", 96, 20),)))
    with pytest.raises(UsageError, match="expected a folder"):
        read_offered(tmp_path / "none", job)


def test_what_the_rack_misses_alone_where_the_whole_is_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    """The planner that gets nowhere with the whole job still finds the cheapest boards for what the rack's plan misses."""
    job = replace(slats(F(3, 4), 8, line("4/4", F(1), 4)), boards=(board("B1", 96, 16),))
    rack = replace(plan_parts(job, (replace(job.parts[0], qty=4),), job.boards, 20.0), unplaced=(Unplaced("slat", 4, ""),))
    nowhere, real = replace(rack, boards=(), unplaced=(Unplaced("slat", 8, ""),)), choosing.cheapest
    monkeypatch.setattr(choosing, "cheapest", lambda j, *more: nowhere if j.parts == job.parts else real(j, *more))
    found = chosen(job, [board("D1", 96, 20), board("D2", 96, 18), board("D3", 50, 7)], rack)
    assert {o.board.name for o in found.boards} == {"D2"}
    assert (found.cost, found.bound, found.unplaced) == (18, None, ())
    assert [(i.gone, i.take, i.more) for i in found.instead] == [("D2", ("D1",), 2)]


def test_a_second_choice_by_the_pieces_of_the_gone_board_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a plan of the whole is too much for the time."""
    job, real = slats(F(3, 4), 8, line("4/4", F(1), 4)), instead.cheapest
    tried = []

    def hard(j: Job, *more: object, **named: object) -> Plan:
        plan: Plan = real(j, *more, **named)  # type: ignore[arg-type]
        tried.append(j.parts == job.parts)
        return replace(plan, boards=(), unplaced=(Unplaced("slat", 8, ""),)) if tried[-1] else plan

    monkeypatch.setattr(instead, "cheapest", hard)
    found = chosen(job, [board("D1", 96, 20), board("D2", 96, 18), board("D3", 96, 25)])
    assert any(tried)
    assert [(i.gone, i.without, i.take, i.more) for i in found.instead] == [("D1", (), ("D3",), 5), ("D2", (), ("D3",), 7)]


def test_another_species_is_left_as_it_is() -> None:
    """Only boards of the species of the one that is gone are let go or taken, and only their prices count."""
    oak = line("4/4", F(1), 4)
    job = replace(slats(F(3, 4), 4, oak), prices=(oak, replace(oak, species="ash")))
    job = replace(job, parts=(*job.parts, replace(job.parts[0], name="rail", species="ash")))
    ash = [replace(board(n, 96, cost), species="ash") for n, cost in (("A1", 11), ("A2", 14))]
    found = chosen(job, [board("D1", 96, 20), board("D2", 96, 18), *ash])
    assert {(i.gone, i.take, i.more) for i in found.instead} == {("D2", ("D1",), 2), ("A1", ("A2",), 3)}


def test_a_second_choice_that_is_cheaper_becomes_the_first() -> None:
    """The search ended by the clock on D1 and E1; without E1 it met a cheaper set, D1 stays in both."""
    job = slats(F(3, 4), 8, line("4/4", F(1), 4))
    offered = priced([board("D1", 96, 20), board("E1", 96, 30), board("E2", 96, 25)], job.prices)
    old, new = ((BoardPlan(name, F(1), F(0)),) for name in ("E1", "E2"))
    sets = {
        "D1": instead.Without("D1", "oak", 55.0, ("E1", "E2"), None),
        "E1": instead.Without("E1", "oak", 45.0, ("D1", "E2"), new),
    }
    taken, layouts, now = instead.better(job, offered, offered[:2], {"oak": old}, sets)
    assert [o.board.name for o in taken] == ["D1", "E2"]
    assert layouts == {"oak": new}
    assert now["E2"] == instead.Without("E2", "oak", 50.0, ("D1", "E1"), old)
    assert [(i.gone, i.without, i.take, i.more) for i in instead.told(job, offered, taken, now)] == [
        ("D1", (), ("E1",), 10),
        ("E2", (), ("E1",), 5),
    ]
    assert instead.better(job, offered, taken, layouts, now) == (taken, layouts, now)


def test_what_to_cut_at_home_is_as_it_was_found_where_the_time_is_short(monkeypatch: pytest.MonkeyPatch) -> None:
    job = slats(F(3, 4), 3, line("4/4", F(1), 4))
    monkeypatch.setattr(choosing, "_on_all", lambda *_: None)
    found = chosen(job, [board("D1", 96, 20), board("D2", 96, 18)])
    assert found.plan is not None
    assert [b.board for b in found.plan.boards] == ["D2"]
    assert found.plan.totals.net_cost == 18
    assert not check(found.job, found.plan)
