"""What a sound folder becomes: defaults, notations, notes, spreadsheets, boards from elsewhere."""

from __future__ import annotations

import shutil
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from annotated import everything, put

from yieldopt.ground.errors import InputError
from yieldopt.reading import read_boards, read_defects, read_job
from yieldopt.wood.lumber import Allowances, Board, EdgePoint, Job, Kerf, Machines, Shop, Values

SOUND = Path(__file__).parent / "sound"
MM = F(10, 254)
PARTS = "part,qty,species,thickness,width,length\nrail,2,Oak,3/4,2,26\n"
BOARDS = "board,species,quarters,length,width\nB1,oak,4/4,96,8\n"
TOML = 'name = "shelf"\nunits = "in"\n'


def job(folder: Path, **changed: str) -> Job:
    """The smallest job, with other texts for some files: job(tmp_path, parts="...", toml="...")."""
    files = {"job.toml": TOML, "parts.csv": PARTS, "boards.csv": BOARDS}
    files |= {("job.toml" if k == "toml" else f"{k}.csv"): v for k, v in changed.items()}
    return read_job(put(folder, files))


def test_defaults_are_those_of_the_reference(tmp_path: Path) -> None:
    j = job(tmp_path)
    board, part = j.boards[0], j.parts[0]
    assert board == Board("B1", "oak", "4/4", F(1), F(96), F(8), F(1))
    assert (board.sawn, board.stress, board.bow, board.cost, board.datum_sound, board.far_sound) == (
        "",
        "unknown",
        0,
        None,
        False,
        False,
    )
    assert (part.faces, part.allow, part.sawn, part.grain, part.match, part.staves, part.sources) == (
        2,
        frozenset(),
        "any",
        "length",
        None,
        None,
        (),
    )
    assert part.species == "oak"
    # The figures of the table of settings, written out again from docs/reference/formats.md.
    assert j.shop == Shop(
        Allowances(F(3, 32), F(1, 16), F(1, 8), F(1, 8), F(1, 2), F(1, 16), F(2), F(1, 2), F(1, 4)),
        Kerf(F(1, 8), F(1, 8), F(1, 16)),
        Machines(F(13), F(8), "sled", F(10), F(14), F(1), F(1, 4)),
        Values(F(16), F(2), F(3, 5)),
    )


def test_defaults_are_inches_and_units_rule_bare_numbers(tmp_path: Path) -> None:
    j = job(
        tmp_path,
        toml='name = "shelf"\nunits = "mm"\n[kerf]\nrip = 3\nresaw = "1/16 in"\n',
        parts="part,qty,species,thickness,width,length,staves\nrail,2,oak,19,50,26 in,\n",
        boards="board,species,quarters,length,width\nB1,oak,4/4,2400,200\nB2,oak,52mm,2400,20cm\nB3,oak,52,2400,200\n",
    )
    assert j.shop.kerf == Kerf(3 * MM, F(1, 8), F(1, 16))
    # Staves keep nothing over in a millimetre job that says nothing of it.
    assert j.shop.allowances == replace(Allowances(), glue_up=F(0))
    assert (j.parts[0].thickness, j.parts[0].length) == (19 * MM, 26)
    assert [b.nominal for b in j.boards] == [1, 52 * MM, 52 * MM]
    assert [b.width for b in j.boards] == [200 * MM] * 3


@pytest.mark.parametrize(
    ("text", "nominal"),
    [("4/4", "1"), ("5/4", "5/4"), ("6 / 4", "3/2"), ("8/4", "2"), ("10/4", "5/2"), ("16/4", "4"), ('1"', "1")],
)
def test_quarters_are_quarters_of_an_inch_exactly(text: str, nominal: str, tmp_path: Path) -> None:
    j = job(tmp_path, boards=f"board,species,quarters,length,width\nB1,oak,{text},96,8\n")
    assert j.boards[0].nominal == F(nominal)


