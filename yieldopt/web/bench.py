"""Sheets at the bench: the plan's boards, and what is ticked off, kept in `state.json` beside the plan.

`state.json` holds `format`, `plan` (SHA-256 of the `plan.json` it belongs to), `cuts` (board -> order -> "done"), `pieces`
(piece -> "done" or "spoiled"), `found` (defects found later, columns of `defects.csv`) and `keys` (changes taken in, so that a
repeat does nothing). What isn't listed is as the plan says.
"""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from yieldopt.drawing.names import file_names
from yieldopt.errors import UsageError, YieldoptError
from yieldopt.files import finish_writing, write_atomically
from yieldopt.lumber import Job
from yieldopt.plan import BoardPlan, Plan, loads
from yieldopt.rack.facade import new_id
from yieldopt.rack.intake import Typed, to_record, typed_of
from yieldopt.rack.record import RackBoard
from yieldopt.reading.job import read_job
from yieldopt.replanning.history import on_sheet, standing_of

if TYPE_CHECKING:
    from yieldopt.web.sheets import Sheets

FORMAT = "yieldopt-state/1"
MOST_KEYS = 20_000
CHANGED = "the plan has changed since this sheet was opened; load it again"


class Otherwise(YieldoptError):
    """The tick was made from another state than the one there is; `now` is that one."""

    def __init__(self, now: str) -> None:
        super().__init__(f"it is {now} by now")
        self.now = now


