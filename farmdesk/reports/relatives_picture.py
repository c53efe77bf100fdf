"""A thing's family as a graph: what it came from on the left, what it went into on the right."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from farmdesk.domain.codes import kind_of
from farmdesk.paper.pages import Mark
from farmdesk.paper.pictures import (
    EDGE,
    INK,
    PALE,
    SMALL_PT,
    Picture,
    Spot,
    rectangle,
    stroke,
    text_in,
)
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.trace import Trace
from farmdesk.store.life_spans import links_among, parents_of
from farmdesk.store.names import names_of
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import later, tr

_ORDER = ("culture", "spawn", "run", "batch", "bag", "pick", "pack", "delivery")
_ALONE = 6
"""So many of a kind stand alone; more are one box that says how many they are."""
_BOX_MM, _TALL_MM, _DOWN_MM, _HEAD_MM = 36.0, 11.0, 4.0, 7.0
_GAP_MM = 16.0
KINDS: Mapping[str, str] = {
    "culture": later("Cultures"),
    "spawn": later("Spawn"),
    "run": later("Heat runs"),
    "batch": later("Batches"),
    "bag": later("Bags"),
    "pick": later("Picks"),
    "pack": later("Packs"),
    "delivery": later("Deliveries"),
}


@dataclass(frozen=True)
class Node:
    """One box: a thing, or several of a kind together (`things` holds them all)."""

    kind: str
    name: str
    things: tuple[int, ...]
    amount_mg: int = 0

    @property
    def target(self) -> int | tuple[int, ...]:
        """What the box leads to: the thing, or all that it stands for."""
        return self.things[0] if len(self.things) == 1 else self.things


@dataclass(frozen=True)
class Family:
    """Boxes by kind in the order of the work, and which leads to which, with how much."""

    nodes: tuple[Node, ...]
    lines: tuple[tuple[int, int, int], ...]
    """(place of the parent, place of the child, mg) among the nodes."""
    start: int


def read_family(reading: Reading, found: Trace) -> Family:
    """The relatives of a trace as boxes; of a kind with many the thing itself stands alone."""
    members: dict[str, list[tuple[int, str, int]]] = {}
    for one in (*found.back, *found.forward):
        members.setdefault(one.kind, []).append((one.id, one.name or one.code, one.amount_mg))
    members.setdefault(kind_of(found.id), []).append((found.id, found.name or found.code, 0))
    if kind_of(found.id) == "batch":
        members["spawn"] = _spawn_in(reading, found)
    nodes: list[Node] = []
    for kind in _ORDER:
        some = sorted(members.get(kind, ()), key=lambda one: one[1])
        others = [one for one in some if one[0] != found.id]
        if len(others) > _ALONE:
            whole = sum(one[2] for one in others)
            words = f"{tr(KINDS[kind])}: {len(others)}"
            nodes.append(Node(kind, words, tuple(one[0] for one in others), whole))
            some = [one for one in some if one[0] == found.id]
        nodes += [Node(kind, name, (thing,), mg) for thing, name, mg in some]
    place = {thing: at for at, node in enumerate(nodes) for thing in node.things}
    lines: dict[tuple[int, int], int] = {}
    for parent, child, mg in links_among(reading, place):
        key = place[parent], place[child]
        if key[0] != key[1]:
            lines[key] = lines.get(key, 0) + mg
    joined = tuple((parent, child, mg) for (parent, child), mg in lines.items())
    return Family(tuple(nodes), joined, place[found.id])


def _spawn_in(reading: Reading, found: Trace) -> list[tuple[int, str, int]]:
    """The spawn in a batch's bags: it went into them, not into the batch."""
    given = parents_of(reading, (one.id for one in found.forward if one.kind == "bag"))
    spawn = {one: mg for one, mg in given.items() if kind_of(one) == "spawn"}
    names = names_of(reading, spawn)
    return [(one, names.get(one, str(one)), mg) for one, mg in spawn.items()]


