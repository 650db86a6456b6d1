"""Every change a maker can make, the ledger it leaves, and the way back; on both databases."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import given
from making import KNOT, entry, photo, records

from yieldopt.rack.board import record as records_text
from yieldopt.rack.board.errors import BoardHeld, KeyReused, NameTaken, NoSuchBoard, NotOnRack, RackError, Refused
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books.search import BoardSearch
from yieldopt.rack.cut.splitting import SplitCut
from yieldopt.rack.door.facade import Rack
from yieldopt.wood.lumber import EdgePoint


def names(rack: Rack) -> list[str]:
    return [r.name for r in rack.boards()]


def longer(r: RackBoard) -> RackBoard:
    return replace(r, board=replace(r.board, length=r.board.length + 1))


def test_a_board_comes_back_as_it_was_logged(rack: Rack) -> None:
    logged = rack.log(entry("A1", defects=(KNOT,), dealer="Hill", moisture=(F(17, 2),), price_bf=F(13, 3)), photos=[])
    assert rack.board("A1") == logged == rack.board(logged.id) == rack.board(logged.id[:8])
    assert rack.boards() == [logged]


@given(records())
def test_every_record_survives_the_ledger_s_text(r: RackBoard) -> None:
    again = records_text.loads(records_text.dumps(r))
    assert again == r
    assert records_text.dumps(again) == records_text.dumps(r)


def test_a_name_is_used_once_on_the_rack_and_again_when_its_board_is_gone(rack: Rack) -> None:
    first = rack.log(entry("A1"))
    with pytest.raises(NameTaken, match="A1"):
        rack.log(entry("A1"))
    assert rack.boards() == [first]
    rack.retire(["A1"], "sold")
    second = rack.log(entry("A1"))
    assert rack.board("A1") == second
    assert {r.id for r in rack.boards(BoardSearch(state=None))} == {first.id, second.id}


def test_an_unknown_name_is_refused_with_near_ones(rack: Rack) -> None:
    rack.log(entry("white oak 7"))
    with pytest.raises(NoSuchBoard, match="near it: white oak 7"):
        rack.board("white oak 8")


def test_a_key_makes_a_repeat_harmless_and_a_clash_plain(rack: Rack) -> None:
    mine = entry("A1")
    assert rack.log(mine, key="phone 1") == rack.log(mine, key="phone 1") == mine
    assert len(rack.history()) == 1
    with pytest.raises(KeyReused):
        rack.log(entry("A2"), key="phone 1")
    with pytest.raises(Refused, match="logged before"):
        rack.log(replace(mine, board=replace(mine.board, name="A3")), key="phone 2")
    assert names(rack) == ["A1"]


def test_the_repeat_of_an_entry_that_was_undone_does_not_bring_it_back(rack: Rack) -> None:
    mine = rack.log(entry("A1"), key="k")
    rack.undo()
    assert rack.log(mine, key="k") == mine
    assert rack.boards() == []


def test_a_repeated_correction_says_the_same_and_a_clash_is_plain(rack: Rack) -> None:
    rack.log(entry("A1"))
    rack.log(entry("A2"))

    def renamed(r: RackBoard) -> RackBoard:
        return replace(longer(r), board=replace(longer(r).board, name="B1"))

    made = rack.correct("A1", renamed, key="k")
    assert rack.correct("A1", renamed, key="k") == made
    # Also when the board has changed, or gone, since; the repeat changes nothing.
    rack.correct("B1", longer)
    rack.retire(["B1"], "sold")
    before = rack.boards(BoardSearch(state=None)), rack.history()
    assert rack.correct("A1", renamed, key="k").state == "retired"
    assert (rack.boards(BoardSearch(state=None)), rack.history()) == before
    # Another board, another change of the same board, another remark, a photo: each is another change.
    for clash in (
        lambda: rack.correct("A2", renamed, key="k"),
        lambda: rack.correct("A1", longer, key="k"),
        lambda: rack.correct("A1", renamed, remark="again", key="k"),
        lambda: rack.correct("A1", renamed, key="k", photos=[photo()]),
        lambda: rack.log(entry("A3"), key="k"),
    ):
        with pytest.raises(KeyReused):
            clash()
    assert (rack.boards(BoardSearch(state=None)), rack.history()) == before


def test_every_error_of_the_rack_doubles_as_a_built_in_one() -> None:
    """So that a caller who knows nothing of racks can still catch what it means."""
    kinds = set(RackError.__subclasses__())
    assert len(kinds) >= 11
    for kind in kinds:
        assert any(issubclass(kind, b) for b in (ValueError, LookupError, OSError, RuntimeError)), kind


def test_a_correction_keeps_what_was(rack: Rack) -> None:
    rack.log(entry("A1"))
    rack.correct("A1", longer, remark="measured again")
    change = rack.history("A1")[0]
    assert (change.what, change.who, change.remark) == ("correct", "Ann", "measured again")
    step = change.steps[0]
    assert step.before is not None
    assert step.after is not None
    assert (step.before.board.length, step.after.board.length) == (96, 97)
    with pytest.raises(Refused, match="nothing would change"):
        rack.correct("A1", lambda r: r)


def test_a_correction_may_rename_but_not_to_a_name_in_use(rack: Rack) -> None:
    rack.log_all([entry("A1"), entry("A2")])
    with pytest.raises(NameTaken):
        rack.correct("A1", lambda r: replace(r, board=replace(r.board, name="A2")))
    assert rack.correct("A1", lambda r: replace(r, board=replace(r.board, name="B1"))).name == "B1"
    assert names(rack) == ["B1", "A2"]


def test_two_boards_may_swap_names_in_one_change(rack: Rack) -> None:
    a, b = rack.log_all([entry("A1"), entry("A2", length=50)])

    def named(name: str) -> Callable[[RackBoard], RackBoard]:
        return lambda r: replace(r, board=replace(r.board, name=name))

    rack.correct_all({"A1": named("A2"), "A2": named("A1")})
    assert [(r.id, r.name) for r in rack.boards()] == [(a.id, "A2"), (b.id, "A1")]
    rack.undo()
    assert rack.boards() == [a, b]


def test_undo_takes_back_one_change_after_the_other(rack: Rack) -> None:
    a = rack.log(entry("A1"))
    rack.correct("A1", longer)
    rack.retire(["A1"], "sold")
    for expected in (97, 96):
        rack.undo()
        assert rack.board("A1").board.length == expected
    assert rack.board("A1") == a
    rack.undo()
    assert rack.boards(BoardSearch(state=None)) == []
    with pytest.raises(Refused, match="nothing to undo"):
        rack.undo()
    # Nothing of it is lost: the ledger tells the whole story.
    assert [c.what for c in rack.history()] == ["undo"] * 3 + ["retire", "correct", "log"]


def test_an_older_change_can_be_undone_if_nothing_touched_its_boards_since(rack: Rack) -> None:
    rack.log(entry("A1"))
    rack.log(entry("A2"))
    rack.correct("A2", longer)
    assert rack.undo(1).undoes == 1
    assert names(rack) == ["A2"]
    with pytest.raises(Refused, match="changed since"):
        rack.undo(2)
    with pytest.raises(Refused, match="no such change"):
        rack.undo(77)


def test_undo_does_not_give_two_boards_one_name(rack: Rack) -> None:
    rack.log(entry("A1"))
    retired = rack.retire(["A1"], "lost")[0]
    rack.log(entry("A1", length=50))
    with pytest.raises(NameTaken):
        rack.undo(2)
    assert rack.board(retired.id).state == "retired"


def test_undo_does_not_take_a_held_board_away(rack: Rack) -> None:
    rack.log(entry("A1"))
    rack.hold("sideboard", ["A1"])
    with pytest.raises(BoardHeld, match="A1 is held for sideboard"):
        rack.undo()
    rack.release(job="sideboard")
    rack.undo()
    assert rack.boards() == []


def test_retired_boards_take_no_more_changes(rack: Rack) -> None:
    rack.log(entry("A1"))
    rack.retire(["A1"], "firewood")
    with pytest.raises(NotOnRack, match="A1 is no longer on the rack: it was retired"):
        rack.retire(["A1"], "again")
    with pytest.raises(NotOnRack):
        rack.split("A1", SplitCut("crosscut", F(10), F(1, 8)), ("a", "b"))
    with pytest.raises(NoSuchBoard):
        rack.correct("A1", longer)


def test_a_crosscut_split_moves_defects_and_shares_the_cost(rack: Rack) -> None:
    parent = rack.log(entry("A1", cost=F(48), defects=(KNOT, replace(KNOT, x=F(60)))))
    first, second = rack.split("A1", SplitCut("crosscut", F(40), F(1, 8)), ("A1a", "A1b"))
    assert (first.board.length, second.board.length) == (40, F(447, 8))
    assert first.board.defects == (KNOT,)
    assert second.board.defects == (replace(KNOT, x=F(60) - F(321, 8)),)
    assert first.board.cost + second.board.cost == 48  # type: ignore[operator]
    assert (first.board.far_sound, second.board.datum_sound, first.board.datum_sound) == (True, True, False)
    assert [c.name for c in rack.children("A1")] == ["A1a", "A1b"]
    assert rack.board(parent.id).state == "split"
    rack.undo()
    assert rack.boards() == [parent]


def test_a_rip_split_clips_a_wandering_outline(rack: Rack) -> None:
    edges = (EdgePoint(F(0), F(0), F(6)), EdgePoint(F(96), F(2), F(10)))
    rack.log(entry("A1", edges=edges, width=10))
    near, far = rack.split("A1", SplitCut("rip", F(4), F(1, 4)), ("n", "f"))
    assert near.board.area + far.board.area + F(96) / 4 == rack.board("A1").board.area
    assert far.board.outline[0].near == 0
    rack.log(entry("A2", edges=edges, width=10))
    # At the datum end the far edge lies at 6.
    with pytest.raises(Refused, match="no wood between those lines"):
        rack.split("A2", SplitCut("rip", F(7), F(1, 4)), ("p", "q"))


@pytest.mark.parametrize(
    "cut", [SplitCut("crosscut", F(0), F(1, 8)), SplitCut("crosscut", F(96), F(0)), SplitCut("rip", F(8), F(0))]
)
def test_a_split_that_leaves_nothing_is_refused(rack: Rack, cut: SplitCut) -> None:
    rack.log(entry("A1"))
    with pytest.raises(Refused, match="leaves nothing on one side"):
        rack.split("A1", cut, ("a", "b"))
    assert names(rack) == ["A1"]


def test_photos_are_kept_once_and_survive_undo(rack: Rack) -> None:
    rack.log_all([entry("A1"), entry("A2")])
    picture = photo()
    for name in ("A1", "A2"):
        rack.add_photo(name, picture)
    kept = rack.photo(picture.digest)
    assert kept is not None
    assert kept.content == picture.content
    rack.undo()
    assert rack.board("A2").photos == ()
    assert [p.name for p in rack.board("A1").photos] == ["front.jpg"]
    assert rack.check() == []


def test_searching(rack: Rack) -> None:
    third = F(1, 3)
    rack.log_all([
        entry("A1", length=60, dealer="Hill & Co", place="wall"), entry("A2", species="white oak", length=60 + third, width=7),
        entry("A3", length=61, remarks="100% clear_one"),
    ])  # fmt: skip
    rack.hold("bench", ["A3"])

    def found(**wanted: object) -> list[str]:
        return [r.name for r in rack.boards(BoardSearch(**wanted))]  # type: ignore[arg-type]

    assert found(species="White  Oak") == ["A2"]
    # Exact, though the database narrows by whole micrometres.
    assert found(length=60 + third) == ["A2", "A3"]
    assert found(length=60 + third + F(1, 10**9)) == ["A3"]
    assert found(width=F(8), dealer="hill & co") == ["A1"]
    assert found(text="100% C") == ["A3"]
    assert found(text="100_") == []
    assert found(free=True) == ["A1", "A2"]
    assert found(free=False) == found(job="bench") == ["A3"]
    assert found(most=2) == ["A1", "A2"]
    rack.correct("A2", lambda r: replace(r, remarks="Ärger mit ÉPICÉA"))
    assert found(text="Ärger") == found(text="ÉPICÉA") == ["A2"]
    if rack.where.startswith("postgresql"):
        return  # Capitals beyond ASCII are as the server's locale has them.
    assert found(text="ärger") == found(text="épicéa") == ["A2"]


def test_the_last_board_of_a_person_is_remembered(rack: Rack, where: str) -> None:
    assert rack.last_logged() is None
    mine = rack.log(entry("A1"))
    with Rack.open(where, who="Ben") as other:
        other.log(entry("B1"))
    assert rack.last_logged() == mine


def test_an_identity_is_not_taken_from_a_board_that_is_there(rack: Rack) -> None:
    mine = rack.log(entry("A1"))
    with pytest.raises(Refused):
        rack.log(replace(entry("A2"), id=mine.id))
    assert str(uuid.UUID(mine.id)) == mine.id
