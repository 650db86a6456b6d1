"""`yieldopt tally`, `wood` and `movement` as a person types them."""

from fractions import Fraction as F

import pytest

from yieldopt.cli import main
from yieldopt.records.planfile import dumps
from yieldopt.wood.plan import BoardPlan, Piece, Plan, Totals


@pytest.fixture
def rack(tmp_path):
    """A folder of three boards: one with a half foot of surface measure, one with a knot, one scant and without a price."""
    (tmp_path / "boards.csv").write_text(
        "board,species,quarters,length,width,thickness,price_bf,grade\n"
        "A1,ash,4/4,12',8 1/2,1,5.00,FAS\n"
        "A2,ash,4/4,12',8 1/2,1,5.00,\n"
        "W1,walnut,8/4,8',6 1/4,1 3/4,,\n",
        encoding="utf-8",
    )
    (tmp_path / "defects.csv").write_text("board,kind,face,x,y,length,width\nA2,knot,A,60,3,2,2\n", encoding="utf-8")
    return tmp_path


def run(capsys, *args):
    status = main([str(a) for a in args])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return status, out, err


def test_tally(capsys, rack):
    status, out, _ = run(capsys, "tally", rack)
    assert status == 0
    lines = {line.split()[0]: line.split() for line in out.splitlines() if line[:2] in ("A1", "A2", "W1")}
    # Width, feet, SM, board feet, exact board feet, price, exact price.
    assert lines["A1"][3:11] == ["8", "1/2", "12", "8", "8", "8.50", "40.00", "42.50"]
    assert lines["A2"][3:11] == ["8", "1/2", "12", "9", "9", "8.50", "45.00", "42.50"]
    assert "3 boards, 25 bf as a dealer counts, 25.33 bf exact" in out
    assert "price: 85.00 as a dealer counts, 85.00 by exact volume" in out
    assert "no price known: W1" in out
    assert "W1: measures 1 3/4 in, scant for 8/4 even kiln-dried" in out
    assert "W1: walnut is graded by easier rules" in out
    assert "Only an inspector's grade is a grade." in out


def test_tally_of_some_boards_in_the_order_asked_for(capsys, rack):
    _, out, _ = run(capsys, "tally", rack, "--boards", "A2; A1", "--half", "alternate")
    rows = [line for line in out.splitlines() if line.startswith(("A1", "A2"))]
    assert [r.split()[0] for r in rows] == ["A2", "A1"]
    assert [r.split()[6] for r in rows] == ["8", "9"]
    _, out, _ = run(capsys, "tally", rack, "--half", "up")
    assert "26 bf as a dealer counts" in out


def test_tally_of_a_rack_says_the_same_as_of_its_folder(capsys, rack, tmp_path):
    _, folder, _ = run(capsys, "tally", rack)
    run(capsys, "rack", "load", rack, "--rack", tmp_path / "shop.rack")
    status, out, _ = run(capsys, "tally", "--rack", tmp_path / "shop.rack")
    assert (status, out) == (0, folder)
    assert run(capsys, "tally", "--rack", tmp_path / "shop.rack", "--boards", "A2")[1] != out
    for wrong in ([], [rack, "--rack", tmp_path / "shop.rack"]):
        status, _, err = run(capsys, "tally", *wrong)
        assert (status, err) == (2, "yieldopt: name a folder of boards, or a rack with --rack, and not both\n")


def test_tally_green_and_why(capsys, rack):
    _, out, _ = run(capsys, "tally", rack, "--green", "--why")
    assert "green tally: about 26.75 bf (7 % more; sources give from 25.75 to 27.5)" in out
    assert "price on a green tally: about 90.95" in out
    assert "W1 is not FAS" not in out
    _, out, _ = run(capsys, "tally", rack, "--green", "0.1")
    assert "about 27.5 bf (10 % more" in out


