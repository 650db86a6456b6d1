"""What was ticked off on the phone page, from the `state.json` beside a plan."""

from __future__ import annotations

import csv
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from yieldopt.reading.columns import DEFECTS
from yieldopt.reading.job import read_defects
from yieldopt.replanning.surprise import Surprise
from yieldopt.replanning.tickfile import FILE, Ticks, digest_of
from yieldopt.wood.lumber import Defect, Job
from yieldopt.wood.plan import Plan


def ticked(ticks: Ticks | None, where: Path, job: Job, plan: Plan, text: str) -> tuple[Surprise, str | None]:
    """The ticks as a surprise; `text` is that of the `plan.json` they have to belong to. With them what to say about them,
    None where there are none. Raises `InputError` for a defect among them that is none.
    """
    if ticks is None:
        return Surprise(), None
    if ticks.plan != digest_of(text):
        return Surprise(), f"{where}: these ticks belong to another plan; they are left alone"
    pieces = {p.piece: p.state for _, p in plan.pieces()}
    done = frozenset(n for n, s in ticks.pieces.items() if s == "done" and pieces.get(n) == "planned")
    spoiled = frozenset(n for n, s in ticks.pieces.items() if s == "spoiled" and n in pieces)
    cuts = _cuts(ticks, plan)
    found = _found(ticks.found, job)
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


def _cuts(ticks: Ticks, plan: Plan) -> dict[str, frozenset[int]]:
    """Cuts of the plan newly made, by board."""
    made = {}
    for entry in plan.boards:
        mine = ticks.cuts.get(entry.board, {})
        orders = frozenset(c.order for c in entry.cuts if c.state == "planned" and mine.get(c.order) == "done")
        if orders:
            made[entry.board] = orders
    return made


def _found(rows: Sequence[Mapping[str, str]], job: Job) -> dict[str, tuple[Defect, ...]]:
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
