"""`job.toml`: the job's name and units, the shop's settings, the boards to leave alone."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeVar

from yieldopt.ground.errors import Problem
from yieldopt.ground.lengths import Units, show
from yieldopt.reading.columns import TOP_KEYS
from yieldopt.reading.fields import Fields
from yieldopt.reading.textfile import read_text
from yieldopt.reading.toml import Toml, parse
from yieldopt.wood.lumber import THICKER_STAVE, Allowances, Kerf, Machines, Marks, Shop, Values
from yieldopt.wood.work import Room, Work

FILE = "job.toml"
UNITS: tuple[Units, ...] = ("in", "mm")
FLATTENING = ("none", "sled", "hand")
SECTIONS = {
    "allowances": Allowances,
    "kerf": Kerf,
    "machines": Machines,
    "values": Values,
    "work": Work,
    "room": Room,
    "marks": Marks,
}
# Settings that are plain numbers, with the most each may be and an example.
NUMBERS = {"rest_days": (365, "3"), "resaw_rest_days": (365, "14"), "test_hours": (240, "24")}
# What a millimetre job has otherwise where it says nothing: staves keep nothing over unless it writes its own round figure.
IN_MM = {"glue_up": Fraction(0)}
# Settings that may not be 0: nothing could be milled or kept, and no saw leaves no kerf.
LIMITS = ("planer_width", "joint_width", "resaw_height", "min_thickness", "offcut_min_length", "offcut_min_width")
ABOVE_ZERO = frozenset({*LIMITS, "rip", "crosscut", "resaw"})

T = TypeVar("T", Allowances, Kerf, Machines, Values, Work, Room, Marks)


@dataclass(frozen=True, slots=True)
class Settings:
    """What `job.toml` says; its defaults stand in for what could not be read."""

    name: str = ""
    units: Units = "in"
    shop: Shop = field(default_factory=Shop)
    leave: tuple[str, ...] = ()
    # The line of each key in the file, for what is said of it later.
    lines: Mapping[str, int] = field(default_factory=dict)


def settings_in(folder: Path, problems: list[Problem]) -> Settings:
    """Read `job.toml`; every fault is noted, unknown tables and keys with the nearest known one."""
    if not (folder / FILE).exists():
        problems.append(Problem(FILE, None, None, None, f"the file {FILE} in {folder.name or folder}"))
        return Settings()
    toml = _parse(folder / FILE, problems)
    if toml is None:
        return Settings()
    found: list[Problem] = []
    settings = _settings(toml.body, found)
    problems.extend(replace(p, row=toml.lines.get(p.column or "")) for p in found)
    return replace(settings, lines=toml.lines)


def _settings(body: Mapping[str, Any], problems: list[Problem]) -> Settings:
    _report_unknown(body, (*TOP_KEYS, *SECTIONS, "boards"), "", problems)
    top = _texts({k: body[k] for k in TOP_KEYS if k in body}, "", problems)
    head = Fields(FILE, None, top, "in", problems)
    name = head.name("name") if "name" in top or "name" not in body else ""
    units: Units = head.choice("units", UNITS, "in")
    shop = Shop(
        _section(Allowances, "allowances", body, units, problems),
        _section(Kerf, "kerf", body, units, problems),
        _section(Machines, "machines", body, units, problems),
        _section(Values, "values", body, units, problems),
        _section(Work, "work", body, units, problems),
        _section(Room, "room", body, units, problems),
        _section(Marks, "marks", body, units, problems),
    )
    _check_glue_up(shop.allowances, units, problems)
    return Settings(name, units, shop, _leave(body, problems))


def units_in(folder: Path) -> Units | None:
    """The units that a folder's `job.toml` names, without complaint about anything else; None where there is none."""
    toml = _parse(folder / FILE, []) if (folder / FILE).exists() else None
    units = toml.body.get("units", "in") if toml is not None else None
    return units if units in UNITS else None


