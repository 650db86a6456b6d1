"""What windows send to the desk's server."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, Field, StringConstraints

from yieldopt.desk.tables import Grid
from yieldopt.reading.limits import MAX_COLUMNS, MAX_ROWS

# Seconds that one run of the planner may take.
LEAST, MOST = 0.5, 3600.0

Stem = Literal["parts", "boards", "defects", "edges", "pins", "prices", "leave"]
Line = Annotated[str, StringConstraints(max_length=300)]


class Typed(BaseModel):
    """A table as it stands in the page."""

    columns: list[str] = Field(max_length=MAX_COLUMNS)
    rows: list[list[str]] = Field(max_length=MAX_ROWS)
    digest: str = ""
    elsewhere: str | None = None

    def grid(self) -> Grid:
        """The same with every row as long as the header."""
        wide = len(self.columns)
        rows = tuple(tuple([*row, *[""] * wide][:wide]) for row in self.rows)
        return Grid(tuple(self.columns), rows, self.digest, self.elsewhere)


class Tables(BaseModel):
    tables: dict[Stem, Typed]

    def grids(self) -> dict[str, Grid]:
        """By their stems."""
        return {stem: typed.grid() for stem, typed in self.tables.items()}


class Tried(Tables):
    """Tables as they stand in the page, and lines that tell what happened."""

    lines: Annotated[list[Line], Field(max_length=200)] = []


class Taken(BaseModel):
    trial: int


class Key(BaseModel):
    key: str = Field(max_length=100)


class Time(BaseModel):
    seconds: float = Field(ge=LEAST, le=MOST)
    # From nothing, though boards of the plan at hand are cut.
    anew: bool = False


class Folder(BaseModel):
    folder: str = Field(max_length=4000)


class New(BaseModel):
    name: str = Field(max_length=60)
    units: Literal["in", "mm"] = "in"
