"""Stations and wall cards: what the next scans mean, and where."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class Card:
    """A printed card; scanned, it says what the scans after it mean. Acts: `domain.cards`.

    `shelf` is the shelf of the room that a move card names; `key` the digit, unit or other key of
    a card that types a weight.
    """

    id: int
    act: str
    room: int | None = ref("room", none=True)
    reason: int | None = ref("reason", none=True)
    title: str = ""
    retired: int = 0
    shelf: str = ""
    key: str = ""


@dataclass(frozen=True)
class Station:
    """One computer with a scanner: the card in force, since when, and the pick being filled."""

    id: int
    name: str
    card: int | None = ref("card", none=True)
    card_since: str | None = None
    pick: int | None = ref("pick", none=True)
    crate: int | None = ref("crate", none=True)


@dataclass(frozen=True)
class Printing:
    """Labels printed for one thing; `reprint` is 1 when it had labels before."""

    id: int
    subject: int
    copies: int = 1
    stock: str = ""
    reprint: int = 0
    printed_at: str = ""
