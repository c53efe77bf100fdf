"""The grower's sums: yields, times, contamination and its cause, slow and lost; and charts."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtWidgets import QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.pages.sums_charts import ChartsPart
from farmdesk.desk.pages.sums_part import MakeTables, SumPart
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.reports.blame import blame_table
from farmdesk.reports.contamination import BY_DEFECT, contamination_table
from farmdesk.reports.next_flush import next_flush_table
from farmdesk.reports.slow_lost import late_bags_table, lost_table, slow_table
from farmdesk.reports.sum_question import GROUPINGS
from farmdesk.reports.times import times_tables
from farmdesk.reports.work_yields import work_table
from farmdesk.reports.yields import flushes_table, yields_table
from farmdesk.wording.language import tr

_BE = tr(
    "Biological efficiency (BE) is fresh weight picked over dry substrate: 1 kg of mushrooms from"
    " 1 kg of dry substrate is 100 %, and more is normal for some species. On opened blocks it"
    " says how the room did, on made blocks how the farm did, since blocks that were lost before"
    " count too. Whether the dry mass of the spawn counts is a setting of the farm and stands on"
    " every sheet. “To date” means that some of the bags still live."
)


class YieldsPart(SumPart):
    """Yields by batch, strain, recipe, spawn lot, week and more; by flush or by hour on choice."""

    title = tr("Yields")
    help_text = _BE
    groupings = ("strain", *(key for key in GROUPINGS if key != "strain"))

    def make(self) -> MakeTables:
        """Yields, each flush, and what an hour of work picks."""
        return lambda reading, question: (
            yields_table(reading, question),
            flushes_table(reading, question),
            work_table(reading, question),
        )


class NextFlushPart(SumPart):
    """Which opened bags to keep and which to retire for fresh ones."""

    title = tr("Next flush")
    help_text = tr(
        "A place on the shelf is worth what it gives in a week. A later flush gives less and"
        " still takes its weeks: when it gives less for each week than a fresh block would in the"
        " same place, retire the block, if a fresh one waits."
    )
    empty_text = tr("No opened bag has given a flush yet. After the first pick it is listed here.")

    def make(self) -> MakeTables:
        """The live bags with the worth of their next flush."""
        return lambda reading, question: (next_flush_table(reading, question),)


class TimesPart(SumPart):
    """Time to colonise, to opening, to the first pick."""

    title = tr("Times")
    help_text = tr(
        "How long bags take, from all of them: bags still running count as running, bags found"
        " contaminated as never getting there, and a bag became ready at some time between two"
        " looks. A mean of the finished bags alone would be too fast, so none is shown. “Half"
        " by” is the day by which half of all bags got there; eight of ten got there between"
        " “one in ten by” and “nine in ten by”. The band around a curve is 80 %."
    )
    groupings = ("strain", *(key for key in GROUPINGS if key != "strain"))

    def make(self) -> MakeTables:
        """A table for each milestone."""
        return times_tables


class ContaminationPart(SumPart):
    """Rates with what so few bags allow to say."""

    title = tr("Contamination")
    help_text = tr(
        "None seen in 20 bags is not none: up to 16 % may still be so. The interval (Wilson, 95 %)"
        " says between which rates the true one lies. Bags of one heat run stand or fall"
        " together, so look at the dots of the runs beside the line of all runs."
    )
    groupings = ("run", "strain", "species", BY_DEFECT, "week", "room", "person", "recipe",
                 "spawn", "batch")  # fmt: skip

    def make(self) -> MakeTables:
        """Rates by group."""
        return lambda reading, question: (contamination_table(reading, question),)


class BlamePart(SumPart):
    """The likeliest cause, or that nobody can tell."""

    title = tr("What is to blame")
    help_text = tr(
        "Heat runs, spawn lots, generations, strains, recipes, people and rooms are compared"
        " together, and each within every other. p is how often chance alone would do that; it is"
        " corrected for the number of looks, since who looks often finds something. What was never"
        " mixed (a spawn lot used in one run only) cannot be told apart. It is evidence, not proof:"
        " do the next check before you throw anything out."
    )
    empty_text = tr("Nothing stands out: no cause did worse than all others.")

    def make(self) -> MakeTables:
        """The suspects."""
        return lambda reading, question: (blame_table(reading, question),)


class SlowPart(SumPart):
    """Batches and bags outside their band, and bags not seen."""

    title = tr("Slow and lost")
    help_text = tr(
        "A batch is late when it still grows in after the day by which nine in ten bags of its"
        " strain's other batches were colonised. A bag counts as not seen when nobody looked at"
        " it or picked from it for longer than the days between two walks in the farm settings."
    )
    empty_text = tr("Nothing is slow and nothing is lost.")
    with_charts = False

    def make(self) -> MakeTables:
        """Slow batches, late bags, bags not seen."""
        return lambda reading, question: (
            slow_table(reading, question),
            late_bags_table(reading, question),
            lost_table(reading, question),
        )


class SumsPage(TabbedPage):
    """The sums, one on each tab."""

    title = tr("Sums")
    help_text = _BE
    interest = frozenset({"batch", "bag", "pick", "link", "run", "spawn", "strain", "species",
                          "reason", "room", "farm", "labour"})  # fmt: skip
    parts: ClassVar = (
        ("yields", YieldsPart.title, YieldsPart),
        ("next_flush", NextFlushPart.title, NextFlushPart),
        ("times", TimesPart.title, TimesPart),
        ("contamination", ContaminationPart.title, ContaminationPart),
        ("blame", BlamePart.title, BlamePart),
        ("slow", SlowPart.title, SlowPart),
        ("charts", ChartsPart.title, ChartsPart),
    )

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.add_page_action(tr("Count again"), self._count_again, shortcut="F5",
                             hint=tr("Read the farm again"))  # fmt: skip
        self.add_page_action(tr("Print …"), self.print_page, shortcut="Ctrl+B", icon="print",
                             hint=tr("Print the table with its charts"))  # fmt: skip
        self.add_page_action(tr("Export …"), self._export, shortcut="Ctrl+S", icon="export",
                             hint=tr("Write the table and its charts to a file"))  # fmt: skip

    def _count_again(self) -> None:
        self.part(self.part_key).refresh()

    def _export(self) -> None:
        part: Part = self.part(self.part_key)
        if isinstance(part, SumPart | ChartsPart):
            part.export()
