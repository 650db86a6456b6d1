"""A job seen from the dealer's yard: what a phone can rule out by itself, and the quick plan where the tool is in reach."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from yieldopt.errors import InputError, YieldoptError
from yieldopt.lumber import Board, Job, Part
from yieldopt.rack.facade import Rack
from yieldopt.reading.job import read_boards, read_job
from yieldopt.sizing import rough_width, stave_width_needed

QUICK_SECONDS = 4.0


class Busy(YieldoptError):
    """A quick plan is being made for somebody else."""


class Jobs:
    """The jobs that a page may ask about, by their place on the command line."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self.folders = tuple(folders)
        self._planning = threading.Lock()

    def read(self, number: int, chosen: Sequence[Board], known: Sequence[Board] = ()) -> Job:
        """The job with only the chosen boards; boards that its files name may be among `known` or in its own folder.

        Pins are left out, since they belong to boards that may not be there. Raises `IndexError` for an unknown job,
        `InputError` for a faulty one.
        """
        folder = self.folders[number]
        named = {b.name: b for b in (*self._own(folder), *known, *chosen)}
        job = read_job(folder, list(named.values()))
        there = {b.name for b in chosen}
        return replace(job, boards=tuple(chosen), pins=(), leave=job.leave & there)

    def _own(self, folder: Path) -> Sequence[Board]:
        return read_boards(folder) if any((folder / f"boards.{kind}").exists() for kind in ("csv", "xlsx")) else ()

    def offers(self, rack: Rack) -> list[dict[str, Any]]:
        """Each job with what the phone's necessary tests need; one that can't be read is named with the reason."""
        out: list[dict[str, Any]] = []
        for n, folder in enumerate(self.folders):
            try:
                out.append(self.needs(n, rack))
            except InputError as error:
                out.append({"number": n, "name": folder.name, "error": str(error)})
        return out

    def needs(self, number: int, rack: Rack) -> dict[str, Any]:
        """What the phone's necessary tests are made from; lengths in inches."""
        return {"number": number, **needs_of(self.read(number, rack.available_boards()))}

    def quick(self, number: int, boards: Sequence[Board], rack: Rack, seconds: float = QUICK_SECONDS) -> dict[str, Any]:
        """Plan the job from these boards alone for a few seconds. Raises `Busy` while another one runs."""
        from yieldopt.planning import plan_job

        job = self.read(number, boards, rack.available_boards())
        if not self._planning.acquire(blocking=False):
            raise Busy("another quick plan is being made; ask again in a few seconds")
        try:
            result = plan_job(job, seconds=seconds)
        finally:
            self._planning.release()
        plan = result.plan
        return {
            # A machine that is busy elsewhere gets no further than a first try, which leaves out what a search would place.
            "first_try": all(h.doing == "first plan" for h in result.history) and bool(plan.unplaced),
            "missing": [{"part": u.part, "qty": u.qty, "why": u.why} for u in plan.unplaced],
            "net_cost": plan.totals.net_cost,
            "boards": [b.board for b in plan.boards],
            "seconds": plan.totals.seconds,
        }


def needs_of(job: Job) -> dict[str, Any]:
    """What a phone needs to know of a job for its necessary tests; lengths in inches, areas in square inches."""
    a, k = job.shop.allowances, job.shop.kerf
    return {
        "name": job.name,
        "units": job.units,
        "board_end": float(a.board_end),
        "face": float(a.face),
        "sawn_face": float(a.sawn_face),
        "resaw_spare": float(a.resaw_spare),
        "resaw": float(k.resaw),
        "parts": [_part(p, job) for p in job.parts],
    }


def _part(p: Part, job: Job) -> dict[str, Any]:
    a = job.shop.allowances
    end = min(a.end, a.run_end) if p.match_kind == "run" else a.end
    length = p.length + 2 * end
    width = rough_width(p, job.shop)
    # The least area any layout must give it: a panel's staves are wider together than the panel.
    area_width = max(width, stave_width_needed(p, job.shop)) if p.staves else width
    across = (p.width + 2 * a.end, p.length + 2 * a.edge)
    area = length * area_width
    if p.staves:
        width = p.staves[0] + 2 * a.edge
    if p.grain == "any":
        area = min(area, across[0] * across[1])
    return {
        "part": p.name,
        "qty": p.qty,
        "species": p.species,
        "thickness": float(p.thickness),
        "area": float(area),
        "ways": [[float(length), float(width)]] + ([[float(v) for v in across]] if p.grain == "any" else []),
        "from": list(p.sources),
    }
