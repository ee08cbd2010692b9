"""The sheet: the answer first, then the drawing of what binds, the conditions, and the caution."""

from __future__ import annotations

import pytest

from standoff.draw.elevation import FORMATS
from standoff.draw.scene import Scene
from standoff.draw.sheet import METHOD, sheet, shown_by_default
from standoff.errors import UsageError
from standoff.job.caution import LOCKOUT
from standoff.job.file import parse_job
from standoff.job.placement import Placement, place
from standoff.job.speech import spoken
from tests.pairs import ONE_CUT, TWO_MODES, fixed


def placed(text: str = TWO_MODES) -> Placement:
    """The placement of a text."""
    return place(parse_job(text))


def said(scene: Scene) -> str:
    """Everything written, in the order in which it is drawn."""
    return " ".join(text.words for text in scene.texts)


@pytest.mark.parametrize("arrangement", FORMATS)
@pytest.mark.parametrize("text", [TWO_MODES, ONE_CUT, fixed()])
def test_a_sheet_says_everything(text: str, arrangement: str) -> None:
    """Sentence, caution and method stand on it whole, the sentence before the drawing."""
    placement = placed(text)
    scene = sheet(placement, arrangement=arrangement)  # type: ignore[arg-type]
    written = said(scene)
    assert spoken(placement) in written
    assert LOCKOUT in written
    assert METHOD in written
    assert written.index(spoken(placement)) < written.index("to the work") < written.index(LOCKOUT)


def test_what_binds_is_shown_without_asking() -> None:
    """The first binding row that can be drawn: room for the nose in the second mode."""
    assert shown_by_default(placed()) == ("other", "rear limit")
    assert "Other: headstock at its rear limit" in said(sheet(placed()))


def test_mode_and_state_can_be_chosen() -> None:
    """The state asked for is drawn; a mode alone shows its rear limit."""
    assert "One: headstock at bar change" in said(sheet(placed(), mode="one", state="bar change"))
    assert "One: headstock at its rear limit" in said(sheet(placed(), mode="one"))


def test_another_arrangement_is_refused() -> None:
    """There are three."""
    with pytest.raises(UsageError, match="arrangement"):
        sheet(placed(), arrangement="poster")  # type: ignore[arg-type]
