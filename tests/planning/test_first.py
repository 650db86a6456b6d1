"""The first plan's packing: whatever it places, through-cuts part it."""

from __future__ import annotations

from random import Random

import pytest
from bench.sheets import job_of

from yieldopt.planning.finish.assemble import board_plans
from yieldopt.planning.pricing.context import prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.search.first import first_columns
from yieldopt.workers.serial import Serial


@pytest.mark.parametrize("seed", range(8))
def test_through_cuts_part_what_is_packed(seed: int) -> None:
    # Sizes of few kinds: free rectangles then often have a side in common, by which a packer may join them.
    rng = Random(seed)
    items = [{"w": rng.randint(3, 20), "l": rng.randint(3, 20), "demand": 1} for _ in range(80)]
    job = job_of({"name": "crowded", "items": items, "stock": [{"L": 60, "W": 60}]}, False, 3)
    context = prepare(job, Serial(), Shape(), Shape())
    columns = first_columns(context)
    boards, _ = board_plans(context.job, context.rows, context.items, context.stocks, [k.layout for k in columns])
    assert len(boards) == 3
    assert all(b.cuts for b in boards)
