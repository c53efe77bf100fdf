"""Sentences of the day book: one for each kind of happening, for one thing and for several.

A part in square brackets is left out when one of its facts is not known.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from farmdesk.wording.language import tr

HAPPENINGS: Mapping[str, tuple[str, str]] = {
    # Lab.
    "culture_registered": (
        "Culture {name} entered[: {form}][, {strain}]", "{count} cultures entered"),
    "culture_transferred": ("{name} transferred from {parent}", "{count} transfers made"),
    "culture_discarded": ("Culture {name} discarded", "{count} cultures discarded"),
    "spawn_registered": (
        "Spawn {name} entered[: {made_mg}][, {strain}]", "{count} bags of spawn entered"),
    "spawn_grown_from": (
        "{name} grown from {parent}[ with {amount_mg}]", "{count} bags of spawn grown"),
    "spawn_taken": ("{name}: {left_mg} left", "Spawn taken from {count} bags"),
    "spawn_discarded": ("Spawn {name} discarded", "{count} bags of spawn discarded"),
    "run_mixed": ("Heat run {name} mixed[: {blocks} blocks]", "{count} heat runs mixed"),
    "run_heated": ("Heat run {name} heated[: {status}]", "{count} heat runs heated"),
    "ingredient_weighed": (
        "{amount_mg} of {ingredient} weighed in", "{count} ingredients weighed in"),
    "run_planned": ("Heat run {name} planned[: {blocks} blocks]", "{count} heat runs planned"),
    "run_noted": ("Heat of run {name} noted", "Heat of {count} runs noted"),
    "ingredient_taken_back": (
        "{amount_mg} of {ingredient} not weighed in after all", "{count} weighings taken back"),
    "mixing_note_made": ("Water and strain of a mix noted", "Notes of {count} mixes made"),
    "mixing_note_changed": ("Water of a mix noted", "Notes of {count} mixes changed"),
    "growth_looked_at": ("Growth of {culture} measured", "Growth of {count} cultures measured"),
    "growth_look_removed": (
        "A measure of {culture} taken away", "{count} measures of growth taken away"),
    "spawn_named": ("{amount_mg} of {spawn} laid out for {run}", "{count} bags of spawn laid out"),
    "named_spawn_dropped": ("{spawn} not laid out any more", "{count} bags of spawn put back"),
    "probe_read": ("{celsius} °C read[ at {place}]", "{count} temperatures read"),
    # Inoculation.
    "batch_inoculated": ("Batch {name} inoculated[: {made} bags]", "{count} batches inoculated"),
    "batch_corrected": ("Batch {name} corrected[: {made} bags]", "{count} batches corrected"),
    "block_inoculated": ("{amount_mg} of {parent} went into {name}", "{count} loads inoculated"),
    "bag_made": ("{name} made", "{count} bags made"),
    "bag_filled": ("{name} filled from {parent}", "{count} bags filled"),
    "bag_emptied": ("{name} not filled after all", "{count} fillings taken back"),
    "bag_voided": ("{name} voided: printed, never made", "{count} spare codes voided"),
    "spawn_used": ("{amount_mg} of {parent} into {name}", "Spawn put into {count} bags"),
    # Bags.
    "bag_moved": ("{name} moved to {room}", "{count} bags moved to {room}"),
    "bag_colonised": ("{name} colonised", "{count} bags colonised"),
    "bag_opened": ("{name} opened for fruiting", "{count} bags opened for fruiting"),
    "bag_rested": ("{name} resting", "{count} bags resting"),
    "bag_spent": ("{name} spent", "{count} bags spent"),
    "bag_discarded": ("{name} discarded[: {reason}]", "{count} bags discarded[: {reason}]"),
    "bag_found": ("{name} found again", "{count} bags found again"),
    "bag_looked_at": ("{name} looked at, fine", "{count} bags looked at, fine"),
    "bag_pinned": ("{name}: pins seen", "pins seen on {count} bags"),
    "bag_marked_slow": ("{name} marked as slow", "{count} bags marked as slow"),
    "bag_picked": ("{name} picked[, flush {flush}]", "{count} bags picked"),
    # Picks.
    "pick_started": ("Pick {name} begun[ in crate {crate}]", "{count} picks begun"),
    "bag_into_pick": ("{parent} picked into {name}[, flush {flush}]", "{count} bags picked"),
    "pick_weighed": (
        "{name} weighed: {net_mg} net[, typed “{typed}”]", "{count} picks weighed"),
    "pick_corrected": ("{name} corrected[: {net_mg} net]", "{count} picks corrected"),
    "pick_cancelled": ("{name} cancelled: no bag was in it", "{count} picks cancelled"),
    "pick_flush_set": ("{name} is flush {flush}", "{count} picks given a flush"),
    "pick_crate_set": ("{name} is in crate {crate}", "{count} picks put into crates"),
    "bag_share_weighed": (
        "{amount_mg} of {name} from {parent}[, {how}]", "{count} bags given their share"),
    # Packs and the cold store.
    "packs_made": ("{name}: {packs} packs of {product}", "{count} lots of packs made"),
    "packs_filled": ("{amount_mg} of {parent} into {name}", "Packs filled from {count} picks"),
    "pick_packed": ("{name}: {left_mg} left after packing", "{count} picks packed from"),
    "stock_taken": ("{name}[: {left_mg} left][: packs left {left}]", "{count} lots drawn on"),
    "stock_delivered": (
        "{name}[: {left_mg} left][: packs left {left}]", "{count} lots sold from"),
    "stock_removed": (
        "[{amount_mg} ][{packs} packs ]of {lot} taken out: {reason}", "{count} lots taken out"),
    "stocktake_begun": ("Stocktake {name} begun", "{count} stocktakes begun"),
    "lot_counted": ("{lot} counted", "{count} lots counted"),
    "stocktake_finished": ("Stocktake {name} finished", "{count} stocktakes finished"),
    "stocktake_dropped": ("Stocktake {name} dropped", "{count} stocktakes dropped"),
    "stock_held": ("{name} held back[: {hold}]", "{count} lots held back"),
    "stock_released": ("{name} let go again", "{count} lots let go again"),
    "stock_placed": ("{name} put into {room}", "{count} lots put away"),
    # Sales.
    "order_taken": ("Order {name} taken[ from {customer}][ for {due_on}]", "{count} orders taken"),
    "order_changed": ("Order {name} changed", "{count} orders changed"),
    "order_delivered": ("Order {name} delivered", "{count} orders delivered"),
    "order_cancelled": ("Order {name} cancelled", "{count} orders cancelled"),
    "order_closed": ("Order {name} closed", "{count} orders closed"),
    "order_open": ("Order {name} open again", "{count} orders open again"),
    "order_line_taken": ("{quantity} {unit} of {product} asked", "{count} order lines taken"),
    "order_line_changed": ("An order line changed", "{count} order lines changed"),
    "order_line_promised": (
        "[{promised} {unit} of ]{product} promised", "{count} order lines promised"),
    "order_line_short": ("Less of {product} came: {short_reason}", "{count} order lines short"),
    "order_promised": ("Order {name} promised", "{count} orders promised"),
    "order_line_removed": ("An order line taken out", "{count} order lines taken out"),
    "delivery_sent": ("Delivery {name} sent[ to {customer}]", "{count} deliveries sent"),
    "delivery_line_sent": (
        "{quantity} {unit} of {product} sent[ from {lot}]", "{count} lines delivered"),
    "lot_delivered": ("{amount_mg} of {parent} went out with {name}", "{count} lots delivered"),
    "invoice_issued": (
        "Invoice {name} issued[ to {customer}][: {total}]", "{count} invoices issued"),
    "note_written": ("Note written: {text}", "{count} notes written"),
    "note_corrected": ("Note corrected[: {text}]", "{count} notes corrected"),
    "note_removed": ("Note taken away[: {text}]", "{count} notes taken away"),
    "photo_kept": ("Photo kept[: {text}]", "{count} photos kept"),
    "net_checked": ("{name}: net contents of {pack} {verdict}", "{count} lots of packs checked"),
    "trade_settings_changed": ("Marking of packs changed[: {changes}]", "Marking changed"),
    "trade_settings_made": ("Marking of packs settled", "Marking settled"),
    "pack_weighed": ("Pack {number} weighed[: {net_mg}]", "{count} packs weighed"),
    "pack_weight_removed": ("Pack {number} taken out", "{count} weighed packs taken out"),
    "pack_weight_counted": ("Pack {number} counted", "{count} weighed packs counted"),
    "pack_weight_sold": ("Pack {number} sold", "{count} weighed packs sold"),
    "invoice_settled": ("Invoice {name} settled by credit", "{count} invoices settled"),
    "tax_told": ("{tax} tax at {percent} %", "{count} rates of tax"),
    "credit_issued": ("Credit note {name} issued[ to {customer}][: {total}]",
                      "{count} credit notes issued"),
    "credit_line_made": ("{quantity} {unit} credited", "{count} lines credited"),
    "goods_returned": ("{name}: {amount_mg} came back[: {reason}]", "{count} returns"),
    "payment_received": ("{amount} paid[ by {customer}]", "{count} payments"),
    "payment_returned": ("{amount} paid back[ to {customer}]", "{count} paid back"),
    "payment_freed": ("{amount} of {invoice} free again", "{count} invoices paid less"),
    "payment_shared": ("{amount} for {invoice}", "{count} invoices paid into"),
    "market_opened": ("Market day {name} begun[ at {customer}]", "{count} market days begun"),
    "market_loaded": (
        "{taken} {unit} of {product} taken along[ from {lot}]", "{count} lots taken along"),
    "market_line_counted": (
        "{sold} {unit} of {product} sold", "{count} lots counted after a market"),
    "market_closed": ("Market day {name} closed", "{count} market days closed"),
    "market_line_removed": ("A lot not taken along after all", "{count} lots not taken along"),
    "market_removed": ("Market day {name} dropped", "{count} market days dropped"),
    "stock_to_market": ("{name}: {left_mg} stay[s] here", "{count} lots taken to a market"),
    "stock_from_market": ("{name} back from a market", "{count} lots back from a market"),
    "invoice_paid": ("Invoice {name} paid[ on {paid_on}]", "{count} invoices paid"),
    # Papers, stations, the farm.
    "labels_printed": (
        "Label of {subject} printed[ on {stock}]", "{count} labels printed[ on {stock}]"),
    "farm_begun": ("Farm {name} begun", "Farm begun"),
    "imported": ("Imported from files", "{count} things imported"),
    "station_made": ("Station {name} set up", "{count} stations set up"),
    "station_card_set": ("{name}: scans now mean {card}", "{count} cards set"),
    "station_card_kept": ("{name}: the card stays in force", "{count} cards kept"),
    "station_crate_set": ("{name}: crate {crate} is next", "{count} crates set"),
    "station_pick_begun": ("{name}: a pick is being filled", "{count} picks being filled"),
    "station_pick_weighed": ("{name}: the pick is weighed", "{count} picks weighed"),
    # Demand and plans.
    "standing_order_made": (
        "Standing order taken[: {product}][ for {customer}]", "{count} standing orders taken"),
    "standing_order_changed": (
        "Standing order changed[: {changes}]", "{count} standing orders changed"),
    "standing_order_removed": ("Standing order removed", "{count} standing orders removed"),
    "demand_event_made": ("Demand of weeks noted[: {name}]", "{count} demands of weeks noted"),
    "demand_event_changed": (
        "Demand of weeks {name} changed", "{count} demands of weeks changed"),
    "demand_event_removed": (
        "Demand of weeks {name} removed", "{count} demands of weeks removed"),
    "batch_planned": ("{name} planned[: {blocks} blocks]", "{count} batches planned"),
    "planned_batch_changed": ("{name} changed[: {changes}]", "{count} planned batches changed"),
    "planned_batch_made": (
        "{name} ticked off[: it became {batch}]", "{count} planned batches ticked off"),
    "planned_batch_dropped": ("{name} dropped", "{count} planned batches dropped"),
    "plan_setting_made": ("Figures of the plan set", "{count} figures of the plan set"),
    "plan_setting_changed": (
        "Figures of the plan changed[: {changes}]", "{count} figures of the plan changed"),
    "work_put_off": (
        "[{section}: ]{name} put off[ until {until_on}]", "{count} lines of today put off"),
    "work_brought_back": (
        "[{section}: ]{name} back on today's list", "{count} lines back on today's list"),
    # Rooms, costs and shelf life.
    "room_read": ("{room} read[: {typed}]", "{count} readings of rooms noted"),
    "room_reading_changed": ("A reading of a room changed", "{count} readings changed"),
    "room_reading_removed": ("A reading of {room} taken away", "{count} readings taken away"),
    "readings_imported": (
        "Readings of {room} of {day} read in", "Readings of {count} days read in"),
    "logger_format_made": ("How files of {logger} are read", "{count} kinds of file known"),
    "logger_format_changed": (
        "Another way to read files of a logger", "Other ways to read {count} kinds of file"),
    "shelf_setting_made": ("Rule of the sell-by day set", "{count} rules of sell-by days set"),
    "shelf_setting_changed": (
        "Rule of the sell-by day changed", "{count} rules of sell-by days changed"),
    "shelf_date_shortened": (
        "{name}: its life ends earlier[, on {shelf_on}]", "{count} lots with earlier shelf dates"),
    "purchase_made": (
        "[{amount_mg} ]received[: {ingredient}][: {supply}]", "{count} lots of goods received"),
    "purchase_changed": ("Goods received corrected", "{count} receipts of goods corrected"),
    "purchase_removed": ("A receipt of goods taken away", "{count} receipts taken away"),
    "lab_purchase_made": ("Price of bought spawn or culture noted", "{count} prices noted"),
    "lab_purchase_changed": ("Price of bought spawn or culture changed", "{count} prices changed"),
    "labour_noted": (
        "{minutes} minutes of {task} noted[ for {batch}]", "{count} entries of work noted"),
    "labour_begun": ("Work begun: {task}[ for {batch}]", "{count} works begun"),
    "labour_ended": ("Work ended: {minutes} minutes", "{count} works ended"),
    "labour_changed": ("An entry of work changed", "{count} entries of work changed"),
    "labour_removed": ("An entry of work taken away", "{count} entries of work taken away"),
    "cost_setting_made": ("Figures of the costs set", "{count} figures of the costs set"),
    "cost_setting_changed": (
        "Figures of the costs changed[: {changes}]", "{count} figures of the costs changed"),
}  # fmt: skip
"""Kind of happening to its sentence for one thing, and for several of them in one act."""

FOLLOWING = frozenset(
    {
        "bag_made", "bag_filled", "bag_emptied", "spawn_used", "spawn_taken", "block_inoculated",
        "bag_into_pick", "bag_share_weighed", "pick_flush_set", "pick_crate_set",
        "ingredient_weighed", "ingredient_taken_back", "mixing_note_made", "mixing_note_changed",
        "probe_read", "named_spawn_dropped", "order_line_taken", "order_line_changed",
        "order_line_removed", "packs_filled", "pick_packed", "lot_delivered", "stock_taken",
        "stock_delivered",
        "card_made", "card_changed", "card_removed", "recipe_part_made", "recipe_part_changed",
        "recipe_part_removed", "spawn_grown_from", "culture_transferred", "delivery_line_sent",
        "station_made", "station_card_set", "station_card_kept", "station_crate_set",
        "station_pick_begun", "station_pick_weighed", "logger_format_made",
        "logger_format_changed",
    }
)  # fmt: skip
"""Happenings that follow from others of the same act, which then speak for them."""

THINGS: Mapping[str, tuple[str, str]] = {
    "farm": ("farm", "farms"),
    "storage_life": ("storage life", "storage lives"),
    "species": ("species", "species"),
    "strain": ("strain", "strains"),
    "room": ("room", "rooms"),
    "person": ("person", "people"),
    "ingredient": ("ingredient", "ingredients"),
    "recipe": ("recipe", "recipes"),
    "crate": ("crate", "crates"),
    "reason": ("reason", "reasons"),
    "label_stock": ("label stock", "label stocks"),
    "price_list": ("price list", "price lists"),
    "tax_rate": ("tax rate", "tax rates"),
    "product": ("product", "products"),
    "price": ("price", "prices"),
    "customer": ("customer", "customers"),
    "card": ("card", "cards"),
    "culture": ("culture", "cultures"),
    "spawn": ("bag of spawn", "bags of spawn"),
    "run": ("heat run", "heat runs"),
    "vessel": ("vessel", "vessels"),
    "batch": ("batch", "batches"),
    "bag": ("bag", "bags"),
    "pick": ("pick", "picks"),
    "pack": ("pack", "packs"),
    "net_check": ("check of net contents", "checks of net contents"),
    "stocktake": ("stocktake", "stocktakes"),
    "standing_order": ("standing order", "standing orders"),
    "order": ("order", "orders"),
    "delivery": ("delivery", "deliveries"),
    "invoice": ("invoice", "invoices"),
    "credit_note": ("credit note", "credit notes"),
    "payment": ("payment", "payments"),
    "market_day": ("market day", "market days"),
    "demand_event": ("demand of weeks", "demands of weeks"),
    "planned_batch": ("planned batch", "planned batches"),
    "plan_setting": ("figures of the plan", "figures of the plan"),
    "put_off": ("line put off", "lines put off"),
    "supply": ("supply", "supplies"),
    "purchase": ("purchase", "purchases"),
    "note": ("note", "notes"),
    "station": ("station", "stations"),
    "printing": ("label printing", "label printings"),
    "climate_day": ("day of readings", "days of readings"),
    "cost_setting": ("figures of the costs", "figures of the costs"),
    "credit_line": ("line of a credit note", "lines of credit notes"),
    "delivery_line": ("line of a delivery", "lines of deliveries"),
    "goods_return": ("return of goods", "returns of goods"),
    "growth_look": ("look at growth", "looks at growth"),
    "invoice_tax": ("tax of an invoice", "taxes of invoices"),
    "lab_purchase": ("purchase for the lab", "purchases for the lab"),
    "labour": ("record of work", "records of work"),
    "link": ("link", "links"),
    "logger_format": ("format of logger files", "formats of logger files"),
    "lot": ("lot", "lots"),
    "market_line": ("line of a market day", "lines of market days"),
    "mixing_note": ("note on mixing", "notes on mixing"),
    "named_spawn": ("bag of spawn laid out", "bags of spawn laid out"),
    "order_line": ("line of an order", "lines of orders"),
    "overhead": ("overhead cost", "overhead costs"),
    "pack_weight": ("weight of a pack", "weights of packs"),
    "payment_share": ("share of a payment", "shares of payments"),
    "probe_reading": ("reading of a probe", "readings of probes"),
    "recipe_part": ("part of a recipe", "parts of recipes"),
    "removal": ("removal", "removals"),
    "room_reading": ("reading of a room", "readings of rooms"),
    "run_ingredient": ("ingredient of a heat run", "ingredients of heat runs"),
    "shelf_setting": ("rule of the sell-by day", "rules of the sell-by day"),
    "stock_count": ("counted lot", "counted lots"),
    "thing": ("thing", "things"),
    "trade_setting": ("marking of packs", "marking of packs"),
}
"""What kinds of things are called, one and several; `lot` is a pick or packs, `thing` anything."""

_OPTIONAL = re.compile(r"\[([^\[\]]*)\]")
_FACT = re.compile(r"\{([a-z_]+)\}")
_ENDINGS: Mapping[str, tuple[str, str]] = {
    "made": ("{what} {name} added", "{count} {what} added"),
    "changed": ("{what} {name} changed", "{count} {what} changed"),
    "removed": ("{what} {name} taken away", "{count} {what} taken away"),
    "retired": ("{what} {name} retired", "{count} {what} retired"),
}
"""How the happenings are told that every kind of thing has."""


def tell_happening(kind: str, thing: str, facts: Mapping[str, str], count: int = 1) -> str:
    """What happened to one thing or to `count` of a kind, in plain words without an end mark.

    `facts` are texts ready to be shown: `name`, `parent`, `room`, `net_mg` ... and `changes`.
    """
    if kind in HAPPENINGS:
        template = HAPPENINGS[kind][0 if count == 1 else 1]
        return _fill(tr(template), facts)
    return _tell_plainly(kind, thing, facts, count)


def can_tell(kind: str, facts: Mapping[str, str]) -> bool:
    """Whether these facts are all that the sentence of a single happening needs."""
    needed = _FACT.findall(_OPTIONAL.sub("", HAPPENINGS[kind][0])) if kind in HAPPENINGS else []
    return all(facts.get(one) for one in needed)


def name_things(thing: str, count: int = 1) -> str:
    """What a kind of thing is called, for one or for several."""
    one, many = THINGS.get(thing, (thing.replace("_", " "), f"{thing.replace('_', ' ')}s"))
    return tr(one if count == 1 else many)


def _tell_plainly(kind: str, thing: str, facts: Mapping[str, str], count: int) -> str:
    """Any other kind: what it is, its name, and what changed."""
    done = kind.removeprefix(f"{thing}_") if thing else kind
    spoken = done.replace("_", " ")
    usual = (f"{{what}} {{name}} {spoken}", f"{{count}} {{what}} {spoken}")
    template = tr(_ENDINGS.get(done, usual)[0 if count == 1 else 1])
    filled = template.format(
        what=name_things(thing, count), name=facts.get("name", ""), count=facts.get("count", count)
    )
    text = " ".join(filled.split())
    changes = f": {facts['changes']}" if facts.get("changes") and count == 1 else ""
    return f"{text[:1].upper()}{text[1:]}{changes}"


def _fill(template: str, facts: Mapping[str, str]) -> str:
    def keep(found: re.Match[str]) -> str:
        known = all(facts.get(name) for name in _FACT.findall(found[1]))
        return found[1] if known else ""

    shown = _OPTIONAL.sub(keep, template)
    return _FACT.sub(lambda found: facts.get(found[1]) or f"({found[1]})", shown).strip()
