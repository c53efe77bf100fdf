"""What can be offered: stock and what will be picked, less all that is promised already."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.list_prices import choose_price
from farmdesk.domain.catalogue import Price, PriceList, Product
from farmdesk.paper.documents import Block, Details, Document, Note
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import day_plus
from farmdesk.reports.farm_terms import FarmTerms
from farmdesk.reports.supply import FarmSupply, read_supply
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_unit

USUAL_DAYS = 3
LONGEST_DAYS = 56
QUARTER_POUND_MG = 113_398
"""A quarter of 453.59237 g, rounded down to whole milligrams."""


@dataclass(frozen=True)
class OfferRow:
    """One product: mg, or packs where `is_pack`. `free_now` is on hand and promised to nobody.

    `free` is what can be promised for the day of the offer, counting the low figure (1 in 10) of
    what will be picked until then; packs that would first have to be filled are in it.
    """

    product: int
    name: str
    unit: str
    is_pack: bool
    on_hand: int
    promised: int
    free_now: int
    free: int
    price: Decimal | None
    shelf_on: str | None
    caution: str


@dataclass(frozen=True)
class Offer:
    """What can be offered to who buys from a price list, until a day."""

    terms: FarmTerms
    price_list: str
    until: str
    rows: tuple[OfferRow, ...]

    def worth_offering(self) -> tuple[OfferRow, ...]:
        """The rows of which something can be promised."""
        return tuple(one for one in self.rows if one.free > 0)


def read_offer(
    reading: Reading,
    *,
    price_list: int | None = None,
    until: str | None = None,
    now: str | None = None,
) -> Offer:
    """What can be offered until a day (three days ahead unless given), at the prices of a list."""
    supply = read_supply(reading, now=now)
    terms = supply.terms
    day = min(max(until or day_plus(terms.today, USUAL_DAYS), terms.today),
              day_plus(terms.today, LONGEST_DAYS))  # fmt: skip
    known = None if price_list is None else reading.get(PriceList, price_list)
    rows = [
        _row(reading, supply, one, day, price_list)
        for one in sorted(supply.products.values(), key=lambda one: one.name.casefold())
        if not one.retired and (one.unit == "pack" or one.species is not None)
    ]
    return Offer(terms, "" if known is None else known.name, day, tuple(rows))


def offer_table(offer: Offer, *, for_buyers: bool = False) -> Table:
    """The offer as a table; `for_buyers` leaves out what is nobody else's business."""
    columns = [
        Column("product", tr("Product")),
        Column("free", tr("Available")),
        Column("price", tr("Price"), "money"),
        Column("unit", tr("for one")),
        Column("shelf_on", tr("Keeps until at least"), "day"),
    ]
    rows: list[tuple[object, ...]] = [
        (
            one.name,
            say_amount(one.free, one, offer.terms),
            one.price,
            say_unit(one.unit),
            one.shelf_on,
        )
        for one in offer.worth_offering()
    ]
    if not for_buyers:
        columns += [
            Column("on_hand", tr("On hand")),
            Column("promised", tr("Promised")),
            Column("free_now", tr("Free now")),
        ]
        rows = [
            (one.name, say_amount(one.free, one, offer.terms), one.price, say_unit(one.unit),
             one.shelf_on,
             *(say_amount(amount, one, offer.terms)
               for amount in (one.on_hand, one.promised, one.free_now)))
            for one in offer.rows
        ]  # fmt: skip
    return Table("offer", tr("Available"), columns, rows, () if for_buyers else offer_notes(offer))


def offer_report(reading: Reading, *, now: str | None = None) -> Table:
    """What can be offered in the days to come, at the first price list."""
    lists = [one.id for one in reading.all(PriceList) if not one.retired]
    return offer_table(read_offer(reading, price_list=lists[0] if lists else None, now=now))


def offer_notes(offer: Offer, formats: Formats | None = None) -> list[str]:
    """What the figures mean."""
    day = (formats or offer.terms.formats).day(offer.until)
    return [
        tr(
            "Available is what can be promised for {day} without breaking a promise for that day"
            " or a later one. Of what will be picked it counts the low figure of the forecast,"
            " which is reached nine times in ten. A kilogram that can be sold loose or in packs"
            " is shown at both, but is one kilogram."
        ).format(day=day),
        tr("Lots that are held back, or end before that day, are not in what is available."),
    ]


def offer_document(offer: Offer) -> Document:
    """The offer as a sheet for those who buy."""
    formats, farm = offer.terms.formats, offer.terms.farm
    blocks: list[Block] = [
        Details([
            (tr("From"), ", ".join(one for one in (farm.name, *farm.address.splitlines()) if one)),
            (tr("Date"), formats.day(offer.terms.today)),
            (tr("For delivery by"), formats.day(offer.until)),
        ]),
        offer_table(offer, for_buyers=True),
        Note(tr("While it lasts: an amount is promised when we have said so.")),
    ]  # fmt: skip
    cautions = {one.name: one.caution for one in offer.worth_offering() if one.caution}
    blocks += [Note(f"{name}: {text}", is_caution=True) for name, text in cautions.items()]
    title = tr("What we have to offer")
    return Document(title=title, blocks=blocks, footer=f"{farm.name} · {title}", author=farm.name)


def offer_text(offer: Offer) -> str:
    """The offer as plain text, to be pasted into a message."""
    formats, farm = offer.terms.formats, offer.terms.farm
    day = formats.day(offer.until)
    head = tr("{farm}: available for delivery by {day}").format(farm=farm.name, day=day)
    lines = [head, ""]
    for one in offer.worth_offering():
        price = "" if one.price is None else tr(", {price} for 1 {unit}").format(
            price=formats.money(one.price), unit=say_unit(one.unit)
        )  # fmt: skip
        lines.append(f"- {one.name}: {say_amount(one.free, one, offer.terms)}{price}")
    if len(lines) == 2:
        lines.append(tr("Nothing at the moment."))
    lines += ["", tr("While it lasts. Please say how much you would like.")]
    return "\n".join(lines)


def say_amount(amount: int, row: OfferRow, terms: FarmTerms) -> str:
    """An amount of a product, such as `4.5 kg` or `12 packs`."""
    if row.is_pack:
        return terms.formats.count(amount, "pack", "packs")
    return terms.formats.mass(amount)


def _in_steps(product: Product, amount: int, terms: FarmTerms) -> int:
    """Rounded down to what one would say to a buyer: 100 g, a quarter of a pound, whole packs."""
    if product.unit == "pack":
        return amount
    return amount - amount % (QUARTER_POUND_MG if terms.formats.mass_unit == "lb" else 100_000)


def _row(
    reading: Reading, supply: FarmSupply, one: Product, day: str, price_list: int | None
) -> OfferRow:
    today = supply.terms.today
    on_hand = supply.on_hand(one, today)
    rows = [] if price_list is None else reading.all(Price, price_list=price_list, product=one.id)
    prices = {row.unit: row.price for row in rows}
    found = choose_price(prices, one.unit, supply.terms.farm.currency)
    return OfferRow(
        product=one.id,
        name=one.name,
        unit=one.unit,
        is_pack=one.unit == "pack",
        on_hand=on_hand,
        promised=supply.promised(one, day),
        free_now=max(0, min(supply.free(one, today, with_coming=False), on_hand)),
        free=_in_steps(one, max(0, supply.free(one, day)), supply.terms),
        price=None if found is None else found.price,
        shelf_on=supply.shelf_on(one, day),
        caution=one.caution,
    )
