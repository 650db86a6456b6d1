"""Second choices on generated jobs: each place named is one that the wood, as logged, really has."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from made_up import made_up

from yieldopt.drawing.board.secondpages import SURPRISES
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.insight.second_choice import Choice, choices_of, show_pieces
from yieldopt.wood.lumber import SOUND_KINDS, SWIRL_KINDS


@pytest.mark.parametrize("seed", range(12))
def test_every_place_named_is_wood_that_is_there_clear_and_thick_enough(seed: int) -> None:
    job, plan = made_up(seed, boards=8)
    # Parts that mind every defect; two boards left uncut.
    job = replace(job, parts=tuple(replace(p, allow=frozenset(), faces=2) for p in job.parts))
    plan = replace(plan, boards=plan.boards[:-2])
    cut = {bp.board: bp for bp in plan.boards}
    pieces = {p.piece: p for _, p in plan.pieces()}
    found = choices_of(job, plan)
    assert set(found) == {p.piece for p in show_pieces(job, plan)}
    a = job.shop.allowances
    for name, choices in found.items():
        for c in choices:
            piece, board = pieces[name], job.board_named[c.board]
            part = job.part_named[piece.part]
            assert board.species == part.species
            for i in range(11):
                x = c.x + c.length * i / 10
                near, far = board.channel(x, x)
                assert near <= c.y
                assert c.y + c.width <= far
            for d in board.defects:
                along, across = (a.defect_along, a.defect_across) if d.kind in SWIRL_KINDS else (F(0), F(0))
                apart = (
                    d.x - along >= c.x + c.length
                    or d.x + d.length + along <= c.x
                    or d.y - across >= c.y + c.width
                    or d.y + d.width + across <= c.y
                )
                assert apart or (d.kind in SOUND_KINDS and c.together), (c, d)
            layers = 1 if not c.together or part.match_kind == "run" else len(c.together)
            assert board.thickness >= layers * part.thickness + 2 * a.face
            assert board.stress != "no resaw" or layers == 1
            for o in (*cut[c.board].blanks, *cut[c.board].spoiled) if c.board in cut else ():
                assert o.x >= c.x + c.length or o.x + o.length <= c.x or o.y >= c.y + c.width or o.y + o.width <= c.y
            assert (c.wood == "uncut board") == (c.board not in cut)


def test_the_packet_and_the_sheets_name_the_places() -> None:
    job, plan = made_up(3, boards=6)
    plan = replace(plan, boards=plan.boards[:-1])
    packet = draw_packet(job, plan)
    some: list[Choice] = [c for cs in choices_of(job, plan).values() for c in cs]
    assert some
    second = "".join(t.text for p in packet.after if p.kind == "second" for t in p.texts()).replace(" ", "")
    looked_up = 0
    for bp in plan.boards:
        sheet = "".join(t.text for p in packet.sheets[bp.board] for t in p.texts()).replace(" ", "")
        told = [f"{c.board}({c.wood})at".replace(" ", "") for p in bp.pieces for c in choices_of(job, plan).get(p.piece, ())]
        # On a board's sheet where it has room, else it says where to look.
        elsewhere = f'see"{SURPRISES}"'.replace(" ", "") in sheet
        assert all(words in (second if elsewhere else sheet) for words in told)
        assert (f"{bp.board}" in second) or not elsewhere
        looked_up += len(told)
    assert looked_up >= len(some)
    every = "".join(t.text for p in draw_packet(job, plan, sections=("second",)).pages for t in p.texts()).replace(" ", "")
    assert all(f"{c.board}({c.wood})at".replace(" ", "") in every for c in some)
