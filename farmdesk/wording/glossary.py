"""Terms and figures in plain words, for the help of every page.

Facts of the trade without another source given are common practice, no source.
"""

from __future__ import annotations

import unicodedata
from typing import NamedTuple

from farmdesk.wording.language import tr


class Term(NamedTuple):
    """One term: its name, what it means here, and other words under which it is looked for."""

    title: str
    text: str
    also: str = ""


GLOSSARY: tuple[Term, ...] = (
    Term(
        tr("Abnormal loss"),
        tr(
            "Blocks lost beyond the share that is lost as usual (a setting of the costs). Their "
            "cost is told apart, so that one bad heat run does not make every good "
            "block look dearer."
        ),
        "costs blocks lost normal",
    ),
    Term(
        tr("Age"),
        tr("Whole calendar days of the farm's time zone since the day a bag was inoculated."),
    ),
    Term(
        tr("Band (80 %)"),
        tr(
            "Two figures between which the truth should lie eight times out of ten: one time in "
            "ten it is lower, one time in ten higher. Replayed forecasts show whether that held."
        ),
        "forecast range quantile P10 P90",
    ),
    Term(
        tr("Batch"),
        tr(
            "Bags of one strain inoculated together. All bags of a batch share its name, such as "
            "OY02-0147: species, strain, running number; the bag's number follows."
        ),
    ),
    Term(
        tr("Biological efficiency (BE)"),
        tr(
            "Fresh weight picked, divided by the dry weight of the substrate, in percent. It is "
            "given twice: on opened blocks (how the room did) and on made blocks (how the farm "
            "did, discarded bags included). Above 100 % is normal, since fresh mushrooms are "
            "about nine tenths water. Whether dry spawn counts as substrate is a setting of the "
            "farm; compare only figures with the same denominator."
        ),
        "yield denominator dry made opened",
    ),
    Term(
        tr("Block"),
        tr("One bag's substrate. Its weight as filled is the wet weight, spawn not counted."),
    ),
    Term(
        tr("Catalogue"),
        tr("What the farm knows beforehand: species, strains, rooms, recipes, prices, people."),
    ),
    Term(
        tr("Check digits"),
        tr(
            "The last two of the ten digits of a code, by ISO 7064 MOD 97-10. They catch every "
            "single wrong digit and nearly all swaps, so a damaged label is refused, not misread."
        ),
        "code barcode ISO 7064",
    ),
    Term(
        tr("Colonised"),
        tr("The mycelium has grown through the whole bag: it can be opened or initiated."),
        "incubated run",
    ),
    Term(
        tr("Contamination rate"),
        tr(
            "Bags discarded for a foreign growth, as a share of the bags made in the same batches. "
            "Bags still incubating may yet fail, so young weeks look better than they are."
        ),
        "mould bacteria discarded share",
    ),
    Term(
        tr("Dew point"),
        tr(
            "The temperature at which the room's air is saturated: any wall, fan or bag colder "
            "than it gets wet."
        ),
        "condensation humidity climate",
    ),
    Term(
        tr("Dry basis"),
        tr(
            "A share of the dry matter, water left out. 10 % bran on dry basis is 100 g of dry "
            "bran for 1,000 g of all dry matter."
        ),
        "substrate supplement",
    ),
    Term(
        tr("Day book"),
        tr(
            "Every act with who, when and what. Nothing in it is overwritten: undo adds the "
            "opposite as a new entry."
        ),
        "undo journal",
    ),
    Term(
        tr("FIFO and earliest shelf date first"),
        tr(
            "First in, first out. Here lots are proposed by the earliest shelf date, which is the "
            "same when all keep equally long and better when they do not."
        ),
        "FEFO stock order",
    ),
    Term(
        tr("Flush"),
        tr(
            "One wave of fruiting from a block, followed by a rest. Flushes are counted from 1; "
            "the first commonly gives most."
        ),
        "break wave",
    ),
    Term(
        tr("Generation (G1, G2, …)"),
        tr(
            "How often grain spawn has been made from grain spawn: G1 is made from a culture, G2 "
            "from G1. A strain's limit asks before it is passed."
        ),
        "spawn transfer expansion",
    ),
    Term(
        tr("Good block"),
        tr(
            "A block that was not lost before it gave anything. The cost of a block is what blocks "
            "cost to make, over the good ones."
        ),
        "costs",
    ),
    Term(
        tr("Heat run"),
        tr(
            "One load of substrate that was mixed and heated together. Treatment times come from "
            "the vessel's maker and local rules, never from this program."
        ),
        "sterilise pasteurise autoclave steam",
    ),
    Term(
        tr("Humidity ratio"),
        tr(
            "Grams of water vapour in a kilogram of dry air. Unlike relative humidity it does not "
            "change when the air is only warmed or cooled."
        ),
        "climate air water",
    ),
    Term(
        tr("Incubation"),
        tr("The time from inoculation until the bag is colonised, usually warm and dark."),
    ),
    Term(
        tr("Life used"),
        tr(
            "The share of a lot's shelf life that is gone: its hours at each temperature over the "
            "life known at that temperature, summed. Hours that were read count as read, all "
            "others at the set temperature."
        ),
        "shelf life temperature",
    ),
    Term(
        tr("Likely ready"),
        tr(
            "The days between which most bags of a batch should be colonised, from the species' "
            "window or, once there are enough, from this farm's own bags of the strain."
        ),
        "window ready",
    ),
    Term(
        tr("Lot"),
        tr("What can be told apart and traced: a culture, spawn bag, batch, bag, pick or pack."),
        "traceability",
    ),
    Term(
        tr("MAV (maximum allowable variation)"),
        tr(
            "By how much a single pack may fall short of its label in the United States (NIST "
            "Handbook 133). The European rule has tolerable negative errors instead (OIML R 87). "
            "A check of one's own packs only: the inspector's rule decides."
        ),
        "net contents TNE T1 T2 short weight",
    ),
    Term(
        tr("Mean kinetic temperature"),
        tr(
            "The one constant temperature that would age goods as much as the changing ones did; "
            "warm hours weigh more than in a plain mean."
        ),
        "cold chain",
    ),
    Term(
        tr("Moisture (wet basis)"),
        tr(
            "Water as a share of the whole wet weight: 62 % means 620 g of water in 1,000 g of "
            "wet substrate. Measured by drying a sample until its weight stays."
        ),
        "water content dry matter",
    ),
    Term(
        tr("Moving average"),
        tr(
            "Goods on hand have one price, renewed with each lot that comes in. The other way, "
            "first in first out, prices each use by the oldest lot. Both share out "
            "exactly what was paid."
        ),
        "costs stock price FIFO",
    ),
    Term(
        tr("Pick"),
        tr(
            "One crate's weight from bags of one species, with gross, tare and net. It is a "
            "harvest lot with a name of its own, such as P-OY-0312."
        ),
        "harvest crate",
    ),
    Term(
        tr("Measured or allocated"),
        tr(
            "A bag's weight is measured when it was weighed alone. A crate from several bags is "
            "allocated: its weight is shared among them by an equal or expected part."
        ),
        "share of the bags",
    ),
    Term(
        tr("Place-day"),
        tr(
            "One block on its place for one day. Overhead and work that names no batch are shared "
            "by place-days, so a species that stands long bears more of them."
        ),
        "overhead costs shelf week",
    ),
    Term(
        tr("Rest"),
        tr("The days between two flushes, in which the block takes up water and gathers strength."),
    ),
    Term(
        tr("Sell-by"),
        tr(
            "The day until which a lot is offered, so that the buyer still has days left. It lies "
            "a set share of the shelf life before the shelf date; the farm sets the share."
        ),
        "date label best before",
    ),
    Term(
        tr("Shelf date"),
        tr(
            "The last day on which a lot should still be good if it is kept at the cold store's "
            "temperature: an estimate from tables by species. A person looks and decides."
        ),
        "shelf life storage",
    ),
    Term(
        tr("Slow"),
        tr("A bag marked at a walk because it lags behind its batch."),
        "lag",
    ),
    Term(
        tr("Spawn rate"),
        tr(
            "Spawn used, as a share of the wet substrate unless the column says of dry matter or "
            "of the total. 5 % of a 2 kg block is 100 g of spawn."
        ),
        "grain inoculation",
    ),
    Term(
        tr("Spent"),
        tr("A block from which no further flush is awaited; it leaves the room."),
    ),
    Term(
        tr("Strain"),
        tr("One genetic line of a species, with a code of its own on every name and label."),
    ),
    Term(
        tr("Tare"),
        tr("The weight of the empty crate or wrap. Net is gross minus tare."),
        "gross net",
    ),
    Term(
        tr("Vapour-pressure deficit (VPD)"),
        tr(
            "How hard the air dries, in kilopascals: what it lacks to be saturated at its "
            "temperature. About 0.1 to 0.4 suits fruiting; above that caps may crack."
        ),
        "VPD humidity climate",
    ),
    Term(
        tr("Walk"),
        tr(
            "Looking at every bag of a room or batch: those passed are noted as looked at, the "
            "slow ones marked, the contaminated ones discarded with their reason."
        ),
        "inspection look",
    ),
    Term(
        tr("Waste"),
        tr("Lots taken out of the cold store unsold, with a reason and a weight."),
        "removal loss",
    ),
    Term(
        tr("Week"),
        tr("ISO 8601: weeks begin on Monday, and week 1 holds the year's first Thursday."),
        "ISO W47",
    ),
)
"""Every term, in the order of the English alphabet."""


def find_terms(words: str) -> list[Term]:
    """Terms that hold all words in their name, text or other words; by name. All for no words."""
    wanted = _fold(words).split()
    found = [one for one in GLOSSARY if all(word in _fold(" ".join(one)) for word in wanted)]
    named = [one for one in found if wanted and wanted[0] in _fold(one.title)]
    rest = [one for one in found if one not in named]
    return [*sorted(named, key=_title), *sorted(rest, key=_title)]


def _title(term: Term) -> str:
    return _fold(term.title)


def _fold(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in plain if not unicodedata.combining(sign))
