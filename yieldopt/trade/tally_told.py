"""The tally and the estimate as a table of text."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from yieldopt.ground.lengths import in_fractions
from yieldopt.trade.estimate import Estimate
from yieldopt.trade.grades import CAUTION
from yieldopt.trade.quarters import is_scant
from yieldopt.trade.tally import GREEN_RANGE, BoardTally, Tally
from yieldopt.trade.unverified import flagged

HEAD = (
    *("board", "species", "quarters", "width", "feet", "SM", "bf", "exact bf", "price", "exact"),
    *("would support", "poor face", "sold as"),
)
LEFT = {0, 1, 2, 10, 11, 12}


def aligned(rows: Sequence[Sequence[str]], left: set[int]) -> list[str]:
    """Rows of cells as lines; columns in `left` are set left, the others right."""
    widths = [max(len(r[i]) for r in rows) for i in range(len(rows[0]))]
    lines = []
    for r in rows:
        cells = [c.ljust(w) if i in left else c.rjust(w) for i, (c, w) in enumerate(zip(r, widths, strict=True))]
        lines.append("  ".join(cells).rstrip())
    return lines


def tally_lines(bundle: Tally, estimates: Sequence[Estimate], green: Fraction | None, why: bool) -> list[str]:
    """The tally of a bundle with its clear-face estimates. `green`: share by which a green tally is larger; None: net."""
    rows = [HEAD, *(_row(t, e) for t, e in zip(bundle.boards, estimates, strict=True))]
    lines = aligned(rows, LEFT)
    lines += ["", *_totals(bundle, green)]
    notes = _notes(bundle, estimates)
    if why:
        notes += [f"{e.board.name} is not {grade}: {reason}" for e in estimates for grade, reason in e.why_not]
    if notes:
        lines += ["", *notes]
    lines += [
        "",
        "SM: surface measure, square feet: width x whole feet / 12, rounded. bf: SM x nominal thickness, as a dealer counts.",
        "Poor face: share of it clear of counted defects, and in the cuttings that the grade counts.",
        CAUTION,
    ]
    return lines


def _row(line: BoardTally, found: Estimate) -> tuple[str, ...]:
    board = line.board
    return (
        board.name,
        board.species,
        board.quarters,
        in_fractions(line.width, 16),
        str(line.feet),
        str(line.surface),
        _feet(line.board_feet),
        f"{float(line.board_feet_exact):.2f}",
        _money(line.price),
        _money(line.price_exact),
        found.grade,
        f"{found.poor}: {_percent(found.clear)} clear, {_percent(found.in_cuttings)} in cuttings",
        board.notes.get("grade", ""),
    )


def _totals(bundle: Tally, green: Fraction | None) -> list[str]:
    lines = [f"{in_fractions(n)} in thick: SM {s}, {bf} bf" for n, s, bf in bundle.packs]
    exact = float(bundle.board_feet_exact)
    lines.append(f"net tally: {len(bundle.boards)} boards, {bundle.board_feet} bf as a dealer counts, {exact:.2f} bf exact")
    if green is not None:
        low, high = (_feet(bundle.green(g)) for g in GREEN_RANGE)
        lines.append(
            f"green tally: about {_feet(bundle.green(green))} bf ({_percent(green)} more; sources give from {low} to {high}): "
            "ask the dealer which tally the price is for"
        )
    priced = [t for t in bundle.boards if t.price is not None and t.price_exact is not None]
    if priced:
        by_exact = sum((t.price_exact for t in priced if t.price_exact is not None), Fraction(0))
        lines.append(f"price: {_money(bundle.price)} as a dealer counts, {_money(by_exact)} by exact volume")
        if green is not None:
            more = bundle.price_by_foot * green
            lines.append(f"price on a green tally: about {_money((bundle.price or Fraction(0)) + more)}")
        if len(priced) < len(bundle.boards):
            lines.append("no price known: " + ", ".join(t.board.name for t in bundle.boards if t.price is None))
    return lines


def _notes(bundle: Tally, estimates: Sequence[Estimate]) -> list[str]:
    notes = []
    for t in bundle.boards:
        b = t.board
        if is_scant(b.nominal, b.thickness):
            notes.append(f"{b.name}: measures {in_fractions(b.thickness)} in, scant for {b.quarters} even kiln-dried")
        if b.edges:
            notes.append(f"{b.name}: {flagged('taper')}")
    for note in dict.fromkeys(n for e in estimates for n in e.notes):
        notes.append(f"{', '.join(e.board.name for e in estimates if note in e.notes)}: {note}")
    return notes


def _feet(board_feet: Fraction) -> str:
    return f"{float(board_feet):.2f}".rstrip("0").rstrip(".")


def _money(amount: Fraction | None) -> str:
    return "-" if amount is None else f"{float(amount):.2f}"


def _percent(share: Fraction) -> str:
    return f"{math.floor(share * 100)} %"
