"""USB scale reports against the published HID usage codes and reports printed elsewhere.

Source of each row stands beside it in the tables (USB Implementers Forum, HID Usage Tables, page
0x8D weighing devices; formerly HID Point of Sale Usage Tables 1.02).
"""

from decimal import Decimal

import pytest
from oracle_tables import read_table

from farmdesk.devices.hid_scale import SCALE_USAGE_PAGE, read_report
from farmdesk.errors import DeviceTrouble, FarmdeskError, NotUnderstood
from farmdesk.wording.sentences import say_error

CODES = read_table("hid_scale_codes")
REPORTS = read_table("hid_scale_reports")
MG = {
    "g": Decimal(1000),
    "kg": Decimal(1_000_000),
    "oz": Decimal("28349.523125"),
    "lb": Decimal("453592.37"),
}
OURS = {"milligram": "g", "gram": "g", "kilogram": "kg", "ounce": "oz", "pound": "lb"}
TRUSTED = {"stable at centre of zero", "weight stable"}


def test_the_tables_are_of_the_page_we_look_for():
    assert {int(row["usage"].split("/")[0], 16) for row in CODES} == {SCALE_USAGE_PAGE}
    assert len([row for row in CODES if row["kind"] == "unit"]) == 12
    assert len([row for row in CODES if row["kind"] == "status"]) == 8


@pytest.mark.parametrize("row", REPORTS, ids=lambda row: row["report_hex_with_id"])
def test_printed_reports(row):
    report = bytes.fromhex(row["report_hex_with_id"])
    if row["status_code"] in {"5", "6"}:
        with pytest.raises(DeviceTrouble):
            read_report(report)
        return
    found = read_report(report)
    assert found.mg == round(Decimal(row["value"]) * MG[row["unit"]])
    assert found.unit == row["unit"]
    assert found.stable is (row["status_code"] != "3")


@pytest.mark.parametrize(
    "row", [row for row in CODES if row["kind"] == "unit"], ids=lambda row: row["meaning"]
)
def test_every_unit_is_read_or_refused_by_name(row):
    report = bytes([3, 4, int(row["code"]), 0, 7, 0])
    if row["meaning"] in OURS:
        assert read_report(report).unit == OURS[row["meaning"]]
        milli = Decimal("0.001") if row["meaning"] == "milligram" else 1
        assert read_report(report).mg == round(7 * milli * MG[OURS[row["meaning"]]])
        return
    with pytest.raises(NotUnderstood) as caught:
        read_report(report)
    assert row["meaning"] in say_error(caught.value)


@pytest.mark.parametrize(
    "row", [row for row in CODES if row["kind"] == "status"], ids=lambda row: row["meaning"]
)
def test_only_two_statuses_are_steady_and_the_others_have_their_sentence(row):
    weight = 0 if row["code"] == "2" else 20
    report = bytes([3, int(row["code"]), 2, 0, weight, 0])
    if row["meaning"] in TRUSTED:
        assert read_report(report).stable is True
    elif row["meaning"] == "in motion":
        assert read_report(report).stable is False
    else:
        with pytest.raises(FarmdeskError) as caught:
            read_report(report)
        assert say_error(caught.value).startswith("The scale ")


def test_one_pound_is_the_published_mass():
    # 1 lb = 453.59237 g: NIST Handbook 44, appendix C
    assert read_report(bytes([3, 4, 12, 0, 1, 0])).mg == 453_592
