"""The wood table, the sizes and a panel's movement as lines of text."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.ground.lengths import in_fractions
from yieldopt.trade import softwood, tables
from yieldopt.trade.moisture import Movement, SawnWay, equilibrium, movement
from yieldopt.trade.quarters import thicknesses
from yieldopt.trade.species import FIGURES, Figure, Wood, woods
from yieldopt.trade.tally_told import aligned
from yieldopt.trade.unverified import LEGEND, MARK

LABELS = {
    "shrinkage_radial": "radial shrinkage",
    "shrinkage_tangential": "tangential shrinkage",
    "shrinkage_volumetric": "volumetric shrinkage",
    "side_hardness_lbf": "side hardness",
    "side_hardness_newton": "side hardness",
    "specific_gravity_12": "specific gravity",
    "specific_gravity_green": "specific gravity",
    "c_radial": "change, quartersawn width",
    "c_tangential": "change, flatsawn width",
}
MOVEMENT_CAUTION = (
    "An expectation for clear, straight-grained wood in steady air: one species varies, real boards are rarely perfectly\n"
    "flat- or quartersawn, and finish only slows the change. Let a panel move."
)


def list_lines() -> list[str]:
    """All woods in one table."""
    head = ("wood", "radial %", "tangential %", "side lbf", "sp. gr.", "quartersawn", "flatsawn")
    keys = ("shrinkage_radial", "shrinkage_tangential", "side_hardness_lbf", "specific_gravity_12", "c_radial", "c_tangential")
    rows = [head, *((w.common, *(_cell(k, w.figure(k)) for k in keys)) for w in woods())]
    return [
        *aligned(rows, {0}),
        "",
        "Shrinkage green to ovendry; side hardness and specific gravity at 12 % moisture content; last two: share of the",
        "width for one point of moisture content, 6 to 14 %. Wood Handbook, FPL-GTR-190 (2010) and FPL-GTR-282 (2021); name",
        f"a wood for the table of each figure. {LEGEND}.",
    ]


def wood_lines(wood: Wood) -> list[str]:
    """One wood in full: each figure with its unit and source."""
    lines = [f"{wood.common} ({wood.scientific}), {wood.group}"]
    for key, figure in wood.figures.items():
        mark = "" if figure.verified else f" - {figure.basis}: not verified"
        basis = f", {figure.basis}" if figure.verified else ""
        lines.append(f"  {LABELS[key]}: {_number(key, figure)} {FIGURES[key]} ({figure.source}{basis}){mark}")
    if wood.note:
        lines.append(f"  {wood.note}")
    return lines


def size_lines() -> list[str]:
    """Rough and surfaced thickness by quarters, and dressed softwood sizes."""
    rows = [("name", "rough in", "surfaced in")]
    rows += [(t.name, in_fractions(t.rough), _marked(in_fractions(t.surfaced), t.verified)) for t in thicknesses()]
    lines = ["Hardwood (Engineering ToolBox, Hardwood lumber: dimensions, after the grading rules):", *aligned(rows, {0}), ""]
    soft = [("measure", "class", "nominal in", "dry in", "green in")]
    soft += [(r["measure"], r["class"], r["nominal"], r["dry"], r["green"]) for r in tables.rows("softwood.csv")]
    return [*lines, softwood.SOURCE + ", least dressed sizes:", *aligned(soft, {0, 1}), "", LEGEND]


def movement_lines(wood: Wood, width: float, unit: str, steps: list[tuple[str, float, float]], sawn: SawnWay) -> list[str]:
    """What a panel of `width` does. `steps`: (what it is, from %, to %)."""
    lines = [f"{wood.common}, {'flatsawn' if sawn == 'flat' else 'quartersawn'}, {width:g} {unit} across the grain"]
    found: list[Movement] = []
    for name, start, end in steps:
        m = movement(wood, width, start, end, sawn)
        found.append(m)
        does = "swells" if m.change > 0 else "shrinks" if m.change < 0 else "does not move"
        amount = f" {_size(abs(m.change), unit)}, to {_size(width + m.change, unit)}" if m.change else ""
        lines.append(f"  {name}: {start:.1f} % to {end:.1f} %: {does}{amount}")
    lines += [f"  by {how}" for how in dict.fromkeys(m.how for m in found)]
    if not all(m.verified for m in found):
        lines.append("  not verified: a figure above that says memory was not read in print")
    return [*lines, MOVEMENT_CAUTION]


def year_steps(low: float, high: float, fahrenheit: float, built: float | None) -> list[tuple[str, float, float]]:
    """Steps of a year indoors between two relative humidities in percent, from the moisture content it was built at."""
    dry, damp = equilibrium(low, fahrenheit), equilibrium(high, fahrenheit)
    if built is None:
        return [(f"from {low:g} to {high:g} % relative humidity", dry, damp)]
    return [(f"driest season, {low:g} % relative humidity", built, dry), (f"dampest season, {high:g} %", built, damp)]


def _size(value: float, unit: str) -> str:
    if unit == "mm":
        return f"{value:.1f} mm"
    return f"{value:.3f} in (about {in_fractions(Fraction(round(value * 64), 64))})"


def _marked(text: str, verified: bool) -> str:
    return text if verified else f"{text}{MARK}"


def _number(key: str, figure: Figure) -> str:
    return f"{float(figure.value):.5f}" if key.startswith("c_") else f"{float(figure.value):g}"


def _cell(key: str, figure: Figure | None) -> str:
    return "-" if figure is None else _marked(_number(key, figure), figure.verified)
