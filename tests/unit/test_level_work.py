"""The order of work held against what was read: every task in every state, and what comes next."""

from __future__ import annotations

import pytest

from standoff.job.level_work import next_of, standoff_again, work_of
from standoff.site.order import TASKS
from tests.levelling import FOUND, FRAME, LEVELLED, LIFTED, STILL, levelled, round_of
from tests.texts import FIXED, SLIDING, altered

TOLD = 'stage = "moved"\nfeet_bear = true\nstandoff = "370 mm"\n'
STANDING = altered(FIXED, {"lathe.centre_height": '"1050 mm"', "loader.centre_height": '["960 mm", "1120 mm"]'})
MOVED = STANDING + FRAME + FOUND + STILL.replace("0.10 mm", "0.60 mm") + round_of(2, STILL, told=TOLD)
ALL = [task.id for task in TASKS]


def states(text: str) -> dict[str, str]:
    """Each task's state by its id."""
    return {item.task.id: item.state for item in work_of(levelled(text))}


def test_nothing_is_done_that_nothing_tells() -> None:
    """A job without readings: the centre height is known from the survey, the rest is open."""
    found = states(SLIDING)
    assert list(found) == ALL
    assert [task for task, state in found.items() if state == "done"] == ["centre-height"]
    following = next_of(work_of(levelled(SLIDING)))
    assert following is not None
    assert following.task.id == "bear"


def test_as_found_and_out_of_line() -> None:
    """Feet bear; roll and height come next, sideways after them, and nothing later is done."""
    items = work_of(levelled())
    assert [item.task.id for item in items if item.done] == ["centre-height", "bear"]
    following = next_of(items)
    assert following is not None
    assert (following.task.id, following.why) == ("roll-and-height", "outside its tolerance")


def test_moved_into_line() -> None:
    """On a fixed headstock nothing has two ends to be read at: after the standoff the anchors come next."""
    items = work_of(levelled(MOVED))
    assert [item.task.id for item in items if item.done] == ALL[:6]
    following = next_of(items)
    assert following is not None
    assert following.task.id == "anchor"


def test_everything_is_read_at_both_ends_before_drilling() -> None:
    """A headstock that slides and a loader that shifts were read at one position: to be read again."""
    items = {item.task.id: item for item in work_of(levelled(SLIDING + FRAME + FOUND + STILL + round_of(2, STILL)))}
    assert items["read-again"].state == "to do"
    assert items["read-again"].why == "read with the headstock and the loader at one end of the travel only"


@pytest.mark.parametrize(
    ("told", "task", "state"),
    [
        ("feet_bear = false\n", "bear", "fails"),
        ("pusher_slides = true\n", "slide-pusher", "done"),
        ("pusher_slides = false\n", "slide-pusher", "fails"),
        ("drilled = true\n", "anchor", "done"),
        ('stage = "tightened"\n', "anchor", "done"),
        ('stage = "tightened"\n', "tighten", "done"),
        ('stage = "tightened"\n', "read-tightened", "done"),
        ("", "tighten", "to do"),
        ("", "read-tightened", "to do"),
    ],
)
def test_what_a_round_is_told_to_be(told: str, task: str, state: str) -> None:
    """One more round of the same readings, with one remark."""
    assert states(MOVED + round_of(3, STILL, told=told))[task] == state


def test_a_travel_read_at_one_end_only_is_read_again_not_moved_by() -> None:
    """What was read lies within: nothing is to be set at feet or screws, and after tightening nothing is loosened for it."""
    text = SLIDING + FRAME + FOUND + STILL
    items = {item.task.id: item for item in work_of(levelled(text))}
    for task in ("roll-and-height", "sideways"):
        assert (items[task].state, items[task].why) == ("done", "as far as it was read")
    following = next_of(work_of(levelled(text)))
    assert following is not None
    assert following.task.id == "read-again"
    tight = text + round_of(2, STILL, told='stage = "tightened"\n')
    item = next(item for item in work_of(levelled(tight)) if item.task.id == "read-tightened")
    assert (item.state, item.why) == ("to do", "not decided: a travel was read at one end only")


def test_a_change_on_tightening_fails() -> None:
    """The clamp lifted by 0.10 mm, with 0.05 allowed: the tightening fails, and the later reading stands for itself."""
    tight = round_of(3, LIFTED, told='stage = "tightened"\n')
    found = {item.task.id: item for item in work_of(levelled(MOVED + tight))}
    assert found["tighten"].state == "fails"
    assert "more than is allowed" in found["tighten"].why
    alone = round_of(1, STILL, told='stage = "tightened"\n')
    assert states(STANDING + FRAME + alone)["tighten"] == "not told"


def test_out_of_line_after_tightening_goes_back_to_the_feet() -> None:
    """The reading after tightening lies outside: the work begins again at the feet."""
    high = STILL.replace('top = "0 mm"', 'top = "-0.60 mm"').replace('bottom = "0.10 mm"', 'bottom = "0.70 mm"')
    text = MOVED + round_of(3, high, told='stage = "tightened"\n')
    item = next(item for item in work_of(levelled(text)) if item.task.id == "read-tightened")
    assert (item.state, item.why) == ("fails", "outside its tolerance: loosen, and begin again at the feet")


def test_the_standoff_after_aligning() -> None:
    """Not read: to do. Read where it serves: done. Read where it does not: it fails. Read as found: it does not count."""
    unread = MOVED.replace('standoff = "370 mm"\n', "")
    assert states(unread)["standoff-again"] == "to do"
    assert standoff_again(levelled(unread)) is None
    again = standoff_again(levelled(MOVED))
    assert again is not None
    assert (again.round_number, again.reading.text) == (2, "370 mm")
    far = levelled(MOVED.replace('"370 mm"', '"520 mm"'))
    item = next(item for item in work_of(far) if item.task.id == "standoff-again")
    assert (item.state, item.why) == ("fails", "520 mm no longer serves")


@pytest.mark.parametrize(
    ("text", "state"),
    [
        (LEVELLED.replace('["960 mm", "1120 mm"]', '["900 mm", "1000 mm"]'), "fails"),
        (LEVELLED.replace('centre_height = ["960 mm", "1120 mm"]\n', ""), "not told"),
        (LEVELLED, "done"),
    ],
)
def test_the_centre_height(text: str, state: str) -> None:
    """Outside the range, unknown, inside."""
    assert states(text)["centre-height"] == state


def test_sideways_and_what_contradicts() -> None:
    """Sideways is not told where it was not read; readings that contradict one another are to be read again."""
    along = '[[levels]]\nway = "along"\nreading = "0 mm/m"\nspindle = "0 mm/m"\n'
    wrong = round_of(2, STILL + along.replace('"0 mm/m"', '"0.9 mm/m"', 1), told=TOLD)
    found = {item.task.id: item for item in work_of(levelled(MOVED.partition("[[level_rounds]]\nround = 2")[0] + wrong))}
    assert (found["read-again"].state, found["read-again"].why) == ("to do", "the readings contradict one another")
    assert states(SLIDING)["sideways"] == "not told"
