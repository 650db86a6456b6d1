"""What comes back to a phone, as the published schema says it."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel

from yieldopt.web.bodies import Digest, Id, State


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


class TooMany(Refusal):
    """Too many wrong codes from this address: wait so many seconds."""

    wait: int = 0


class Differs(Refusal):
    """Somebody was first: `theirs` is the board that the rack has, `now` the state that a cut or piece has."""

    conflict: Literal["changed", "name"] | None = None
    theirs: BoardThere | None = None
    now: State | None = None
    # Bytes of a photo that are there.
    have: int | None = None


class HoldThere(BaseModel):
    """Boards held for a job: `until` in seconds since 1970; `planning`: a search under way looks at them."""

    job: str
    who: str
    since: str
    until: int
    planning: bool


class HoldsThere(HoldThere):
    """All of one job and person."""

    boards: list[Id]


class RackNews(BaseModel):
    """One page of what changed on the rack since a cursor."""

    boards: list[BoardThere]
    gone: list[str]
    cursor: str
    more: bool
    left: int
    total: int
    anew: bool
    holds: list[HoldsThere] | None
    holds_tag: str


class Line(BaseModel):
    """One line of a board's history."""

    at: str
    who: str
    what: str
    remark: str


class BoardView(BaseModel):
    """All that is known of one board."""

    board: BoardThere
    hold: HoldThere | None
    picture: str
    history: list[Line]


class PhotoPart(BaseModel):
    """How much of a photo is there; the board once it is whole and kept."""

    have: int
    board: BoardThere | None = None


class Who(BaseModel):
    """Whether this phone may come in, and under which name."""

    paired: bool
    name: str = ""
    # Phones on the list before this one: each begins its boards' names with a letter of its own. None: not a paired phone.
    number: int | None = None


class HeldBoard(BaseModel):
    """A board chosen that is held for a job."""

    board: str
    job: str


class Counted(BaseModel):
    """Board feet and money, exactly and as the dealer counts."""

    boards: int
    exact: float
    counted: float
    price_exact: float
    price_counted: float
    without_price: int
    held: list[HeldBoard]


class Missing(BaseModel):
    """Pieces of a part without a place; `certain`: no layout of the kinds considered has one."""

    part: str
    qty: int
    why: str
    certain: bool


class Enough(BaseModel):
    """How the question "is this enough?" stands, after the best plan so far that passed the independent check."""

    ask: str
    state: Literal["waiting", "running", "done"]
    answer: Literal["yes", "no", "not known"]
    words: str
    wanted: int
    placed: int
    missing: list[Missing]
    shopping: list[str]
    net_cost: float | None
    boards: list[str]
    seconds: float
    better: int
    chosen: int
    held: list[HeldBoard]
    unknown: int
    error: str | None


class SheetChange(BaseModel):
    """A sheet that the new plan changes, with the orders of cuts whose lines go and come."""

    board: str
    how: str
    rub_out: list[int]
    draw: list[int]


class Lacking(BaseModel):
    """Pieces of a part that the new plan has no place for."""

    part: str
    qty: int
    why: str


class Replan(BaseModel):
    """How planning again stands; `revision` None until it is done."""

    ask: str
    state: Literal["waiting", "running", "done"]
    revision: int | None
    said: list[str]
    sheets: list[SheetChange]
    unplaced: list[Lacking]
    error: str | None


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


SHAPES = {409: Differs, 429: TooMany}


def refusals(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The schema's answers for refusals: what each status means here. Every address may say 400, 401, 421 and 503 (the guard)."""
    wanted = (400, 401, 421, 503, *statuses)
    return {s: {"description": WORDS[s], "model": SHAPES.get(s, Refusal)} for s in wanted}


WORDS = {
    400: "can't be understood, or is not what it should be",
    401: "this phone is not paired",
    403: "asked for by another page, or a wrong code",
    404: "there is nothing here",
    408: "it took too long to arrive",
    409: "somebody changed it first: both versions are shown",
    410: "the pairing code has run out; a new one stands in the terminal",
    413: "more bytes than are taken",
    421: "a name that is not this machine's",
    422: "every mistake by its place",
    429: "too many wrong codes from this address",
    503: "busy, out of reach, or not to be written",
    507: "no room on the disk",
}
WRITING = (403, 408, 413, 422, 507)
