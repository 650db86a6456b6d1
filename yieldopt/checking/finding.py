"""What the check finds: a code, a place, what is there and what would be allowed. Codes never change their meaning."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

# Every code the check can give, by subject: 1xx records, 2xx place on the board, 3xx blanks, 4xx pieces, 5xx defects,
# 6xx matching and the maker's choice, 7xx sawing, 8xx offcuts and money. docs/reference/checks.md explains each.
CODES: Mapping[int, str] = MappingProxyType(
    {
        101: "the plan is not in the job's units",
        102: "the job has no such board",
        103: "the board is listed twice",
        104: "the job must not touch this board",
        105: "two blanks of a board have one name",
        106: "two pieces have one name",
        107: "the piece's name doesn't fit its part, count or stave",
        108: "the job has no such part",
        109: "placed and unplaced don't add up to the quantity wanted",
        110: "an entry in unplaced is not about a part of the job",
        111: "the blank lists other pieces than lie in it",
        112: "the piece doesn't lie in its blank and layer",
        113: "the blank's layers and thicknesses don't agree",
        114: "a size is not above zero",
        115: "a word or value that the format doesn't know",
        116: "two offcuts of a board have one name",
        117: "a name means something else than in an earlier plan of the job",
        201: "beyond the trimmed ends of the board",
        202: "beyond the edges of the board",
        203: "blanks or offcuts overlap or lack a kerf between them",
        204: "pieces of a layer overlap or lack a kerf between them",
        205: "the strip for the stress test is too short or too near an end",
        301: "the blank is shorter than the machines can hold",
        302: "the blank is narrower than the shop rips",
        303: "the blank is wider than the planer",
        304: "the blank is wider than the shop can flatten",
        305: "the blank is wider than the saw can resaw",
        306: "the board must not be resawn",
        307: "a layer is thinner than may go through the planer",
        308: "the blank needs more thickness than is left after warp",
        309: "the section has less width than is used, once crook is straightened",
        310: "the blank holds a defect that the machines can throw",
        311: "a layer of the blank holds nothing",
        401: "the piece is shorter than its rough length",
        402: "the piece is narrower than its rough width",
        403: "the piece is of another species than its board",
        404: "the piece may not come from this board",
        405: "the board is sawn another way than the part wants",
        406: "the piece has another thickness than its part",
        407: "the layer is milled to another thickness than the piece",
        408: "the stave's net width is out of range",
        409: "the staves don't make up the part's width",
        410: "the part may not be glued up from staves",
        411: "the stave leaves too little for flattening the panel",
        501: "the piece holds an unsound defect",
        502: "a sound defect shows on a face that must be clear",
        503: "the show face is not a clear one",
        601: "the group is placed in part",
        602: "the group comes from several boards",
        603: "the pair doesn't open like a book",
        604: "the pair has no common hinge",
        605: "the show faces of the pair are not those at the saw cut",
        606: "the slip-matched group isn't adjacent layers over one footprint",
        607: "the run doesn't lie in one strip",
        608: "the run is out of order",
        609: "the pieces of the run are not one kerf apart",
        610: "the set has another name than its group or glued-up piece",
        611: "the piece isn't where it is pinned",
        701: "two cuts of a board have one place in the order",
        702: "the cut's stage, kind, blank and layer don't fit together",
        703: "the cut has another kerf than the saw",
        704: "the cut parts no wood",
        705: "the cut doesn't run through from edge to edge",
        706: "the cut goes through something that must stay whole",
        707: "no cut parts these",
        708: "the cuts leave more than the blank",
        709: "the cut comes out of the shop's order",
        710: "the cut leaves its blank",
        711: "the resaw cuts are not one fewer than the layers",
        712: "the resaw cut is at the wrong depth",
        713: "a cut is done before the wood was cut out",
        714: "it lies in the strip for the stress test",
        715: "the strip for the stress test is not cut off first",
        801: "the kept offcut is under the kept size",
        802: "the kept offcut holds an unsound defect",
        803: "the offcut's layer doesn't exist",
        811: "the board's cost is wrong",
        812: "the credit for kept offcuts is wrong",
        813: "the net cost is wrong",
        814: "the bound is above the plan's own cost",
        815: "the gap is wrong",
        816: "the yield is wrong",
        817: "the count of boards cut is wrong",
    }
)


@dataclass(frozen=True, slots=True)
class Finding:
    """One breach of one rule."""

    # A key of CODES.
    code: int
    # Board it is on; None where the plan as a whole is meant.
    board: str | None
    # What it is about: a blank, piece, cut, offcut, part or group, in words.
    place: str
    # What is there and what would be allowed, with units.
    found: str
    allowed: str
    # The whole breach as one line.
    text: str

    def __str__(self) -> str:
        return self.text


def finding(code: int, board: str | None, place: str, found: object, allowed: object) -> Finding:
    """A finding with its line worded; the only place where that is done."""
    where = f"{board}: {place}" if board is not None else place
    text = f"[{code}] {where}: {CODES[code]}: found {found}, allowed {allowed}"
    return Finding(code, board, place, str(found), str(allowed), text)