class Bench:
    """The plan folders of one run of the page, by their place on the command line."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self.folders = tuple(folders)
        self._lock = threading.Lock()
        self._sheets: dict[tuple[int, str], Sheets] = {}

    def plan(self, number: int) -> tuple[Job, Plan, str]:
        """The job, its plan and the digest of the plan's file. Raises `IndexError`, `UsageError`, `InputError`."""
        folder = self.folders[number]
        finish_writing(folder)
        try:
            text = (folder / "plan.json").read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise UsageError(f"{folder}: there is no plan.json that can be read") from error
        return read_job(folder / "job"), loads(text), hashlib.sha256(text.encode()).hexdigest()

    def offers(self) -> list[dict[str, Any]]:
        """Each plan with its progress; one that can't be read is named with the reason."""
        out: list[dict[str, Any]] = []
        for n, folder in enumerate(self.folders):
            try:
                _, plan, digest = self.plan(n)
                state = self._state(n, digest)
            except (YieldoptError, ValueError) as error:
                out.append({"number": n, "job": folder.name, "error": str(error)})
                continue
            done = sum(len(orders) for orders in state["cuts"].values())
            cuts = sum(len(b.cuts) for b in plan.boards)
            out.append({"number": n, "job": plan.job, "revision": plan.revision, "cuts": cuts, "done": done})
        return out

    def show(self, number: int) -> dict[str, Any]:
        """A plan's boards: cuts in order in words, pieces, and what is ticked off."""
        job, plan, digest = self.plan(number)
        state = self._state(number, digest)
        stems = file_names([b.board for b in plan.boards])
        sheets = self._drawn(number)
        boards = [
            {
                "board": b.board,
                "stem": stems[b.board],
                "pages": sheets.sizes(b.board),
                "strips": sheets.strips(b.board),
                "species": job.board_named[b.board].species,
                "quarters": job.board_named[b.board].quarters,
                "cuts": [c | {"state": _cut_state(state, b, c["order"])} for c in sheets.cuts(b)],
                "pieces": [
                    {"piece": p.piece, "blank": p.blank, "state": state["pieces"].get(p.piece, p.state)} for p in b.pieces
                ],
                "found": [f for f in state["found"] if f["board"] == b.board],
            }
            for b in plan.boards
        ]
        return {"number": number, "job": plan.job, "revision": plan.revision, "plan": digest, "boards": boards}

    def _drawn(self, number: int) -> Sheets:
        from yieldopt.web.sheets import draw_sheets

        job, plan, digest = self.plan(number)
        with self._lock:
            if (number, digest) not in self._sheets:
                self._sheets[number, digest] = draw_sheets(job, plan)
            return self._sheets[number, digest]

    def sheet(self, number: int, stem: str, page: int, wanted: str = "") -> str:
        """One page of a board's sheet as SVG. Raises `KeyError`, `IndexError`; `UsageError` where the plan isn't the `wanted`."""
        if wanted and wanted != self.plan(number)[2]:
            raise UsageError(CHANGED)
        sheets = self._drawn(number).svgs
        names = {s: b for b, s in file_names(sheets).items()}
        if page < 0:
            raise IndexError(page)
        return sheets[names[stem]][page]

    def judge(self, number: int, text: str) -> dict[str, Any]:
        """Whether a sheet is still good, from what its code says or its revision typed in; `good` None: not this plan's.

        Raises `UsageError` where the text is neither.
        """
        _, plan, _ = self.plan(number)
        told = text.strip()
        found = (plan.job, int(told)) if told.isascii() and told.isdigit() and len(told) < 10 else on_sheet(told)
        if found is None:
            raise UsageError("not the code of a sheet or label; type the revision printed on the sheet")
        # A code cuts long names short.
        if found[0] != plan.job[: max(len(found[0]), 1)]:
            return {"good": None, "text": f"This sheet belongs to another job: {found[0]}."}
        said = standing_of(plan, found[1])
        return {"good": not said, "text": said or f"This sheet is of revision {plan.revision}, the newest."}

    def tick(self, number: int, body: Mapping[str, Any]) -> dict[str, Any]:
        """Take in one tick: a cut or a piece is now `state`, was `was` when the phone saw it; or a defect `found`.

        Raises `Otherwise` where it is something else by now, `UsageError` where there is no such cut or piece.
        """
        job, plan, digest = self.plan(number)
        if body.get("plan") != digest:
            raise UsageError(CHANGED)
        with self._lock:
            state = self._state(number, digest)
            if body["key"] not in state["keys"]:
                self._change(state, job, plan, body)
                state["keys"] = [*state["keys"], body["key"]][-MOST_KEYS:]
                write_atomically(self._path(number), json.dumps(state, ensure_ascii=False, indent=1, sort_keys=True) + "\n")
        return self.show(number)

    def _change(self, state: dict[str, Any], job: Job, plan: Plan, body: Mapping[str, Any]) -> None:
        board = next((b for b in plan.boards if b.board == body["board"]), None)
        if board is None:
            raise UsageError("no such board in this plan")
        if body.get("found") is not None:
            state["found"].append(found_defect(job, body["board"], body["found"]))
            return
        now = str(body["state"])
        if body.get("cut") is not None:
            cut = next((c for c in board.cuts if c.order == body["cut"]), None)
            if cut is None or now == "spoiled":
                raise UsageError("no such cut on this board")
            _expect(_cut_state(state, board, cut.order), body)
            orders = state["cuts"].setdefault(board.board, {})
            orders[str(cut.order)] = now
            if now == "planned":
                del orders[str(cut.order)]
            return
        piece = next((p for p in board.pieces if p.piece == body.get("piece")), None)
        if piece is None:
            raise UsageError("no such piece on this board")
        _expect(state["pieces"].get(piece.piece, piece.state), body)
        state["pieces"][piece.piece] = now

    def _path(self, number: int) -> Path:
        return self.folders[number] / "state.json"

    def _state(self, number: int, digest: str) -> dict[str, Any]:
        """The state of this very plan; a plan made anew starts with none."""
        fresh: dict[str, Any] = {"format": FORMAT, "plan": digest, "cuts": {}, "pieces": {}, "found": [], "keys": []}
        try:
            state = json.loads(self._path(number).read_text(encoding="utf-8"))
        except FileNotFoundError:
            return fresh
        except (OSError, ValueError) as error:
            raise UsageError(f"{self._path(number)} can't be read; it was left as it is") from error
        if not isinstance(state, dict) or state.get("format") != FORMAT:
            raise UsageError(f"{self._path(number)} is something else; it was left as it is")
        if state.get("plan") != digest:
            # Of an earlier plan in the same folder: put by, since somebody stood at the saw for it.
            kept = self._path(number).with_name(f"state.{str(state.get('plan'))[:8]}.json")
            write_atomically(kept, json.dumps(state, ensure_ascii=False, indent=1, sort_keys=True) + "\n")
            return fresh
        return state


def _expect(now: str, body: Mapping[str, Any]) -> None:
    if now not in (body.get("was"), body["state"]):
        raise Otherwise(now)


def _cut_state(state: Mapping[str, Any], board: BoardPlan, order: int) -> str:
    planned = next(c.state for c in board.cuts if c.order == order)
    return str(state["cuts"].get(board.board, {}).get(str(order), planned))


def found_defect(job: Job, board: str, cells: Mapping[str, str]) -> dict[str, str]:
    """A defect found at the bench, checked like a row of `defects.csv`. Raises `InputError`."""
    row = {k: str(cells[k]).strip() for k in ("kind", "face", "x", "y", "length", "width") if cells.get(k)}
    typed = typed_of(RackBoard(new_id(), job.board_named[board]), job.units)
    to_record(Typed(typed.cells, [row], typed.edges), job.units, "found")
    return {"board": board, **row}
