"""The advice of whole jobs and its words: what contradicts what, what to read again, what to change, what is missing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from standoff.desk.placement import advice_on, placement_of_text
from standoff.desk.wording import wording
from standoff.errors import QuantityError, UsageError
from standoff.job.advice import Advice, advise
from standoff.job.advice_speech import accusation, gain_lines, price, remedy_lines, shortfall_lines
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.offers import offers_of
from standoff.job.placement import Placement, Verdict, place
from standoff.job.remedies import MANNERS, action, consequences, remedies_of
from standoff.job.tables import RemedyKind
from standoff.solve.remedy import Dose, Remedy
from tests.texts import FIXED, SLIDING, altered

SPACER, SPOKE = text_of("spacer-cell"), text_of("spoke-nipple-cell")
NO_REMEDY = "".join(
    f'[[remedy]]\nkind = "{kind}"\navailable = false\n'
    for kind in ("cut-nose", "shorter-bar", "front-limit", "rear-stop", "accept-remnant")
)
SHORT = altered(SLIDING, {"loader.pusher_reach": '"1070 mm"'})
"""The reach allows 280 in guide-bushing mode, the nose asks for 291 in chucker mode: 11 are missing, and the guard bands."""


def advised(text: str, *, wanted_mm: float = 0.0) -> tuple[Placement, Advice]:
    """A placement and its advice."""
    placement = place(parse_job(text))
    return placement, advise(placement, wanted_mm=wanted_mm)


def notes(text: str, *, wanted: str | None = None) -> dict[str, tuple[str, ...]]:
    """Everything that is said below the table, by its heading."""
    placement = placement_of_text(text)
    return dict(wording(placement, advice_on(placement, wanted=wanted)).notes)


def test_sound_job_needs_no_advice() -> None:
    """Where it fits with certainty nothing is to be changed, read again or doubted."""
    placement, advice = advised(SLIDING)
    assert placement.verdict is Verdict.FITS
    assert (advice.remedies, advice.shortfall, advice.without) == ((), None, None)
    assert gain_lines(placement, advice) == ()
    assert accusation(placement, None) == ()
    assert not any("fit" in heading for heading in notes(SLIDING))


def test_job_that_does_not_fit_gets_remedies() -> None:
    """They are verified and ranked; nothing falls short then, and no reading, however good, opens an empty window."""
    placement, advice = advised(SHORT)
    assert placement.verdict is Verdict.NOT
    assert advice.remedies
    assert advice.shortfall is None
    assert advice.gains == ()
    assert "What would make it fit" in notes(SHORT)


def test_tight_bore_is_to_be_read_again() -> None:
    """A taped bore less than its limits of error wider than it must be comes first, though no place of the loader hangs on it."""
    by_caliper = '{ value = "22 mm", source = "caliper" }'
    placement, advice = advised(altered(SLIDING, {"passage[1].bore": '"23.6 mm"', "bar_path.pusher_collet_od": by_caliper}))
    assert placement.verdict is Verdict.FITS
    assert placement.probability < 0.9
    line = gain_lines(placement, advice)[0]
    assert line.startswith("bore of the spindle liner: half its uncertainty leaves the window as it is; the chance")
    assert advice.gains[0].probability > placement.probability


def test_unsure_job_gets_readings_and_remedies() -> None:
    """A window that is open but not surely: readings that widen it, the most useful first."""
    placement, advice = advised(SPACER)
    assert (placement.window.empty, placement.guarded.empty) == (False, True)
    named = [gain.quantity for gain in advice.gains]
    assert named[:4] == ["standoff", "nose.collapsed", "loader.pusher_reach", "lathe.adapter_to_collet"]
    assert all(gain.probability > placement.probability for gain in advice.gains)
    assert advice.remedies


def test_what_no_standoff_mends_gets_no_remedy() -> None:
    """A pusher that does not pass the liner is not helped by any change on the axis."""
    placement, advice = advised(altered(SHORT, {"passage[1].bore": '"21 mm"'}))
    assert placement.verdict is Verdict.NOT
    assert (advice.remedies, advice.shortfall) == ((), None)


def test_nothing_offered_leaves_a_shortfall() -> None:
    """All ruled out: what is missing at each of the two that exclude each other, half of 11 and the guard bands."""
    placement, advice = advised(SHORT + NO_REMEDY)
    assert advice.remedies == ()
    assert advice.shortfall is not None
    expected_mm = (placement.guarded.least_mm - placement.guarded.greatest_mm) / 2.0
    assert advice.shortfall.missing_mm == pytest.approx(expected_mm)
    first, second = shortfall_lines(placement, advice.shortfall)
    assert first.endswith(
        "is still missing at each of: room for the nose (chucker, rear limit) and pusher reach (guide-bushing, front limit)"
    )
    assert second == "other machines, another nose or another loader have to be looked for"
    assert "Nothing offered makes it fit" in notes(SHORT + NO_REMEDY)


def test_where_better_readings_may_do_no_other_machine_is_asked_for() -> None:
    """The plain window is open: with every change ruled out it is the readings that are to be bettered, not the machines."""
    narrow = altered(SLIDING, {"loader.pusher_reach": '"1083 mm"'}) + NO_REMEDY
    placement, advice = advised(narrow)
    assert placement.verdict is Verdict.BETTER
    assert shortfall_lines(placement, advice.shortfall)[1] == "better readings may be enough: take those named above again"


def test_wanted_width() -> None:
    """A window that is open is widened on request, or it is said that nothing offered does; the heading names the width."""
    placement, advice = advised(SLIDING, wanted_mm=50.0)
    assert advice.remedies
    assert all(r.guarded.greatest_mm - r.guarded.least_mm >= 50.0 - 1e-6 for r in advice.remedies)
    width_mm = placement.guarded.greatest_mm - placement.guarded.least_mm
    assert advised(SLIDING, wanted_mm=width_mm)[1].remedies == ()
    assert "What would make the sure window 50 mm wide" in notes(SLIDING, wanted="50 mm")
    assert "Nothing offered makes the sure window 1000 mm wide" in notes(SLIDING, wanted="1 m")


def test_wanted_width_must_be_a_width() -> None:
    """A width below 0 and a width that is no length are refused, each naming the option."""
    placement = placement_of_text(SLIDING)
    with pytest.raises(UsageError, match=r"--wanted.*without the sign"):
        advice_on(placement, wanted="-5 mm")
    with pytest.raises(QuantityError, match="--wanted"):
        advice_on(placement, wanted="5")
    assert advice_on(placement, wanted="0 mm").remedies == ()


def test_words_of_the_spacer_cell() -> None:
    """The suspect, by how much it is off, and the answer with and without it."""
    placement, advice = advised(SPACER)
    suspect, answers = accusation(placement, advice.without)
    assert suspect == "suspect: adapter to collet (about 8 mm too long)"
    assert answers.startswith(
        "with it the answer is as above; without it the others make it 472 mm, and the pair fits: with today's readings"
    )
    assert answers.endswith(
        "Set the nose-clamp face 228 mm behind the adapter, headstock fully back; anything from 226 to 230 mm will do."
    )
    said = notes(SPACER)
    assert "The readings contradict one another" in said
    assert "What would make it fit, once the readings agree" in said


def test_words_of_the_spacer_cell_at_an_asked_standoff() -> None:
    """The asked standoff stays the subject."""
    placement = place(parse_job(SPACER), asked_mm=228.0)
    answers = accusation(placement, advise(placement).without)[-1]
    assert "without it the others make it 472 mm, and at 228 mm it fits: " in answers


def test_words_of_a_tie() -> None:
    """Each member of a group is told by how much it would be off itself, and what to read next."""
    text = SLIDING + '[[check]]\nfrom = "cover"\nto = "main-collet"\nstate = "rear limit"\nvalue = "580 mm"\n'
    placement, advice = advised(text)
    assert accusation(placement, advice.without) == (
        "suspect: adapter to collet (about 20 mm too short), cover to adapter (about 20 mm too far out of the cover) or the check"
        " cover to back of the main collet (rear limit) (about 20 mm too long)",
        "they cannot be told apart by what was read; read next: adapter to collet, once more",
    )


@pytest.mark.parametrize(("z_forward", "way"), [("positive", "back"), ("negative", "forward")])
def test_words_of_a_position(z_forward: str, way: str) -> None:
    """A Z that is too small was read too far back, or too far forward where Z falls forward."""
    sign = {"positive": "", "negative": "-"}[z_forward]
    limits = {"z_front": "190", "z_bar_change": "110"}
    text = altered(SLIDING, {f"lathe.modes[0].{key}": f'"{sign}{mm} mm"' for key, mm in limits.items()})
    text = altered(text, {"lathe.z_forward": f'"{z_forward}"', "lathe.modes[1].z_rear": f'"{sign}150 mm"'})
    text = altered(text, {"lathe.modes[1].z_front": f'["{sign}350 mm", "{sign}340 mm"]'})
    placement, advice = advised(text)
    forward = {"back": "forward", "forward": "forward"}[way]
    line = accusation(placement, advice.without)[0]
    assert f"front limit of chucker mode (about 10 mm too far {forward})" in line
    assert "a further reading of front limit of chucker mode (about 10 mm too far back)" in line


def test_words_where_several_or_none_explain_it() -> None:
    """The most suspect first, then "or else"; where no single reading explains it, that is said."""
    check = '[[check]]\nfrom = "{}"\nto = "main-collet"\nstate = "rear limit"\nvalue = "{}"\n'
    several, advice = advised(SLIDING + check.format("cover", "569 mm ± 6 mm") + check.format("adapter", "608 mm"))
    lines = accusation(several, advice.without)
    assert [line.partition(":")[0] for line in lines] == ["suspect", "or else"]
    torn = altered(SLIDING, {"loader.pusher_reach": '["1120 mm", "1160 mm"]', "nose.extended": '["560 mm", "600 mm"]'})
    none, advice = advised(torn)
    assert accusation(none, advice.without) == (
        "no single reading explains it: take again what was read twice or over several parts",
    )


def test_words_where_a_check_is_the_suspect() -> None:
    """Without a wrong check nothing is estimated anew."""
    text = altered(SLIDING, {"lathe.adapter_to_collet": '["600 mm", "600 mm"]', "lathe.cover_to_adapter": '["-40 mm", "-40 mm"]'})
    text += '[[check]]\nfrom = "cover"\nto = "main-collet"\nstate = "rear limit"\nvalue = "590 mm"\n'
    placement, advice = advised(text)
    assert advice.without is not None
    assert "without it the pair fits in both modes: " in accusation(placement, advice.without)[-1]


def test_words_of_better_readings() -> None:
    """What half the uncertainty brings: nearer, open, or wider, as the window stands."""
    placement, advice = advised(SPACER)
    lines = gain_lines(placement, advice)
    assert len(lines) == 3
    assert lines[0].startswith("setting the loader to its mark: half its uncertainty brings a sure window 1.8 mm nearer;")
    assert lines[1].startswith("collapsed nose: half its uncertainty brings a sure window 0.8 mm nearer;")
    assert lines[0].endswith("; the chance that everything holds is then 83 in 100")
    near = altered(SPACER, {"lathe.adapter_to_collet": '{ value = "478 mm", source = "tape" }'})
    assert "half its uncertainty opens a sure window 0.9 mm wide" in gain_lines(*advised(near))[0]
    open_ = altered(SPACER, {"lathe.adapter_to_collet": '{ value = "474 mm", source = "tape" }'})
    assert "half its uncertainty makes the sure window 1.8 mm wider" in gain_lines(*advised(open_))[0]


def test_words_of_the_spoke_nipple_cell() -> None:
    """What to do, what follows, the price, who must agree, what keeps it and what proves it."""
    job = parse_job(SPOKE)
    lines = [remedy_lines(remedy, job) for remedy in remedies_of(job)]
    assert [first for first, *_ in lines] == [
        "cut the nose by 5/8 in (the sure window just opens; 90 USD)",
        "set the front limit of guide-bushing mode 5/8 in farther back: remnant 5/8 in longer and 5/8 in less travel"
        " (the sure window just opens; 222 USD a year)",
        "let the pusher fall short by 5/8 in: remnant 5/8 in longer (the sure window just opens; 222 USD a year)",
        "fit a pusher extension of 1 in: bars up to 5 ft 11 in (sure window 3/8 in wide; 240 USD)",
        "fit a mechanical stop that keeps the headstock 5/8 in ahead of the rear limit of guide-bushing mode: 5/8 in less travel;"
        " the standoff is measured from the new stop (the sure window just opens; 650 USD)",
    ]
    for _, agree, kept, proof in lines:
        assert agree.startswith("  to agree: ")
        assert kept.startswith("  kept by:  ")
        assert proof.startswith("  proof:    ")


def test_same_manner_is_said_once() -> None:
    """Two front limits are agreed upon, kept and proved in the same way."""
    job = parse_job(SLIDING)
    limits = [offer for offer in offers_of(job) if offer.kind == "front-limit"]
    both = remedy_of(job, *(Dose(offer, 10.0) for offer in limits))
    first, agree, _, _ = remedy_lines(both, job)
    assert first.startswith(
        "set the front limit of guide-bushing mode 10 mm farther back and set the front limit of chucker mode 10 mm farther back:"
        " remnant 10 mm longer and 10 mm less travel in guide-bushing mode; remnant 10 mm longer and 10 mm less travel in chucker"
        " mode (sure window "
    )
    assert agree == "  to agree: the lathe's owner, and whoever writes the programs"


def remedy_of(job: object, *doses: Dose, first_cost: float | None = None, yearly_cost: float | None = None) -> Remedy:
    """A remedy of these doses with the job's own windows."""
    placement = place(job)  # type: ignore[arg-type]
    return Remedy(doses, placement.window, placement.guarded, first_cost, yearly_cost)


