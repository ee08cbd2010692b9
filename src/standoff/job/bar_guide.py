"""What bar speed asks for, stop by stop: the bars, what holds them, what the makers allow, what was read on site.

The stops are like those of the survey (`guide`), on a page of their own: a placement does not need them. What is left empty has a
default, which the question names.
"""

from __future__ import annotations

from standoff.job.bar_tables import SUPPORT_KINDS, BarRulesTable
from standoff.job.keys import extra
from standoff.job.step import Step, Stop

BAR_TABLES = ("bars", "supports", "liners", "speed_limits", "feed", "site_checks", "bar_rules")
"""The tables of the job file that only bar speed reads."""

USUAL_STIFFNESS = ", ".join(f"{kind.replace('-', ' ')} {usual}" for kind, (usual, _) in SUPPORT_KINDS.items())
FORCE_UNITS = "in N, kN or lbf"


def _rule(key: str, title: str, how: str) -> Step:
    """A share or rule kept, with the default that holds where it is left empty."""
    default = extra(BarRulesTable.model_fields[key])["default_text"]
    return Step(f"bar_rules.{key}", title, f"{how} Empty: {default} (common practice; the makers' figures win).", tool="")


BAR_STOPS = (
    Stop(
        "bars",
        "Bars",
        "Nothing to measure yet: the bars as they are ordered, and how fast they are to turn.",
        (
            Step("bars[i].name", "Bar", "What it is called."),
            Step("bars[i].shape", "Section", "Others bend unequally, and are not judged here."),
            Step("bars[i].size", "Size", "Its diameter, or its size across flats, as ordered.", tool=""),
            Step("bars[i].material", "Material", "One of the list, or a name of your own with density and Young's modulus."),
            Step("bars[i].density", "Density", "Of a material of your own: in kg/m3, g/cm3 or lb/in3.", tool=""),
            Step("bars[i].modulus", "Young's modulus", "Of a material of your own: in MPa, GPa or psi.", tool=""),
            Step("bars[i].length", "Bar length", "Empty: the longest bar of this job.", tool=""),
            Step("bars[i].speed", "Speed wanted", "In rpm; or leave it empty and say the cutting speed.", tool=""),
            Step("bars[i].cutting_speed", "Or: cutting speed wanted", "In m/min or ft/min.", tool=""),
            Step("bars[i].turned_diameter", "At the diameter", "The smallest it is wanted at.", tool=""),
            Step(
                "bars[i].feed_force",
                "Feed force set",
                f"What the loader pushes this bar with, {FORCE_UNITS}. Empty: as set for every bar.",
                tool="",
            ),
            Step("bars[i].grade", "Tolerance", "Of its size (ISO 286). Empty: the usual one for its section."),
            Step(
                "bars[i].straightness",
                "Straightness",
                "The greatest bow over a metre of it. Empty: by the standard below, or else 1.5 mm (round) or 2 mm.",
                tool="",
            ),
            Step("bars[i].straightness_standard", "Or: ordered to", "The standard that says how straight it is."),
            Step("bars[i].straightness_group", "Group there", "The standard's group of steels."),
            Step(
                "bars[i].end_turned_to",
                "Rear end turned down to",
                "Only where its rear end was turned down to go into the pusher collet.",
                tool="",
            ),
        ),
    ),
    Stop(
        "holds",
        "What holds the bar",
        "Lock out lathe and loader. Each place that holds the turning bar, and where its front end is.",
        (
            Step("supports[i].name", "Support", "What it is called."),
            Step(
                "supports[i].kind",
                "Kind",
                "Main collet and channel must be there. A rest holds the bar at one place, a guide tube all along.",
            ),
            Step("supports[i].station", "Measured from", "The station from which its front end is told."),
            Step(
                "supports[i].ahead",
                "Its front end",
                "Front is towards the tool. Empty: at that station.",
                ways=("ahead of the station", "behind the station"),
            ),
            Step("supports[i].length", "Length", "How long it holds the bar; the channel has to hold the whole bar."),
            Step("supports[i].bore", "Bore", "Its inner diameter.", tool="caliper"),
            Step("supports[i].spacing", "Distance of rollers", "Empty: it bears the bar all along."),
            Step("supports[i].flooded", "Full of oil", "Oil that the bar has to push aside slows its swing."),
            Step(
                "supports[i].stiffness",
                "Sideways stiffness",
                f"In N/mm, kN/mm or lbf/in; of a tube or channel for each 100 mm. Empty: the usual one ({USUAL_STIFFNESS}).",
                tool="",
            ),
            Step("supports[i].mode", "Only in the mode", "Empty: in every mode."),
        ),
    ),
    Stop(
        "pusher",
        "The pusher",
        "Lock out the loader; air off. Pusher and pusher collet out, onto the scale.",
        (
            Step("bar_path.pusher_mass", "Pusher mass", "With its collet: it hangs on the bar's end. In kg, g or lb.", tool=""),
            Step("bar_path.collet_takes", "Pusher collet takes", "The thickest bar end that goes in.", tool="caliper"),
            Step("bar_path.insertion", "Insertion", "How deep the bar's end goes into the pusher collet.", tool="rule"),
        ),
    ),
    Stop(
        "liners",
        "Spindle liners",
        "Every liner that may be fitted: the smallest that passes is chosen for each bar.",
        (
            Step("liners[i].name", "Liner", "What it is called."),
            Step("liners[i].bore", "Its bore", "The smallest.", tool="caliper"),
            Step("liners[i].speed_limit", "Its maker's greatest speed", "In rpm.", tool=""),
            Step("passage[i].length", "Length of this bore", "Over which a bowed bar has to pass. Empty: a metre."),
        ),
    ),
    Stop(
        "limits",
        "Makers' greatest speeds",
        "From the plates and manuals. What is not stated is named beside the answer.",
        (
            Step("speed_limits[i].of", "Of", "Whose limit it is."),
            Step("speed_limits[i].speed", "Greatest speed", "In rpm.", tool=""),
            Step("speed_limits[i].mode", "Only in the mode", "Empty: in every mode."),
        ),
    ),
    Stop(
        "feed",
        "Feed force",
        "As the makers say, or as read at the loader's regulator; air on only with the guards closed.",
        (
            Step("feed.pre_feed", "Pre-feed", f"To move the bar up to the collet: {FORCE_UNITS}.", tool=""),
            Step("feed.insertion", "Insertion", f"To press its end into the pusher collet: {FORCE_UNITS}.", tool=""),
            Step("feed.hold", "Feed and hold", f"To feed the bar against the stop: {FORCE_UNITS}.", tool=""),
            Step("feed.pull_out", "Pull-out", f"To pull the remnant out of the collet: {FORCE_UNITS}.", tool=""),
            Step("feed.set_force", "Set for every bar", f"What the loader is set to push with: {FORCE_UNITS}.", tool=""),
        ),
    ),
    Stop(
        "site",
        "Read on site",
        "Spindle locked out: the bar is turned by hand, and tapped at rest. It may be left out, but says more than any table.",
        (
            Step("site_checks[i].kind", "What was read", "How far a span sags as the bar is turned, or its note when tapped."),
            Step("site_checks[i].bar", "Of the bar", "Which bar lay in the machine."),
            Step(
                "site_checks[i].sag",
                "Sags at midspan",
                "With the bar turned to 0, 90, 180 and 270 degrees, one behind the other with a semicolon between.",
                tool="",
            ),
            Step("site_checks[i].frequency", "Lowest note", "The lowest frequency heard, in Hz.", tool=""),
            Step("site_checks[i].length", "Length of the bar then", "From its front face to its rear end.", tool=""),
            Step("site_checks[i].mode", "In the mode", "Empty: the first."),
            Step("site_checks[i].state", "Headstock then", "Where it stood. Empty: at its rear limit."),
        ),
    ),
    Stop(
        "shares",
        "Shares kept",
        "Nothing to measure: how much of what is computed may be used.",
        (
            _rule("whip_share", "Of the lowest critical speed", "With nothing tested on site, 0 to 0.8."),
            _rule("whip_share_tapped", "Of it after a tap test", "For a bar that was tapped, 0 to 0.8."),
            _rule("stiffness_band", "Stiffnesses are known to a factor of", "Either way; the band in the chart."),
            _rule("stiffness_band_tapped", "Of a bar that was tapped, to", "The same factor, after a tap test of that bar."),
            _rule("buckling_share", "Of the force that buckles the bar", "0 to 1."),
            _rule("friction", "Friction of the bar in its channel", "Its coefficient, 0 to 1."),
            _rule(
                "pusher_stiffness",
                "Stiffness of the pusher's guide",
                "How stiffly the pusher holds the bar's end where a tube guides it.",
            ),
        ),
    ),
)
"""Everything bar speed asks for, each field once."""
