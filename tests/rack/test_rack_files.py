"""Files that are no racks, broken ones, newer and older ones; backups."""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing
from fractions import Fraction as F
from pathlib import Path

import pytest
from making import KNOT, entry, photo

from yieldopt.cli import main
from yieldopt.rack.board.errors import DamagedRack, ForeignFile, NewerRack, NoRack, RackError, RackOutOfReach, Refused
from yieldopt.rack.db import backup, rackfile, schema, upgrade
from yieldopt.rack.door.facade import Rack

DATA = Path(__file__).parent / "data"


def filled(path: Path, boards: int = 40) -> Path:
    with Rack.open(path, create=True) as rack:
        rack.log_all([entry(f"A{n}", defects=(KNOT,) * 3, remarks="x" * 500) for n in range(boards)])
    return path


def fingerprint(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def refused_untouched(path: Path, kind: type[RackError], capsys: pytest.CaptureFixture[str]) -> str:
    """Every way in refuses it with this error, exit status 2 and no traceback, and nothing in its folder changes."""
    before = fingerprint(path.parent)
    with pytest.raises(kind):
        Rack.open(path)
    size = ["--species", "ash", "--quarters", "4/4", "--length", "60", "--width", "6"]
    said = ""
    for words in (["list"], ["log", "--board", "X", *size], ["undo"], ["check"], ["backup", str(path.parent / "b")]):
        assert main(["rack", *words, "--rack", str(path)]) == 2
        said = capsys.readouterr().err
        assert said.startswith("yieldopt: ")
    assert fingerprint(path.parent) == before
    return said


@pytest.mark.parametrize(
    "content", [b"", b"hello\n", b"\x00" * 5000, b"PK\x03\x04" + b"z" * 300, b"SQLite format 2\x00" + b"a" * 4096]
)
def test_a_file_of_another_kind_is_refused(file: Path, content: bytes, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_bytes(content)
    assert "is not a rack" in refused_untouched(file, ForeignFile, capsys)


def test_another_program_s_database_is_refused(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("CREATE TABLE boards (id)")
        connection.commit()
    assert "database of another program" in refused_untouched(file, ForeignFile, capsys)


def test_a_folder_is_no_rack(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "d").mkdir()
    assert main(["rack", "list", "--rack", str(tmp_path / "d")]) == 2
    assert "it is not a file" in capsys.readouterr().err


def test_a_rack_that_is_not_there_is_not_made_by_looking(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["list"], ["undo"], ["dump", str(file.parent / "out")], ["hold", "job", "A1"]):
        assert main(["rack", *words, "--rack", str(file)]) == 2
        assert "there is no rack at" in capsys.readouterr().err
    assert list(file.parent.iterdir()) == []
    with pytest.raises(NoRack):
        Rack.open(file)


def test_a_rack_that_was_cut_short_is_refused(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    content = filled(file).read_bytes()
    for kept in (50, 99, 1000, 4096, 9000, len(content) - 4096, len(content) - 1):
        file.write_bytes(content[:kept])
        refused_untouched(file, DamagedRack if kept >= 100 else RackError, capsys)


def test_a_rack_with_garbage_in_it_is_refused(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every page in turn, but those that SQLite does not use, overwritten with noise."""
    content = filled(file).read_bytes()
    rng = random.Random(1)
    pages = len(content) // 4096
    for page in rng.sample(range(1, pages), min(12, pages - 1)):
        noise = bytes(rng.randrange(256) for _ in range(4096))
        file.write_bytes(content[: page * 4096] + noise + content[(page + 1) * 4096 :])
        refused_untouched(file, DamagedRack, capsys)


def test_a_figure_changed_behind_the_ledger_is_found(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    filled(file)
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("UPDATE boards SET length = '95' WHERE name = 'A7'")
        connection.execute("DELETE FROM defects WHERE board = (SELECT id FROM boards WHERE name = 'A8') AND no = 1")
        connection.commit()
    assert main(["rack", "check", "--rack", str(file)]) == 1
    said = capsys.readouterr().out
    assert "board A7" in said
    assert "board A8" in said
    assert said.endswith("2 faults; 40 boards on the rack\n")


def test_a_rack_of_a_newer_version_is_refused_untouched(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    filled(file)
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
    assert "made by a newer version of yieldopt (rack version 9999)" in refused_untouched(file, NewerRack, capsys)


def test_the_newest_step_is_the_version_that_the_code_expects() -> None:
    assert upgrade.steps()[-1] == schema.HEAD


def as_it_was(version: str, path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((DATA / f"version_{version}.sql").read_text(encoding="utf-8"))
        connection.execute(f"PRAGMA application_id = {rackfile.APPLICATION_ID}")
        connection.execute("PRAGMA journal_mode = WAL")


@pytest.mark.parametrize("version", upgrade.steps()[:-1])
def test_a_rack_of_every_older_version_opens_with_all_that_is_in_it(version: str, file: Path) -> None:
    as_it_was(version, file)
    before = file.read_bytes()
    with Rack.open(file) as rack:
        a1, b1 = rack.board("A1"), rack.board("=B1 狭い")
        assert (a1.board.length, a1.board.defects, a1.dealer, a1.board.cost) == (95, (KNOT,), "Hill", 48)
        assert (b1.state, b1.why, b1.remarks, b1.board.length) == ("retired", "sold", "two\nlines", F(197, 2))
        assert rack.check() == []
        assert [c.what for c in rack.history()][-4:] == ["retire", "correct", "log", "log"]
        # It works on: new features included.
        rack.add_photo("A1", photo())
        rack.undo()
        rack.undo()
        assert b1.id in {r.id for r in rack.boards()}
    kept = file.with_name(f"{file.name}.before-{version}")
    assert sqlite3.connect(kept).execute("SELECT version_num FROM alembic_version").fetchone() == (version,)
    assert before != file.read_bytes()


def test_the_steps_lead_to_the_tables_that_the_code_expects(rack: Rack) -> None:
    """Alembic's own comparison of the migrated database with the schema in the code finds no difference."""
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with rack._engine.connect() as connection:
        found = compare_metadata(MigrationContext.configure(connection), schema.with_indexes())
    assert found == []


def test_a_step_that_fails_leaves_the_old_rack(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    as_it_was("0001", file)
    real = upgrade.migrate

    def failing(connection: object, to: str = "head") -> None:
        real(connection, "0002")  # type: ignore[arg-type]
        raise RackOutOfReach("x", "the power went")

    monkeypatch.setattr(upgrade, "migrate", failing)
    with pytest.raises(RackOutOfReach):
        Rack.open(file)
    monkeypatch.undo()
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
        tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}
    assert "holds" not in tables
    with Rack.open(file) as rack:
        assert rack.check() == []


def test_backup_and_restore(rack: Rack, where: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rack.log(entry("A1"))
    rack.add_photo("A1", photo())
    rack.hold("sideboard", ["A1"])
    state = rack.boards(), rack.history(), rack.holds()
    copy = tmp_path / "monday.rack"
    assert main(["rack", "backup", str(copy), "--rack", where]) == 0
    with Rack.open(copy) as kept:
        assert (kept.boards(), kept.history(), kept.holds()) == state
        assert kept.check() == []
    with pytest.raises(Refused, match="exists already"):
        rack.backup(copy)
    rack.retire(["A1"], "by mistake", job="sideboard")
    rack.close()
    if where.startswith("postgresql"):
        # A server is only filled while it is empty; the copy goes to another file instead.
        assert main(["rack", "restore", str(copy), "--rack", where]) == 2
        assert "not empty" in capsys.readouterr().err
        target = str(tmp_path / "restored.rack")
    else:
        target = where
    assert main(["rack", "restore", str(copy), "--rack", target]) == 0
    with Rack.open(target) as restored:
        assert (restored.boards(), restored.history(), restored.holds()) == state
        restored.log(entry("A2"))
    if target == where:
        with Rack.open(f"{where}.replaced-1") as old:
            assert old.board("A1").state == "retired"


def test_a_file_goes_to_a_server_and_works_on_there(where: str, tmp_path: Path) -> None:
    if not where.startswith("postgresql"):
        pytest.skip("for servers")
    filled(tmp_path / "shop.rack", 5)
    backup.fill_server(tmp_path / "shop.rack", where)
    with Rack.open(where) as rack:
        assert len(rack.boards()) == 5
        rack.log(entry("B1"))
        assert rack.undo().undoes == 2
        assert rack.check() == []


def test_a_damaged_rack_is_restored_from_its_backup(file: Path, tmp_path: Path) -> None:
    filled(file)
    copy = tmp_path / "b.rack"
    backup.copy_file(file, copy)
    damaged = file.read_bytes()[:9000]
    file.write_bytes(damaged)
    kept = backup.restore_file(copy, file)
    assert kept is not None
    assert kept.read_bytes() == damaged
    with Rack.open(file) as rack:
        assert len(rack.boards()) == 40


def test_what_is_no_backup_replaces_nothing(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = filled(file).read_bytes()
    bad = tmp_path / "bad"
    bad.write_bytes(before[:5000])
    assert main(["rack", "restore", str(bad), "--rack", str(file)]) == 2
    assert main(["rack", "restore", str(tmp_path / "none"), "--rack", str(file)]) == 2
    assert main(["rack", "restore", str(file), "--rack", str(file)]) == 2
    assert "Traceback" not in capsys.readouterr().err
    assert file.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["bad", "shop.rack"]


def test_an_address_that_leads_nowhere(capsys: pytest.CaptureFixture[str]) -> None:
    for address in ("postgresql://x@127.0.0.1:1/none", "mysql://x/y", "postgresql://:::bad"):
        assert main(["rack", "list", "--rack", address]) == 2
        said = capsys.readouterr().err
        assert said.startswith("yieldopt: ")
        assert "Traceback" not in said
