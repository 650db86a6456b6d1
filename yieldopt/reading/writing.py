"""A `Job` as the texts or workbooks of a job folder, such that reading them gives an equal job, notes included."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields
from fractions import Fraction

from yieldopt.ground.lengths import Units, as_typed
from yieldopt.reading.cells import harmless
from yieldopt.reading.columns import BOARDS, DEFECTS, EDGES, PARTS, PINS, PRICES, Columns
from yieldopt.reading.settings import NUMBERS, SECTIONS
from yieldopt.wood.lumber import BOARD_FEET_PER_CUBIC_METRE, Board, Job, Part, PriceLine

# Cells of one row by column, and its notes.
Cells = tuple[dict[str, str], Mapping[str, str]]


def job_files(job: Job) -> dict[str, str]:
    """File name -> text of every file of the job's folder; tables without rows have a header only."""
    return {"job.toml": _toml(job)} | {f"{c.stem}.csv": _csv_text(_sheet(c, rows)) for c, rows in _tables(job).items()}


def board_files(boards: Sequence[Board], units: Units = "in") -> dict[str, str]:
    """File name -> text of boards.csv, defects.csv and edges.csv: a rack without a job."""
    return {f"{c.stem}.csv": _csv_text(_sheet(c, rows)) for c, rows in _board_tables(boards, units).items()}


def job_workbooks(job: Job) -> dict[str, bytes]:
    """File name -> content of an .xlsx workbook for each table, and job.toml; cells are text, so none can turn into a date."""
    books = {f"{c.stem}.xlsx": _workbook(c.stem, _sheet(c, rows)) for c, rows in _tables(job).items()}
    return {"job.toml": _toml(job).encode()} | books


def board_workbooks(boards: Sequence[Board], units: Units = "in") -> dict[str, bytes]:
    """File name -> content of boards.xlsx, defects.xlsx and edges.xlsx."""
    return {f"{c.stem}.xlsx": _workbook(c.stem, _sheet(c, rows)) for c, rows in _board_tables(boards, units).items()}


def _tables(job: Job) -> dict[Columns, list[Cells]]:
    u = job.units
    pins = [
        (
            {
                "piece": harmless(p.piece),
                "board": harmless(p.board),
                "x": as_typed(p.x, u),
                "y": as_typed(p.y, u),
                "layer": "" if p.layer is None else str(p.layer),
            },
            p.notes,
        )
        for p in job.pins
    ]
    return {
        PARTS: [(_part(p, u), p.notes) for p in job.parts],
        **_board_tables(job.boards, u),
        PINS: pins,
        PRICES: [(_price(p, u), p.notes) for p in job.prices],
    }


def _board_tables(boards: Sequence[Board], u: Units) -> dict[Columns, list[Cells]]:
    defects: list[Cells] = [
        (
            {"board": harmless(b.name), "kind": d.kind, "face": d.face}
            | _lengths(u, x=d.x, y=d.y, length=d.length, width=d.width),
            d.notes,
        )
        for b in boards
        for d in b.defects
    ]
    edges: list[Cells] = [
        ({"board": harmless(b.name)} | _lengths(u, x=e.x, near=e.near, far=e.far), e.notes) for b in boards for e in b.edges
    ]
    return {BOARDS: [(_board(b, u), b.notes) for b in boards], DEFECTS: defects, EDGES: edges}


def _part(p: Part, u: Units) -> dict[str, str]:
    return {
        "part": harmless(p.name),
        "qty": str(p.qty),
        "species": harmless(p.species),
        "faces": str(p.faces),
        "allow": ";".join(sorted(p.allow)),
        "sawn": p.sawn,
        "grain": p.grain,
        "match": harmless(p.match or ""),
        "match_kind": p.match_kind or "",
        "staves": " to ".join(as_typed(s, u) for s in p.staves or ()),
        "from": harmless(";".join(p.sources)),
    } | _lengths(u, thickness=p.thickness, width=p.width, length=p.length)


