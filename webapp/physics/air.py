"""How dense the air is at a height and a temperature, and how the wind grows with height.

Knows nothing of balls, clubs or players.

| constant | value | source |
|---|---|---|
| STANDARD_* | ISO 2533:1975 standard atmosphere, troposphere | read |
| GAS_J_KG_K | 287.05287 J/(kg K), dry air | ISO 2533:1975, read |
| EARTH_RADIUS_M | 6 356 766 m, nominal | ISO 2533:1975, read |
| VAPOUR_SHARE | 0.62198, water against dry air by molar mass | from memory |
| FORECAST_EXPONENT | 0.16, wind at 10 m over flat open ground | Kaltschmitt et al. 2007, read |
| ROUGHNESS_M | 0.2 m, keeps the wind at the ground above nothing | ours |
"""

import math
from typing import NamedTuple

from webapp.units import KELVIN_AT_0_DEGC

STANDARD_TEMPERATURE_K = 288.15
STANDARD_PRESSURE_PA = 101325.0
STANDARD_LAPSE_K_M = 0.0065
GRAVITY_MPS2 = 9.80665
GAS_J_KG_K = 287.05287
EARTH_RADIUS_M = 6_356_766.0
VAPOUR_SHARE = 0.62198
FORECAST_HEIGHT_M = 10.0
FORECAST_EXPONENT = 0.16
BALL_HEIGHT_EXPONENT = 0.0
ROUGHNESS_M = 0.2
ALTITUDE_M_RANGE = (-500.0, 11_000.0)


class Air(NamedTuple):
    """Still air: temperature [K], pressure [Pa] and density [kg/m3]."""

    temperature_k: float
    pressure_pa: float
    density_kgm3: float


def standard_air(altitude_m: float) -> Air:
    """The standard atmosphere at a height above the sea.

    Parameters
    ----------
    altitude_m : float
        Geometric height [m], -500 to 11000.

    Returns
    -------
    Air
        Temperature, pressure and density of dry standard air.

    Raises
    ------
    ValueError
        Outside the troposphere, where the formula stops.

    Notes
    -----
    ISO 2533:1975: geopotential height H = R h/(R + h), T = 288.15 - 0.0065 H,
    p = 101325 (T/288.15)^(g/(R_air 0.0065)).
    """
    if not ALTITUDE_M_RANGE[0] <= altitude_m <= ALTITUDE_M_RANGE[1]:
        raise ValueError(f"The standard atmosphere used here ends at 11,000 m; {altitude_m:,.0f} m is outside it.")
    geopotential_m = EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m)
    temperature_k = STANDARD_TEMPERATURE_K - STANDARD_LAPSE_K_M * geopotential_m
    power = GRAVITY_MPS2 / (GAS_J_KG_K * STANDARD_LAPSE_K_M)
    pressure_pa = STANDARD_PRESSURE_PA * (temperature_k / STANDARD_TEMPERATURE_K) ** power
    return Air(temperature_k, pressure_pa, pressure_pa / (GAS_J_KG_K * temperature_k))


def saturation_pressure_pa(temperature_degc: float) -> float:
    """Pressure of water vapour [Pa] in saturated air at `temperature_degc` (-40 to 50 degC); Buck 1981."""
    return 611.21 * math.exp(17.502 * temperature_degc / (240.97 + temperature_degc))


def density_kgm3(temperature_degc: float, pressure_pa: float, humidity: float = 0.0) -> float:
    """Density of moist air.

    Parameters
    ----------
    temperature_degc : float
        Temperature [degC], -40 to 50.
    pressure_pa : float
        Pressure [Pa] where the ball flies, not reduced to sea level.
    humidity : float
        Relative humidity, 0 to 1.

    Returns
    -------
    float
        Density [kg/m3] of two ideal gases mixed; real air is denser by up to 0.07% from 0 to 40 degC.

    Raises
    ------
    ValueError
        If the humidity is no share.
    """
    if not 0.0 <= humidity <= 1.0:
        raise ValueError(f"Humidity is a share between 0 and 1; {humidity:g} is outside it.")
    vapour_pa = humidity * saturation_pressure_pa(temperature_degc)
    dry_equivalent_pa = pressure_pa - (1.0 - VAPOUR_SHARE) * vapour_pa
    return dry_equivalent_pa / (GAS_J_KG_K * (temperature_degc + KELVIN_AT_0_DEGC))


def wind_share(height_m: float, exponent: float) -> float:
    """Wind at `height_m` [m] above the ground as a share of that at 10 m; 1 everywhere for exponent 0."""
    squared: float = (height_m * height_m + ROUGHNESS_M * ROUGHNESS_M) / FORECAST_HEIGHT_M**2
    return float(squared ** (exponent / 2.0))