@pytest.mark.parametrize(
    ("first", "yearly", "expected"),
    [
        (90.0, 0.0, "90 USD"),
        (0.0, 0.0, "0 USD"),
        (0.0, 222.25, "222 USD a year"),
        (90.0, 15.5, "90 USD and 16 USD a year"),
        (None, None, "price not known"),
    ],
)
def test_words_of_a_price(first: float | None, yearly: float | None, expected: str) -> None:
    """Once, by the year, both or not known."""
    job = parse_job(SPOKE)
    assert price(remedy_of(job, first_cost=first, yearly_cost=yearly), job) == expected
    unpriced = replace(job, tables=job.tables.model_copy(update={"prices": None}))
    assert price(remedy_of(job, first_cost=first, yearly_cost=yearly), unpriced) == "price not known"


ACTIONS = {
    "cut-nose": "cut the nose by 10 mm",
    "shorter-bar": "load bars at least 10 mm shorter",
    "front-limit": "set the front limit of guide-bushing mode 10 mm farther back",
    "rear-stop": "fit a mechanical stop that keeps the headstock 10 mm ahead of the rear limit of guide-bushing mode",
    "accept-remnant": "let the pusher fall short by 10 mm",
    "pusher-extension": "fit a pusher extension of 10 mm",
    "shift-stroke": "make the loader shift of chucker mode 10 mm longer",
    "fitting": "exchange the guide plate for one of 55 mm",
}
FOLLOWS = {
    "cut-nose": [],
    "shorter-bar": ["bars up to 3650 mm"],
    "front-limit": ["remnant 10 mm longer and 10 mm less travel in guide-bushing mode"],
    "rear-stop": ["10 mm less travel in guide-bushing mode", "the standoff is measured from the new stop"],
    "accept-remnant": ["remnant 10 mm longer in both modes"],
    "pusher-extension": ["bars up to 3655 mm"],
    "shift-stroke": [],
    "fitting": [],
}
TABLES = (
    '[[remedy]]\nkind = "pusher-extension"\nlengths = ["10 mm"]\ntakes_off_bar = "5 mm"\n[[remedy]]\nkind = "shift-stroke"\n'
    '[[remedy]]\nkind = "fitting"\nfitting = "guide plate"\nlength = "55 mm"\n'
)


