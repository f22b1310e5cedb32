"""The columns of a table of balls, in their order, with what each means to whoever reads the file.

Knows which fields of facts.py stand under their own name; how a row becomes facts and back is in ball_row.py and
exporting.py. What an import makes of a column that is left out:

| column | meaning | when it is left out or empty |
|---|---|---|
| made_at | when it was struck, ISO 8601; a day alone is midday, in the order of the lines | the row is refused |
| club | the wedge's name | the row is refused |
| swing | 9:00, full, or degrees of the lead arm | the row is refused |
| carry | where it landed, in `unit` | the row is refused unless `landed` says it was not seen |
| id | names the row for good | made from the row's content |
| bucket | the visit; the same text is the same visit | one visit a day |
| loft_deg | stamped loft of a wedge not known yet | its name, when that is a loft |
| mode | swing or distance | swing |
| meant | meant carry, in `unit` | none |
| unit | yd or m | the book's unit |
| contact | fat, heavy, clean, thin, bladed, shank | not noted |
| landed | seen, unseen, under, over | seen |
| judged_by | eye, markers, laser, monitor | the book's way |
| surface, ball, place | of the visit, from its first row | mat, range, not said |
| run_index | the ball's place among equal calls in a row | not known |
| aside, coarse, course | 1: set aside; noted on the rain patch; a course note | 0 |
| direction, swing_check, lie, flight, plan_ref | as facts.py names them | not noted, level, stock |
| wind, wind_force | where the ball's differed from the visit's | the visit's |
| roll | roll after landing, in `unit` | not known |
| club_speed, ball_speed | in `speed_unit` | not measured |
| speed_unit | mph, mps or kmh | a row that gives a speed is refused |
| attack_deg, path_deg, face_deg | degrees, + up and + right of the target for either hand | not measured |
| dynamic_loft_deg, launch_deg, spin_rpm | degrees; revolutions a minute | not measured |
| visit_judged_by, visit_wind, visit_wind_force | of the visit, from its first row | judged_by, calm |
| visit_aside, aside_reason, temperature_c, monitor_note, warm_up_balls | of the visit | as facts.py has them |
| bay_offset | of the visit, in `unit` | 0 |
| indoor_counts, flags_checked | of the visit | as facts.py has them |
| utc_offset_min | minutes the player's clock was ahead of UTC, of the visit | UTC |
| club_id, retired | the wedge's own id; 1 when it had left the bag | the wedge of that name |
"""

from ..delivery.readings import FIELD_OF
from ..facts import DELIVERY, KINDS
from ..units import LENGTH_M

NEEDED = ("made_at", "club", "swing", "carry")
_DELIVERY_UNITS = {
    "club_speed": "in the row’s speed_unit",
    "attack_deg": "degrees, + up",
    "path_deg": "degrees, + right of the target for either hand",
    "face_deg": "degrees, + right of the target for either hand",
    "dynamic_loft_deg": "degrees",
    "launch_deg": "degrees, + up",
    "spin_rpm": "revolutions a minute",
    "ball_speed": "in the row’s speed_unit",
}
MEANINGS = {
    "id": "names the ball for good (UUID)",
    "made_at": "when it was struck, UTC, ISO 8601",
    "bucket": "the visit (UUID)",
    "club": "the wedge’s name",
    "loft_deg": "stamped loft in degrees",
    "swing": "lead-arm angle from address in degrees: 90 is 9:00, 180 is full",
    "mode": "swing: make the swing, see where it lands; distance: hit the number",
    "meant": "meant carry, in the row’s unit",
    "carry": "where it landed, not where it stopped, in the row’s unit; empty when it was not seen",
    "unit": " or ".join(LENGTH_M),
    "contact": "fat, heavy, clean, thin, bladed, shank, or empty when not noted",
    "landed": "seen, unseen, under or over (off the scale)",
    "judged_by": "eye, markers, laser or monitor",
    "surface": "mat or grass",
    "ball": "range or own",
    "place": "where the visit was",
    "run_index": "the ball’s place among equal calls in a row",
    "aside": "1 when the ball was set aside: kept, not counted",
    "direction": "left, straight or right of the aim, or empty when not noted",
    "swing_check": "whether the swing was longer, right or shorter than called, or empty when not noted",
    "wind": "calm, into, down, left or right where the ball’s differed from the visit’s",
    "wind_force": "light or strong where the ball’s differed from the visit’s",
    "lie": "level, rough, bare, wet, sand, uphill or downhill",
    "flight": "grip-down, low or high; empty for the usual one",
    "coarse": "1 when noted on the rain patch, whose steps are wider",
    "course": "1 for a note from the course, which does not count",
    "roll": "roll after landing, in the row’s unit",
    "plan_ref": "the place in a plan that the ball belonged to",
    **{column: f"{DELIVERY[name].label}; {_DELIVERY_UNITS[column]}" for column, name in FIELD_OF.items()},
    "speed_unit": "of club_speed and ball_speed: mph, mps (metres a second) or kmh; written as mps",
    "visit_judged_by": "how carries were judged on that visit",
    "visit_wind": "calm, into, down, left or right on that visit",
    "visit_wind_force": "light or strong on that visit",
    "visit_aside": "1 when the whole visit was set aside",
    "aside_reason": "why the visit was set aside",
    "temperature_c": "temperature of the visit in degrees Celsius",
    "bay_offset": "what the visit’s carries are off by, in the row’s unit; the card adds it",
    "monitor_note": "outdoor, indoor or corrected: what the launch monitor showed",
    "indoor_counts": "1 when the bucket’s indoor estimates count for the card",
    "flags_checked": "laser, monitor, paces or unchecked: how the range’s flags were checked",
    "utc_offset_min": "minutes the player’s clock was ahead of UTC; empty where it is not known and UTC is shown",
    "warm_up_balls": "balls struck before the first that counted",
    "club_id": "the wedge (UUID): two may have borne one name",
    "retired": "1 when the wedge had left the bag",
}
COLUMNS = tuple(MEANINGS)
_SHOT = {name: field for name, field in KINDS["shot"].items() if name in MEANINGS and name != "judged_by"}
WORDS = tuple(name for name, field in _SHOT.items() if field.choices)
FLAGS = tuple(name for name, field in _SHOT.items() if isinstance(field.default, bool))
