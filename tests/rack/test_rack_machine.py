"""The rack against a plain dictionary: any order of changes, compared after each."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from conftest import SERVER, server_schema
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test
from making import records

from yieldopt.rack.board import record as record_text
from yieldopt.rack.board.errors import BoardHeld, NameTaken, NoSuchBoard, NotOnRack, RackError, Refused
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books.search import BoardSearch
from yieldopt.rack.cut.splitting import SplitCut
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.io.exchange import dump, load
from yieldopt.wood.plan import BoardPlan, Offcut, Piece, Plan, Totals

NAMES = st.sampled_from(["A1", "A2", "A3", "=B1", "狭い板"])
JOBS = st.sampled_from(["sideboard", "bench"])
LONG = os.environ.get("YIELDOPT_TESTS") == "long"


class RackMachine(RuleBasedStateMachine):
    """`model`: id -> record as the rack should have it. `holds`: id -> job. `done`: what each change did, newest last."""

    server = False

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        self.folder = Path(tempfile.mkdtemp(dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None))
        self.stack.callback(shutil.rmtree, self.folder)
        where = self.stack.enter_context(server_schema()) if self.server else str(self.folder / "shop.rack")
        self.rack = self.stack.enter_context(Rack.open(where, create=True, who="Ann"))
        self.model: dict[str, RackBoard] = {}
        self.holds: dict[str, str] = {}
        self.done: list[dict[str, tuple[RackBoard | None, RackBoard | None]]] = []
        self.dumps = 0

    def teardown(self) -> None:
        assert self.rack.check() == []
        self.stack.close()

    def there(self, name: str) -> RackBoard | None:
        return next((r for r in self.model.values() if r.name == name and r.state == "on rack"), None)

    def change(self, after: dict[str, RackBoard]) -> None:
        """The model's own change: remembered for undo, holds of boards that left are gone."""
        self.done.append({i: (self.model.get(i), r) for i, r in after.items()})
        self.model.update(after)
        for i, r in after.items():
            if r.state != "on rack":
                self.holds.pop(i, None)

    def refused(self, kind: type[RackError] | tuple[type[RackError], ...], call: Callable[[], object]) -> None:
        with pytest.raises(kind):
            call()

    @rule(name=NAMES, data=st.data())
    def log(self, name: str, data: st.DataObject) -> None:
        r = data.draw(records(name))
        if r.id in self.model:
            return
        if self.there(name):
            self.refused(NameTaken, lambda: self.rack.log(r))
        else:
            self.rack.log(r)
            self.change({r.id: r})

    @rule(name=NAMES, to=NAMES, data=st.data())
    def correct(self, name: str, to: str, data: st.DataObject) -> None:
        new = data.draw(records(to))
        old = self.there(name)

        def change(r: RackBoard) -> RackBoard:
            return replace(new, id=r.id)

        if old is None:
            self.refused(NoSuchBoard, lambda: self.rack.correct(name, change))
        elif self.there(to) not in (None, old):
            self.refused(NameTaken, lambda: self.rack.correct(name, change))
        elif record_text.dumps(change(old)) == record_text.dumps(old):
            self.refused(Refused, lambda: self.rack.correct(name, change))
        else:
            self.rack.correct(name, change)
            self.change({old.id: change(old)})

    @rule(name=NAMES, job=st.none() | JOBS)
    def retire(self, name: str, job: str | None) -> None:
        old = self.there(name)
        if old is None:
            self.refused((NoSuchBoard, NotOnRack), lambda: self.rack.retire([name], "sold", job=job))
        elif self.holds.get(old.id, job) != job:
            self.refused(BoardHeld, lambda: self.rack.retire([name], "sold", job=job))
        else:
            self.rack.retire([name], "sold", job=job)
            self.change({old.id: replace(old, state="retired", why="sold")})

    @rule(name=NAMES, share=st.fractions(0, 1, max_denominator=8))
    def split(self, name: str, share: F) -> None:
        old = self.there(name)
        cut = SplitCut("crosscut", share * old.board.length if old else F(10), F(1, 8))
        names = (f"{name}/1", f"{name}/2")
        if old is None:
            self.refused((NoSuchBoard, NotOnRack), lambda: self.rack.split(name, cut, names))
        elif old.id in self.holds:
            self.refused(BoardHeld, lambda: self.rack.split(name, cut, names))
        elif not 0 < cut.at < old.board.length - cut.kerf:
            self.refused(Refused, lambda: self.rack.split(name, cut, names))
        elif self.there(names[0]) or self.there(names[1]):
            self.refused(NameTaken, lambda: self.rack.split(name, cut, names))
        else:
            pieces = self.rack.split(name, cut, names)
            assert sum(p.board.length for p in pieces) + cut.kerf == old.board.length
            assert sum(p.board.area for p in pieces) < old.board.area
            gone = replace(old, state="split", why=f"split into {names[0]} and {names[1]}")
            self.change({old.id: gone, **{p.id: p for p in pieces}})

    @rule(name=NAMES, job=JOBS)
    def hold(self, name: str, job: str) -> None:
        old = self.there(name)
        if old is None:
            self.refused(NoSuchBoard, lambda: self.rack.hold(job, [name]))
        elif self.holds.get(old.id, job) != job:
            self.refused(BoardHeld, lambda: self.rack.hold(job, [name]))
        else:
            self.rack.hold(job, [name])
            self.holds[old.id] = job

    @rule(job=JOBS)
    def release(self, job: str) -> None:
        self.rack.release(job=job)
        self.holds = {i: j for i, j in self.holds.items() if j != job}

    @rule(name=NAMES, job=JOBS)
    def cut(self, name: str, job: str) -> None:
        old = self.there(name)
        if old is not None and old.board.edges:
            # A planner's offcut lies inside the outline; the middle of a tapering board may not.
            return
        length, width = (old.board.length, old.board.width) if old else (F(96), F(8))
        half = Offcut(f"{name}-o", length / 2, F(0), length / 2, width)
        piece = Piece(f"{name}#1", "part", f"{name}-a", F(0), F(0), length / 4, width, 1, 1, F(3, 4))
        plan = Plan(
            job, "in", (BoardPlan(name, F(10), F(3), pieces=(piece,), offcuts=(half,)),), (), Totals(7.0, None, None, 0.5, 1, 0.1)
        )
        if old is None:
            self.refused((NoSuchBoard, NotOnRack), lambda: self.rack.book(plan))
        elif self.holds.get(old.id, job) != job:
            self.refused(BoardHeld, lambda: self.rack.book(plan))
        elif self.there(half.offcut):
            self.refused(NameTaken, lambda: self.rack.book(plan))
        else:
            booked = self.rack.book(plan)[0]
            offcut = booked.offcuts[0]
            assert (offcut.board.area, offcut.board.cost) == (old.board.area / 2, 3)
            self.change({old.id: replace(old, state="cut", why=f"cut for {job}"), offcut.id: offcut})

    @rule()
    def undo(self) -> None:
        if not self.done:
            self.refused(Refused, self.rack.undo)
            return
        last = self.done[-1]
        leaving = {
            i
            for i, (before, after) in last.items()
            if after and after.state == "on rack" and (not before or before.state != "on rack")
        }
        back = {i: before for i, (before, _) in last.items()}
        taken = {r.name for i, r in self.model.items() if r.state == "on rack" and i not in back}
        if leaving & set(self.holds):
            self.refused(BoardHeld, self.rack.undo)
        elif any(r and r.state == "on rack" and r.name in taken for r in back.values()):
            self.refused(NameTaken, self.rack.undo)
        else:
            self.rack.undo()
            self.done.pop()
            for i, r in back.items():
                if r is None:
                    del self.model[i]
                else:
                    self.model[i] = r

    @rule(workbooks=st.booleans())
    def dump_and_load(self, workbooks: bool) -> None:
        self.dumps += 1
        folder = self.folder / f"dump {self.dumps}"
        dump(self.rack, folder, workbooks=workbooks, everything=True)
        with Rack.open(self.folder / f"copy {self.dumps}.rack", create=True) as copy:
            load(copy, folder)
            assert state(copy) == state(self.rack)
            loaded = load(copy, folder)
            assert not loaded.added
            assert not loaded.corrected

    @initialize()
    def starts_empty(self) -> None:
        assert self.rack.boards() == []

    @invariant()
    def same_as_the_model(self) -> None:
        assert state(self.rack) == {i: record_text.dumps(r) for i, r in self.model.items()}
        assert {i: h.job for i, h in self.rack.holds().items()} == self.holds
        free = {b.name for b in self.rack.available_boards("sideboard")}
        assert free == {
            r.name for i, r in self.model.items() if r.state == "on rack" and self.holds.get(i, "sideboard") == "sideboard"
        }


def state(rack: Rack) -> dict[str, str]:
    return {r.id: record_text.dumps(r) for r in rack.boards(BoardSearch(state=None))}


class ServerMachine(RackMachine):
    server = True


def test_any_order_of_changes_on_sqlite() -> None:
    run_state_machine_as_test(
        RackMachine, settings=settings(max_examples=300 if LONG else 10, stateful_step_count=40 if LONG else 15)
    )


@pytest.mark.skipif(not SERVER, reason="no PostgreSQL server was named")
def test_any_order_of_changes_on_postgresql() -> None:
    run_state_machine_as_test(
        ServerMachine, settings=settings(max_examples=100 if LONG else 4, stateful_step_count=40 if LONG else 12)
    )
