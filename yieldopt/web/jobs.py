"""A job seen from the dealer's yard: its name, and which boards a search for it may look at."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from yieldopt.ground.errors import YieldoptError
from yieldopt.rack.books.holding import binds
from yieldopt.rack.door.facade import Rack
from yieldopt.reading.job import job_name, read_boards, read_job
from yieldopt.web.missing import at
from yieldopt.wood.lumber import Board, Job


@dataclass(frozen=True)
class Choice:
    """Boards chosen on a phone, as a job may use them."""

    job: Job
    # Of those chosen: held for another job (board, job) and left out.
    held: tuple[tuple[str, str], ...]
    # How many were chosen, and how many of them the rack does not have.
    chosen: int
    unknown: int


class Jobs:
    """The jobs that a page may ask about, by their place on the command line."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self.folders = tuple(folders)
        self._lock = threading.Lock()
        # What was offered last, and for which state of rack and folders.
        self._offered: tuple[object, list[dict[str, Any]]] | None = None

    def read(self, number: int, chosen: Sequence[Board], known: Sequence[Board] = ()) -> Job:
        """The job with only the chosen boards; boards that its files name may be among `known` or in its own folder.

        Pins are left out, since they belong to boards that may not be there. Raises `NothingHere` for an unknown job,
        `InputError` for a faulty one.
        """
        folder = at(self.folders, number)
        named = {b.name: b for b in (*self._own(folder), *known, *chosen)}
        job = read_job(folder, list(named.values()))
        there = {b.name for b in chosen}
        return replace(job, boards=tuple(chosen), pins=(), leave=job.leave & there)

    def _own(self, folder: Path) -> Sequence[Board]:
        return read_boards(folder) if any((folder / f"boards.{kind}").exists() for kind in ("csv", "xlsx")) else ()

    def choose(self, number: int, rack: Rack, ids: Sequence[str] | None, but: Sequence[str] = ()) -> Choice:
        """The job on boards of the rack by id, or on all `but` some; those held for other jobs are told apart, and boards of no
        species that it wants are passed over. Raises as `read`."""
        name = job_name(at(self.folders, number))
        on_rack = {r.id: r for r in rack.boards()}
        unwanted = set(but)
        wanted = [i for i in on_rack if i not in unwanted] if ids is None else list(dict.fromkeys(ids))
        there = [on_rack[i] for i in wanted if i in on_rack]
        holds = {i: h for i, h in rack.holds().items() if binds(h, name, None)}
        free = [r.board for r in there if r.id not in holds]
        job = self.read(number, free, [r.board for r in on_rack.values()])
        species = {p.species for p in job.parts}
        job = replace(job, boards=tuple(b for b in job.boards if b.species in species))
        held = tuple((r.name, holds[r.id].job) for r in there if r.id in holds and r.board.species in species)
        return Choice(job, held, len(there), len(wanted) - len(there))

    def offers(self, rack: Rack) -> list[dict[str, Any]]:
        """Each job by its number and name; one that can't be read is named with the reason."""
        # Phones ask every few seconds; reading jobs against a rack of thousands of boards takes as long.
        state = (rack.newest(), *(_stamps(folder) for folder in self.folders))
        with self._lock:
            if self._offered is None or self._offered[0] != state:
                known = rack.available_boards() if self.folders else ()
                self._offered = state, [self._offer(n, known) for n in range(len(self.folders))]
            return self._offered[1]

    def _offer(self, number: int, known: Sequence[Board]) -> dict[str, Any]:
        try:
            job = self.read(number, known)
            return {"number": number, "name": job.name, "units": job.units}
        except (YieldoptError, OSError) as error:
            return {"number": number, "name": self.folders[number].name, "error": str(error)}


def _stamps(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """Name, size and time of each of a job's files."""
    try:
        found = [(p.name, p.stat()) for p in sorted(folder.iterdir()) if p.is_file()]
    except OSError:
        return ()
    return tuple((name, s.st_size, s.st_mtime_ns) for name, s in found)
