"""What a phone sends to the page's server, as the published schema says it; `answers` has what comes back."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

Cell = Annotated[str, StringConstraints(max_length=5_000)]
Cells = Annotated[dict[Cell, Cell], Field(max_length=80)]
Id = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$")]
Name = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Place = Annotated[int, Field(ge=0, le=1000)]
State = Literal["planned", "done", "spoiled"]
# Ids that may be listed at once: no shop has as many boards, and a body of that size is taken.
MOST_BOARDS = 50_000


class Strict(BaseModel):
    """Unknown keys are a mistake of the sender."""

    model_config = ConfigDict(extra="forbid")


class BoardChange(Strict):
    """A board as the phone has it; lengths as typed, bare ones in inches."""

    key: Id
    base: Annotated[str, StringConstraints(max_length=64)] | None = None
    cells: Cells
    defects: Annotated[list[Cells], Field(max_length=500)] = []
    edges: Annotated[list[Cells], Field(max_length=500)] = []


class Pairing(Strict):
    """The code in the terminal and what to call the phone."""

    code: Annotated[str, StringConstraints(max_length=40)]
    name: Annotated[str, StringConstraints(max_length=100)] = ""


class Chosen(Strict):
    """Boards of the rack: those of `boards`, or all but those of `all_but`, by id."""

    boards: Annotated[list[Id], Field(max_length=MOST_BOARDS)] | None = None
    all_but: Annotated[list[Id], Field(max_length=MOST_BOARDS)] | None = None

    @model_validator(mode="after")
    def one_of_them(self) -> Self:
        """Exactly one of the two lists."""
        if (self.boards is None) == (self.all_but is None):
            raise ValueError("either `boards` or `all_but` is wanted")
        return self


class Question(Chosen):
    """Is this enough? Answered at once, or after `wait` seconds."""

    wait: Annotated[float, Field(ge=0, le=10)] = 0.0


class Tick(Strict):
    """One tick at the bench; exactly one of `cut`, `piece`, `found` and `take_back`."""

    key: Id
    plan: Annotated[str, StringConstraints(max_length=64)]
    board: Cell
    cut: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    piece: Cell | None = None
    found: Cells | None = None
    # The `id` of a defect that was found to be none.
    take_back: Id | None = None
    was: State = "planned"
    state: State = "done"


class Again(Strict):
    """Plan again from the ticks of this very plan."""

    plan: Digest


class Code(Strict):
    """What the code on a sheet says, or the revision that stands on it."""

    text: Cell
