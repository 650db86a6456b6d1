"""The standard hardwood grades as data: least board, least cutting, cutting units, number of cuttings.

Read from `data/grades.toml`, which names the source of each figure and what could not be verified. Sizes there are in
inches and feet, here in inches; a cutting unit is 12 square inches. Only an inspector's grade is a grade.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any, Literal

from yieldopt.trade import tables

SQUARE_INCHES_PER_UNIT = 12

# Grades from the best down.
ORDER = ("FAS", "F1F", "Selects", "No. 1 Common", "No. 2A Common", "No. 2B Common", "No. 3A Common", "No. 3B Common")
BELOW_GRADE = "below grade"

CAUTION = "An estimate from logged rectangles, as help in checking what was paid for. Only an inspector's grade is a grade."


@dataclass(frozen=True, slots=True)
class Cutting:
    """Least size of a cutting in inches."""

    width: Fraction
    length: Fraction


@dataclass(frozen=True, slots=True)
class FaceRule:
    """What one face must yield for a grade."""

    grade: str
    kind: Literal["clear", "sound"]
    # Least board, inches.
    board_width: Fraction
    board_length: Fraction
    cuttings: tuple[Cutting, ...]
    # Least cutting units in any one cutting.
    least_units: Fraction
    # Cutting units needed for each foot of surface measure.
    units: Fraction
    # (divide, plus, cap) of the number of cuttings; None: unlimited.
    most: tuple[int, int, int] | None
    # (from, to, units): one cutting more where the surface measure lies in the range and `units` a foot are reached.
    extra: tuple[int, int, Fraction] | None
    # Units a foot for small surface measures, in one cutting.
    small: Mapping[int, Fraction]
    # (from, to, units, cuttings): full-width cuttings of any length.
    full_width: tuple[int, int, Fraction, int] | None
    sources: tuple[str, ...]
    unverified: tuple[str, ...]

    def most_cuttings(self, surface_measure: int) -> int | None:
        """Largest number of cuttings, the extra one not counted; None: unlimited."""
        if surface_measure in self.small:
            return 1
        if self.most is None:
            return None
        divide, plus, cap = self.most
        return min(cap, (surface_measure + plus) // divide)

    def ways(self, surface_measure: int) -> tuple[tuple[int | None, Fraction], ...]:
        """The ways to make the grade on a face: (number of cuttings, cutting units needed), easiest units first."""
        number = self.most_cuttings(surface_measure)
        need = self.small.get(surface_measure, self.units) * surface_measure
        ways: list[tuple[int | None, Fraction]] = [] if number == 0 else [(number, need)]
        if self.extra is not None and number is not None and surface_measure not in self.small:
            low, high, units = self.extra
            if low <= surface_measure <= high:
                ways.append((number + 1, units * surface_measure))
        return tuple(ways)


@dataclass(frozen=True, slots=True)
class TwoFaceRule:
    """A grade that asks one thing of the better face and another of the poor one."""

    grade: str
    board_width: Fraction
    board_length: Fraction
    better: str
    poor: str
    small: Mapping[int, Fraction]
    sources: tuple[str, ...]
    unverified: tuple[str, ...]


@cache
def face_rules() -> Mapping[str, FaceRule]:
    """The grades that ask the same of both faces, by name."""
    data = tables.tree("grades.toml")
    return {g: _face_rule(g, data[g]) for g in ORDER if "kind" in data[g]}


@cache
def two_face_rules() -> Mapping[str, TwoFaceRule]:
    """F1F and Selects."""
    data = tables.tree("grades.toml")
    return {
        g: TwoFaceRule(g, *_board(data[g]), data[g]["better"], data[g]["poor"], _small(data[g]), *_sources(data[g]))
        for g in ORDER
        if "kind" not in data[g]
    }


@cache
def kiln_dried_width() -> Fraction:
    """How much narrower than the least width a kiln-dried board may be, inches (AHEC)."""
    return Fraction(str(tables.tree("grades.toml")["rules"]["kiln_dried_width"]))


def _face_rule(grade: str, data: Mapping[str, Any]) -> FaceRule:
    most, extra, full = data.get("most"), data.get("extra"), data.get("full_width")
    return FaceRule(
        grade,
        data["kind"],
        *_board(data),
        tuple(Cutting(Fraction(str(w)), Fraction(str(ft)) * 12) for w, ft in data["cuttings"]),
        Fraction(data.get("least_units", 0)),
        Fraction(str(data["units"])),
        None if most is None else (most["divide"], most["plus"], most["cap"]),
        None if extra is None else (extra["from"], extra["to"], Fraction(extra["units"])),
        _small(data),
        None if full is None else (full["from"], full["to"], Fraction(str(full["units"])), full["cuttings"]),
        *_sources(data),
    )


def _board(data: Mapping[str, Any]) -> tuple[Fraction, Fraction]:
    return Fraction(data["board"][0]), Fraction(data["board"][1]) * 12


def _small(data: Mapping[str, Any]) -> Mapping[int, Fraction]:
    return {int(k): Fraction(v) for k, v in data.get("small", {}).items()}


def _sources(data: Mapping[str, Any]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    known = tables.tree("grades.toml")["sources"]
    return tuple(known[s] for s in data["source"]), tuple(data["unverified"])
