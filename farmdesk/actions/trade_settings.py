"""How packs are marked for trade: kept and changed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.arithmetic.net_lots import RULES
from farmdesk.domain.gs1 import read_company_prefix
from farmdesk.domain.trade import TradeSetting
from farmdesk.errors import Problem, Refused, problem

SYMBOLS = ("code128", "gs1_128", "datamatrix", "link")
PLAIN = "code128"
NET_UNITS = ("", "oz", "g")
_HEALTH_WORDS = re.compile(
    r"\b(?:cur(?:e|es|ing)\b|heal\w*|detox\w*|immun\w*|anti-?(?:cancer|viral)\w*|medicin\w*"
    r"|remed(?:y|ies)\b)",
    re.IGNORECASE,
)
"""Words that make a label claim something for health; food law forbids or regulates that."""


def save_trade_setting(act: Act, wish: TradeSetting) -> TradeSetting:
    """Keep how packs are marked. Raises Refused with everything that cannot be.

    Without a company prefix packs carry plain Code 128 only: other symbols promise a number
    that nobody gave the farm.
    """
    prefix, domain = wish.company_prefix.strip(), wish.link_domain.strip().rstrip("/")
    found = list(_check(wish, prefix, domain))
    if found:
        raise Refused(*found)
    clean = replace(
        wish, company_prefix=read_company_prefix(prefix) if prefix else "", link_domain=domain,
        handling=wish.handling.strip(),
    )  # fmt: skip
    now = act.tx.first(TradeSetting)
    if now is None:
        made = replace(clean, id=act.next_id("trade_setting"))
        return act.make("trade_settings_made", made)
    fields = {name: value for name, value in vars(clean).items() if name != "id"}
    return act.change_fields("trade_settings_changed", now, fields)


def check_claims(text: str, field: str) -> Iterator[Problem]:
    """That a text for a label claims nothing for health."""
    found = dict.fromkeys(_HEALTH_WORDS.findall(text))
    if found:
        yield problem("health_claim", field=field, words=", ".join(found))


def _check(wish: TradeSetting, prefix: str, domain: str) -> Iterator[Problem]:
    if prefix:
        try:
            read_company_prefix(prefix)
        except Refused as refused:
            yield from refused.problems
    if wish.symbol not in SYMBOLS:
        yield problem("symbol_unknown", field="symbol")
    elif wish.symbol != PLAIN and not prefix:
        yield problem("no_company_prefix", field="symbol")
    if domain and not domain.startswith("https://"):
        yield problem("link_domain_wrong", field="link_domain")
    if wish.second_unit not in NET_UNITS:
        yield problem("net_units_unknown", field="second_unit")
    if wish.net_rule not in RULES:
        yield problem("net_rule_unknown", field="net_rule")
    yield from check_text("handling", wish.handling, needed=False)
    yield from check_claims(wish.handling, "handling")
