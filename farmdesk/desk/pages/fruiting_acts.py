"""What is done to bags that fruit, as one act for many of them, and what it is called."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.actions.bags import BagAct, BagsDone, ask_early, do_to_bags
from farmdesk.actions.base import Act
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.cards import OPENED
from farmdesk.domain.rules import ASK, TABLE
from farmdesk.errors import problem
from farmdesk.reports.fruiting_lists import Expected
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_PLACES = {"before": "", "within": tr("● now"), "overdue": tr("▲ late")}
_WHATS = {"open": tr("open it"), "spend": tr("likely spent")}


def act_on_fruiting(act: Act, *, ids: Sequence[int], wanted: BagAct) -> BagsDone:
    """One card's act on many bags; raises Asked once for all of which it looks like a slip."""
    bags = [act.need(Bag, one) for one in ids]
    if wanted.name == OPENED:
        batches = {bag.batch for bag in bags if bag.opened_on is None}
        for batch in [act.need(Batch, one) for one in sorted(batches)]:
            act.ask(*ask_early(act, batch, batch.name))
    done = do_to_bags(act, bags, wanted)
    for code, some in done.left_out.items():
        if any(TABLE[wanted.name, bag.stage].outcome == ASK for bag in some):
            name = (
                tr("{count_some} bags").format(count_some=len(some))
                if len(some) > 1
                else tr("1 bag")
            )
            act.ask(problem(code, name=name, stage=some[0].stage, since=""))
    return done


def say_done(done: BagsDone, formats: Formats) -> str:
    """What came of an act on many bags, in one sentence."""
    changed = formats.count(len(done.changed), "bag", "bags")
    left = sum(len(some) for some in done.left_out.values())
    more = tr(" {left} so already.").format(left=formats.count(left, "was", "were")) if left else ""
    return tr("{changed} changed.{more} Ctrl+Z takes it back.").format(changed=changed, more=more)


def say_expected(one: Expected) -> str:
    """What comes next, such as `pick, flush 2`."""
    return (
        tr("pick, flush {flush}").format(flush=one.flush)
        if one.what == "pick"
        else _WHATS[one.what]
    )


def say_place(one: Expected) -> str:
    """Whether it is time, as a sign and a word."""
    return _PLACES[one.place] if one.first else ""
