"""Tables in and out without loss, both ways, as CSV and as workbooks, in inches and in millimetres."""

from __future__ import annotations

import shutil
import tempfile
import uuid
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from making import KNOT, entry, records

from yieldopt.cli import main
from yieldopt.ground.errors import InputError
from yieldopt.ground.lengths import Units
from yieldopt.rack.board import record as record_text
from yieldopt.rack.board.errors import Refused
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books.search import BoardSearch
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.io import exchange
from yieldopt.rack.io.exchange import dump, load
from yieldopt.reading import read_boards, read_job
from yieldopt.reading.writing import board_files

INVENTORY = Path(__file__).parents[2] / "inventory"


def texts(rack: Rack) -> list[str]:
    """Everything known of every board, in order."""
    return [record_text.dumps(r) for r in rack.boards(BoardSearch(state=None))]


@settings(max_examples=12)
@given(data=st.data(), units=st.sampled_from(["in", "mm"]), workbooks=st.booleans())
def test_any_boards_go_out_and_come_back(data: st.DataObject, units: Units, workbooks: bool) -> None:
    boards = [data.draw(records(f"A{n}")) for n in range(3)]
    boards = [replace(r, id=str(uuid.UUID(int=n))) for n, r in enumerate(boards)]
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").exists() else None) as name:
        folder = Path(name)
        with Rack.open(folder / "a.rack", create=True) as rack, Rack.open(folder / "b.rack", create=True) as copy:
            # Photos are files of their own and have their own test.
            rack.log_all([replace(r, photos=()) for r in boards])
            dump(rack, folder / "out", units, workbooks)
            load(copy, folder / "out", units)
            assert texts(copy) == texts(rack)


