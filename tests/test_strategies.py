"""The strategies themselves: every job they draw is one that the reader takes, and they reach every kind of thing."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis.errors import NoSuchExample
from strategies import jobs

from yieldopt.ground.files import write_all_atomically
from yieldopt.reading import read_job
from yieldopt.reading.writing import job_files
from yieldopt.wood.lumber import Job

FEATURES = {
    "millimetres": lambda j: j.units == "mm",
    "pins": lambda j: bool(j.pins),
    "leave": lambda j: bool(j.leave),
    "outline": lambda j: any(b.edges for b in j.boards),
    "near edge below the line": lambda j: any(e.near < 0 for b in j.boards for e in b.edges),
    "warp": lambda j: any(b.bow and b.twist for b in j.boards),
    "sound end": lambda j: any(b.datum_sound for b in j.boards),
    "defect on B": lambda j: any(d.face == "B" for b in j.boards for d in b.defects),
    "no price": lambda j: any(b.cost is b.price_bf is b.price_m3 is None for b in j.boards),
    "staves": lambda j: any(p.staves for p in j.parts),
    "across": lambda j: any(p.grain == "any" for p in j.parts),
    "sources": lambda j: any(p.sources for p in j.parts),
    "odd shop": lambda j: j.shop.machines.wide_flattening == "none",
} | {kind: lambda j, kind=kind: any(p.match_kind == kind for p in j.parts) for kind in ("book", "slip", "run", "board")}


@given(jobs())
def test_every_job_drawn_is_a_job(job: Job) -> None:
    with tempfile.TemporaryDirectory() as folder:
        write_all_atomically(Path(folder), job_files(job))
        assert read_job(Path(folder)) == job


def test_jobs_reach_every_kind_of_thing() -> None:
    missing = set(FEATURES)

    @settings(max_examples=80, suppress_health_check=list(HealthCheck), database=None)
    @given(jobs())
    def look(job: Job) -> None:
        missing.difference_update({name for name in missing if FEATURES[name](job)})

    look()
    if missing:
        raise NoSuchExample(str(missing))
