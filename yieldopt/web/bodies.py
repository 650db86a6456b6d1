"""What goes to and fro between a phone and the page's server, as the published schema says it."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Cell = Annotated[str, StringConstraints(max_length=5_000)]
Cells = Annotated[dict[Cell, Cell], Field(max_length=80)]
Id = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$")]
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Place = Annotated[int, Field(ge=0, le=1000)]
State = Literal["planned", "done", "spoiled"]


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
    """Boards of the rack by id."""

    boards: Annotated[list[Id], Field(max_length=2_000)]


class Tick(Strict):
    """One tick at the bench; exactly one of `cut`, `piece` and `found`."""

    key: Id
    plan: Annotated[str, StringConstraints(max_length=64)]
    board: Cell
    cut: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    piece: Cell | None = None
    found: Cells | None = None
    was: State = "planned"
    state: State = "done"


class Code(Strict):
    """What the code on a sheet says, or the revision that stands on it."""

    text: Cell


class Mistake(BaseModel):
    """One mistake in what was sent."""

    file: str
    row: int | None
    column: str | None
    found: str | None
    expected: str
    text: str


class Refusal(BaseModel):
    """Why something was not done, in words for the person; `problems` names each mistake where there are several."""

    error: str
    problems: list[Mistake] = []


class PhotoOf(BaseModel):
    """A photo of a board: its file name, and the SHA-256 by which its bytes are asked for."""

    name: str
    digest: Digest


class BoardThere(BaseModel):
    """A board as the rack has it; lengths as a person types them, in inches."""

    id: Id
    version: str
    state: Literal["on rack", "cut", "split", "retired"]
    cells: dict[str, str]
    defects: list[dict[str, str]]
    edges: list[dict[str, str]]
    photos: list[PhotoOf]
    board_feet: float
    # In the shop's money.
    price: float


class Differs(Refusal):
    """Somebody was first: `theirs` is the board that the rack has, `now` the state that a cut or piece has."""

    conflict: Literal["changed", "name"] | None = None
    theirs: BoardThere | None = None
    now: State | None = None


class RackThere(BaseModel):
    """Every board on the rack."""

    boards: list[BoardThere]


class Who(BaseModel):
    """Whether this phone may come in, and under which name."""

    paired: bool
    name: str = ""


class Counted(BaseModel):
    """Board feet and money, exactly and as the dealer counts."""

    boards: int
    exact: float
    counted: float
    price_exact: float
    price_counted: float
    without_price: int


class Missing(BaseModel):
    """Pieces of a part that a quick plan could not place."""

    part: str
    qty: int
    why: str


class Quick(BaseModel):
    """What a plan of a few seconds says; `first_try`: there was no time for a search."""

    first_try: bool
    missing: list[Missing]
    net_cost: float
    boards: list[str]
    seconds: float


class Judged(BaseModel):
    """Whether a sheet is still good; None: it belongs to another job."""

    good: bool | None
    text: str


class Spot(BaseModel):
    """A rectangle of a page of the sheet, in points; `end`: it lies in an end view."""

    page: int
    end: bool
    left: float
    top: float
    width: float
    height: float


class Strip(BaseModel):
    """A row of a board's drawing: the wood's box on its page in points, the stretch of wood that it shows in inches.

    Wood at (x, y) lies at (left + (x - start) * points, top + (high - y) * points); its figures lie from `upper` to `lower`.
    """

    page: int
    left: float
    top: float
    width: float
    height: float
    start: float
    high: float
    points: float
    upper: float
    lower: float


class CutThere(BaseModel):
    """A cut in the words and figures of its sheet: `at` in the job's units and `beside` in the others, measured `origin`."""

    order: int
    words: str
    stage: str
    what: str
    at: str
    beside: str
    origin: str
    saw: str
    along: str
    waste: str
    blank: str
    spots: list[Spot]
    state: State


class PieceThere(BaseModel):
    """A piece and the blank it comes from."""

    piece: str
    blank: str
    state: str


class BenchBoard(BaseModel):
    """A board of a plan at the bench."""

    board: str
    stem: str
    # Width and height of each page of its sheet, in points.
    pages: list[tuple[float, float]]
    strips: list[Strip]
    species: str
    quarters: str
    cuts: list[CutThere]
    pieces: list[PieceThere]
    found: list[dict[str, str]]


class BenchPlan(BaseModel):
    """A plan at the bench; `plan` is the SHA-256 of its file."""

    number: int
    job: str
    revision: int
    plan: Digest
    boards: list[BenchBoard]


def refusals(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The schema's answers for refusals: what each status means here. Every address may say 400, 401 and 421 (the guard)."""
    return {s: {"description": WORDS[s], "model": Differs if s == 409 else Refusal} for s in (400, 401, 421, *statuses)}


WORDS = {
    400: "can't be understood, or is not what it should be",
    401: "this phone is not paired",
    403: "asked for by another page, or a wrong code",
    404: "there is nothing here",
    408: "it took too long to arrive",
    409: "somebody changed it first: both versions are shown",
    413: "more bytes than are taken",
    421: "a name that is not this machine's",
    422: "every mistake by its place",
    429: "too many wrong codes; wait a minute",
    503: "busy, or the rack is out of reach",
}
WRITING = (403, 408, 413, 422)
