"""Boards, holds and changes in words and tables, for the terminal."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from yieldopt.ground.counted import counted
from yieldopt.ground.lengths import Units, marked
from yieldopt.rack.board.record import RackBoard, to_body
from yieldopt.wood.volumes import in_volume, volume_figure

if TYPE_CHECKING:
    from yieldopt.rack.books.holding import Hold
    from yieldopt.rack.books.ledger import Change, Step
    from yieldopt.rack.cut.booking import Cutting
    from yieldopt.rack.cut.cuttings import YieldLine


def columns(rows: Sequence[Sequence[str]], right: Iterable[int] = ()) -> list[str]:
    """Rows as lines, each column as wide as its widest cell; the columns `right` set flush right."""
    if not rows:
        return []
    flush = set(right)
    widths = [max(len(row[c]) for row in rows) for c in range(len(rows[0]))]
    return [
        "  ".join(
            cell.rjust(w) if c in flush else cell.ljust(w) for c, (cell, w) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]


def board_table(boards: Sequence[RackBoard], holds: Mapping[str, Hold], units: Units) -> list[str]:
    """One line a board."""
    unit = "bd ft" if units == "in" else "m³"
    rows: list[tuple[str, ...]] = [
        ("board", "species", "quarters", "length", "width", "thick", unit, "defects", "held for", "place", "")
    ]
    for r in boards:
        b = r.board
        hold = holds.get(r.id)
        sizes = (marked(size, units) for size in (b.length, b.greatest_width, b.thickness))
        held, state = hold.job if hold else "", "" if r.state == "on rack" else r.state
        count = str(len(b.defects) or "")
        wood = volume_figure(b.area * b.nominal, units)
        rows.append((b.name, b.species, b.quarters, *sizes, wood, count, held, r.place, state))
    return columns(rows, right=(3, 4, 5, 6, 7))


def facts(r: RackBoard, units: Units, hold: Hold | None = None, parent: str = "") -> list[str]:
    """What is known of a board, a line a subject."""
    b = r.board
    length, width, thickness = (marked(size, units) for size in (b.length, b.greatest_width, b.thickness))
    size = f"{b.quarters} {b.species}, {length} long, {width} wide, {thickness} thick"
    sawing = f"sawn {b.sawn}" if b.sawn else "sawing not known"
    sound = {(True, True): "both ends sound", (True, False): "datum end sound", (False, True): "far end sound"}.get(
        (b.datum_sound, b.far_sound), ""
    )
    warp = ", ".join(f"{k} {marked(getattr(b, k), units)}" for k in ("bow", "cup", "crook", "twist") if getattr(b, k))
    lines = [
        f"{size}; {in_volume(b.area * b.nominal, units)}",
        "; ".join(t for t in (sawing, f"stress {b.stress}", warp, sound) if t),
    ]
    if b.edges:
        lines.append(f"wandering edges, measured at {len(b.edges)} places")
    if r.thickness_points:
        points = (f"{marked(p.thickness, units)} at {marked(p.x, units)}" for p in r.thickness_points)
        lines.append("thickness " + ", ".join(points))
    if r.moisture:
        lines.append("moisture " + ", ".join(f"{float(m):g} %" for m in r.moisture))
    if b.cost is not None or b.price_bf is not None or b.price_m3 is not None:
        per = f" ({float(b.price_bf):.2f} a board foot)" if b.cost is None and b.price_bf is not None else ""
        lines.append(f"price {float(b.price):.2f}{per}")
    shop = (("dealer", r.dealer), ("sold as", r.grade), ("lies at", r.place))
    lines += [t for t in ["; ".join(f"{k} {v}" for k, v in shop if v)] if t]
    if r.origin:
        o = r.origin
        layer = f", layer {o.layer} of {o.layers}" if o.layers > 1 else ""
        lines.append(f"from {parent or o.parent}, at x {marked(o.x, units)}, y {marked(o.y, units)}{layer}")
    if hold:
        until = datetime.fromtimestamp(hold.until, UTC)
        lines.append(f"held for {hold.job} until {until:%Y-%m-%d %H:%M} UTC" + (" while it is planned" if hold.token else ""))
    if r.state != "on rack":
        lines.append(f"no longer on the rack: {r.state}" + (f", {r.why}" if r.why else ""))
    lines += [f"{k}: {v}" for k, v in b.notes.items()] + r.remarks.splitlines()
    return lines


def history_lines(changes: Sequence[Change], detail: bool, names: Mapping[str, str], units: Units = "in") -> list[str]:
    """The ledger, a line a change; with `detail` a line a field that changed: what it was, what it became."""
    lines = []
    for c in changes:
        boards = [s.name or names.get(s.board, s.board[:8]) for s in c.steps]
        listed = ", ".join(boards[:6]) + (f" and {c.boards - 6} more" if c.boards > 6 and len(boards) > 1 else "")
        undone = f" (undone by {c.undone_by})" if c.undone_by else ""
        remark = f": {c.remark}" if c.remark else ""
        lines.append(f"{c.seq}  {c.at}  {c.who}  {c.what} {listed}{remark}{undone}")
        if detail:
            lines += [f"      {line}" for s in c.steps for line in step_lines(s, units)]
    return lines


def step_lines(step: Step, units: Units = "in") -> list[str]:
    """What changed on one board; lengths as a tape shows them."""
    if step.before is None or step.after is None:
        return []
    before, after = to_body(step.before), to_body(step.after)
    return [
        f"{step.name}: {key.replace('_', ' ')} was {_short(a)}, became {_short(b)}"
        for key in {**before, **after}
        if before.get(key) != after.get(key)
        for a, b in [(_read(key, before.get(key), units), _read(key, after.get(key), units))]
    ]


# Keys of a record that are lengths, or lists in which every bare fraction is one.
_LENGTHS = {"nominal", "length", "width", "thickness", "bow", "cup", "crook", "twist", "defects", "edges", "thickness_points"}
_NUMBERS = {"moisture", "cost", "price_bf", "price_m3"}
_FRACTION = re.compile(r"-?\d+(/\d+)?")


def _read(key: str, value: Any, units: Units) -> Any:
    """A value of the ledger as a person reads it: 17/16 is 1 1/16", a price or a moisture a decimal."""
    if isinstance(value, list):
        return [_read(key, v, units) for v in value]
    if not isinstance(value, str) or not _FRACTION.fullmatch(value):
        return value
    if key in _LENGTHS:
        return marked(Fraction(value), units)
    return f"{float(Fraction(value)):g}" if key in _NUMBERS else value


