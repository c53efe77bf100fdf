import pytest

from farmdesk.errors import Refused
from farmdesk.paper.symbols import (
    QUIET_MODULES,
    dot_mm,
    module_mm,
    modules,
    on_dots,
    widest_module_mm,
)
from farmdesk.wording.sentences import say_error


def test_modules_are_whole_printer_dots():
    assert module_mm(203, 0.25) == 0.25
    assert module_mm(300, 0.25) == pytest.approx(3 * 25.4 / 300)
    assert module_mm(600, 0.25) == pytest.approx(6 * 25.4 / 600)
    assert module_mm(203, 0.01) == dot_mm(203)


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("width", [28.5, 41.5, 60.0, 98.0])
def test_widest_module_leaves_room_for_quiet_zones(dpi, width):
    module = widest_module_mm(dpi, 90, width_mm=width, most_mm=0.75)
    assert module is not None
    dots = module / dot_mm(dpi)
    assert dots == pytest.approx(round(dots))
    assert (90 + 2 * QUIET_MODULES) * module + dot_mm(dpi) <= width + 1e-9
    assert 0.24 < module < 0.78


def test_a_place_too_narrow_has_no_module():
    assert widest_module_mm(203, 90, width_mm=27.5, most_mm=0.5) is None
    assert widest_module_mm(203, 90, width_mm=27.625, most_mm=0.5) == 0.25


def test_places_are_moved_on_to_the_next_dot():
    assert on_dots(1.0, 203) == 1.0
    assert on_dots(1.01, 203) == 1.125
    assert on_dots(10.0, 300) == pytest.approx(119 * 25.4 / 300)


@pytest.mark.parametrize("text", ["", "naïve", "１２", "😀"])
def test_what_code_128_does_not_have_is_refused(text):
    with pytest.raises(Refused) as refused:
        modules(text)
    assert "symbol" in say_error(refused.value)
