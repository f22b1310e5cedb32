"""What a phone is sent so that it works out conditions alone: a card's ladder, and every constant of the rule.

Knows where the constants stand in Python; static/rules/conditions.js and flight.js read them.
"""

from collections.abc import Sequence
from typing import Any

from webapp.conditions import rungs as ladder
from webapp.conditions import today
from webapp.conditions.day import (
    CARRY_M_RANGE,
    TARGET_UP_M_RANGE,
    WIND_EXPONENTS,
    WIND_MPS_RANGE,
    Conditions,
)
from webapp.conditions.rungs import Rung
from webapp.conditions.words import AIR_MATTERS_M, MEASURED_M
from webapp.facts import ALTITUDE_M_RANGE, TEMPERATURE_C_RANGE
from webapp.physics import air, ball, motion
from webapp.units import KELVIN_AT_0_DEGC, RPM_RADPS

_DIGITS = 9  # of a launch sent; a carry moves by less than a hundredth of a millimetre


def told(rungs: Sequence[Rung], home: Conditions) -> dict[str, Any]:
    """The ladder of a card as plain data: carries in metres, flights as ball speed [m/s], angle [deg], spin [rpm]."""
    return {
        "home": {"temperature_c": home.temperature_c, "altitude_m": home.altitude_m},
        "rungs": [
            {
                "key": rung.key,
                "card_m": rung.card_m,
                "flights": [[float(f"{value:.{_DIGITS}g}") for value in flight[:3]] for flight in rung.flights],
            }
            for rung in rungs
        ],
    }


CONSTANTS: dict[str, Any] = {
    "AIR_MATTERS_M": AIR_MATTERS_M,
    "MEASURED_M": MEASURED_M,
    "CONDITION_RANGES": {
        "temperature_c": TEMPERATURE_C_RANGE,
        "altitude_m": ALTITUDE_M_RANGE,
        "tail_mps": WIND_MPS_RANGE,
        "target_up_m": TARGET_UP_M_RANGE,
        "carry_m": CARRY_M_RANGE,
    },
    "OPEN_SHARE": today.OPEN_SHARE,
    "LEAST_GAIN": today.LEAST_GAIN,
    "WIDEST_SHARE": today.WIDEST_SHARE,
    "COLD_BALL_DEGC": today.COLD_BALL_DEGC,
    "MORE_M": ladder.MORE_M,
    "FLIGHT": {
        "step_s": motion.STEP_S,
        "first_step_s": motion.FIRST_STEP_S,
        "growth": motion.GROWTH,
        "longest_s": motion.LONGEST_FLIGHT_S,
        "tiny_mps": motion.TINY_MPS,
        "newton_rounds": motion.NEWTON_ROUNDS,
        "rpm_radps": RPM_RADPS,
        "ball": {
            "mass_kg": ball.BALL_KG,
            "radius_m": ball.BALL_RADIUS_M,
            "area_m2": ball.BALL_AREA_M2,
            "lift_most": ball.LIFT_MOST,
            "lift_half": ball.LIFT_HALF,
            "drag_still": ball.DRAG_STILL,
            "drag_spun": ball.DRAG_SPUN,
            "drag_half": ball.DRAG_HALF,
            "drag_calibration": ball.DRAG_CALIBRATION,
            "spin_decay": ball.SPIN_DECAY,
        },
        "air": {
            "temperature_k": air.STANDARD_TEMPERATURE_K,
            "pressure_pa": air.STANDARD_PRESSURE_PA,
            "lapse_k_m": air.STANDARD_LAPSE_K_M,
            "gravity_mps2": air.GRAVITY_MPS2,
            "gas_j_kg_k": air.GAS_J_KG_K,
            "earth_radius_m": air.EARTH_RADIUS_M,
            "kelvin_at_0_degc": KELVIN_AT_0_DEGC,
            "forecast_height_m": air.FORECAST_HEIGHT_M,
            "roughness_m": air.ROUGHNESS_M,
            "wind_exponents": WIND_EXPONENTS,
        },
    },
}