@pytest.mark.parametrize("kind", ACTIONS)
def test_words_of_each_kind(kind: RemedyKind) -> None:
    """What is done and what follows, for every kind of change."""
    job = parse_job(SLIDING + TABLES)
    dose = Dose(next(offer for offer in offers_of(job) if offer.kind == kind), 10.0)
    assert action(dose, job) == ACTIONS[kind]
    assert consequences(remedy_of(job, dose), job) == FOLLOWS[kind]
    assert set(ACTIONS) == set(MANNERS)


def test_words_of_the_other_ways() -> None:
    """A shift made shorter, a fitting removed or made smaller, an amount between the marks of the tape."""
    job = parse_job(SLIDING + TABLES)
    shorter = next(offer for offer in offers_of(job) if offer.id.endswith("shorter"))
    assert action(Dose(shorter, 7.5), job) == "make the loader shift of chucker mode 7.5 mm shorter"
    for length, expected in (("0 mm", "remove the guide plate"), ("20 mm", "exchange the guide plate for one of 20 mm")):
        other = parse_job(SLIDING + TABLES.replace("55 mm", length))
        offer = next(offer for offer in offers_of(other) if offer.kind == "fitting")
        assert action(Dose(offer, offer.greatest_mm), other) == expected
    inches = parse_job(SPOKE)
    cut = next(offer for offer in offers_of(inches) if offer.kind == "cut-nose")
    assert action(Dose(cut, 20.0), inches) == "cut the nose by 0.787 in"


