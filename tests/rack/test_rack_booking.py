"""Boards booked as cut from a plan: parts, offcuts with their parentage, waste and money; what boards yielded."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from making import KNOT, entry

from yieldopt.cli import main
from yieldopt.rack.board.cutout import Cutout, nominal_text, take
from yieldopt.rack.board.errors import BoardHeld, NameTaken, NoSuchBoard, NotOnRack, Refused
from yieldopt.rack.cut.booking import Corrections, Measured
from yieldopt.rack.door.facade import Rack
from yieldopt.records.planfile import dumps
from yieldopt.wood.lumber import EdgePoint, Part
from yieldopt.wood.plan import Blank, BoardPlan, Offcut, Piece, Plan, Spoiled, Totals

TOTALS = Totals(0.0, None, None, 0.0, 1, 0.0)


def piece(name: str, x: int, length: int, **more: object) -> Piece:
    return Piece(name, name.split("#")[0], "A1-a", F(x), F(0), F(length), F(4), 1, 1, F(3, 4), **more)  # type: ignore[arg-type]


def a_plan(job: str = "sideboard", board: str = "A1") -> Plan:
    """Two rails of 20 by 4 from a blank; a rough offcut 48 by 8 beyond it; one 40 by 4 of milled wood beside the rails."""
    blank = Blank(f"{board}-a", F(0), F(0), F(48), F(8), 1, (F(3, 4),), ("rail#1", "rail#2"))
    offcuts = (
        Offcut(f"{board}-o1", F(48), F(0), F(48), F(8)),
        Offcut(f"{board}-o2", F(0), F(4), F(40), F(4)),
        Offcut("scrap", F(0), F(0), F(1), F(1), kept=False),
    )
    pieces = (piece("rail#1", 0, 20), piece("rail#2", 21, 20))
    return Plan(job, "in", (BoardPlan(board, F(48), F(14), blanks=(blank,), pieces=pieces, offcuts=offcuts),), (), TOTALS)


RAIL = Part("rail", 2, "ash", F(3, 4), F(15, 4), F(19))


def test_a_board_is_booked_with_its_offcuts(rack: Rack) -> None:
    parent = rack.log(entry("A1", cost=F(48), defects=(KNOT, replace(KNOT, x=F(60), face="B")), dealer="Hill", bow=F(1, 2)))
    rack.hold("sideboard", ["A1"])
    cutting = rack.book(a_plan(), parts={"rail": RAIL}, fix=Corrections(place="bin"))[0]
    rough, milled = rack.board("A1-o1"), rack.board("A1-o2")
    # Rough wood keeps its class and its share of the bow, (48/96)^2; the defect moves into its frame.
    assert (rough.board.quarters, rough.board.thickness, rough.board.bow) == ("4/4", 1, F(1, 8))
    assert rough.board.defects == (replace(KNOT, x=F(12), face="B"),)
    # Milled wood is what the planer left, flat, and its class says so.
    assert (milled.board.quarters, milled.board.nominal, milled.board.thickness, milled.board.bow) == ("3/4", F(3, 4), F(3, 4), 0)
    assert milled.board.defects == ()
    assert (rough.dealer, rough.place, rough.origin and rough.origin.parent, rough.origin and rough.origin.x) == (
        "Hill",
        "bin",
        parent.id,
        48,
    )
    # Credit by volume: 48 x 8 x 1 = 384 and 40 x 4 x 3/4 = 120 of 504.
    assert (rough.board.cost, milled.board.cost) == (F(14) * 384 / 504, F(14) * 120 / 504)
    assert (cutting.bought, cutting.kept, cutting.parts) == (768, 504, 2 * 19 * F(15, 4) * F(3, 4))
    assert cutting.waste == 768 - 504 - F(855, 8)
    assert [t.piece for t in rack.taken("A1")] == ["rail#1", "rail#2"]
    gone = rack.board(parent.id)
    assert (gone.state, gone.why) == ("cut", "cut for sideboard")
    assert rack.holds() == {}
    assert [c.name for c in rack.children("A1")] == ["A1-o1", "A1-o2"]
    assert rack.check() == []


def test_what_the_bench_did_otherwise(rack: Rack) -> None:
    rack.log(entry("A1", cost=F(48)))
    fix = Corrections(
        {"A1-o1": Measured(F(47), F(31, 4), F(15, 16))}, {"A1-o1": "A9"}, frozenset({"A1-o2"}), frozenset({"rail#2"})
    )
    cutting = rack.book(a_plan(), parts={"rail": RAIL}, fix=fix)[0]
    kept = rack.board("A9").board
    assert (kept.length, kept.width, kept.thickness) == (47, F(31, 4), F(15, 16))
    assert [r.name for r in rack.boards()] == ["A9"]
    assert [(t.piece, t.kind) for t in cutting.taken] == [("rail#1", "part"), ("rail#2", "spoiled")]
    assert cutting.parts == 19 * F(15, 4) * F(3, 4)
    # What was kept is worth its share of the planned credit, no more.
    assert kept.cost == cutting.credit == F(14) * (47 * F(31, 4)) / 504
    assert cutting.waste == 768 - 47 * F(31, 4) - cutting.parts


def test_layers_of_a_resawn_blank_keep_their_own_defects(rack: Rack) -> None:
    rack.log(entry("A1", defects=(KNOT, replace(KNOT, x=F(20), face="B"), replace(KNOT, x=F(30), face="both"))))
    blank = Blank("A1-a", F(0), F(0), F(96), F(8), 2, (F(3, 8), F(5, 16)), ("side#1",))
    layers = tuple(Offcut(f"L{n}", F(0), F(0), F(48), F(8), n, 2) for n in (1, 2))
    plan = Plan("box", "in", (BoardPlan("A1", F(0), F(0), blanks=(blank,), offcuts=layers),), (), TOTALS)
    rack.book(plan)
    assert [d.x for d in rack.board("L1").board.defects] == [15, 30]
    assert [d.x for d in rack.board("L2").board.defects] == [20, 30]
    assert (rack.board("L1").board.quarters, rack.board("L2").board.quarters) == ("9.525mm", "7.9375mm")


@pytest.mark.parametrize("thickness", [F(3, 4), F(5, 8), F(2), F(1, 3), F(52 * 10, 254)])
def test_a_milled_thickness_is_a_class_that_reads_back_exactly(thickness: F) -> None:
    from yieldopt.reading.fields import Fields

    problems: list[object] = []
    assert Fields("x", 1, {"quarters": nominal_text(thickness)}, "mm", problems).quarters()[1] == thickness  # type: ignore[arg-type]
    assert problems == []


def test_an_offcut_of_a_wandering_board_takes_its_outline_along() -> None:
    edges = (EdgePoint(F(0), F(0), F(8)), EdgePoint(F(48), F(1), F(8)), EdgePoint(F(96), F(0), F(4)))
    parent = entry("A1", edges=edges)
    part = take(parent, Cutout(F(24), F(0), F(48), F(8)), "p")
    assert [(p.x, p.near, p.far) for p in part.outline] == [(0, F(1, 2), 8), (24, 1, 8), (48, F(1, 2), 6)]
    assert part.area == sum(take(parent, Cutout(F(x), F(0), F(24), F(8)), "q").area for x in (24, 48))


def test_refusals_store_nothing(rack: Rack) -> None:
    rack.log_all([entry("A1"), entry("B1")])
    before = rack.boards(), rack.history()
    with pytest.raises(NoSuchBoard, match="A7"):
        rack.book(a_plan(board="A7"))
    with pytest.raises(NoSuchBoard, match="B1"):
        rack.book(a_plan(), boards=["B1"])
    with pytest.raises(Refused, match=r"no such offcut or piece.*: x, y"):
        rack.book(a_plan(), fix=Corrections(lost=frozenset({"x"}), spoiled=frozenset({"y"})))
    with pytest.raises(NameTaken, match="B1"):
        rack.book(a_plan(), fix=Corrections(names={"A1-o1": "B1"}))
    far = replace(a_plan().boards[0], offcuts=(Offcut("A1-o1", F(90), F(0), F(20), F(8)),))
    over = Plan("sideboard", "in", (replace(far, offcuts=(Offcut("A1-o1", F(97), F(0), F(20), F(8)),)),), (), TOTALS)
    with pytest.raises(Refused, match="not on A1"):
        rack.book(over)
    assert (rack.boards(), rack.history()) == before
    rack.hold("bench", ["A1"])
    with pytest.raises(BoardHeld, match="bench"):
        rack.book(a_plan())


def test_a_board_is_booked_once(rack: Rack) -> None:
    rack.log(entry("A1"))
    first = rack.book(a_plan(), key="tablet 1")
    assert [c.board for c in rack.book(a_plan(), key="tablet 1")] == [c.board for c in first]
    with pytest.raises(NotOnRack, match="A1 is no longer on the rack: it was cut"):
        rack.book(a_plan())
    assert len(rack.history()) == 2


def test_yields_add_up_and_forget_what_was_undone(rack: Rack) -> None:
    rack.log_all([entry("A1", dealer="Hill"), entry("B1", species="oak"), entry("C1", species="oak", dealer="Hill")])
    for board, job in (("A1", "sideboard"), ("B1", "sideboard"), ("C1", "bench")):
        rack.book(a_plan(job, board), parts={"rail": RAIL})
    assert [(y.heading, y.boards) for y in rack.yields("job")] == [("bench", 1), ("sideboard", 2)]
    assert [(y.heading, y.boards) for y in rack.yields("species")] == [("ash", 1), ("oak", 2)]
    assert [(y.heading, y.boards) for y in rack.yields("dealer")] == [("(not noted)", 1), ("Hill", 2)]
    assert sum(y.boards for y in rack.yields("month")) == 3
    line = rack.yields("job")[1]
    assert line.bought == line.kept + line.parts + line.waste == 2 * 768
    assert line.share == F(855, 8) / (768 - 504)
    rack.undo()
    assert [y.heading for y in rack.yields("job")] == ["sideboard"]


def test_spoiled_pieces_of_a_revised_plan_count_as_waste(rack: Rack) -> None:
    rack.log(entry("A1"))
    revised = replace(
        a_plan().boards[0], pieces=(piece("rail#1", 0, 20),), spoiled=(Spoiled("rail#2", F(21), F(0), F(20), F(4)),)
    )
    cutting = rack.book(Plan("sideboard", "in", (revised,), (), TOTALS), parts={"rail": RAIL})[0]
    assert [(t.piece, t.kind) for t in cutting.taken] == [("rail#1", "part"), ("rail#2", "spoiled")]
    assert cutting.parts == F(855, 16)


def test_the_commands(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Rack.open(file, create=True) as rack:
        rack.log(entry("A1", cost=F(48)))
    plan = tmp_path / "plan.json"
    plan.write_text(dumps(a_plan()), encoding="utf-8")
    rack_at = ["--rack", str(file)]
    assert (
        main(["rack", "cut", str(plan), "--measured", "A1-o1=47 x 7-3/4", "--name", "A1-o1=A9", "--lost", "A1-o2", *rack_at]) == 0
    )
    assert "A9 is on the rack now" in capsys.readouterr().out
    chart = tmp_path / "chart.png"
    assert main(["rack", "yields", "--by", "species", "--chart", str(chart), *rack_at]) == 0
    assert "ash" in capsys.readouterr().out
    assert chart.read_bytes().startswith(b"\x89PNG")
    # A shop that measures in millimetres counts wood in cubic metres.
    assert main(["rack", "yields", "--units", "mm", *rack_at]) == 0
    metric = capsys.readouterr().out
    assert "volumes in m³" in metric
    assert "board feet" not in metric
    assert main(["rack", "undo", *rack_at]) == 0
    assert "undid change 2: cut of A1, A9" in capsys.readouterr().out
    for measured in ("A1-o1", "=4 x 3", "A1-o1=4", "A1-o1=4 x -3", "A1-o1=4 x y"):
        assert main(["rack", "cut", str(plan), "--measured", measured, *rack_at]) == 2
    for content in (
        "",
        "{}",
        json.dumps({"format": "yieldopt-plan/1"}),
        "\x00",
        '{"format": "yieldopt-plan/1", "units": "in", "boards": [1]}',
    ):
        plan.write_text(content, encoding="utf-8")
        assert main(["rack", "cut", str(plan), *rack_at]) == 2
    assert "Traceback" not in capsys.readouterr().err
    with Rack.open(file) as rack:
        assert [r.name for r in rack.boards()] == ["A1"]
