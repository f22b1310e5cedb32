"""Every bench still finds what it measures; how long anything takes is not asked here."""

from importlib import import_module
from pathlib import Path

import pytest

BENCH = Path(__file__).parents[1] / "bench"


@pytest.mark.parametrize("name", sorted(path.stem for path in BENCH.glob("*.py") if path.stem != "__init__"))
def test_a_bench_can_be_started(name: str) -> None:
    assert import_module(f"tests.bench.{name}")
