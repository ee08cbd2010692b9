"""What was read on site: a sag is a limit of its own, a tap test puts the supports right and raises the share that is used."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from standoff.bar.whip import critical_speed
from standoff.errors import UsageError
from standoff.job.site_readings import SiteReading, corrected, site_readings
from standoff.job.spans import Spans, spans, turning_states
from tests.turning import STANDOFF_MM, TURNING, first_bar, job_of, sag, spans_of, speed_of_first, speeds, tap

LENGTH_MM = 2700.0


def held(text: str) -> list[Spans]:
    """What holds the first bar in every state."""
    job, bar = job_of(text), first_bar(text)
    return [spans(job, bar, state, standoff_mm=STANDOFF_MM, cut_mm=0.0) for state in turning_states(job)]


def readings_of(*tables: str) -> tuple[SiteReading, ...]:
    """What these readings on site say of the bar."""
    text = TURNING + "".join(tables)
    return site_readings(job_of(text), first_bar(text), held(text))


def note_hz(mode: str, *, stiffer_factor: float = 1.0) -> float:
    """The note the model expects of the bar at rest, 2700 mm left, headstock at the rear limit. [Hz]"""
    supports = replace(spans_of(TURNING, mode, "rear limit").supports, axial_n=0.0).scaled(stiffer_factor)
    return critical_speed(first_bar().beam, supports, length_mm=LENGTH_MM).frequency_hz


def rounded(note: float) -> str:
    """A note as it would be typed."""
    return f"{note:.3f} Hz"


def test_nothing_read_is_nothing_said() -> None:
    """No table, no reading; the readings of another bar are not this one's."""
    assert readings_of() == ()
    other = '\n[[bars]]\nname = "other"\nshape = "round"\nsize = "12 mm"\nmaterial = "steel"\n'
    assert readings_of(other, sag("1 mm").replace("16 mm steel", "other")) == ()


@pytest.mark.parametrize(
    ("sags", "whip_rpm"),
    [
        (("1 mm",), 1065.0),
        (("1.3 mm", "0.9 mm", "0.7 mm", "1.1 mm"), 1065.0),
        (("4 mm",), 532.5),
        (("0.050 in", "0.036 in", "0.028 in", "0.044 in"), 1065.0 / math.sqrt(0.0395 * 25.4)),
    ],
)
def test_a_sag_is_a_speed(sags: tuple[str, ...], whip_rpm: float) -> None:
    """N1 = 1065 / sqrt(mean sag in mm), whatever the bar is made of."""
    (reading,) = readings_of(sag(*sags))
    assert (reading.kind, reading.tapped, reading.stiffness_factor) == ("sag", False, 1.0)
    assert reading.whip_rpm == pytest.approx(whip_rpm)


def test_a_sag_becomes_a_limit_and_changes_no_stiffness() -> None:
    """Half of 1065 stands among the limits, and governs where it is the lowest; the courses are as without it."""
    plain, read = speed_of_first(), speed_of_first(more=sag("1 mm"))
    assert {limit.of: limit.speed_rpm for limit in read.limits}["sag read on site"] == pytest.approx(0.5 * 1065.0)
    assert read.lowest.of == "sag read on site"
    assert read.worst.life.worst == plain.worst.life.worst
    assert read.share == plain.share == 0.5
    assert all(step.limit_rpm <= 0.5 * 1065.0 + 1e-9 for step in read.steps)


def test_a_small_sag_raises_nothing() -> None:
    """A stiff span reads a high speed: the model's own limit still governs."""
    read = speed_of_first(more=sag("0.01 mm"))
    assert read.lowest == speed_of_first().lowest


@pytest.mark.parametrize("mode", ["guide-bushing", "chucker"])
@pytest.mark.parametrize("stiffer", [0.5, 1.0, 2.0])
def test_a_note_finds_the_stiffness_it_was_made_with(mode: str, stiffer: float) -> None:
    """What the model would sound like with every support so many times as stiff is fitted with that factor."""
    (reading,) = readings_of(tap(rounded(note_hz(mode, stiffer_factor=stiffer)), f'mode = "{mode}"'))
    assert reading.tapped
    assert reading.stiffness_factor == pytest.approx(stiffer, rel=2e-3)
    assert reading.whip_rpm == pytest.approx(60.0 * note_hz(mode, stiffer_factor=stiffer), rel=1e-4)


def test_without_a_mode_it_is_the_first() -> None:
    """The mode the pair is in on the file's first line of modes, headstock at its rear limit."""
    note = rounded(note_hz("guide-bushing"))
    assert readings_of(tap(note))[0].stiffness_factor == pytest.approx(1.0, rel=2e-3)
    assert readings_of(tap(note, 'mode = "chucker"'))[0].stiffness_factor != pytest.approx(1.0, rel=0.1)


def test_the_force_that_is_set_does_not_press_on_a_tapped_bar() -> None:
    """The bar is tapped at rest: what the loader is set to changes no factor."""
    note = tap(rounded(note_hz("guide-bushing")))
    pressed = TURNING.replace('set_force = "90 N"', 'set_force = "1200 N"') + note
    (reading,) = site_readings(job_of(pressed), first_bar(pressed), held(pressed))
    assert reading.stiffness_factor == pytest.approx(1.0, rel=2e-3)


