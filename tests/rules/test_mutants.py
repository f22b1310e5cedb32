"""Every fault of the list stands where it says, once, so that it is planted where it was meant."""

from pathlib import Path

import pytest

from tests.mutants.faults import FAULTS

TOP = Path(__file__).parents[2]


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: f"{fault.file}: {fault.name}")
def test_a_fault_can_be_planted(fault):
    whole = (TOP / fault.file).read_text(encoding="utf-8")
    assert whole.count(fault.before) == 1, "the text to break must stand there once"
    assert fault.planted(whole) != whole
    assert all((TOP / test.split("::")[0]).exists() for test in fault.tests)


def test_there_are_eighty_half_of_them_on_the_phone():
    on_the_phone = [fault for fault in FAULTS if fault.file.startswith("static/")]
    assert len(FAULTS) >= 80
    assert len(on_the_phone) >= 40
