"""The columns of each table and the keys of `job.toml`: one list for the reader, the writer and the documentation."""

from __future__ import annotations

from dataclasses import dataclass

# Columns that hold names, words or whole numbers, and of the others those that hold no length.
WORDS = frozenset(
    {
        *("part", "piece", "board", "species", "dealer", "grade", "quarters", "kind", "face", "qty", "faces", "layer", "allow"),
        *("sawn", "grain", "match", "match_kind", "from", "stress", "sound_ends", "tally"),
        *("bow_hollow", "cup_hollow", "crook_hollow"),
    }
)
NO_LENGTHS = frozenset(
    {"cost", "price_bf", "price_m3", "surfacing_bf", "bundle_bf", "wide_surcharge", "long_surcharge", "staves"}
)


@dataclass(frozen=True, slots=True)
class Columns:
    """One table of a job folder: its name without ending, its columns in the order they are written."""

    stem: str
    needed: tuple[str, ...]
    optional: tuple[str, ...]

    @property
    def known(self) -> tuple[str, ...]:
        return self.needed + self.optional

    @property
    def figures(self) -> frozenset[str]:
        """Columns that hold lengths, money or shares: where a comma can be a decimal one."""
        return frozenset(self.known) - WORDS

    @property
    def lengths(self) -> frozenset[str]:
        """Columns that hold lengths, so that a header may name their unit."""
        return self.figures - NO_LENGTHS


PARTS = Columns(
    "parts",
    ("part", "qty", "species", "thickness", "width", "length"),
    ("faces", "allow", "sawn", "grain", "match", "match_kind", "staves", "from"),
)
# `width` may be left out for boards that have an outline, so its column is optional and the reader asks row by row.
BOARDS = Columns(
    "boards",
    ("board", "species", "quarters", "length"),
    (
        "width",
        "thickness",
        "sawn",
        "stress",
        "bow",
        "cup",
        "crook",
        "twist",
        "bow_hollow",
        "cup_hollow",
        "crook_hollow",
        "cost",
        "price_bf",
        "price_m3",
        "sound_ends",
    ),
)
DEFECTS = Columns("defects", ("board", "kind", "x", "y", "length", "width"), ("face",))
EDGES = Columns("edges", ("board", "x", "near", "far"), ())
PINS = Columns("pins", ("piece", "board", "x", "y"), ("layer",))
PRICES = Columns(
    "prices",
    ("dealer", "species", "quarters"),
    (
        "price_bf",
        "price_m3",
        "grade",
        "min_length",
        "max_length",
        "min_width",
        "max_width",
        "wide_over",
        "wide_surcharge",
        "long_over",
        "long_surcharge",
        "tally",
        "surfacing_bf",
        "surfacing_m3",
        "bundle_bf",
        "bundle_m3",
    ),
)

TABLES = (PARTS, BOARDS, DEFECTS, EDGES, PINS, PRICES)

# Top-level keys of job.toml; the tables' own keys are the fields of the settings in `lumber.py`.
TOP_KEYS = ("name", "units")