def _parse(path: Path, problems: list[Problem]) -> Toml | None:
    text = read_text(path, FILE, problems)
    return None if text is None else parse(text, FILE, problems)


def _section(kind: type[T], section: str, body: Mapping[str, Any], units: Units, problems: list[Problem]) -> T:
    table = body.get(section, {})
    if not isinstance(table, dict):
        problems.append(Problem(FILE, None, section, _shown(table), f"a table [{section}]"))
        return kind()
    known = tuple(f.name for f in fields(kind))
    _report_unknown(table, known, f"{section}.", problems)
    texts = _texts({k: v for k, v in table.items() if k in known}, f"{section}.", problems)
    f = Fields(FILE, None, texts, units, problems, f"{section}.")
    values: dict[str, Any] = {}
    for setting in fields(kind):
        default: Any = IN_MM.get(setting.name, setting.default) if units == "mm" else setting.default
        if setting.name == "wide_flattening":
            values[setting.name] = f.choice(setting.name, FLATTENING, default)
        elif setting.name == "offcut_credit":
            values[setting.name] = f.share(setting.name, default)
        elif setting.name in NUMBERS:
            values[setting.name] = f.number(setting.name, default, *NUMBERS[setting.name])
        elif setting.name == "humidity":
            values[setting.name] = f.humidity(setting.name)
        else:
            least = None if setting.name in ABOVE_ZERO else 0
            given = f.maybe_length(setting.name, least=least)
            values[setting.name] = default if given is None else given
    return kind(**values)


def _check_glue_up(a: Allowances, units: Units, problems: list[Problem]) -> None:
    """A stave may be so much thicker than its part and no more; what is demanded of it is at most what it is to get."""
    for key, value, most in (("glue_up", a.glue_up, THICKER_STAVE), ("glue_up_least", a.glue_up_least, a.glue_up)):
        if value > most:
            expected = f"{show(most, units)} or less" + (" (glue_up)" if key == "glue_up_least" else "")
            problems.append(Problem(FILE, None, f"allowances.{key}", show(value, units), expected))


def _leave(body: Mapping[str, Any], problems: list[Problem]) -> tuple[str, ...]:
    table = body.get("boards", {})
    if not isinstance(table, dict):
        problems.append(Problem(FILE, None, "boards", _shown(table), "a table [boards]"))
        return ()
    _report_unknown(table, ("leave",), "boards.", problems)
    leave = table.get("leave", [])
    if not isinstance(leave, list) or not all(isinstance(n, str) for n in leave):
        problems.append(Problem(FILE, None, "boards.leave", _shown(leave), 'a list of board names such as ["A3"]'))
        return ()
    return tuple(dict.fromkeys(n.strip() for n in leave))


def _texts(table: Mapping[str, Any], prefix: str, problems: list[Problem]) -> dict[str, str]:
    """Strings and numbers as text; anything else is noted and left out."""
    texts: dict[str, str] = {}
    for key, value in table.items():
        if isinstance(value, str) or (isinstance(value, int) and not isinstance(value, bool)):
            texts[key] = str(value).strip()
            if texts[key] or key == "name":
                continue
            problems.append(Problem(FILE, None, prefix + key, "an empty text", "a text or number"))
        else:
            problems.append(Problem(FILE, None, prefix + key, _shown(value), "a text or number"))
    return texts


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return "a table" if isinstance(value, dict) else "a list" if isinstance(value, list) else str(value)


def _report_unknown(table: Mapping[str, Any], known: tuple[str, ...], prefix: str, problems: list[Problem]) -> None:
    """A key that is passed over in silence would leave the maker with a setting that is not the one typed."""
    for key in table:
        if key not in known:
            near = difflib.get_close_matches(key, known, 1)
            expected = f"{prefix}{near[0]}" if near else f"one of {', '.join(known)}"
            problems.append(Problem(FILE, None, prefix + key, "a key that means nothing here", expected))