def test_which_way_warp_lies_is_logged_loaded_and_dumped(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The hollow face and edge, by command and by file; another word than the two is a mistake."""
    rack = ["--rack", str(tmp_path / "r.rack")]
    size = ["--species", "ash", "--quarters", "4/4", "--length", "96", "--width", "8", "--bow", "1/4"]
    assert main(["rack", "log", *rack, "--board", "A1", *size, "--bow-hollow", "b", "--crook-hollow", "far"]) == 0
    assert main(["rack", "dump", str(tmp_path / "out"), *rack]) == 0
    rows = (tmp_path / "out" / "boards.csv").read_text().splitlines()
    cells = dict(zip(rows[0].split(","), rows[1].split(","), strict=True))
    assert (cells["bow_hollow"], cells["cup_hollow"], cells["crook_hollow"]) == ("B", "", "far")
    assert main(["rack", "load", str(tmp_path / "out"), "--rack", str(tmp_path / "copy.rack")]) == 0
    with Rack.open(tmp_path / "copy.rack") as copy:
        assert (copy.board("A1").board.bow_hollow, copy.board("A1").board.crook_hollow) == ("B", "far")
    assert main(["rack", "log", *rack, "--board", "A2", *size, "--cup-hollow", "up"]) == 2
    assert "cup_hollow: found 'up', expected A or B" in capsys.readouterr().err


@pytest.mark.parametrize("workbooks", [False, True], ids=["csv", "xlsx"])
@pytest.mark.parametrize("job", ["sideboard", "tool-rack"])
def test_tables_come_in_and_go_out_without_loss(job: str, workbooks: bool, rack: Rack, tmp_path: Path) -> None:
    """The demo shop's own tables, with columns that only they have: read again, the dump says the same of every board."""
    load(rack, INVENTORY / job)
    out = tmp_path / "out"
    out.mkdir()
    shutil.copy(INVENTORY / job / "job.toml", out)
    dump(rack, out, workbooks=workbooks)
    before, after = read_boards(INVENTORY / job), read_boards(out)
    own = {"rack_id", "moisture"}
    for old, new in zip(before, after, strict=True):
        # Readings are kept as numbers: 7 % and 7.0 say the same. A bare quarters of a metric job names its unit from then on.
        assert replace(new, quarters=old.quarters) == old
        assert {k: v for k, v in new.notes.items() if k not in own} == {k: v for k, v in old.notes.items() if k not in own}
        assert [d.notes for d in new.defects] == [d.notes for d in old.defects]
    # The dump serves as a job's boards.
    shutil.copy(INVENTORY / job / "parts.csv", out)
    assert read_job(out).boards == after
    if not workbooks:
        # A second dump is the same, letter for letter.
        first = {p.name: p.read_bytes() for p in out.glob("*.csv")}
        dump(rack, out)
        assert {p.name: p.read_bytes() for p in out.glob("*.csv")} == first


def two(rack: Rack, tmp_path: Path) -> Path:
    """Two boards on the rack, and a folder where the first is longer and a third is new."""
    a, b = rack.log(entry("A1", place="wall", remarks="dark")), rack.log(entry("A2"))
    folder = tmp_path / "in"
    folder.mkdir()
    other = [replace(a.board, length=F(97)), b.board, entry("A3").board]
    for name, text in board_files(other, "in").items():
        (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return folder


def test_a_load_can_be_repeated_and_what_differs_is_a_mistake(rack: Rack, tmp_path: Path) -> None:
    folder = two(rack, tmp_path)
    before = texts(rack)
    with pytest.raises(InputError, match="--correct takes the folder's") as caught:
        load(rack, folder)
    assert [p.found for p in caught.value.problems] == ["A1"]
    assert texts(rack) == before
    loaded = load(rack, folder, correct=True)
    assert (loaded.added, loaded.corrected, loaded.same) == (("A3",), ("A1",), ("A2",))
    # What the table does not say stays.
    a1 = rack.board("A1")
    assert (a1.board.length, a1.place, a1.remarks) == (97, "wall", "dark")
    assert load(rack, folder).same == ("A1", "A2", "A3")
    rack.undo()
    assert texts(rack) == before


def test_what_changed_while_a_folder_was_read_is_not_overwritten(
    rack: Rack, where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = two(rack, tmp_path)
    real = exchange.read_folder

    def slow(*args: object) -> object:
        found = real(*args)  # type: ignore[arg-type]
        # After the boards were compared, so to speak: the load asks the rack once, and corrects later.
        original = rack.boards

        def then_changed(*wanted: BoardSearch) -> list[RackBoard]:
            seen = original(*wanted)
            with Rack.open(where, who="Bob") as other:
                other.correct("A1", lambda r: replace(r, place="bench"))
            return seen

        monkeypatch.setattr(rack, "boards", then_changed)
        return found

    monkeypatch.setattr(exchange, "read_folder", slow)
    with pytest.raises(Refused, match="A1 was changed while the folder was read; load it again"):
        load(rack, folder, correct=True)
    assert rack.board("A1").place == "bench"
    with pytest.raises(Exception, match="A3"):
        rack.board("A3")


def test_boards_that_left_are_dumped_apart(rack: Rack, where: str, tmp_path: Path) -> None:
    rack.log_all([entry("A1", defects=(KNOT,)), entry("A2")])
    rack.retire(["A1"], "sold")
    out = tmp_path / "out"
    assert main(["rack", "dump", str(out), "--all", "--rack", where]) == 0
    assert [b.name for b in read_boards(out)] == ["A2"]
    assert [b.name for b in read_boards(out / "gone")] == ["A1"]
    copy = tmp_path / "copy.rack"
    assert main(["rack", "load", str(out), "--rack", str(copy)]) == 0
    with Rack.open(copy) as loaded:
        assert sorted(texts(loaded)) == sorted(texts(rack))


def test_a_dump_beside_the_other_kind_is_refused(
    rack: Rack, where: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rack.log(entry("A1"))
    out = str(tmp_path / "out")
    assert main(["rack", "dump", out, "--rack", where]) == 0
    assert main(["rack", "dump", out, "--xlsx", "--rack", where]) == 2
    assert "Dump to another folder" in capsys.readouterr().err
    assert not list((tmp_path / "out").glob("*.xlsx"))
