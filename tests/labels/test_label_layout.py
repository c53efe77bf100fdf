"""Nothing printed runs over its label, whatever the texts are."""

import itertools

import pytest
from label_samples import HOSTILE, USUAL, code_for, same_text_items, usual_items

from farmdesk.errors import Refused
from farmdesk.labels.fields import FIELDS, LabelItem
from farmdesk.labels.layout import free_area_mm, lay_out
from farmdesk.labels.layout_files import (
    CODE,
    FIELD,
    RULE,
    SYMBOL,
    TEXT,
    load_layouts,
    shipped_layouts,
)
from farmdesk.labels.stocks import SHEET, Stock, shipped_stocks
from farmdesk.paper.pages import Bars, Box, Line, TextRun, extent_of
from farmdesk.paper.symbols import QUIET_MODULES, dot_mm
from farmdesk.wording.sentences import say_error

STOCKS = shipped_stocks()
LAYOUTS = shipped_layouts()
EDGE = 1e-6


def roll_of(width_um, height_um, dpi=203):
    size = (width_um, height_um)
    return Stock("own", *size, 1, 1, *size, 0, 0, *size, dpi, "roll")


def texts_of(marks):
    return [mark.text for mark in marks if isinstance(mark, TextRun)]


def bars_of(marks):
    (bars,) = [mark for mark in marks if isinstance(mark, Bars)]
    return bars


def overlap(first, second):
    """Whether two areas share more than an edge."""
    return (
        min(first[2], second[2]) - max(first[0], second[0]) > 0.01
        and min(first[3], second[3]) - max(first[1], second[1]) > 0.01
    )


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
@pytest.mark.parametrize("name", sorted(STOCKS))
def test_hostile_texts_stay_within_the_label(name, text):
    stock = STOCKS[name]
    for item in same_text_items(text):
        assert_inside(lay_out(item, stock, LAYOUTS[item.kind]), stock)


def assert_inside(marks, stock):
    left, top, width, height = free_area_mm(stock)
    for mark in marks:
        box = extent_of(mark)
        assert box[0] >= left - EDGE, mark
        assert box[1] >= top - EDGE, mark
        assert box[2] <= left + width + EDGE, mark
        assert box[3] <= top + height + EDGE, mark


@pytest.mark.parametrize("name", sorted(STOCKS))
@pytest.mark.parametrize("item", usual_items(), ids=lambda item: item.kind)
def test_marks_of_a_usual_label_do_not_touch_each_other(name, item):
    stock = STOCKS[name]
    marks = lay_out(item, stock, LAYOUTS[item.kind])
    assert_inside(marks, stock)
    texts = [mark for mark in marks if isinstance(mark, TextRun)]
    others = [extent_of(mark) for mark in marks if isinstance(mark, Bars | Line)]
    for first, second in itertools.combinations([extent_of(mark) for mark in texts], 2):
        assert not overlap(first, second)
    for first, second in itertools.product([extent_of(mark) for mark in texts], others):
        assert not overlap(first, second)


@pytest.mark.parametrize("name", sorted(STOCKS))
@pytest.mark.parametrize("text", ["the longest name there is " * 9, "A"])
def test_quiet_zones_stay_clear_and_modules_are_whole_dots(name, text):
    stock = STOCKS[name]
    left, _, width, _ = free_area_mm(stock)
    for item in same_text_items(text):
        marks = lay_out(item, stock, LAYOUTS[item.kind])
        bars = bars_of(marks)
        dots = bars.module_mm / dot_mm(stock.dpi)
        assert dots == pytest.approx(round(dots))
        assert bars.module_mm > 0.249
        assert bars.x_mm / dot_mm(stock.dpi) == pytest.approx(round(bars.x_mm / dot_mm(stock.dpi)))
        quiet = QUIET_MODULES * bars.module_mm
        start, top, end, bottom = extent_of(bars)
        zone = (start - quiet, top, end + quiet, bottom)
        assert zone[0] >= left - EDGE
        assert zone[2] <= left + width + EDGE
        for mark in marks:
            if mark is not bars:
                assert not overlap(extent_of(mark), zone), mark


@pytest.mark.parametrize("name", sorted(STOCKS))
def test_what_must_be_found_by_eye_is_large_enough(name):
    stock = STOCKS[name]
    marks = lay_out(usual_items()[0], stock, LAYOUTS["bag"])
    sizes = {mark.text: mark.size_pt for mark in marks if isinstance(mark, TextRun)}
    assert sizes["OY02-0147"] >= 10
    assert sizes["017 of 040"] >= 10
    assert sizes["Blue oyster"] >= 10
    assert min(sizes.values()) >= 5
    assert "6123 4567 41" in sizes


@pytest.mark.parametrize("name", sorted(STOCKS))
def test_longest_names_of_batch_and_bag_keep_ten_points(name):
    fields = {**USUAL["bag"], "batch": "OY02-12345", "number": "100 of 600"}
    marks = lay_out(LabelItem("bag", code_for("bag"), fields), STOCKS[name], LAYOUTS["bag"])
    sizes = {mark.text: mark.size_pt for mark in marks if isinstance(mark, TextRun)}
    assert sizes["OY02-12345"] >= 10
    assert sizes["100 of 600"] >= 10


def test_a_caution_is_printed_whole_on_every_stock():
    item = LabelItem("pack", code_for("pack"), USUAL["pack"])
    for stock in STOCKS.values():
        shown = " ".join(texts_of(lay_out(item, stock, LAYOUTS["pack"])))
        assert USUAL["pack"]["caution"] in shown
        assert "Keep refrigerated" in shown


