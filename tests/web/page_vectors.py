"""Figures that the package and the phone page must both come to: `python tests/web/page_vectors.py` writes them as the package
works them out. Tests in Python hold the package to the files, tests under node the page's modules."""

from __future__ import annotations

import hashlib
import json
import random
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.ground.errors import LengthError
from yieldopt.ground.lengths import as_typed, in_fractions, parse_length
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.door.facade import new_id
from yieldopt.reading.job import read_job
from yieldopt.web.exchange import as_json

FOLDER = Path(__file__).parent / "page" / "vectors"
TYPED = ["0", "7", "7 3/8", "7-3/8", "-1", "-1 1/4", "-1/4", "8'", "8' 2 1/2\"", "190mm", "19 cm", "-12mm", "73 3/8", "3/4\""]
NO_LENGTHS = ["", "x", "1/0", "--1", "7 3/"]
# Cells that board feet and price come from.
MEASURED = ("board", "species", "quarters", "length", "width", "cost", "price_bf", "price_m3")
# The examples of FIPS 180-2, appendix B, and lengths round the end of a block.
DIGESTED = ["", "abc", "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", *("x" * n for n in (55, 56, 63, 64, 65, 1000))]


def lengths() -> list[dict[str, Any]]:
    """Texts as typed, and inches: an exact fraction, or null where the text is no length."""
    rng = random.Random(1)
    drawn = [Fraction(rng.randint(-64 * 40, 64 * 200), 64) for _ in range(120)]
    texts = [*TYPED, *(in_fractions(v) for v in drawn), *(as_typed(v, "in") for v in drawn), *NO_LENGTHS]
    return [{"text": t, "inches": _inches(t)} for t in dict.fromkeys(texts)]


def _inches(text: str) -> str | None:
    try:
        return str(parse_length(text, "in"))
    except LengthError:
        return None


def boards() -> list[dict[str, Any]]:
    """Boards of the demo as a phone has them, those that wander first, and one in millimetres; board feet and price."""
    read = sorted(read_job(inventory() / MAIN_JOB).boards, key=lambda b: not b.edges)[:12]
    out = [{**_version(b), "feet": str(b.board_feet), "cost": float(b.price)} for b in read]
    return [*out, _in_millimetres(read[0])]


def _version(board: Any) -> dict[str, Any]:
    told = as_json(RackBoard(new_id(), board))
    return {"cells": {k: v for k, v in told["cells"].items() if k in MEASURED}, "defects": [], "edges": told["edges"]}


def _in_millimetres(board: Any) -> dict[str, Any]:
    """By the words of the rule: a board foot is 144 cubic inches of nominal thickness (hardwood grading rules, measurement of
    lumber), and a cubic metre is what it is."""
    version = _version(board)
    kept = {k: v for k, v in version["cells"].items() if k not in ("cost", "price_bf")}
    cells = kept | {"quarters": "52mm", "price_m3": "1200"}
    thick = Fraction(52 * 10, 254)
    cubic = board.area * thick * Fraction(254, 10_000) ** 3
    return {**version, "cells": cells, "feet": str(board.area * thick / 144), "cost": float(cubic * 1200)}


def corners() -> list[dict[str, Any]]:
    """Four corners of a board and where they lie on a photo, and where a spot of the board comes to lie, by numpy."""
    rng = random.Random(2)
    own = [[0, 0], [1, 0], [1, 1], [0, 1]]
    out = []
    for _ in range(12):
        a, b, c, d, e, f, g, h = (round(rng.uniform(0.05, 0.3), 4) for _ in range(8))
        seen = [[a, b], [1 - c, d], [1 - e, 1 - f], [g, 1 - h]]
        spot = [round(rng.random(), 3), round(rng.random(), 3)]
        out.append({"own": own, "seen": seen, "spot": spot, "there": mapped(own, seen, spot)})
    return out


def mapped(own: list[list[float]], seen: list[list[float]], spot: list[float]) -> list[float]:
    """The projective map by its eight equations (Heckbert 1989, 2.2.3), solved by numpy."""
    rows, right = [], []
    for (x, y), (u, v) in zip(own, seen, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -x * u, -y * u], [0, 0, 0, x, y, 1, -x * v, -y * v]]
        right += [u, v]
    p = np.linalg.solve(np.array(rows, float), np.array(right, float))
    x, y = spot
    w = p[6] * x + p[7] * y + 1
    return [float((p[0] * x + p[1] * y + p[2]) / w), float((p[3] * x + p[4] * y + p[5]) / w)]


def digests() -> list[dict[str, str]]:
    """Texts and their SHA-256."""
    return [{"text": t, "digest": hashlib.sha256(t.encode()).hexdigest()} for t in DIGESTED]


MADE = {"lengths": lengths, "boards": boards, "corners": corners, "digests": digests}


def kept(name: str) -> Any:
    """As they stand in the file."""
    return json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))


def written(rows: list[dict[str, Any]]) -> str:
    """A row a line."""
    return "[\n" + ",\n".join(json.dumps(r, ensure_ascii=False) for r in rows) + "\n]\n"


if __name__ == "__main__":
    for name, make in MADE.items():
        (FOLDER / f"{name}.json").write_text(written(make()), encoding="utf-8")
