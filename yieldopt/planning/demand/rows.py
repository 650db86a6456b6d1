"""What the plan must supply, one row a kind of thing: single pieces, book pairs, slip sets, runs, staves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from yieldopt.ground.names import part_of
from yieldopt.sizes.sizing import stave_width_needed
from yieldopt.wood.lumber import Job, Part, Pin

RowKind = Literal["piece", "pair", "slip", "run", "stave"]


@dataclass(frozen=True, slots=True)
class Row:
    """One demand: `need` units of `kind`."""

    kind: RowKind
    # Indices into `job.parts` of the pieces that make up one unit, in order; a part as often as it occurs.
    parts: tuple[int, ...]
    # Units wanted: copies; for staves the net width in inches of all the copies together.
    need: Fraction
    # Finished parts that one unit makes; for staves per inch of net width.
    finished: Fraction
    # Name of the matching group, if any.
    group: str | None = None
    # True where the whole row must come from one board, whichever that is.
    one_board: bool = False
    # The maker's own choice of place for one piece of the one unit wanted.
    pin: Pin | None = None

    @property
    def board_group(self) -> str | None:
        """The group that this row is in and that must come whole from one board; None where boards may be mixed."""
        return self.group if self.one_board else None


def build_rows(job: Job, still: Sequence[int] | None = None) -> tuple[Row, ...]:
    """The rows of a job; `still` gives how many of each part are still wanted (default: its `qty`)."""
    wanted = list(still) if still is not None else [p.qty for p in job.parts]
    rows: list[Row] = []
    groups: dict[str, list[int]] = {}
    for i, part in enumerate(job.parts):
        if wanted[i] <= 0:
            continue
        if part.match and part.match_kind in ("book", "slip", "run"):
            groups.setdefault(part.match, []).append(i)
        else:
            rows.append(_single(part, i, wanted[i], job))
    for name, members in groups.items():
        kind = job.parts[members[0]].match_kind
        if kind == "book":
            rows.extend(_pairs(members, wanted, name))
        else:
            each = tuple(i for i in members for _ in range(wanted[i]))
            rows.append(Row("slip" if kind == "slip" else "run", each, Fraction(1), Fraction(len(each)), name))
    return tuple(_apart(rows, job))


def _apart(rows: Sequence[Row], job: Job) -> list[Row]:
    """Rows with one unit set apart for each pin; staves get a row of their own beside the width they help to make."""
    rows = list(rows)
    pinned: list[Row] = []
    taken: dict[str, int] = {}
    for pin in job.pins:
        name = part_of(pin.piece)
        for k, row in enumerate(rows):
            if any(job.parts[i].name == name for i in row.parts) and row.need > 0:
                unit = pin.piece if row.kind in ("piece", "stave") else f"{row.group} {k}"
                if row.kind == "stave":
                    pinned.append(replace(row, need=Fraction(1), finished=Fraction(1), pin=pin))
                elif row.kind == "piece" or taken.get(unit, 0) < row.need:
                    taken[unit] = taken.get(unit, 0) + 1
                    rows[k] = replace(row, need=row.need - 1)
                    pinned.append(replace(row, need=Fraction(1), pin=pin))
                break
    return [r for r in rows if r.need > 0] + pinned


def _single(part: Part, i: int, wanted: int, job: Job) -> Row:
    one_board = part.match is not None
    if part.staves is None:
        return Row("piece", (i,), Fraction(wanted), Fraction(1), part.match, one_board)
    width = stave_width_needed(part, job.shop)
    return Row("stave", (i,), wanted * width, 1 / width, part.match, one_board)


def _pairs(members: Sequence[int], wanted: Sequence[int], group: str) -> list[Row]:
    """Book pairs: across two parts of equal number (left with right), else in the order listed."""
    if len(members) == 2 and wanted[members[0]] == wanted[members[1]]:
        combos = [(members[0], members[1])] * wanted[members[0]]
    else:
        each = [i for i in members for _ in range(wanted[i])]
        combos = list(zip(each[::2], each[1::2], strict=True))
    counts: dict[tuple[int, int], int] = {}
    for c in combos:
        counts[c] = counts.get(c, 0) + 1
    return [Row("pair", c, Fraction(n), Fraction(2), group) for c, n in counts.items()]