def test_a_field_given_as_empty_is_not_printed_and_a_default_can_be_hidden():
    item = LabelItem("pack", code_for("pack"), {"keep": "", "sell_by": ""})
    shown = texts_of(lay_out(item, STOCKS["roll-57x32"], LAYOUTS["pack"]))
    assert shown == [f"{item.code[:4]} {item.code[4:8]} {item.code[8:]}"]


def test_the_same_species_has_the_same_rungs_and_others_mostly_differ():
    def rungs(species):
        fields = {"species": species}
        marks = lay_out(
            LabelItem("bag", code_for("bag"), fields), STOCKS["roll-100x50"], LAYOUTS["bag"]
        )
        return tuple(mark for mark in marks if isinstance(mark, Box) and mark.line_mm == 0)

    species = ["Blue oyster", "Lion's mane", "Shiitake", "King oyster", "Chestnut", "Pioppino"]
    patterns = {rungs(one) for one in species}
    assert rungs("Blue oyster") == rungs("BLUE OYSTER")
    assert len(patterns) >= 5


def test_labels_at_the_paper_edge_keep_clear_of_it():
    stock = STOCKS["a4-3x8"]
    assert stock.feed == SHEET
    left, top, width, height = free_area_mm(stock)
    assert left >= 5
    assert top >= 4.5
    assert left + width <= 65
    assert height < 30


def test_a_label_too_small_is_refused_with_its_size():
    with pytest.raises(Refused) as refused:
        lay_out(usual_items()[0], roll_of(30_000, 15_000), LAYOUTS["bag"])
    said = say_error(refused.value)
    assert "27.0 × 12.0 mm" in said
    assert "bag" in said


@pytest.mark.parametrize(
    ("width", "height"),
    [(34_000, 20_500), (40_000, 25_000), (60_000, 22_000), (50_000, 80_000), (210_000, 297_000)],
)
def test_sizes_of_ones_own_are_laid_out(width, height):
    stock = roll_of(width, height)
    for item in usual_items():
        assert_inside(lay_out(item, stock, LAYOUTS[item.kind]), stock)


@pytest.mark.parametrize(
    "code", ["", "123456789", "12345678901", "12345abcde", "１２３４５６７８９０"]
)
def test_a_code_that_is_not_ten_digits_is_refused(code):
    with pytest.raises(Refused) as refused:
        lay_out(LabelItem("bag", code), STOCKS["roll-57x32"], LAYOUTS["bag"])
    assert "ten digits" in say_error(refused.value)


def test_every_kind_has_a_layout_and_no_two_places_overlap():
    assert set(LAYOUTS) == set(FIELDS)
    for layout in LAYOUTS.values():
        for variant in layout.variants:
            solid = [one for one in variant.places if one.what in (FIELD, TEXT, CODE, SYMBOL, RULE)]
            for first, second in itertools.combinations(solid, 2):
                boxes = [(x, y, x + w, y + h) for x, y, w, h in (first.at, second.at)]
                shared = overlap(*[tuple(100 * value for value in box) for box in boxes])
                assert not shared, (layout.kind, variant.name, first.name, second.name)


def test_the_largest_labels_show_every_field():
    for kind, layout in LAYOUTS.items():
        shown = {one.name for one in layout.variants[0].places if one.what == FIELD}
        assert shown == {field.name for field in FIELDS[kind]}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("kind = ", "cannot be read"),
        ("kind = 'hat'", "should be one of"),
        ("kind = 'bag'", "variant"),
        ("kind = 'bag'\n[[variant]]\nleast = [1, 1]\ngrid = [9, 9]", "no places"),
        (
            "kind = 'bag'\n[[variant]]\nname = 'a'\nleast = [1, 1]\ngrid = [9, 9]\n"
            "places = [{ field = 'hat', at = [0, 0, 1, 1] }]",
            "no field 'hat'",
        ),
        (
            "kind = 'bag'\n[[variant]]\nname = 'a'\nleast = [1, 1]\ngrid = [9, 9]\n"
            "places = [{ put = 'code', at = [0, 0, 1, 10] }]",
            "outside the grid",
        ),
        (
            "kind = 'bag'\n[[variant]]\nname = 'a'\nleast = [1, 1]\ngrid = [9, 9]\n"
            "places = [{ put = 'code', at = [0, 0, 1, 1], colour = 'red' }]",
            "colour means nothing",
        ),
        (
            "kind = 'bag'\n[[variant]]\nname = 'a'\nleast = [1, 1]\ngrid = [9, 9]\n"
            "places = [{ put = 'code', at = [0, 0, 1, 1] }]",
            "symbol",
        ),
        (
            "kind = 'bag'\n[[variant]]\nname = 'a'\nleast = [1, 1]\ngrid = [9, 9]\n"
            "places = [{ put = 'symbol', at = [0, 0, 1, '1'] }]",
            "not a number",
        ),
    ],
)
def test_a_layout_file_that_is_not_right_is_told(text, said, tmp_path):
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    with pytest.raises(Refused) as refused:
        load_layouts(tmp_path)
    assert said in say_error(refused.value)
    assert "mine.toml" in say_error(refused.value)


def test_a_layout_of_ones_own_takes_over(tmp_path):
    (tmp_path / "bag.toml").write_text(
        "kind = 'bag'\n[[variant]]\nname = 'mine'\nleast = [40, 20]\ngrid = [50, 20]\nplaces = [\n"
        "{ put = 'symbol', at = [0, 0, 50, 12] }, { put = 'code', at = [0, 13, 50, 6] }]",
        encoding="utf-8",
    )
    layouts = load_layouts(tmp_path)
    marks = lay_out(usual_items()[0], STOCKS["roll-57x32"], layouts["bag"])
    assert texts_of(marks) == ["6123 4567 41"]
