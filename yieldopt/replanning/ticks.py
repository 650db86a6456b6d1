"""What was ticked off on the phone page, from the `state.json` beside a plan."""

from __future__ import annotations

import csv
import hashlib
import json
import tempfile
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from yieldopt.errors import UsageError
from yieldopt.lumber import Defect, Job
from yieldopt.plan import Plan
from yieldopt.reading.columns import DEFECTS
from yieldopt.reading.job import read_defects
from yieldopt.replanning.surprise import Surprise

FILE = "state.json"
FORMAT = "yieldopt-state/1"


def ticked(path: Path, text: str, job: Job, plan: Plan) -> tuple[Surprise, str | None]:
    """The ticks in `path` as a surprise; `text` is that of the `plan.json` they have to belong to. With them what to say
    about them, None where there is no such file.

    Raises `UsageError` where the file can't be read, `InputError` for a defect in it that is none.
    """
    try:
        state = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Surprise(), None
    except (OSError, ValueError) as error:
        raise UsageError(f"{path}: the ticks can't be read: {error}") from error
    if not isinstance(state, dict) or state.get("format") != FORMAT:
        raise UsageError(f'{path}: found no ticks, expected "format": "{FORMAT}"')
    if state.get("plan") != hashlib.sha256(text.encode()).hexdigest():
        return Surprise(), f"{path}: these ticks belong to another plan; they are left alone"
    pieces = {p.piece: p.state for _, p in plan.pieces()}
    told: Mapping[str, Any] = state.get("pieces") or {}
    done = frozenset(n for n, s in told.items() if s == "done" and pieces.get(n) == "planned")
    spoiled = frozenset(n for n, s in told.items() if s == "spoiled" and n in pieces)
    cuts = _cuts(state.get("cuts") or {}, plan)
    found = _found(state.get("found") or [], job)
    words = (
        *(f"{n}: done" for n in sorted(done)),
        *(f"{n}: spoiled" for n in sorted(spoiled)),
        *(f"{b}: cuts {', '.join(map(str, sorted(orders)))} made" for b, orders in cuts.items()),
        *(f"{b}: {d.kind} found" for b, ds in found.items() for d in ds),
    )
    count = sum(map(len, cuts.values()))
    pieces_told = f"{len(done)} pieces done, {len(spoiled)} spoiled, {len(found)} boards with defects"
    note = f"ticked off on the phone page: {count} cuts, {pieces_told}"
    return Surprise(done, spoiled, found, cuts=cuts, told=words), note


def _cuts(told: Mapping[str, Mapping[str, str]], plan: Plan) -> dict[str, frozenset[int]]:
    """Cuts of the plan newly made, by board."""
    made = {}
    for entry in plan.boards:
        mine = told.get(entry.board, {})
        orders = frozenset(c.order for c in entry.cuts if c.state == "planned" and mine.get(str(c.order)) == "done")
        if orders:
            made[entry.board] = orders
    return made


def _found(rows: list[dict[str, str]], job: Job) -> dict[str, tuple[Defect, ...]]:
    if not rows:
        return {}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / FILE.replace(".json", ".csv")
        with path.open("w", encoding="utf-8", newline="") as f:
            writer = csv.DictWriter(f, DEFECTS.known, extrasaction="ignore", restval="")
            writer.writeheader()
            writer.writerows(rows)
        return read_defects(path, job.boards, job.units)


def joined(a: Surprise, b: Surprise) -> Surprise:
    """Both; they come from different mouths, so what one calls spoiled is so even if the other calls it done."""
    cuts = {n: a.cuts.get(n, frozenset()) | b.cuts.get(n, frozenset()) for n in {*a.cuts, *b.cuts}}
    found = {n: (*a.found.get(n, ()), *b.found.get(n, ())) for n in dict.fromkeys([*a.found, *b.found])}
    return replace(b, done=a.done | b.done, spoiled=a.spoiled | b.spoiled, cuts=cuts, found=found, told=(*a.told, *b.told))