def test_stop_that_bars_another_mode() -> None:
    """A mechanical stop ahead of another mode's rear limit has to come off for that mode."""
    job = parse_job(SLIDING)
    first, second = [offer for offer in offers_of(job) if offer.kind == "rear-stop"]
    assert consequences(remedy_of(job, Dose(second, 10.0)), job) == [
        "10 mm less travel in chucker mode",
        "the stop comes off again for guide-bushing mode",
    ]
    for z_rear, barred in (("-5 mm", True), ("9 mm", True), ("10 mm", False)):
        near = parse_job(altered(SLIDING, {"lathe.modes[1].z_rear": f'"{z_rear}"'}))
        said = consequences(remedy_of(near, Dose(first, 10.0)), near)
        assert ("the stop comes off again for chucker mode" in said) is barred


def test_remnant_is_longer_everywhere() -> None:
    """In both modes, in every mode of three, and without a word of modes where there is one."""
    fixed = parse_job(FIXED)
    dose = Dose(next(offer for offer in offers_of(fixed) if offer.kind == "accept-remnant"), 10.0)
    assert consequences(remedy_of(fixed, dose), fixed) == ["remnant 10 mm longer"]
    third = '[[lathe.modes]]\nname = "third"\nz_rear = "0 mm"\nz_front = "190 mm"\n'
    three = parse_job(SLIDING + third)
    assert consequences(remedy_of(three, dose), three) == ["remnant 10 mm longer in every mode"]
