"""What the phone works out by itself, against the rack: lengths as typed, board feet, money; names of new boards."""

from __future__ import annotations

import random
from fractions import Fraction
from typing import Any

import pytest

pytest.importorskip("selenium")

from phone import BROWSER, Phone

from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.ground.lengths import as_typed, in_fractions, parse_length
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.door.facade import new_id
from yieldopt.reading.job import read_job
from yieldopt.web.exchange import as_json

pytestmark = BROWSER
TYPED = ["0", "7", "7 3/8", "7-3/8", "-1", "-1 1/4", "-1/4", "8'", "8' 2 1/2\"", "190mm", "19 cm", "-12mm", "73 3/8", "3/4\""]


def asked(phone: Phone, module: str, work: str, *given: Any) -> Any:
    """What `work` (of `m`, the module, and the `given`) comes to on the phone."""
    script = f"const given = [...arguments], done = given.pop(); import('/static/{module}.js').then(m => done({work}))"
    return phone.driver.execute_async_script(script, *given)


def test_a_length_is_read_as_the_rack_reads_it(opened: Phone) -> None:
    rng = random.Random(1)
    drawn = [Fraction(rng.randint(-64 * 40, 64 * 200), 64) for _ in range(300)]
    texts = TYPED + [in_fractions(v) for v in drawn] + [as_typed(v, "in") for v in drawn]
    there = [float(parse_length(t, "in")) for t in texts]
    here = asked(opened, "figures/lengths", "given[0].map(m.inches)", texts)
    assert here == [pytest.approx(v, abs=1e-4) for v in there]
    assert asked(opened, "figures/lengths", "given[0].map(m.inches)", ["", "x", "1/0", "--1", "7 3/"]) == [None] * 5


def test_board_feet_and_money_are_the_racks(opened: Phone) -> None:
    """The demo's boards, those that wander too: M4's near edge lies below its snapped line."""
    boards = read_job(inventory() / MAIN_JOB).boards
    assert any(e.near < 0 for b in boards for e in b.edges)
    bodies = [as_json(RackBoard(new_id(), b)) for b in boards]
    feet = asked(opened, "figures/wood", "given[0].map(m.feet)", bodies)
    assert feet == [pytest.approx(float(b.board_feet), abs=1e-3) for b in boards]
    cost = asked(opened, "figures/wood", "given[0].map(m.cost)", bodies)
    assert cost == [pytest.approx(float(b.price), abs=1e-2) for b in boards]


def test_each_phone_has_a_letter_of_its_own(opened: Phone) -> None:
    letters = asked(opened, "figures/naming", "Array.from({length: 100}, (_, n) => m.letterOf(n))")
    assert len(set(letters)) == 100
    assert letters[0] == "B"
    assert not set("".join(letters)) & {"I", "O"}, "they read as figures"
    names = asked(opened, "figures/naming", "given[0].map(m.following)", ["B9", "W07", "X", "C12 b"])
    assert names == ["B10", "W08", "X2", "C13 b"]


def test_versions_that_grew_apart_are_merged_where_they_can_be(opened: Phone) -> None:
    was = {"cells": {"width": "7", "remarks": "old"}, "defects": [], "edges": []}
    mine = {"cells": {"width": "6", "remarks": "old"}, "defects": [{"kind": "knot", "x": "1"}], "edges": []}
    theirs = {"cells": {"width": "7", "place": "rack 2"}, "defects": [], "edges": [{"x": "0", "near": "-1", "far": "6"}]}
    told = asked(opened, "figures/merging", "m.merge(...given)", was, mine, theirs)
    assert told == {
        "merged": {"cells": {"width": "6", "place": "rack 2"}, "defects": mine["defects"], "edges": theirs["edges"]},
        "clashes": [],
    }
    both = asked(opened, "figures/merging", "m.merge(...given)", was, mine, theirs | {"cells": {"width": "5"}})
    assert both["clashes"] == ["cells.width"]
    unknown = asked(opened, "figures/merging", "m.merge(...given)", None, mine, theirs)
    assert sorted(unknown["clashes"]) == ["cells.place", "cells.remarks", "cells.width", "defects", "edges"]
