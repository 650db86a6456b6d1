"""The texts of a blank job folder: every setting with what it means, every table with its columns, nothing filled in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from yieldopt.ground.lengths import Units, as_typed
from yieldopt.reading.columns import BOARDS, DEFECTS, EDGES, PARTS, PINS
from yieldopt.reading.settings import NUMBERS, SECTIONS

# What each setting means, in as few words as a shop needs; docs/reference/defaults.md says why it has its value.
MEANING: Mapping[str, str] = MappingProxyType(
    {
        "face": "taken from each rough face by flattening, beyond warp",
        "sawn_face": "taken from each face that the resaw leaves",
        "resaw_spare": "more for each layer of a board whose stress is not tested",
        "edge": "on each edge of a part, for jointing",
        "end": "on each end of a part, for squaring",
        "run_end": "instead of `end` at the ends inside a run",
        "board_end": "trimmed off each end of a board that is not marked sound",
        "defect_along": "kept clear round a knot along the grain",
        "defect_across": "the same across the grain",
        "tested_spare": "more for each layer of a board whose stress is tested: practice",
        "split_along": "kept clear beyond the ends of a split: practice",
        "check_along": "kept clear beyond the ends of a check: practice",
        "pith_across": "kept clear on either side of pith: practice",
        "board_end_thick": "instead of `board_end` in boards of 8/4 and thicker: practice",
        "glue_up": "left on staves for flattening the glued panel, where the boards have it",
        "glue_up_least": "what every stave must have of it",
        "stress_strip": "along the grain: strip for a stress test of boards that are resawn; 0: none",
        "stress_strip_from_end": "how far it lies from the board's ends",
        "rip": "kerf of the saw that rips",
        "crosscut": "kerf of the saw that crosscuts",
        "resaw": "kerf of the saw that resaws",
        "planer_width": "widest blank that the planer takes",
        "joint_width": "widest blank that the jointer flattens",
        "wide_flattening": "how wider blanks are flattened: none, sled or hand",
        "resaw_height": "widest blank that can be resawn",
        "min_mill_length": "shortest blank that goes over the machines: see their makers' instructions",
        "min_rip_width": "narrowest rip",
        "min_thickness": "thinnest layer that may be milled at all",
        "bare_thickness": "thinner layers go through the planer on a carrier board only",
        "offcut_min_length": "an offcut this long ...",
        "offcut_min_width": "... and this wide goes back to the rack",
        "offcut_credit": "what it is worth there, as a share of its board's price",
        "mark": "rough cuts lie on multiples of this where the wood allows; 0: anywhere",
        "least_strip": "waste narrower than this is not sawn off",
        "rest_over": "left over the final thickness at the first milling",
        "rest_days": "days of rest between the first milling and the last",
        "resaw_rest_days": "the same after a resaw",
        "test_hours": "hours until the prongs of a stress test are read again",
        "least_crosscut": "shortest piece to crosscut on a power saw by itself",
        "humidity": "least and greatest relative humidity of the room, percent, such as 35 to 60",
    }
)
# What a shop should write down although the default differs, in inches: practice that a job must ask for.
PRACTICE: Mapping[str, Fraction] = MappingProxyType(
    {
        "glue_up": Fraction(1, 16),
        "tested_spare": Fraction(1, 32),
        "split_along": Fraction(1),
        "check_along": Fraction(1),
        "pith_across": Fraction(1),
        "board_end_thick": Fraction(3),
    }
)
# Settings that are shares, and those that a machine takes at most.
SHARES = frozenset({"offcut_credit"})
AT_MOST = frozenset({"planer_width", "joint_width", "resaw_height"})
MM = Fraction(10, 254)


def blank_files(name: str, units: Units) -> dict[str, str]:
    """File name -> text of a job folder to fill in: `job.toml` with every setting as a comment, and tables with headers only."""
    tables = {f"{t.stem}.csv": ",".join(t.known) + "\n" for t in (PARTS, BOARDS, DEFECTS, EDGES, PINS)}
    return {"job.toml": "\n".join(_settings(name, units)) + "\n"} | tables


def _settings(name: str, units: Units) -> Iterator[str]:
    unit = "inches" if units == "in" else "millimetres"
    yield "# Lengths as you say them: 7 3/8, 8' 2-1/2\", 187mm; a bare number is in the units below."
    yield f'name  = "{_quoted(name)}"'
    yield f'units = "{units}"'.ljust(34) + f"# {unit}; in or mm"
    yield ""
    rounded = " in round millimetres" if units == "mm" else ""
    yield f"# Every setting stands here with its default{rounded}. Take the # away from a line to set your own; measure your"
    yield "# saws and machines, and let their makers' instructions decide where they ask for more."
    for section, kind in SECTIONS.items():
        yield ""
        yield f"[{section}]"
        for setting in fields(kind):
            wanted = PRACTICE.get(setting.name)
            value = _value(setting.name, setting.default if wanted is None else wanted, units)
            yield f"{'' if wanted is not None else '# '}{setting.name} = {value}".ljust(34) + f"# {MEANING[setting.name]}"
    yield ""
    yield "[boards]"
    yield "leave = []".ljust(34) + '# boards that this job must not touch, such as ["A3"]'


def _quoted(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"')


def _value(name: str, default: Any, units: Units) -> str:
    if default is None:
        return '""'
    if isinstance(default, Fraction):
        if name in NUMBERS or name in SHARES:
            return f"{float(default):g}"
        return f'"{as_typed(_round_millimetres(name, default) if units == "mm" else default, units)}"'
    return f'"{default}"' if isinstance(default, str) else str(default)


def _round_millimetres(name: str, inches: Fraction) -> Fraction:
    """Half a millimetre up to 10 mm, then whole ones: what a shop that thinks in millimetres writes down. What a machine takes at
    most is rounded down, all else up."""
    step = MM / 2 if inches < 10 * MM else MM
    return (inches // step if name in AT_MOST else -(-inches // step)) * step