def test_kiln_dried_or_not(capsys, rack):
    (rack / "boards.csv").write_text("board,species,quarters,length,width\nA1,ash,4/4,10',5 1/2\n", encoding="utf-8")
    (rack / "defects.csv").unlink()
    assert "FAS" in run(capsys, "tally", rack)[1]
    assert "Selects" in run(capsys, "tally", rack, "--air-dried")[1]


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["--boards", "ZZ"], "found 'ZZ', expected names of boards"),
        (["--boards", " ; "], "expected names of boards"),
        (["--green", "lots"], "found 'lots', expected a share from 0 to 0.2"),
        (["--green", "1e999"], "expected a share"),
        (["--green", "1/0"], "expected a share"),
        (["--green", "-0.1"], "expected a share"),
    ],
)
def test_tally_says_what_is_wrong(capsys, rack, args, said):
    # An option's value that starts with a dash needs the equals sign.
    args = [f"{args[0]}={args[1]}"]
    status, out, err = run(capsys, "tally", rack, *args)
    assert (status, out) == (2, "")
    assert said in err


def test_tally_of_a_bad_folder(capsys, tmp_path):
    (tmp_path / "boards.csv").write_text("board,species,quarters,length,width\nA,ash,4/4,nan,8\n", encoding="utf-8")
    status, out, err = run(capsys, "tally", tmp_path)
    assert (status, out) == (2, "")
    assert "boards.csv, row 2, length: found 'nan'" in err


def test_wood(capsys):
    _, out, _ = run(capsys, "wood", "cherry", "teak")
    assert "tangential shrinkage: 7.1 % of the green size, green to ovendry (FPL-GTR-190 Table 4-3, printed table)" in out
    assert "not verified" in out.split("Teak")[1]
    _, out, _ = run(capsys, "wood")
    assert sum(line[:1].isupper() and "0.00" in line for line in out.splitlines()) >= 66
    assert "* from memory" in out
    _, out, _ = run(capsys, "wood", "--sizes")
    assert "4/4          1        13/16" in out
    assert "2 1/4*" in out


@pytest.mark.parametrize("name", ["oak", "", "zzz", "walnutt", "x" * 500, "'; --"])
def test_a_wood_that_is_not_one_of_the_table(capsys, name):
    status, out, err = run(capsys, "wood", name)
    assert (status, out) == (2, "")
    assert "expected one wood of the table" in err


def test_movement(capsys):
    _, out, _ = run(capsys, "movement", "--species", "red oak", "--width", "5", "--from", "6.2", "--to", "11")
    # 0.08856 in: Hardwood Floors, NWFA, February/March 2017, p. 49.
    assert "6.2 % to 11.0 %: swells 0.089 in (about 3/32), to 5.089 in" in out
    assert "not verified" not in out
    _, out, _ = run(capsys, "movement", "--species", "red oak", "--width", "5", "--from", "11", "--to", "6.2%")
    assert "shrinks 0.089 in" in out


def test_movement_over_the_year(capsys):
    args = ("movement", "--species", "cherry", "--width", "18", "--year", "60", "30")
    _, out, _ = run(capsys, *args)
    # 30 and 60 % at 70 F are 6.2 and 11.0 % (Forest Products Laboratory table, reprinted).
    assert "6.2 % to 11.0 %: swells 0.214 in" in out
    _, warm, _ = run(capsys, *args, "--temperature", "21.1C")
    assert "6.2 % to 11.0 %" in warm
    _, out, _ = run(capsys, *args, "--from", "8")
    assert "8.0 % to 6.2 %: shrinks" in out
    assert "8.0 % to 11.0 %: swells" in out


def test_movement_in_millimetres_outside_the_coefficients_range(capsys):
    args = ("movement", "--species", "walnut", "--width", "470", "--units", "mm", "--from", "4", "--to", "8", "--sawn", "quarter")
    _, out, _ = run(capsys, *args)
    assert "quartersawn, 470 mm" in out
    assert "eq. 13-3" in out
    assert "not verified" not in out
    _, out, _ = run(capsys, "movement", "--species", "teak", "--width", "470", "--units", "mm", "--from", "4", "--to", "8")
    assert "not verified" in out


