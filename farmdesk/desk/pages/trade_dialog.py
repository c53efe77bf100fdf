"""How packs are marked for trade: prefix, symbol, handling text, rule of net contents."""

from __future__ import annotations

from functools import partial
from typing import Any

from farmdesk.actions.trade_settings import save_trade_setting
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, TextField
from farmdesk.desk.pages.order_lines import widen
from farmdesk.domain.trade import TradeSetting
from farmdesk.reports.net_check import RULE_NAMES
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

_SYMBOLS = (
    ("code128", tr("The farm's own bar code (Code 128)")),
    ("gs1_128", tr("GS1-128 where the label is wide enough, else GS1 DataMatrix")),
    ("datamatrix", tr("GS1 DataMatrix")),
    ("link", tr("QR code with a GS1 Digital Link")),
)
_UNITS = (
    ("", tr("in grams; in ounces first where the farm weighs in pounds")),
    ("oz", tr("in grams and ounces")),
    ("g", tr("in grams alone")),
)


class TradeDialog(FormDialog):
    """The one row of settings for trade."""

    def __init__(self, context: DeskContext, setting: TradeSetting) -> None:
        super().__init__(
            tr("Marking of packs"),
            sentence=tr(
                "A GS1 company prefix is licensed by the GS1 office of your country. Without one,"
                " packs carry the farm's own bar code only: any other number would be somebody"
                " else's. Products need a GTIN of the prefix in the catalogue."
            ),
        )
        widen(self, 84)
        add = self.form.add
        add(TextField("company_prefix", tr("GS1 company prefix"), value=setting.company_prefix))
        add(ChoiceField("symbol", tr("Beside the farm's own bar code"), _SYMBOLS, required=True,
                        value=setting.symbol))  # fmt: skip
        add(
            TextField(
                "link_domain", tr("Start of Digital Links"), value=setting.link_domain,
                placeholder="https://id.gs1.org",
            )
        )  # fmt: skip
        add(
            TextField(
                "handling", tr("Handling, on packs of fresh mushrooms"), value=setting.handling,
                placeholder=tr("Keep refrigerated"),
                hint=tr("No promises for health: food law forbids or regulates them."),
            )
        )  # fmt: skip
        add(
            ChoiceField(
                "second_unit", tr("Net weight on packs"), _UNITS, required=True,
                value=setting.second_unit, hint=tr("Which is needed is settled by law."),
            )
        )  # fmt: skip
        add(
            ChoiceField(
                "net_rule", tr("Net contents are checked by"), list(RULE_NAMES.items()),
                required=True, value=setting.net_rule,
            )
        )  # fmt: skip
        self._context = context
        self._setting = setting

    def save(self, values: dict[str, Any]) -> None:
        """Keep them."""
        texts = {key: value or "" for key, value in values.items()}
        wish = TradeSetting(0, **texts)
        self.run(self._context.act, partial(save_trade_setting, wish=wish))


def load_trade_setting(store: FarmStore) -> TradeSetting:
    """The settings as they stand, or the usual ones."""
    with store.reading() as reading:
        return reading.first(TradeSetting) or TradeSetting(0)
