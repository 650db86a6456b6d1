"""The plans that lie in the job's folder: checked before they are shown, and the sheets of the one at hand to print."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from yieldopt.desk.planner import BEFORE, PLAN
from yieldopt.ground.errors import UsageError
from yieldopt.records.history import EARLIER
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

FILE = "plan.json"


def kept_plan(folder: Path, path: Path | None = None) -> tuple[Job, Plan] | None:
    """The plan in the folder (by default the one at hand) and the job that it was made for; None where there is none.

    Raises `UsageError` where the check refuses it or where it can't be read.
    """
    path = path or folder / PLAN / FILE
    if not path.exists():
        return None
    earlier = path.parent.name == EARLIER
    job = path.parent.parent / "job" if earlier else path.parent / "job"
    stamps = tuple((p.name, p.stat().st_mtime_ns, p.stat().st_size) for p in (path, *sorted(job.glob("*"))))
    return _read(path, job, earlier, stamps)


@lru_cache(maxsize=8)
def _read(path: Path, job: Path, earlier: bool, _stamps: object) -> tuple[Job, Plan]:
    from yieldopt.planned.sound import plan_with_job, sound_plan
    from yieldopt.replanning.figures import as_known

    if not earlier:
        return sound_plan(path, job)
    # It passed the check when it was made; what came to light since is in the job, and would be held against it.
    found, plan = plan_with_job(path, job)
    if not {b.board for b in plan.boards} <= found.board_named.keys():
        raise UsageError(f"{path.name}: it cuts boards that the job doesn't have any more")
    return found, as_known(found, plan)


def plans_there(folder: Path) -> list[tuple[str, Path]]:
    """Every plan in the job's folder, in words and as its file: the one at hand first."""
    at = folder / PLAN
    known = [("the plan at hand", at / FILE), ("the plan before it", at / BEFORE / FILE)]
    earlier = sorted(at.glob(f"{EARLIER}/*.json"), key=lambda p: (len(p.name), p.name), reverse=True)
    others = sorted(p for p in folder.glob("*/plan.json") if p.parent.name != PLAN)
    known += [(f"{p.stem.replace('-', ' ')}, from before the job was planned again", p) for p in earlier]
    known += [(f"the plan in {p.parent.name}", p) for p in others]
    return [(words, p) for words, p in known if p.is_file()]


def packet(folder: Path, sections: Sequence[str], paper: str) -> bytes:
    """The packet as a PDF: these of its sections, or all that are usual. Raises as `kept_plan`, and `UsageError` where there
    is no plan or a section is none."""
    from yieldopt.drawing.packet.packet import SECTIONS, USUAL, packet_files
    from yieldopt.drawing.packet.today import printed_date
    from yieldopt.drawing.page.paper import PAPERS

    found = kept_plan(folder)
    if found is None:
        raise UsageError("there is no plan yet: plan the job first")
    if paper not in PAPERS or not set(sections) <= set(SECTIONS):
        raise UsageError(f"expected paper {' or '.join(PAPERS)}, and of what is printed {', '.join(SECTIONS)}")
    job, plan = found
    drawn = packet_files(job, plan, PAPERS[paper], printed_date(), None, list(sections) or list(USUAL))
    content = drawn["packet.pdf"]
    return content if isinstance(content, bytes) else content.encode()