def test_a_tap_test_puts_every_support_right() -> None:
    """Collet, bedding and the pusher's guide alike, in every state; the oil, the masses and the places stay."""
    one = spans_of()
    twice = corrected(one, [SiteReading("sag", 1065.0), SiteReading("tap", 2000.0, 2.0)])
    for before, after in zip(one.supports.points, twice.supports.points, strict=True):
        assert (after.name, after.at_mm) == (before.name, before.at_mm)
        assert after.lateral_n_per_mm == 2.0 * before.lateral_n_per_mm
    assert twice.supports.stretches[0].bedding_mpa == 2.0 * one.supports.stretches[0].bedding_mpa
    assert twice.supports.pusher.mass_kg == one.supports.pusher.mass_kg
    assert (twice.gap, twice.shortest_mm) == (one.gap, one.shortest_mm)


def test_the_last_tap_test_counts() -> None:
    """Tapped again after a change: the earlier note is history; without any note nothing is corrected."""
    one = spans_of()
    again = corrected(one, [SiteReading("tap", 2000.0, 2.0), SiteReading("tap", 1500.0, 0.5)])
    assert again == corrected(one, [SiteReading("tap", 1500.0, 0.5)])
    assert corrected(one, [SiteReading("sag", 1065.0)]) is one


def test_a_tap_test_that_agrees_raises_the_share() -> None:
    """Common practice, no published source: 0.5 of the model before, 0.75 after, where the band lets it."""
    narrow = "[bar_rules]\nstiffness_band_tapped = 1.1\n"
    before = speed_of_first(more=narrow)
    after = speed_of_first(more=narrow + tap(rounded(note_hz("guide-bushing"))))
    assert (before.share, after.share) == (0.5, 0.75)
    assert after.worst.life.worst.whip_rpm == pytest.approx(before.worst.life.worst.whip_rpm, rel=2e-3)
    assert after.limits[0].speed_rpm == pytest.approx(1.5 * before.limits[0].speed_rpm, rel=2e-3)


def test_a_tap_test_that_finds_soft_supports_lowers_the_limit() -> None:
    """Half as stiff as assumed: the critical speed falls, and what was a guess no longer stands."""
    before = speed_of_first()
    after = speed_of_first(more=tap(rounded(note_hz("guide-bushing", stiffer_factor=0.2))))
    assert after.worst.life.worst.whip_rpm < 0.8 * before.worst.life.worst.whip_rpm
    assert after.limits[0].speed_rpm < before.limits[0].speed_rpm
    assert after.readings[0].stiffness_factor == pytest.approx(0.2, rel=5e-3)


def test_a_tap_test_speaks_for_its_bar_alone() -> None:
    """Another bar of the job keeps its own share."""
    other = '\n[[bars]]\nname = "other"\nshape = "round"\nsize = "12 mm"\nmaterial = "steel"\n'
    text = TURNING + other + tap("80 Hz")
    tapped, untapped = speeds(text)
    assert (tapped.share, untapped.share) == (0.75, 0.5)
    assert (len(tapped.readings), untapped.readings) == (1, ())


def test_a_tap_test_narrows_the_band_and_raises_the_limit() -> None:
    """Common practice, no published source: what was read is known better than what was guessed."""
    before = speed_of_first()
    after = speed_of_first(more=tap(rounded(note_hz("guide-bushing"))))
    spread = [one.worst.life.worst_soft_rpm / one.worst.life.worst.whip_rpm for one in (before, after)]
    assert spread[0] < spread[1] < 1.0
    assert after.limits[0].speed_rpm > 1.2 * before.limits[0].speed_rpm


def test_the_note_is_compared_where_the_headstock_stood() -> None:
    """The same note stands for stiffer supports where the collet stood farther from the channel."""
    rear, front = (readings_of(tap("64 Hz", *state))[0].stiffness_factor for state in ((), ('state = "front limit"',)))
    assert front > 1.5 * rear


def test_after_a_tap_test_the_soft_end_still_caps() -> None:
    """With a wide band its soft end, and not the raised share, is what governs."""
    wide = "[bar_rules]\nstiffness_band_tapped = 3.0\n"
    after = speed_of_first(more=wide + tap(rounded(note_hz("guide-bushing"))))
    soft_rpm = min(course.life.worst_soft_rpm for course in after.courses)
    assert after.limits[0].speed_rpm == pytest.approx(0.8 * soft_rpm)
    assert after.limits[0].speed_rpm < 0.75 * after.worst.life.worst.whip_rpm


@pytest.mark.parametrize("note", ["1 Hz", "500 Hz"])
def test_a_note_that_no_stiffness_gives_is_refused(note: str) -> None:
    """Another mode was heard, or the bar is held otherwise: told with what these supports can give."""
    with pytest.raises(UsageError, match="check which mode was heard") as caught:
        readings_of(tap(note))
    assert "Hz, what these supports can give" in caught.value.allowed


def test_a_job_may_keep_less() -> None:
    """The shares that the job states hold before and after the test."""
    rules = "[bar_rules]\nwhip_share = 0.4\nwhip_share_tapped = 0.6\n"
    assert speed_of_first(more=rules).share == 0.4
    assert speed_of_first(more=rules + tap(rounded(note_hz("guide-bushing")))).share == 0.6