def test_column_order_case_and_spaces_are_free_and_unknown_columns_are_notes(tmp_path: Path) -> None:
    j = job(
        tmp_path,
        parts="Length ,Bay,width,THICKNESS,species,Match Kind,match,qty,part\n"
        '26,"2, by the door",2,3/4,"WHITE   Oak",Run,r,2, rail \n',
        boards="board,species,quarters,length,width,\nB1,White oak,4/4,96,8,\n,,,,,\n",
    )
    part = j.parts[0]
    assert (part.name, part.species, part.length, part.match_kind) == ("rail", "white oak", 26, "run")
    assert dict(part.notes) == {"Bay": "2, by the door"}
    assert j.boards[0].species == part.species


@pytest.mark.parametrize(
    "dress",
    [
        lambda b: b"\xef\xbb\xbf" + b,
        lambda b: b.replace(b"\n", b"\r\n"),
        lambda b: b.replace(b"\n", b"\r"),
        lambda b: b"\xef\xbb\xbf" + b.replace(b"\n", b"\r\n") + b"\r\n\r\n",
        lambda b: b.rstrip(b"\n"),
    ],
    ids=["mark", "crlf", "cr", "mark-crlf-blank-rows", "no-last-line-end"],
)
def test_byte_order_marks_and_line_ends_make_no_difference(dress: object, tmp_path: Path) -> None:
    assert callable(dress)
    files = {p.name: p.read_bytes() for p in SOUND.iterdir()}
    dressed = {name: dress(data) if name != "job.toml" or b"\r" not in dress(b"\n") else data for name, data in files.items()}
    assert everything(read_job(put(tmp_path, dressed))) == everything(read_job(SOUND))


def test_what_an_outline_says_counts_before_the_width(tmp_path: Path) -> None:
    j = job(
        tmp_path,
        boards="board,species,quarters,length,width\nB1,oak,4/4,96,\nB2,oak,4/4,96,20\n",
        edges="board,x,near,far\nB1,96,0,6\nB2,48,-1,7\nB1,0,-1/2,7\n",
    )
    assert j.boards[0].edges == (EdgePoint(F(0), F(-1, 2), F(7)), EdgePoint(F(96), F(0), F(6)))
    assert (j.boards[0].width, j.boards[0].greatest_width) == (F(15, 2), F(15, 2))
    assert (j.boards[1].width, j.boards[1].greatest_width) == (20, 8)


def test_a_defect_may_reach_past_a_slanting_edge_but_not_past_every_edge(tmp_path: Path) -> None:
    edges = "board,x,near,far\nB1,0,0,8\nB1,96,2,8\n"
    defects = "board,kind,face,x,y,length,width\nB1,Wane,,48,0,40,3\n"
    assert job(tmp_path, edges=edges, defects=defects).boards[0].defects[0].seen_on == "both"
    trimmed = job(tmp_path, edges=edges, defects=defects.replace("48,0", "48,-1"))
    assert (trimmed.boards[0].defects[0].y, trimmed.boards[0].defects[0].width) == (0, 2)
    assert trimmed.remarks == ("defects.csv, row 2: the wane reaches past B1; it is taken to end with the wood",)
    with pytest.raises(InputError, match=r"defects.csv, row 2, y: found '0', expected a defect that touches B1"):
        job(tmp_path, edges=edges, defects="board,kind,face,x,y,length,width\nB1,wane,,90,0,6,1\n")


def test_well_formed_wishes_that_can_not_be_met_are_no_mistakes(tmp_path: Path) -> None:
    j = job(
        tmp_path,
        parts="part,qty,species,thickness,width,length,from\nrail,2,ebony,9,90,900,B1\n",
        pins="piece,board,x,y\nrail#1,B1,95,7\n",
        toml=TOML + '[boards]\nleave = ["B1"]\n',
    )
    assert j.parts[0].species == "ebony"
    assert j.pins[0].x == 95
    assert job(tmp_path / "empty rack", boards="board,species,quarters,length,width\n").boards == ()


