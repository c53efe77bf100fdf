"""Labels: what was asked for is found, written to a PDF, and recorded as printed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from farmdesk.actions.base import Act, Who, perform
from farmdesk.actions.label_texts import label_items, weighed_items
from farmdesk.domain.bags import Bag
from farmdesk.domain.cards import ACTS, KEY
from farmdesk.domain.catalogue import Crate, Farm, LabelStock
from farmdesk.domain.codes import kind_of, read_code, read_name, shown
from farmdesk.domain.harvest import Pack
from farmdesk.domain.stages import VOID, is_alive
from farmdesk.domain.stations import Card, Printing
from farmdesk.domain.things import THINGS
from farmdesk.domain.trade import Invoice
from farmdesk.errors import NotFound, Refused, problem
from farmdesk.labels.cards import card_pages
from farmdesk.labels.fields import LabelItem
from farmdesk.labels.sheets import label_pages
from farmdesk.labels.stocks import Stock, find_stock, shipped_stocks, stock_of
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.pages import Page
from farmdesk.store.codes import find_named
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.lab import printed_before, things_by_id
from farmdesk.store.transaction import Reading

__all__ = [
    "PrintJob",
    "PrintedLabels",
    "label_items",
    "prepare_cards",
    "prepare_labels",
    "print_cards",
    "print_labels",
    "record_job",
    "resolve",
    "stocks_of",
    "write_job",
]

MOST_LABELS = 5_000
_DESK = Who()
_CARD_ORDER = (*ACTS, KEY)
_RANGE = re.compile(r"(.+)-([0-9]{1,4})\.\.([0-9]{1,4})")
_LETTER_COUNTRIES = ("US", "CA", "MX", "PH", "CL", "CO")


@dataclass(frozen=True)
class PrintedLabels:
    """What was printed: labels, pages, and how many of the things had a label before."""

    count: int
    pages: int
    reprinted: int
    path: Path | None = None
    """The PDF file; None when a printer printed them."""


@dataclass(frozen=True)
class PrintJob:
    """Pages that are ready to be printed, and the things whose labels or cards are on them."""

    ids: tuple[int, ...]
    copies: tuple[int, ...]
    pages: tuple[Page, ...]
    stock: str

    @property
    def count(self) -> int:
        """How many labels or cards there are."""
        return sum(self.copies)


def resolve(reading: Reading, words: Sequence[str], *, expand: bool = True) -> list[int]:
    """The ids behind codes, typed groups, names and ranges of bags, each once, in order.

    With `expand` a batch means all its live bags. Raises NotFound with the word that is
    nothing here, NotUnderstood for a damaged code.
    """
    found = [
        one for word in _join_groups(words) for one in _resolve_word(reading, word, expand=expand)
    ]
    return list(dict.fromkeys(found))


def stocks_of(reading: Reading) -> list[Stock]:
    """The label stocks of the farm's catalogue that are in use; the shipped ones if none."""
    own = [stock_of(row) for row in reading.all(LabelStock) if not row.retired]
    return own or list(shipped_stocks().values())


def prepare_labels(
    store: FarmStore,
    words: Sequence[str],
    *,
    stock: str,
    start: int = 1,
    copies: int | None = None,
) -> PrintJob:
    """The pages of the labels of what the words name, to be looked at before they are printed.

    `start` is the first free label of a used sheet. A pack lot has a label for each pack unless
    `copies` says otherwise; anything else has one. Raises Refused for what cannot be printed.
    """
    with store.reading() as reading:
        ids = resolve(reading, words)
        if not ids:
            raise Refused(problem("nothing_to_print"))
        counts = _copies_of(reading, ids, copies)
        items = [
            each
            for item, one, count in zip(label_items(reading, ids), ids, counts, strict=True)
            for each in _copies(reading, item, one, count, are_all=copies is None)
        ]
        known = find_stock({one.name: one for one in stocks_of(reading)}, stock)
    pages = tuple(label_pages(items, known, start=start))
    return PrintJob(tuple(ids), tuple(counts), pages, known.name)


def prepare_cards(store: FarmStore, *, paper: str | None = None) -> PrintJob:
    """The pages of all wall cards in use; `paper` is a4 or letter, the country's by default."""
    with store.reading() as reading:
        cards = [card for card in reading.all(Card) if not card.retired]
        cards.sort(key=lambda card: _CARD_ORDER.index(card.act))
        ids = [card.id for card in cards]
        if not ids:
            raise Refused(problem("nothing_to_print"))
        items = label_items(reading, [card.id for card in cards if not card.key])
        keys = label_items(reading, [card.id for card in cards if card.key])
        page = paper or _paper_of(reading)
    pages = (*card_pages(items, page), *card_pages(keys, page, folder="keys"))
    return PrintJob(tuple(ids), (1,) * len(ids), pages, page)


def record_job(store: FarmStore, job: PrintJob, *, who: Who = _DESK) -> PrintedLabels:
    """Record that a job came out of a printer."""
    done = perform(store, lambda act: record_printing(act, job.ids, job.copies, job.stock), who=who)
    return PrintedLabels(job.count, len(job.pages), done.result or 0, None)


