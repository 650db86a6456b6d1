"""The rack as a phone sees it: pages of news, holds, one board with all that is known of it."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any

from yieldopt.ground.errors import UsageError
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books.holding import Hold
from yieldopt.rack.books.ledger import digest
from yieldopt.rack.door.facade import Rack
from yieldopt.web import exchange

# Lines of a board's history that a phone shows.
MOST_LINES = 50
# What a label's code says: see `rack.labels.payload`.
_LABEL = re.compile(r"(?:board |.*/board/)([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})", re.S)


def news_json(rack: Rack, after: str, most: int, tag: str) -> dict[str, Any]:
    """One page of what changed since the cursor `after`; with the last one the holds, unless they are those of `tag`."""
    news = rack.news(after, most)
    held, now = None, tag
    if not news.more:
        held = holds_json(rack)
        now = digest(json.dumps(held, sort_keys=True))[:32]
    return {
        "boards": [exchange.as_json(r) for r in news.boards],
        "gone": list(news.gone),
        "cursor": news.cursor,
        "more": news.more,
        "left": news.left,
        "total": news.total,
        "anew": news.anew,
        "holds": None if now == tag else held,
        "holds_tag": now,
    }


def hold_json(hold: Hold) -> dict[str, Any]:
    """Of one board."""
    return {
        "job": hold.job,
        "who": hold.who,
        "since": hold.taken_at,
        "until": hold.until,
        "planning": hold.token is not None,
    }


def holds_json(rack: Rack) -> list[dict[str, Any]]:
    """All holds, those that differ in nothing but the board together."""
    together: dict[tuple[Any, ...], list[str]] = {}
    for board, hold in sorted(rack.holds().items()):
        together.setdefault(tuple(hold_json(hold).items()), []).append(board)
    return [{**dict(said), "boards": boards} for said, boards in together.items()]


def board_json(rack: Rack, r: RackBoard) -> dict[str, Any]:
    """All that is known of one board."""
    hold = rack.holds().get(r.id)
    return {
        "board": exchange.as_json(r),
        "hold": None if hold is None else hold_json(hold),
        "picture": f"/api/boards/{r.id}/picture.svg",
        "history": [{"at": c.at, "who": c.who, "what": c.what, "remark": c.remark} for c in rack.history(r.id, MOST_LINES)],
    }


def drawing(r: RackBoard) -> str:
    """The board drawn, as SVG."""
    from yieldopt.drawing.backends.svg import write_svg
    from yieldopt.rack.show.picture import picture

    page = picture(r)
    return write_svg([page], page.title)


def labelled(rack: Rack, text: str) -> RackBoard:
    """The board of a label from what its code says, or from its name typed. Raises `NoSuchBoard`, `UsageError`."""
    said = text.strip()
    found = _LABEL.fullmatch(said)
    if found is None and (not said or "\n" in said or len(said) > 100):
        raise UsageError("this is no label of a board; scan its code, or type the name chalked on it")
    return rack.board(found[1] if found else said)


def chosen(rack: Rack, ids: Sequence[str] | None, but: Sequence[str]) -> list[RackBoard]:
    """The boards on the rack of these ids, or all but some."""
    if ids is None:
        unwanted = set(but)
        return [r for r in rack.boards() if r.id not in unwanted]
    found = rack.by_id(dict.fromkeys(ids))
    return [found[i] for i in dict.fromkeys(ids) if i in found and found[i].state == "on rack"]
