"""What stock cost: first in first out, or moving average; nothing is lost in rounding.

Every cost taken out is rounded to the currency's smallest unit and the rest stays in stock, so
cost of what went out and of what is left always add up to what was paid.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.arithmetic.limits import check_not_negative, check_positive
from farmdesk.errors import Refused, problem, refuse_any
from farmdesk.quantities.money import round_money


@dataclass(frozen=True)
class Received:
    """An amount that came in (mg or pieces) and what all of it cost."""

    amount: int
    cost: Decimal


@dataclass(frozen=True)
class Issued:
    """An amount that went out, mg or pieces."""

    amount: int


@dataclass(frozen=True)
class Costing:
    """What each issue cost, in order, and the amount and cost that are left."""

    issues: tuple[Decimal, ...]
    left: int
    left_cost: Decimal

    @property
    def issued_cost(self) -> Decimal:
        """All issues together."""
        return sum(self.issues, Decimal(0))


@dataclass
class _Layer:
    amount: int
    cost: Decimal

    def take(self, amount: int, currency: str) -> Decimal:
        """Take an amount out; the last of a layer takes all that is left of its cost."""
        cost = self.cost
        if amount < self.amount:
            cost = round_money(self.cost * amount / self.amount, currency)
        self.amount -= amount
        self.cost -= cost
        return cost


def cost_first_in_first_out(moves: Sequence[Received | Issued], *, currency: str) -> Costing:
    """Cost stock by the oldest layer first, in the order of the moves."""

    def receive(layers: deque[_Layer], move: Received) -> None:
        layers.append(_Layer(move.amount, move.cost))

    return _cost(moves, receive, currency)


def cost_moving_average(moves: Sequence[Received | Issued], *, currency: str) -> Costing:
    """Cost stock by the average of all on hand, renewed at every receipt."""

    def receive(layers: deque[_Layer], move: Received) -> None:
        if not layers:
            layers.append(_Layer(0, Decimal(0)))
        layers[0].amount += move.amount
        layers[0].cost += move.cost

    return _cost(moves, receive, currency)


def _cost(
    moves: Sequence[Received | Issued],
    receive: Callable[[deque[_Layer], Received], None],
    currency: str,
) -> Costing:
    refuse_any(check_positive("amount of a stock move", move.amount) for move in moves)
    layers: deque[_Layer] = deque()
    issues = []
    for move in moves:
        if isinstance(move, Received):
            refuse_any([check_not_negative("cost", move.cost)])
            receive(layers, move)
        else:
            issues.append(_issue(layers, move.amount, currency))
    left_cost = sum((layer.cost for layer in layers), Decimal(0))
    return Costing(tuple(issues), sum(layer.amount for layer in layers), left_cost)


def _issue(layers: deque[_Layer], amount: int, currency: str) -> Decimal:
    on_hand = sum(layer.amount for layer in layers)
    if amount > on_hand:
        raise Refused(problem("issued_more_than_on_hand", amount=amount, on_hand=on_hand))
    cost = Decimal(0)
    while amount:
        taken = min(amount, layers[0].amount)
        cost += layers[0].take(taken, currency)
        amount -= taken
        if not layers[0].amount:
            layers.popleft()
    return cost


@dataclass(frozen=True)
class PricedIssue:
    """What an issue cost, and how much of it (mg or pieces) nothing had been bought for."""

    cost: Decimal
    short: int


@dataclass(frozen=True)
class Pricing:
    """Every issue priced, in order, and what is left in stock with its cost."""

    issues: tuple[PricedIssue, ...]
    left: int
    left_cost: Decimal


def price_issues(
    moves: Sequence[Received | Issued],
    *,
    first_in_first_out: bool,
    currency: str,
    usual_price: Decimal | None = None,
) -> Pricing:
    """Cost each issue by one of the two methods, even where more went out than came in.

    What went out beyond the stock costs `usual_price` for one mg or piece, nothing without one,
    and is told as short: receipts were not noted, and a cost of nothing must not pass for one.
    """
    fitting: list[Received | Issued] = []
    taken: list[int] = []
    on_hand = 0
    for move in moves:
        if isinstance(move, Received):
            on_hand += move.amount
            fitting.append(move)
            continue
        amount = min(on_hand, move.amount)
        on_hand -= amount
        taken.append(amount)
        if amount:
            fitting.append(Issued(amount))
    way = cost_first_in_first_out if first_in_first_out else cost_moving_average
    costing = way(fitting, currency=currency)
    costs = iter(costing.issues)
    issues = []
    wanted = [move.amount for move in moves if isinstance(move, Issued)]
    for amount, found in zip(wanted, taken, strict=True):
        short = amount - found
        cost = next(costs) if found else Decimal(0)
        cost += round_money(short * (usual_price or Decimal(0)), currency)
        issues.append(PricedIssue(cost, short))
    return Pricing(tuple(issues), costing.left, costing.left_cost)


def left_of_receipts(receipts: Sequence[int], issued: int) -> list[int]:
    """What is left of each receipt, in order, when the oldest is used up first."""
    left = []
    for amount in receipts:
        gone = min(amount, issued)
        issued -= gone
        left.append(amount - gone)
    return left