def _board(b: Board, u: Units) -> dict[str, str]:
    sound = {(False, False): "none", (True, False): "datum", (False, True): "far", (True, True): "both"}
    return {
        "board": harmless(b.name),
        "species": harmless(b.species),
        "quarters": b.quarters,
        "sawn": b.sawn,
        "stress": b.stress,
        "bow_hollow": b.bow_hollow,
        "cup_hollow": b.cup_hollow,
        "crook_hollow": b.crook_hollow,
        "cost": _number(b.cost),
        "price_bf": _number(b.price_bf),
        "price_m3": _number(b.price_m3),
        "sound_ends": sound[b.datum_sound, b.far_sound],
        # What was not measured stays empty, as it came.
        "thickness": as_typed(b.thickness, u) if b.thickness != b.nominal else "",
    } | _lengths(
        u, length=b.length, width=b.width, bow=b.bow or None, cup=b.cup or None, crook=b.crook or None, twist=b.twist or None
    )


def _price(p: PriceLine, u: Units) -> dict[str, str]:
    return {
        "dealer": harmless(p.dealer),
        "species": harmless(p.species),
        "quarters": p.quarters,
        "grade": harmless(p.grade),
        **_by_measure(p),
        "wide_surcharge": _number(p.wide_surcharge),
        "long_surcharge": _number(p.long_surcharge),
        "tally": p.tally,
    } | _lengths(
        u,
        min_length=p.min_length,
        max_length=p.max_length,
        min_width=p.min_width,
        max_width=p.max_width,
        wide_over=p.wide_over,
        long_over=p.long_over,
    )


def _by_measure(p: PriceLine) -> dict[str, str]:
    """Amounts in the measure that the line is sold by."""
    if not p.by_volume:
        amounts = {"price_bf": p.price_bf, "surfacing_bf": p.surfacing_bf, "bundle_bf": p.bundle_bf}
    else:
        m3 = BOARD_FEET_PER_CUBIC_METRE
        amounts = {"price_m3": p.price_bf * m3, "surfacing_m3": p.surfacing_bf * m3, "bundle_m3": p.bundle_bf / m3}
    return {column: _number(amount) for column, amount in amounts.items()}


def _lengths(u: Units, **lengths: Fraction | None) -> dict[str, str]:
    return {column: "" if value is None else as_typed(value, u) for column, value in lengths.items()}


def _number(value: Fraction | None) -> str:
    """A decimal where one is exact, else a ratio; both are read back exactly."""
    if value is None:
        return ""
    for places in range(41):
        if 10**places % value.denominator == 0:
            digits = str(value.numerator * 10**places // value.denominator).rjust(places + 1, "0")
            return f"{digits[:-places]}.{digits[-places:]}" if places else digits
    return f"{value.numerator}/{value.denominator}"


def _sheet(columns: Columns, rows: Iterable[Cells]) -> list[list[str]]:
    """Header and rows: the known columns, then every note's column in the order first met."""
    rows = list(rows)
    notes = list(dict.fromkeys(key for _, n in rows for key in n))
    header = [*columns.known, *(harmless(n) for n in notes)]
    body = [[cells.get(c, "") for c in columns.known] + [harmless(n.get(key, "")) for key in notes] for cells, n in rows]
    return [header, *body]


def _csv_text(rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def _workbook(stem: str, rows: Iterable[Sequence[str]]) -> bytes:
    import openpyxl
    from openpyxl.cell.cell import Cell

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = stem
    for r, row in enumerate(rows, start=1):
        for c, text in enumerate(row, start=1):
            if text:
                cell: Cell = sheet.cell(r, c)
                cell.value = text
                cell.data_type = "s"
                cell.number_format = "@"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _toml(job: Job) -> str:
    lines = [f"name = {_quoted(job.name)}", f"units = {_quoted(job.units)}"]
    for section in SECTIONS:
        settings = getattr(job.shop, section)
        lines += ["", f"[{section}]"]
        for f in fields(settings):
            value = getattr(settings, f.name)
            if value is None:
                continue
            if f.name == "offcut_credit" or f.name in NUMBERS:
                number = _number(value)
                lines.append(f"{f.name} = {number if '/' not in number else _quoted(number)}")
            elif f.name == "humidity":
                lines.append(f"{f.name} = {_quoted(' to '.join(map(_number, value)))}")
            else:
                lines.append(f"{f.name} = {_quoted(value if isinstance(value, str) else as_typed(value, job.units))}")
    lines += ["", "[boards]", f"leave = [{', '.join(_quoted(n) for n in sorted(job.leave))}]"]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A TOML basic string: JSON's escapes are a subset of TOML's, but for DEL, which TOML wants escaped."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
