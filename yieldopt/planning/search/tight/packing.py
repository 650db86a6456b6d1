"""Every part a place where the rack just suffices: dense sections and strips are listed, and a choice of them counts exactly.

The search by prices values a layout by itself, so that where all wood is needed it runs into corners: what is left fits
nowhere. Here the sections that leave next to nothing over are all listed (see `dense`), and one whole-number problem says
how many of each are cut from each clear length of board, with going short as the only cost.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.master.restrict import Choice, evaluate
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.search.tight.boxes import Box, Least, dense, ripped, sections
from yieldopt.planning.search.tight.choosing import Offers, chosen
from yieldopt.planning.search.tight.rooms import Fillable, room_of


class Tight:
    """The search for a place for every part of a component, whatever it costs."""

    def __init__(self, context: Context, seed: int, deadline: Deadline) -> None:
        self.context, self.deadline, self._random = context, deadline, random.Random(seed)
        self.tuned = context.tuning.dense
        self.rooms = [room for i in context.which if (room := room_of(context, i)) is not None]

    @property
    def suits(self) -> bool:
        """True where nearly all wood is needed, and not more than there is, and where not too many units measure it."""
        wood = sum(r.area for r in self.rooms)
        if any(max(r.length, r.width) > self.tuned.most_units for r in self.rooms):
            return False
        return wood > 0 and self.tuned.least * wood <= self._needed(self.rooms, self.context.need) <= wood

    def tries(self) -> Iterator[Choice]:
        """Choices, each from a try of its own, until one misses nothing or the tries are over."""
        best: Choice | None = None
        known = 0
        for share, effort in self.tuned.tries:
            offers = self._offers(self.rooms, self.context.need, share)
            many = sum(o.many for o in offers)
            if many == known or self.deadline.over:
                continue
            known = many
            found = chosen(self.context, offers, self.context.need, (), self.deadline, effort)
            if found is not None and (best is None or found.value < best.value):
                best = found
                yield best
                if not best.missing:
                    return
        if best is not None:
            yield from self._again(best)

    def _again(self, best: Choice) -> Iterator[Choice]:
        """A few rooms at a time filled anew with what they hold and what is missing."""
        for _ in range(self.tuned.again if len(self.rooms) > 1 else 0):
            if self.deadline.over:
                return
            rooms = self._random.sample(self.rooms, min(len(self.rooms), self._random.randint(*self.tuned.few)))
            kept = [k for k in best.columns if all(k.stock != r.stock for r in rooms)]
            short = evaluate(kept, self.context.need, self.context.demand).missing
            need = [short.get(r, 0.0) for r in range(len(self.context.rows))]
            offers = self._offers(rooms, need, self.tuned.looser)
            found = chosen(self.context, offers, need, kept, self.deadline, self.tuned.again_effort)
            if found is not None and found.value < best.value - 1e-9:
                best = found
                if not best.missing:
                    yield best
                    return
            yield best

    def _needed(self, rooms: Sequence[Fillable], need: Sequence[float]) -> float:
        """Area that the parts take at least, each in the blank that takes least for it, in the grid's units."""
        rows, least = self.context.rows, dict[int, float]()
        for t in {t for room in rooms for t in room.things}:
            made = sum(u * float(rows[r].finished) for r, u in t.uses)
            for r, _ in t.uses:
                each = t.length * t.width * float(rows[r].finished) / made
                least[r] = min(least.get(r, each), each)
        return sum(each * need[r] for r, each in least.items())

    def _offers(self, rooms: Sequence[Fillable], need: Sequence[float], share: float) -> list[Offers]:
        """The dense boxes of each room, with waste of a `share` of each at most, and of what the rooms can spare in all."""
        c = self.context
        spare = max(0, int(sum(r.area for r in rooms) - self._needed(rooms, need)))
        # Staves may be a little wider than is wanted.
        most = [n + 2 / float(q.finished) * (q.kind == "stave" and n > 0) for n, q in zip(need, c.rows, strict=True)]
        longest = max(r.length for r in rooms)
        made: dict[tuple[object, ...], tuple[Box, ...]] = {}

        def of(room: Fillable, width: int, share: float) -> tuple[Box, ...]:
            key = (width, share, room.things)
            if key not in made:
                ids = c.engine.loose[room.stock].ids
                made[key] = dense(sections(width, room.wanted(most), ids, longest, Least(share, spare)), most, self.tuned)
            return made[key]

        kerf = c.grid.units(c.job.shop.kerf.rip)
        found = []
        for room in rooms:
            looser = share + self.tuned.beside
            beside = [(of(room, f.low + kerf, looser), of(room, room.width - f.high, looser)) for f in room.flaws]
            key = (room.length, room.width, room.things)
            if key not in made:
                things = () if room.flaws else room.wanted(most)
                strips = ripped(room.length, room.width, things, Least(share, spare), c.tuning.pricing.strip_share)
                made[key] = dense(strips, most, self.tuned)
            found.append(Offers(room, of(room, room.width, share), made[key], tuple(beside)))
        return found
