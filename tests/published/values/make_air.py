"""Makes air.json: the air as two open-source libraries give it, for test_physics.py to compare with.

Run by hand in an environment of its own (pip install fluids CoolProp); neither library is needed to run the tests.
"""

import json
from importlib.metadata import version
from pathlib import Path

from CoolProp.HumidAirProp import HAPropsSI
from fluids.atmosphere import ATMOSPHERE_1976

standard = [
    {"altitude_m": altitude_m, "temperature_k": air.T, "pressure_pa": air.P, "density_kgm3": air.rho}
    for altitude_m in (0, 250, 500, 1500, 2500, 4000)
    for air in [ATMOSPHERE_1976(altitude_m)]
]
moist = [
    {
        "temperature_degc": temperature_degc,
        "pressure_pa": pressure_pa,
        "humidity": humidity,
        # Vha is the volume per kilogram of the mixture.
        "density_kgm3": 1.0 / HAPropsSI("Vha", "T", temperature_degc + 273.15, "P", pressure_pa, "R", humidity),
    }
    for temperature_degc in (0, 10, 20, 30, 40)
    for pressure_pa in (80000.0, 101325.0)
    for humidity in (0.0, 0.5, 1.0)
]
made_with = {name: version(name) for name in ("fluids", "CoolProp")}
text = json.dumps({"made_with": made_with, "standard": standard, "moist": moist}, indent=1)
(Path(__file__).parent / "air.json").write_text(text + "\n")