def test_money_is_exact(tmp_path: Path) -> None:
    header = "board,species,quarters,length,width,cost,price_bf,price_m3\n"
    j = job(
        tmp_path, boards=header + "B1,oak,4/4,96,8,0.1,,\nB2,oak,4/4,96,9,,6.55,\nB3,oak,8/4,96,9,,,1/3\nB4,oak,8/4,96,9,0,9,\n"
    )
    assert [b.price for b in j.boards[:2]] == [F(1, 10), F(96 * 9, 144) * F("6.55")]
    assert j.boards[2].price_m3 == F(1, 3)
    assert j.boards[3].price == 0


def test_boards_of_a_rack_take_the_place_of_the_folder_s_own(tmp_path: Path) -> None:
    rack = read_boards(SOUND)
    shutil.copytree(SOUND, tmp_path / "job")
    for name in ("boards.csv", "defects.csv", "edges.csv"):
        (tmp_path / "job" / name).unlink()
    assert everything(read_job(tmp_path / "job", boards=rack)) == everything(read_job(SOUND))
    with pytest.raises(InputError) as caught:
        read_job(tmp_path / "job", boards=[b for b in rack if b.name not in ("L1", "E3")])
    assert str(caught.value) == (
        "parts.csv, row 6, from: found 'L1', expected a board that is in the boards table\n"
        "job.toml, line 11, boards.leave: found 'E3', expected a board that is in the boards table"
    )


def test_boards_alone_are_read_in_the_units_of_their_folder(tmp_path: Path) -> None:
    put(
        tmp_path,
        {"boards.csv": "board,species,quarters,length,width\nB1,oak,52,2400,200\n", "job.toml": 'units = "mm"\nnonsense = 1\n'},
    )
    assert read_boards(tmp_path)[0].width == 200 * MM
    (tmp_path / "job.toml").unlink()
    with pytest.raises(InputError, match=r"boards.csv, row 2, quarters: found '52'"):
        read_boards(tmp_path)
    assert read_boards(tmp_path, "mm")[0].length == 2400 * MM


def test_defects_found_later(tmp_path: Path) -> None:
    boards = read_boards(SOUND)
    path = tmp_path / "found.csv"
    path.write_text("board,kind,x,y,length,width,by\nE1,check,10,1,4,1/8,planer\nE1,knot,30,1,1,1,\nL1,pith,100mm,10mm,2,1,\n")
    found = read_defects(path, boards, "in")
    assert {name: [d.kind for d in ds] for name, ds in found.items()} == {"E1": ["check", "knot"], "L1": ["pith"]}
    assert dict(found["E1"][0].notes) == {"by": "planer"}
    path.write_text("board,kind,x,y,length,width\nE9,check,10,1,4,1/8\nE1,knot,100,1,1,1\n")
    with pytest.raises(InputError) as caught:
        read_defects(path, boards, "in")
    assert str(caught.value) == (
        "found.csv, row 2, board: found 'E9', expected a board that is in the boards table\n"
        "found.csv, row 3, x: found '100', expected a defect that touches E1: x below 96\""
    )
    with pytest.raises(InputError, match=r"none.csv: found nothing, expected a file"):
        read_defects(tmp_path / "none.csv", boards, "in")


def test_pins_of_pieces_and_staves_with_awkward_names(tmp_path: Path) -> None:
    parts = "part,qty,species,thickness,width,length,staves\na#1,1,oak,3/4,2,26,\ntop,1,oak,3/4,9,26,2 to 5\n"
    j = job(tmp_path, parts=parts, pins="piece,board,x,y\na#1#1,B1,2,0\ntop#1/2,B1,40,0\n")
    assert [p.piece for p in j.pins] == ["a#1#1", "top#1/2"]


def test_a_job_can_be_sent_to_another_process() -> None:
    import pickle

    j = read_job(SOUND)
    assert j.board_named["E1"].price > 0
    assert everything(pickle.loads(pickle.dumps(j))) == everything(j)
