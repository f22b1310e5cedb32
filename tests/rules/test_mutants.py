"""Every fault of the list stands where it says, once, so that it is planted where it was meant."""

from tests.mutants.faults import FAULTS

from .found import ROOT


def test_every_fault_can_be_planted():
    for fault in FAULTS:
        whole, name = (ROOT / fault.file).read_text(encoding="utf-8"), f"{fault.file}: {fault.name}"
        assert whole.count(fault.before) == 1, f"{name}: the text to break must stand there once"
        assert fault.planted(whole) != whole, name
        assert all((ROOT / test.split("::")[0]).exists() for test in fault.tests), name


def test_there_are_eighty_half_of_them_on_the_phone():
    on_the_phone = [fault for fault in FAULTS if fault.file.startswith("static/")]
    assert len(FAULTS) >= 80
    assert len(on_the_phone) >= 40