def _short(value: Any) -> str:
    if isinstance(value, list):
        items = (" ".join(str(v) for v in item if v) if isinstance(item, list) else str(item) for item in value)
        value = "; ".join(items)
    text = "nothing" if value in (None, "") else str(value)
    return text if len(text) <= 90 else text[:89] + "…"


def cutting_lines(cuttings: Sequence[Cutting], names: Mapping[str, str], units: Units) -> list[str]:
    """What was booked, a line a board and a line an offcut."""
    lines = []
    for c in cuttings:
        used = c.bought - c.kept
        share = f", yield {float(c.parts / used):.0%}" if used > 0 else ""
        good = sum(t.kind == "part" for t in c.taken)
        spoiled = len(c.taken) - good
        pieces = f"{counted(good, 'piece')}{f', {spoiled} spoiled' if spoiled else ''}"
        lines.append(f"{names.get(c.board, c.board[:8])}: {pieces}{share}, waste {in_volume(c.waste, units)}")
        lines += [f"  {o.name} is on the rack now" for o in c.offcuts]
    return lines


def yield_table(lines: Sequence[YieldLine], by: str, units: Units) -> list[str]:
    """One line a heading; volumes in the shop's unit."""
    rows: list[tuple[str, ...]] = [(by, "boards", "bought", "kept", "parts", "waste", "yield", "cost", "credit")]
    for line in lines:
        wood = (volume_figure(v, units) for v in (line.bought, line.kept, line.parts, line.waste))
        share = "" if line.share is None else f"{float(line.share):.1%}"
        rows.append((line.heading, str(line.boards), *wood, share, f"{float(line.cost):.2f}", f"{float(line.credit):.2f}"))
    return columns(rows, right=range(1, 9))
