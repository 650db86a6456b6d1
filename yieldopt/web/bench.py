"""Sheets at the bench: the plan's boards with their drawings, and what is ticked off of them."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from yieldopt.drawing.packet.names import file_names
from yieldopt.ground.errors import UsageError, YieldoptError
from yieldopt.reading.job import read_job
from yieldopt.reading.plans import read_plan
from yieldopt.records.history import on_sheet, standing_of
from yieldopt.replanning.tickfile import digest_of
from yieldopt.web.missing import NothingHere, at
from yieldopt.web.ticking import CHANGED, cut_state, take, ticks_of
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

if TYPE_CHECKING:
    from yieldopt.web.sheets import Sheets


class Bench:
    """The plan folders of one run of the page, by their place on the command line."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self.folders = tuple(folders)
        self._lock = threading.Lock()
        # Of the newest plan of each folder, with that plan's digest.
        self._sheets: dict[int, tuple[str, Sheets]] = {}

    def folder(self, number: int) -> Path:
        """The plan's folder. Raises `NothingHere`."""
        return at(self.folders, number)

    def plan(self, number: int) -> tuple[Job, Plan, str]:
        """The job, its plan and the digest of the plan's file. Raises `NothingHere`, `UsageError`, `InputError`."""
        folder = self.folder(number)
        while True:
            try:
                plan, text = read_plan(folder / "plan.json")
                job = read_job(folder / "job")
                # A plan made anew in between would stand beside the job of the one before.
                if (folder / "plan.json").read_text(encoding="utf-8-sig") == text:
                    return job, plan, digest_of(text)
            except OSError as error:
                raise UsageError(f"{folder}: there is no plan.json that can be read ({error.strerror})") from error

    def offers(self) -> list[dict[str, Any]]:
        """Each plan with its progress; one that can't be read is named with the reason."""
        out: list[dict[str, Any]] = []
        for n, folder in enumerate(self.folders):
            try:
                _, plan, digest = self.plan(n)
                ticks = ticks_of(folder, digest)
            except (YieldoptError, ValueError) as error:
                out.append({"number": n, "job": folder.name, "error": str(error)})
                continue
            done = sum(cut_state(ticks, b, c.order) == "done" for b in plan.boards for c in b.cuts)
            cuts = sum(len(b.cuts) for b in plan.boards)
            out.append({"number": n, "job": plan.job, "revision": plan.revision, "cuts": cuts, "done": done})
        return out

    def show(self, number: int) -> dict[str, Any]:
        """A plan's boards: cuts in order in words, pieces, and what is ticked off."""
        job, plan, digest = self.plan(number)
        ticks = ticks_of(self.folders[number], digest)
        stems = file_names([b.board for b in plan.boards])
        sheets = self._drawn(number, job, plan, digest)
        boards = [
            {
                "board": b.board,
                "stem": stems[b.board],
                "pages": sheets.sizes(b.board),
                "strips": sheets.strips(b.board),
                "species": job.board_named[b.board].species,
                "quarters": job.board_named[b.board].quarters,
                "cuts": [c | {"state": cut_state(ticks, b, c["order"])} for c in sheets.cuts(b)],
                "pieces": [{"piece": p.piece, "blank": p.blank, "state": ticks.pieces.get(p.piece, p.state)} for p in b.pieces],
                "found": [dict(f) for f in ticks.found if f["board"] == b.board],
            }
            for b in plan.boards
        ]
        return {"number": number, "job": plan.job, "revision": plan.revision, "plan": digest, "boards": boards}

    def _drawn(self, number: int, job: Job, plan: Plan, digest: str) -> Sheets:
        from yieldopt.web.sheets import draw_sheets

        with self._lock:
            known = self._sheets.get(number)
            if known is None or known[0] != digest:
                known = self._sheets[number] = digest, draw_sheets(job, plan)
            return known[1]

    def sheet(self, number: int, stem: str, page: int, wanted: str = "") -> str:
        """One page of a board's sheet as SVG. Raises `NothingHere`; `UsageError` where the plan isn't the `wanted`."""
        job, plan, digest = self.plan(number)
        if wanted and wanted != digest:
            raise UsageError(CHANGED)
        sheets = self._drawn(number, job, plan, digest).svgs
        names = {s: b for b, s in file_names(sheets).items()}
        if stem not in names:
            raise NothingHere
        return at(sheets[names[stem]], page)

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

    def tick(self, number: int, body: Mapping[str, Any], by: str = "") -> dict[str, Any]:
        """Take in one tick of the phone `by`; the plan as it is then. Raises as `ticking.take`, `NothingHere`."""
        take(self.folder(number), lambda: self.plan(number), body, by)
        return self.show(number)
