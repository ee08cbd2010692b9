"""Two pairs worked by hand, which several tests share: each figure beside its sum."""

from __future__ import annotations

# Headstock travel z from the first rear limit: one 0 to 190 (bar change 115); other 155 to 355 (75 behind it: 280), shift 160.
TWO_MODES = """format = "standoff-job/1"
[job]
title = "Two modes that are not alike"
units = "mm"
[lathe]
name = "lathe"
headstock = "sliding"
z_forward = "positive"
adapter_to_collet = "600 mm"
cover_to_adapter = "-40 mm"
cover_to_wall = "6700 mm"
[[lathe.modes]]
name = "one"
z_rear = "-5 mm"
z_front = "185 mm"
z_bar_change = "110 mm"
[[lathe.modes]]
name = "other"
z_rear = "150 mm"
z_front = "350 mm"
loader_shift = "160 mm"
[loader]
name = "loader"
bar_capacity = "3660 mm"
pusher_reach = "1120 mm"
gripper_behind_clamp = "3020 mm"
body_ahead_of_clamp = "12 mm"
length_behind_clamp = "4600 mm"
[nose]
kind = "telescopic"
collapsed = "220 mm"
extended = "560 mm"
overlap = "32 mm"
[[fittings]]
name = "fitting"
length = "45 mm"
[rules]
nose_clearance = "6 mm"
nose_clearance_preferred = "12 mm"
bar_margin = "150 mm"
bar_change_setback = "75 mm"
cover_clearance = "25 mm"
rear_service = "900 mm"
"""

TWO_MODES_BOUNDS_MM = {
    ("nose-room", "one"): 271.0,  # 220 + 45 + 6
    ("nose-room", "other"): 276.0,  # 271 + 160 - 155
    ("nose-engagement", "one"): 383.0,  # 560 - 32 + 45 - 190
    ("nose-engagement", "other"): 378.0,  # 573 + 160 - 355
    ("pusher-reach", "one"): 330.0,  # 1120 - 190 - 600
    ("pusher-reach", "other"): 325.0,  # 1120 + 160 - 355 - 600
    ("full-bar", "one"): 75.0,  # 3660 + 150 - 3020 - 115 - 600
    ("full-bar", "other"): 70.0,  # 190 + 160 - 280
    ("cover-clearance", "one"): -3.0,  # -40 + 12 + 25
    ("cover-clearance", "other"): 157.0,  # -3 + 160
    ("rear-room", None): 1160.0,  # 6700 - 40 - 4600 - 900 + min(0, 160)
}

# Travel z: one 0 to 200, other 10 to 210 with a shift of 40. The nose enters by 230 and must stay in by 20; k is the cut.
#     nose-room        one 500 + 6 - 230 - k = 276 - k             other 276 + 40 - 10 - k = 306 - k
#     nose-engagement  one 500 - 20 - 200 - k = 280 - k            other 480 + 40 - 210 - k = 310 - k
# With ONE cut 306 - k and 280 - k miss each other by 26. Cut anew for each requirement, [276, 280] would serve.
ONE_CUT = """format = "standoff-job/1"
[job]
title = "A fixed nose in two modes"
units = "mm"
[lathe]
name = "lathe"
headstock = "sliding"
z_forward = "positive"
adapter_to_collet = "600 mm"
[[lathe.modes]]
name = "one"
z_rear = "0 mm"
z_front = "200 mm"
[[lathe.modes]]
name = "other"
z_rear = "10 mm"
z_front = "210 mm"
loader_shift = "40 mm"
[loader]
name = "loader"
bar_capacity = "3000 mm"
pusher_reach = "1300 mm"
gripper_behind_clamp = "2900 mm"
[nose]
kind = "fixed"
length = "500 mm"
may_be_cut = "30 mm"
entry_depth = "230 mm"
least_engagement = "20 mm"
[rules]
nose_clearance = "6 mm"
"""

# Fixed headstock, one exact reading each; what stands in braces is filled in.
#     nose-room        length + clearance - k          pusher-reach   reach - 600
#     nose-engagement  length + end gap - k            full-bar       3000 - gripper - 600
FIXED = """format = "standoff-job/1"
[job]
title = "A fixed headstock and a nose that butts"
units = "{units}"
[lathe]
name = "lathe"
headstock = "fixed"
adapter_to_collet = "600 mm ± 0 mm"
[loader]
name = "loader"
bar_capacity = "3000 mm"
pusher_reach = "{reach} mm ± {u} mm"
gripper_behind_clamp = "{gripper} mm ± {gripper_u} mm"
[nose]
kind = "fixed"
length = "{length} mm ± {u} mm"
may_be_cut = "{cut} mm"
[rules]
nose_clearance = "{clearance} mm"
fixed_nose_end_gap = "{end_gap} mm"
bar_margin = "0 mm"
setting_uncertainty = "{setting} mm"
"""


def fixed(**given: str | float) -> str:
    """The job with a fixed headstock, all exact; as it stands 250 <= D <= 300, nose 306 - k <= D <= 312 - k, k up to 60."""
    figures: dict[str, str | float] = {"units": "mm", "reach": 900, "gripper": 2150, "length": 300, "cut": 60}
    figures |= {"clearance": 6, "end_gap": 12, "setting": 0, "u": 0, "gripper_u": 0}
    return FIXED.format(**(figures | given))
