"""The plan that lies in the job's folder: checked before it is shown, and its sheets to print."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from yieldopt.desk.planner import PLAN
from yieldopt.errors import UsageError
from yieldopt.lumber import Job
from yieldopt.plan import Plan


def kept_plan(folder: Path) -> tuple[Job, Plan] | None:
    """The plan in the folder and the job that it was made for; None where there is none.

    Raises `UsageError` where the check refuses it or where it can't be read.
    """
    from yieldopt.planned.sound import sound_plan

    path = folder / PLAN / "plan.json"
    return sound_plan(path, None) if path.exists() else None


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
