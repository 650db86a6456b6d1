"""Parts with their rough sizes explained, in lines as they are printed."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from yieldopt.ground.errors import UsageError
from yieldopt.ground.lengths import show
from yieldopt.insight.explaining import explain_part
from yieldopt.wood.lumber import Job, Part


def parts_told(job: Job, names: Sequence[str] | None) -> Iterator[str]:
    """Every part asked for with its explanation, in lines; None: all. Raises `UsageError` for a name that no part has."""
    strangers = [name for name in names or () if name not in job.part_named]
    if strangers:
        has = ", ".join(p.name for p in job.parts)
        raise UsageError(f"no part is named {', '.join(map(repr, strangers))}; the job has {has}")
    for part in job.parts:
        if not names or part.name in names:
            yield from _part_told(part, job)


def _part_told(part: Part, job: Job) -> Iterator[str]:
    sizes = " x ".join(show(s, job.units) for s in (part.thickness, part.width, part.length))
    group = f", {part.match_kind} group {part.match}" if part.match else ""
    yield f"{part.name}: {part.qty} of {part.species}, finished {sizes}{group}"
    topic = ""
    for line in explain_part(part, job):
        label = f"{line.topic:>11}  " if line.topic != topic else " " * 13
        topic = line.topic
        yield textwrap.fill(line.text, 120, initial_indent=label, subsequent_indent=" " * 15)
    yield ""