def write_job(store: FarmStore, job: PrintJob, out: Path, *, who: Who = _DESK) -> PrintedLabels:
    """Write a job to a PDF, then record it as printed: nothing unless the file is whole."""
    write_pages(job.pages, out)
    return replace(record_job(store, job, who=who), path=out)


def print_labels(
    store: FarmStore,
    words: Sequence[str],
    *,
    stock: str,
    out: Path,
    start: int = 1,
    copies: int | None = None,
    who: Who = _DESK,
) -> PrintedLabels:
    """Write the labels of what the words name to a PDF, and record that they were printed.

    See `prepare_labels`. Nothing is recorded unless the file is whole.
    """
    job = prepare_labels(store, words, stock=stock, start=start, copies=copies)
    return write_job(store, job, out, who=who)


def print_cards(
    store: FarmStore, *, out: Path, paper: str | None = None, who: Who = _DESK
) -> PrintedLabels:
    """Write all wall cards in use to a PDF; `paper` is a4 or letter, the country's by default."""
    return write_job(store, prepare_cards(store, paper=paper), out, who=who)


def record_printing(act: Act, ids: Sequence[int], copies: Sequence[int], stock: str) -> int:
    """Record labels as printed; how many of the things had a label before."""
    before = printed_before(act.tx, ids)
    first = act.next_id("printing")
    act.tx.set_counter("printing", first + len(ids), is_new=False)
    act.make_many(
        "labels_printed",
        [
            Printing(first + at, one, count, stock, int(one in before), act.now)
            for at, (one, count) in enumerate(zip(ids, copies, strict=True))
        ],
    )
    return len(before)


def _copies_of(reading: Reading, ids: Sequence[int], copies: int | None) -> list[int]:
    packs = things_by_id(reading, Pack, [one for one in ids if kind_of(one) == "pack"])
    counts = []
    for one in ids:
        count = packs[one].count if one in packs else 1
        counts.append(max(count if copies is None else copies, 1))
    total = sum(counts)
    if total > MOST_LABELS:
        raise Refused(problem("too_many_labels", count=f"{total:,}", most=f"{MOST_LABELS:,}"))
    return counts


def _copies(
    reading: Reading, item: LabelItem, thing_id: int, count: int, *, are_all: bool
) -> list[LabelItem]:
    """So many labels of a thing; of packs that were weighed one by one each its own."""
    pack = reading.get(Pack, thing_id) if are_all and kind_of(thing_id) == "pack" else None
    return (weighed_items(reading, pack, item) if pack is not None else []) or [item] * count


def _paper_of(reading: Reading) -> str:
    locale = reading.all(Farm)[0].locale
    return "letter" if locale[-2:] in _LETTER_COUNTRIES else "a4"


def _join_groups(words: Sequence[str]) -> Iterator[str]:
    """Words with a code typed in groups (`6000 0123 45`) put together again."""
    waiting = [word.strip() for word in words if word.strip()]
    while waiting:
        group = waiting[:3]
        if [len(one) for one in group] == [4, 4, 2] and all(one.isdigit() for one in group):
            yield "".join(group)
            del waiting[:3]
        else:
            yield waiting.pop(0)


def _resolve_word(reading: Reading, word: str, *, expand: bool) -> list[int]:
    ranged = _RANGE.fullmatch(word)
    if ranged:
        first, last = int(ranged.group(2)), int(ranged.group(3))
        return _bags_in_range(reading, word, ranged.group(1), first, last)
    found = _find(reading, word)
    if found is None:
        raise NotFound(problem("word_not_known", text=shown(word)))
    if expand and kind_of(found) == "batch":
        return [bag.id for bag in _bags_of(reading, found) if is_alive(bag.stage)]
    return [found]


def _find(reading: Reading, word: str) -> int | None:
    digits = word.replace(" ", "").replace("-", "")
    if digits.isascii() and digits.isdigit():
        thing_id = read_code(word)
        thing = reading.get(THINGS[kind_of(thing_id)], thing_id)
        return None if thing is None else thing_id
    name = read_name(word)
    if name is not None:
        return _find_named(reading, *name)
    wanted = word.casefold()
    crates = (one.id for one in reading.all(Crate) if one.name.casefold() == wanted)
    return next(crates, None)


def _find_named(reading: Reading, name: str, number: int | None) -> int | None:
    found = find_named(reading, name, number)
    if found is None or found[0] == "order":
        return None
    if found[0] == "invoice":
        invoice = reading.get(Invoice, found[1])
        return None if invoice is None else invoice.delivery
    return found[1]


def _bags_of(reading: Reading, batch: int) -> list[Bag]:
    return sorted(reading.all(Bag, batch=batch), key=lambda bag: bag.number)


def _bags_in_range(reading: Reading, word: str, name: str, first: int, last: int) -> list[int]:
    batch = _find(reading, name)
    if batch is None or kind_of(batch) != "batch":
        raise NotFound(problem("word_not_known", text=shown(word)))
    wanted = [
        bag.id
        for bag in _bags_of(reading, batch)
        if first <= bag.number <= last and bag.stage != VOID
    ]
    if not wanted:
        raise NotFound(problem("label_range_wrong", text=shown(word)))
    return wanted