def relatives_picture(reading: Reading, found: Trace, *, now: str | None = None) -> Picture:
    """The graph of a trace; each box is a spot that leads to its thing or things."""
    return draw_family(read_family(reading, found), read_terms(reading, now))


def draw_family(family: Family, terms: FarmTerms) -> Picture:
    """Boxes in columns by kind, joined by lines from parent to child."""
    columns = [[at for at, node in enumerate(family.nodes) if node.kind == kind] for kind in _ORDER]
    columns = [one for one in columns if one]
    tallest = max(len(one) for one in columns)
    height = _HEAD_MM + tallest * (_TALL_MM + _DOWN_MM)
    where: dict[int, tuple[float, float]] = {}
    marks: list[Mark] = []
    for at, column in enumerate(columns):
        left = at * (_BOX_MM + _GAP_MM)
        head = tr(KINDS[family.nodes[column[0]].kind])
        marks += text_in(head, (left, 0, _BOX_MM, _HEAD_MM), bold=True, size_pt=SMALL_PT)
        top = _HEAD_MM + (tallest - len(column)) * (_TALL_MM + _DOWN_MM) / 2
        for row, member in enumerate(column):
            where[member] = (left, top + row * (_TALL_MM + _DOWN_MM))
    lines = [_line(where[parent], where[child]) for parent, child, _ in family.lines]
    boxes: list[Mark] = []
    spots: list[Spot] = []
    for at, node in enumerate(family.nodes):
        left, top = where[at]
        is_start = at == family.start
        fill = PALE[1] if is_start else "#FFFFFF"
        line = 0.8 if is_start else 0.25
        boxes.append(rectangle(left, top, _BOX_MM, _TALL_MM, fill=fill, line=line, ink=INK))
        amount = terms.formats.mass(node.amount_mg) if node.amount_mg else ""
        boxes += text_in(node.name, (left + 1.5, top + 0.6, _BOX_MM - 3, 5.4), bold=True)
        boxes += text_in(amount, (left + 1.5, top + 5.4, _BOX_MM - 3, 5.0), size_pt=SMALL_PT)
        words = _say_node(node, at, family, terms)
        target = None if is_start else node.target
        spots.append(Spot(left, top, _BOX_MM, _TALL_MM, words, target))
    width = len(columns) * (_BOX_MM + _GAP_MM) - _GAP_MM
    told = " ".join(spot.words for spot in spots)
    return Picture(width, height, (*marks, *lines, *boxes), tuple(spots), told)


def _line(parent: tuple[float, float], child: tuple[float, float]) -> Mark:
    """From the right edge of the parent to the left edge of the child, past what lies between."""
    x1, y1 = parent[0] + _BOX_MM, parent[1] + _TALL_MM / 2
    x2, y2 = child[0], child[1] + _TALL_MM / 2
    if x2 <= parent[0]:  # of one kind: spawn grown from spawn, around the right side
        x2 = child[0] + _BOX_MM
        middle = x1 + _GAP_MM * 0.35
        return stroke([(x1, y1), (middle, y1), (middle, y2), (x2, y2)], ink=EDGE, dash=(1.0, 0.7))
    middle = x2 - _GAP_MM / 2
    return stroke([(x1, y1), (x1 + _GAP_MM / 4, y1), (middle, y2), (x2, y2)], ink=EDGE)


def _say_node(node: Node, at: int, family: Family, terms: FarmTerms) -> str:
    parents = [family.nodes[parent].name for parent, child, _ in family.lines if child == at]
    children = [family.nodes[child].name for parent, child, _ in family.lines if parent == at]
    mass = terms.formats.mass(node.amount_mg) if node.amount_mg else ""
    words = f"{node.name}, {mass}" if mass else node.name
    if parents:
        words = tr("{what}, from {names}").format(what=words, names=_list(parents))
    if children:
        words = tr("{what}, into {names}").format(what=words, names=_list(children))
    return f"{words}."


def _list(names: Sequence[str]) -> str:
    return ", ".join(names[:6]) + (" …" if len(names) > 6 else "")
