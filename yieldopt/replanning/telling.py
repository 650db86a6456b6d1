"""From lines such as `rail#2: spoiled` to a `Surprise`; every mistake is listed at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from yieldopt.ground.errors import InputError, LengthError, Problem
from yieldopt.ground.lengths import show
from yieldopt.ground.names import part_of, whole_of
from yieldopt.records.sections import Patch
from yieldopt.replanning.bench import Bench
from yieldopt.replanning.designing import changed_parts
from yieldopt.replanning.opened import opened
from yieldopt.replanning.saying import EXPECTED, Said, said
from yieldopt.replanning.surprise import Surprise
from yieldopt.replanning.wood import EPS, Wood, saw, whole_board
from yieldopt.sizes.sizing import end_trim
from yieldopt.wood.lumber import Defect, Face, Job
from yieldopt.wood.plan import Blank, Piece, Plan

OPTION = "--happened"
# Note on a defect that stands for wood that is not there.
MEASURED = {"why": "measured again: no wood"}


def happened(job: Job, plan: Plan, lines: Sequence[str], base: Surprise) -> Surprise:
    """`base` and what the lines tell. Raises `InputError` with every line that is about nothing in the plan, says
    nothing that can be read, or places something off its board."""
    teller = _Teller(job, plan, base)
    for text in lines:
        teller.take(text)
    if not teller.problems:
        teller.design()
    if teller.problems:
        raise InputError(teller.problems)
    return replace(teller.now, told=(*base.told, *(" ".join(t.split()) for t in lines)))


class _Teller:
    """Takes line after line; `now` is what has been told so far."""

    def __init__(self, job: Job, plan: Plan, base: Surprise) -> None:
        self.job, self.plan, self.now = job, plan, base
        self.problems: list[Problem] = []
        self.designed: list[tuple[str, str, str]] = []
        self.benches = {b.board: Bench(job.board_named[b.board], b) for b in plan.boards}
        self.pieces = {p.piece: (b.board, p) for b, p in plan.pieces()}
        self.wholes = {whole_of(n) for n, (_, p) in self.pieces.items() if p.stave is not None}
        self.blanks = {k.blank: (b.board, k) for b in plan.boards for k in b.blanks}
        lost = {n for b in plan.boards for s in b.spoiled for n in s.piece.split(", ")}
        self.kinds: tuple[tuple[str, set[str]], ...] = (
            ("piece", set(self.pieces) | self.wholes | lost | {q.piece for q in job.pins}),
            ("blank", set(self.blanks)),
            ("board", set(job.board_named)),
            ("part", {p.name for p in job.parts}),
        )

    def refuse(self, found: str, expected: str) -> None:
        self.problems.append(Problem(OPTION, None, None, found, expected))

    def take(self, text: str) -> None:
        if text.startswith("new part ") and ":" in text:
            name, _, rest = text[len("new part ") :].partition(":")
            self.designed.append((name.strip(), rest, text))
            return
        thing = self._thing(text)
        if thing is None:
            self.refuse(text, "NAME: WHAT, with the name of a piece, blank, board or part, or new part NAME: COLUMN VALUE, ...")
            return
        kind, name, rest = thing
        try:
            what = said(rest, self.job.units)
        except LengthError as error:
            self.refuse(text, f"{error.expected} where it says {error.found!r}")
            return
        if kind == "part":
            if what is not None and what.form != "dropped":
                self.refuse(text, f"dropped, or COLUMN VALUE, ... with columns of parts.csv; {name} is a part")
            else:
                self.designed.append((name, "qty 0" if what else rest, text))
            return
        if what is None:
            self.refuse(text, EXPECTED)
            return
        act = getattr(self, f"_{kind}_{what.form.replace(' ', '_')}", None)
        if act is None:
            self.refuse(text, f"something that can happen to a {kind}, which {name} is")
            return
        wrong = act(name, what)
        if wrong:
            self.refuse(text, wrong)

    def _thing(self, text: str) -> tuple[str, str, str] | None:
        """(piece, blank, board or part, its name, the rest); a leading word such as `board` chooses between like names."""
        found: list[tuple[str, str, str]] = []
        for kind, names in self.kinds:
            for start in ("", kind + " "):
                rest = text[len(start) :] if text.startswith(start) else ""
                found += [(kind, n, rest[len(n) + 1 :].strip()) for n in names if rest.startswith(n + ":")]
        return max(found, key=lambda f: len(f[1]), default=None)

    def design(self) -> None:
        if self.designed:
            parts, problems = changed_parts(self.job, self.designed, OPTION)
            self.problems += problems
            self.now = replace(self.now, parts=parts)

    # What happens to a piece. Each gives what would have been right where it can't be so.

    def _piece_done(self, name: str, _: Said) -> str | None:
        if name not in self.pieces and name not in self.wholes:
            return "a piece of the plan; this one was spoiled before"
        self.now = replace(self.now, done=self.now.done | {name})
        return None

    def _piece_spoiled(self, name: str, what: Said) -> str | None:
        self.now = replace(self.now, spoiled=self.now.spoiled | {name})
        if "length" in what.lengths:
            if name not in self.pieces:
                return "a single piece of the plan, since something of it is to be used"
            board, p = self.pieces[name]
            good = _patch(board, p, what)
            if not Wood(p.x, p.x + p.length, p.y, p.y + p.width).holds(good):
                return f"good wood inside the piece, which is {self._size(p)}"
            self.now = replace(self.now, good={**self.now.good, name: good})
        return None

    def _piece_unpinned(self, name: str, _: Said) -> str | None:
        if name not in {q.piece for q in self.job.pins}:
            return "a piece that pins.csv pins to a place"
        self.now = replace(self.now, unpinned=self.now.unpinned | {name})
        return None

    def _piece_size(self, name: str, what: Said) -> str | None:
        if name not in self.pieces:
            return "a single piece of the plan"
        _, p = self.pieces[name]
        part = self.job.part_named.get(part_of(name))
        if part is None:
            return "a piece of a part that the job still asks for"
        side, size = what.words["side"], what.lengths["size"]
        least = {"thick": part.thickness, "long": part.length, "wide": part.width}[side]
        if p.stave is not None and side == "wide":
            least = p.width - 2 * self.job.shop.allowances.edge
        if size < least - EPS:
            why = f"{show(size, self.job.units)} {side}, where {show(least, self.job.units)} is needed"
            self.now = replace(self.now, spoiled=self.now.spoiled | {name}, why={**self.now.why, name: why})
        return None

    def _piece_defect(self, name: str, what: Said) -> str | None:
        if name not in self.pieces:
            return "a single piece of the plan"
        board, p = self.pieces[name]
        layer, layers = p.layer, p.layers
        face = what.words.get("face", "both").upper()
        # The face of a layer that the saw opened is no face of the board.
        if layers > 1 and "layer" not in what.words:
            if face == "A" and layer > 1:
                what = replace(what, words={**what.words, "layer": str(layer - 1)})
            elif face == "B" and layer < layers:
                what = replace(what, words={**what.words, "layer": str(layer)})
            elif face == "BOTH":
                return "on A or on B: a piece of a resawn blank has one face of the board at most"
        return self._defect(board, p, what, only=name)

    # A blank.

    def _blank_defect(self, name: str, what: Said) -> str | None:
        board, blank = self.blanks[name]
        return self._defect(board, blank, what)

    def _blank_size(self, name: str, what: Said) -> str | None:
        board, k = self.blanks[name]
        bench, side, size = self.benches[board], what.words["side"], what.lengths["size"]
        if name in bench.begun and side == "thick":
            return "a blank that is not resawn and holds nothing finished; name the piece that is too thin"
        cut = frozenset(bench.freeing(k))
        self.now = replace(self.now, cuts={**self.now.cuts, board: self.now.cuts.get(board, frozenset()) | cut})
        if side == "thick":
            thin = Patch(board, k.x, k.y, k.length, k.width, size)
            self.now = replace(self.now, thin=(*self.now.thin, thin))
            return None
        whole = Wood(k.x, k.x + k.length, k.y, k.y + k.width)
        left = replace(whole, x1=min(whole.x1, k.x + size)) if side == "long" else replace(whole, y1=min(whole.y1, k.y + size))
        # In a blank that is begun wood that is missing ends a piece; elsewhere no blank may reach over it.
        self._missing(board, whole, left, "other" if name in bench.begun else "split")
        return None

    # A board.

    def _board_cut_through(self, name: str, what: Said) -> str | None:
        return self._through(name, int(what.words["order"]))

    def _board_all_cut(self, name: str, _: Said) -> str | None:
        return self._through(name, None)

    def _through(self, name: str, order: int | None) -> str | None:
        orders = [c.order for c in self.benches[name].plan.cuts] if name in self.benches else []
        if not orders:
            return "a board that the plan cuts"
        if order is not None and order not in orders:
            return f"the number of a cut of {name}, {max(orders)} at most"
        reach = max(orders) if order is None else order
        told = self.now.cut_through
        self.now = replace(self.now, cut_through={**told, name: max(told.get(name, 0), reach)})
        return None

    def _board_unusable(self, name: str, _: Said) -> str | None:
        whole = whole_board(self.job.board_named[name])
        self._missing(name, whole, None, "split", {"why": "unusable wood"})
        return None

    def _board_left(self, name: str, what: Said) -> str | None:
        """The piece of wood that the cuts made so far have left round that place is only so large."""
        b = self.job.board_named[name]
        left = [whole_board(b)]
        if name in self.benches:
            made = self.benches[name].made | set(self.now.cuts.get(name, ()))
            through = self.now.cut_through.get(name, 0)
            cuts = [c for c in self.benches[name].plan.cuts if c.stage == "rough" and (c.order in made or c.order <= through)]
            left, _ = saw(left[0], cuts)
        is_so = _patch(name, None, what)
        wood = next((w for w in left if w.holds(is_so)), None)
        if wood is None:
            return f"a rectangle inside one piece of wood that the cuts made so far left of {name}"
        self._missing(name, wood, Wood(is_so.x, is_so.x + is_so.length, is_so.y, is_so.y + is_so.width), "split")
        return None

    def _board_size(self, name: str, what: Said) -> str | None:
        b, side, size = self.now.boards.get(name, self.job.board_named[name]), what.words["side"], what.lengths["size"]
        whole = whole_board(b)
        if side == "thick":
            if name in self.benches and self.benches[name].touched:
                thin = Patch(name, whole.x0, whole.y0, whole.x1 - whole.x0, whole.y1 - whole.y0, size)
                self.now = replace(self.now, thin=(*self.now.thin, thin))
            else:
                self.now = replace(self.now, boards={**self.now.boards, name: replace(b, thickness=size)})
            return None
        if side == "long":
            # The end that is there now has to be trimmed like the old one.
            trim = Fraction(0) if b.far_sound else end_trim(b.nominal, self.job.shop)
            self._missing(name, whole, replace(whole, x1=max(Fraction(0), min(whole.x1, size - trim))), "split")
        else:
            self._missing(name, whole, replace(whole, y1=min(whole.y1, whole.y0 + size)), "split")
        return None

    def _board_defect(self, name: str, what: Said) -> str | None:
        return self._defect(name, None, what)

    # What they share.

    def _defect(self, board: str, on: Piece | Blank | None, what: Said, only: str | None = None) -> str | None:
        place, b = _patch(board, on, what), self.job.board_named[board]
        whole = whole_board(b)
        if not whole.holds(place):
            return (
                f"a place on {board}, which is {show(b.length, self.job.units)} long and "
                + show(whole.y1 - whole.y0, self.job.units)
                + " wide at most"
            )
        if "layer" in what.words:
            change = opened(self.job, self.benches.get(board), place, what.words["kind"], int(what.words["layer"]), only)
            if isinstance(change, str):
                return change
            self.now = replace(
                self.now,
                cuts={**self.now.cuts, board: self.now.cuts.get(board, frozenset()) | change.cuts},
                spoiled=self.now.spoiled | frozenset(change.spoiled),
                why={**self.now.why, **change.spoiled},
                shows={**self.now.shows, **change.shows},
                hit_done={**self.now.hit_done, **change.hit_done},
            )
            return None
        faces: dict[str, Face] = {"a": "A", "b": "B"}
        face = faces.get(what.words.get("face", "both").lower(), "both")
        self._add(board, [Defect(what.words["kind"], face, place.x, place.y, place.length, place.width)])
        return None

    def _missing(self, board: str, was: Wood, left: Wood | None, kind: str, note: Mapping[str, str] = MEASURED) -> None:
        """Wood that is not there any more, as defects that nothing may lie on."""
        if left is None:
            strips = [(was.x0, was.x1, was.y0, was.y1)]
        else:
            strips = [
                (was.x0, left.x0, was.y0, was.y1),
                (left.x1, was.x1, was.y0, was.y1),
                (left.x0, left.x1, was.y0, left.y0),
                (left.x0, left.x1, left.y1, was.y1),
            ]
        gone = [Defect(kind, "both", a, c, b - a, d - c, notes=note) for a, b, c, d in strips if b - a > EPS and d - c > EPS]
        self._add(board, gone)

    def _add(self, board: str, defects: Sequence[Defect]) -> None:
        self.now = replace(self.now, found={**self.now.found, board: (*self.now.found.get(board, ()), *defects)})

    def _size(self, p: Piece) -> str:
        return f"{show(p.length, self.job.units)} x {show(p.width, self.job.units)} rough"


def _patch(board: str, on: Piece | Blank | None, what: Said) -> Patch:
    """The rectangle told, measured from the thing's corner nearest the datum end and the near edge."""
    at = what.lengths
    x, y = (on.x, on.y) if on is not None else (Fraction(0), Fraction(0))
    return Patch(board, x + at["x"], y + at["y"], at["length"], at["width"])