@pytest.mark.parametrize(
    "args",
    [
        ["--from", "8"],
        ["--to", "8"],
        [],
        ["--from", "8", "--to", "9", "--year", "30", "60"],
        ["--from", "nan", "--to", "9"],
        ["--from", "8", "--to", "31"],
        ["--from", "inf", "--to", "9"],
        ["--year", "30", "100"],
        ["--year", "30", "60", "--temperature", "hot"],
        ["--year", "30", "60", "--temperature", "500"],
        ["--from", "8", "--to", "9", "--width", "0"],
        ["--from", "8", "--to", "9", "--width", "-3"],
        ["--from", "8", "--to", "9", "--width", "wide"],
        ["--from", "8", "--to", "9", "--species", "oak"],
    ],
)
def test_movement_says_what_is_wrong(capsys, args):
    base = [] if "--species" in args else ["--species", "ash"]
    base += [] if "--width" in args else ["--width", "10"]
    args = [f"--width={args[-1]}" if a == "--width" else a for a in args if not (a == args[-1] and "--width" in args)]
    status, out, err = run(capsys, "movement", *base, *args)
    assert (status, out) == (2, "")
    assert "Traceback" not in err
    assert "expected" in err or "give --from and --to" in err


@pytest.fixture
def planned(tmp_path):
    """A plan whose top is glued from two boards with readings three points apart, and a rail of one piece."""
    job = tmp_path / "job"
    job.mkdir()
    (job / "job.toml").write_text('name = "bench"\nunits = "mm"\n', encoding="utf-8")
    (job / "parts.csv").write_text(
        "part,qty,species,thickness,width,length,staves,sawn\n"
        "top,1,cherry,20,400,700,50 to 150,quarter\n"
        "rail,1,cherry,20,60,700,,\n",
        encoding="utf-8",
    )
    (job / "boards.csv").write_text(
        "board,species,quarters,length,width,moisture\nC1,cherry,4/4,2400,220,7 %\nC2,cherry,4/4,2400,220,10 %\n",
        encoding="utf-8",
    )

    def piece(name, part, stave=None):
        return Piece(name, part, "b", F(0), F(0), F(30), F(3), 1, 1, F(1), set="top#1" if stave else None, stave=stave)

    cuts = (
        BoardPlan("C1", F(0), F(0), pieces=(piece("top#1/1", "top", 1), piece("rail#1", "rail"))),
        BoardPlan("C2", F(0), F(0), pieces=(piece("top#1/2", "top", 2),)),
    )
    path = tmp_path / "plan.json"
    path.write_text(dumps(Plan("bench", "mm", cuts, (), Totals(0.0, None, None, 0.0, 2, 0.0))), encoding="utf-8")
    return path


def test_movement_of_a_plans_panels(capsys, planned):
    status, out, _ = run(capsys, "movement", "--plan", planned, "--year", "30", "60", "--from", "8")
    assert status == 0
    assert "top: Black cherry, quartersawn, 400 mm" in out
    # 400 mm x 0.00126 (Table 13-5, radial) x 2.97 points.
    assert "8.0 % to 11.0 %: swells 1.5 mm, to 401.5 mm" in out
    assert "gluing top#1: C1 reads 7 % and C2 10 %: 3 points apart" in out
    assert "rail" not in out


def test_a_wood_not_in_the_table_does_not_hide_the_other_panels(capsys, planned):
    job = planned.parent / "job"
    for name in ("parts.csv", "boards.csv"):
        (job / name).write_text((job / name).read_text(encoding="utf-8").replace("cherry", "bog oak"), encoding="utf-8")
    status, out, _ = run(capsys, "movement", "--plan", planned, "--year", "30", "60")
    assert status == 0
    assert "top: species: found 'bog oak', expected one wood of the table" in out
    assert "3 points apart" in out


def test_movement_of_a_plan_that_is_none(capsys, tmp_path):
    (tmp_path / "plan.json").write_text("{}", encoding="utf-8")
    for args in (["--plan", tmp_path / "plan.json"], ["--plan", tmp_path / "none.json"], ["--plan", tmp_path]):
        status, out, err = run(capsys, "movement", *args, "--year", "30", "60")
        assert (status, out) == (2, "")
        assert err
