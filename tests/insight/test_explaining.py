"""Why a blank is as large as it is. The sizes are worked by hand from the rules in docs/explanation/sizes.md; the allowances are
defaults, whose sources docs/reference/defaults.md names. The rules themselves are common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from hypothesis import given
from strategies import jobs

from yieldopt.cli import main
from yieldopt.insight.explaining import explain_part, layers_from
from yieldopt.sizes.sizing import rough_sizes, thickness_need
from yieldopt.wood.lumber import Board, Job, Machines, Part, Shop

RAIL = Part("rail", 2, "oak", F(3, 4), F(2), F(26))
BOARD = Board("B1", "oak", "8/4", F(2), F(96), F(8), F(2))


def job(*parts: Part, boards: tuple[Board, ...] = (BOARD,), shop: Shop | None = None) -> Job:
    return Job("shelf", "in", parts, boards, shop or Shop())


def lines(part: Part, *others: Part, boards: tuple[Board, ...] = (BOARD,), shop: Shop | None = None) -> list[str]:
    return [f"{line.topic}: {line.text}" for line in explain_part(part, job(part, *others, boards=boards, shop=shop))]


def test_a_plain_rail() -> None:
    assert lines(RAIL) == [
        'length: 27" rough = 26" + 2 x 1/2" (end: both ends are squared)',
        'width: 2 1/4" rough = 2" + 2 x 1/8" (edge: both edges are jointed)',
        'thickness: 15/16" for one layer = 3/4" + 2 x 3/32" (face: both rough faces are flattened), and what warp takes',
        'thickness: 1 7/8" for 2 layers of a tested board = 3/4" + 3/4" + 2 x 3/32" (face: both rough faces are flattened) '
        '+ 1 x (1/16" (resaw kerf) + 2 x 1/16" (sawn_face)); 2 1/8" untested, with 2 x 1/8" (resaw_spare)',
        "blank: needs no ganging: it is long and wide enough to be milled alone",
        'rack: for its smallest blank, 27" x 2 1/4", defects not looked at:',
        "rack: 8/4: one layer from B1",
    ]


def test_two_layers_come_from_a_tested_board_and_thinner_ones_from_an_untested() -> None:
    # 8/4 at 2 in: two 3/4 need 1 7/8 tested and 2 1/8 untested; two 5/8 need 1 7/8 untested.
    tested = replace(BOARD, stress="tested")
    assert layers_from(RAIL, tested, job(RAIL))[0] == 2
    assert layers_from(RAIL, BOARD, job(RAIL))[0] == 1
    assert layers_from(replace(RAIL, thickness=F(5, 8)), BOARD, job(RAIL))[0] == 2
    assert layers_from(replace(RAIL, thickness=F(5, 8)), replace(BOARD, stress="no resaw"), job(RAIL))[0] == 1


def test_short_parts_are_ganged_until_long_enough() -> None:
    # 5 in parts are 6 rough; two make 12 1/8, under 14; three make 18 1/4.
    chain = '3 end to end make 18 1/4" with 2 x 1/8" (crosscut), or it lies with others in one blank'
    assert f'blank: to be ganged: 6" is under 14" (min_mill_length); {chain}' in lines(replace(RAIL, length=F(5)))
    assert 'blank: to be ganged: 3/4" is under 1" (min_rip_width); it lies beside others in one blank' in lines(
        replace(RAIL, width=F(1, 2))
    )


def test_a_run_says_which_piece_is_how_long() -> None:
    first = replace(RAIL, name="left", qty=1, length=F(13), match="fronts", match_kind="run")
    second = replace(first, name="middle")
    third = replace(first, name="right")
    assert (
        lines(first, second)[0]
        == 'length: 13 9/16" rough at an end of the run = 13" + 1/2" (end) + 1/16" (run_end: its inner end)'
    )
    assert lines(first, second)[1] == 'run: 27 1/4" for all 2 pieces of fronts, a kerf of 1/8" (crosscut) between two'
    middle = [f"{line.topic}: {line.text}" for line in explain_part(second, job(first, second, third))]
    assert middle[0] == 'length: 13 1/8" rough inside the run = 13" + 2 x 1/16" (run_end: at both ends)'
    assert lines(first)[0] == 'length: 14" rough = 13" + 2 x 1/2" (end), as it is a run of one'


def test_parts_that_may_lie_across() -> None:
    assert (
        'across: it may lie across the board: then 3" along it = 2" + 2 x 1/2" (end), 3 3/4" across = 3 1/2" + 2 x 1/8" (edge)'
        in lines(replace(RAIL, length=F(7, 2), grain="any"))
    )


def test_staves() -> None:
    top = replace(RAIL, width=F(9), length=F(30), staves=(F(2), F(5)))
    assert lines(top)[1] == (
        'width: glued up: the net widths of its staves make 9 1/4" at least = 9" + 2 x 1/8" (edge); '
        'that is 2 to 4 staves of 2" to 5" net, each sawn 2 x 1/8" (edge) wider'
    )


@pytest.mark.parametrize(
    ("part", "machines", "said"),
    [
        ({"width": F(14)}, {}, 'can\'t be milled in one piece: 14 1/4" is over 13" (planer_width); staves would do'),
        ({"width": F(9)}, {}, '9 1/4" is over 8" (joint_width) and wide_flattening is sled, so it is flattened by sled'),
        (
            {"width": F(9)},
            {"wide_flattening": "none"},
            '9 1/4" is over 8" (joint_width) and wide_flattening is none, so it can\'t be flattened',
        ),
        ({"width": F(11), "match": "m", "match_kind": "book"}, {}, 'can\'t be resawn: 11 1/4" is over 10" (resaw_height)'),
        ({"thickness": F(1, 8)}, {}, 'can\'t be planed: 1/8" is under 1/4" (min_thickness)'),
    ],
)
def test_machine_limits(part: dict[str, object], machines: dict[str, object], said: str) -> None:
    shop = Shop(machines=replace(Machines(), **machines))  # type: ignore[arg-type]
    assert f"machines: {said}" in lines(replace(RAIL, **part), shop=shop)  # type: ignore[arg-type]


def test_why_boards_can_not_give_it() -> None:
    part = replace(RAIL, sawn="quarter", sources=("A", "B", "C", "D", "E", "F"))
    sound = replace(BOARD, sawn="quarter", quarters="4/4", nominal=F(1), thickness=F(1))
    boards = (
        replace(sound, name="A"), replace(sound, name="B", bow=F(1)), replace(sound, name="C", length=F(30)),
        replace(sound, name="D", width=F(2)),
        replace(sound, name="E", sawn=""), replace(sound, name="F", sawn="flat"), replace(sound, name="G"),
        replace(sound, name="H", species="ash"), replace(sound, name="I", thickness=F(937, 1000)),
    )  # fmt: skip
    part = replace(part, sources=(*part.sources, "I"))
    # B loses 1 x (27/96)^2 = 0.0791 and keeps 0.9209, nearly 59/64; C keeps 26 between its trimmed ends.
    assert lines(part, boards=boards)[-1] == (
        'rack: 4/4: one layer from A; too thin for 15/16" once warp is off: B ~59/64", I just under; too short for 27" '
        'between trimmed ends: C 26"; too narrow for 2 1/4": D 2"; sawn unknown: E; flat sawn: F; not named in from: G'
    )
    assert lines(replace(RAIL, species="ebony"))[-1] == "rack: there is no ebony"
    left = replace(job(RAIL), leave=frozenset({"B1"}))
    assert explain_part(RAIL, left)[-1].text == "8/4: to be left alone: B1"


@given(jobs(pins=False, most_boards=3))
def test_any_job_can_be_explained_and_what_is_promised_fits(job: Job) -> None:
    for part in job.parts:
        assert {line.topic for line in explain_part(part, job)} >= {"length", "width", "thickness", "rack"}
        for board in job.boards:
            layers, why = layers_from(part, board, job)
            assert bool(layers) != bool(why.reason)
            if layers:
                assert board.thickness >= thickness_need((part.thickness,), True, job.shop)
                if not part.staves:
                    assert board.greatest_width >= min(across for _, across in rough_sizes(part, job.shop))


SOUND = Path(__file__).parents[1] / "reading" / "sound"


def test_the_command_prints_the_parts_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["size", str(SOUND), "--part", "slat"]) == 0
    out = capsys.readouterr().out
    assert out.startswith(
        'slat: 3 of lime, finished 3/8" x 3" x 18", slip group slats\n     length  19" rough = 18" + 2 x 1/2" (end'
    )
    assert "door" not in out
    assert main(["size", str(SOUND)]) == 0
    assert capsys.readouterr().out.count(" finished ") == 5


def test_the_command_names_what_is_there_if_the_part_is_not(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["size", str(SOUND), "--part", "nix"]) == 2
    assert capsys.readouterr().err == "yieldopt: no part is named 'nix'; the job has door, seat, front left, front right, slat\n"


def test_the_command_lists_mistakes(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["size", str(tmp_path)]) == 2
    err = capsys.readouterr().err
    assert err.startswith(
        "3 mistakes in the input; nothing was written:\n  job.toml: found nothing, expected the file job.toml in "
    )
