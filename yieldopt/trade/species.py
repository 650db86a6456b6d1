"""The wood table: shrinkage, side hardness, specific gravity and dimensional change, each figure with its source.

The figures are those of the Wood Handbook (USDA Forest Products Laboratory: FPL-GTR-190, 2010, and FPL-GTR-282, 2021).
A figure is `verified` only where it was read in a copy, transcription or reprint of the table; the others were
not read and stay marked wherever they are shown. Tables: `data/species.csv`, `data/species_figures.csv`.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from yieldopt.ground.errors import UsageError
from yieldopt.trade import tables

# The figures a wood may have, with their units.
FIGURES: Mapping[str, str] = {
    "shrinkage_radial": "% of the green size, green to ovendry",
    "shrinkage_tangential": "% of the green size, green to ovendry",
    "shrinkage_volumetric": "% of the green size, green to ovendry",
    "side_hardness_lbf": "lbf, at 12 % moisture content",
    "side_hardness_newton": "N, at 12 % moisture content, rounded to 100",
    "specific_gravity_12": "ovendry weight, volume at 12 % moisture content",
    "specific_gravity_green": "ovendry weight, green volume",
    "c_radial": "share of the size for one point of moisture content, 6 to 14 %",
    "c_tangential": "share of the size for one point of moisture content, 6 to 14 %",
}


@dataclass(frozen=True, slots=True)
class Figure:
    """One printed figure."""

    value: Fraction
    # False: not seen in print while the table was made.
    verified: bool
    # How it came here: `printed table`, `transcription`, `trade reprint`, `memory` (not read), ...
    basis: str
    # The table it belongs to.
    source: str


@dataclass(frozen=True, slots=True)
class Wood:
    """One wood of the table."""

    key: str
    common: str
    scientific: str
    group: str
    # Keys of FIGURES; missing where the table prints none or it was not found.
    figures: Mapping[str, Figure]
    note: str
    names: frozenset[str]

    def figure(self, name: str) -> Figure | None:
        """The figure called `name` (a key of FIGURES), or None."""
        return self.figures.get(name)


@cache
def woods() -> tuple[Wood, ...]:
    """Every wood of the table, in its order."""
    figures: dict[str, dict[str, Figure]] = {}
    for r in tables.rows("species_figures.csv"):
        figures.setdefault(r["species"], {})[r["figure"]] = Figure(
            Fraction(r["value"]), r["verified"] == "yes", r["basis"], r["source"]
        )
    return tuple(
        Wood(r["species"], r["common"], r["scientific"], r["group"], figures[r["species"]], r["note"], _names(r))
        for r in tables.rows("species.csv")
    )


def find(name: str) -> Wood:
    """The wood a person means by `name`: its common name, the handbook's label, or what the trade calls it for short.

    Shop names (`cherry`, `hard maple`, `red oak`) are common practice, no source. Raises `UsageError` with the nearest
    names where none, or more than one, is meant.
    """
    wanted = _plain(name)
    hits = [w for w in woods() if wanted in w.names]
    if len(hits) == 1:
        return hits[0]
    part = [w for w in woods() if any(wanted and wanted in n.split() for n in w.names)]
    if not part:
        known = {n: w for w in woods() for n in w.names}
        part = list({known[n].key: known[n] for n in difflib.get_close_matches(wanted, sorted(known), n=4)}.values())
    near = ", ".join(w.common for w in part[:8]) or "a name from `yieldopt wood`"
    raise UsageError(f"species: found {name[:60]!r}, expected one wood of the table: {near}")


def _names(row: Mapping[str, str]) -> frozenset[str]:
    label = " ".join(reversed([p.strip() for p in row["handbook_label"].split(",", 1)]))
    common = row["common"]
    texts = [common, common.split("(")[0], row["scientific"], row["species"].replace("_", " "), *row["also_called"].split(";")]
    if "commercial" not in label and "true" not in label:
        texts.append(label)
    return frozenset(_plain(t) for t in texts if _plain(t))


def _plain(text: str) -> str:
    return " ".join("".join(c if c.isalnum() else " " for c in text.casefold()).split())
