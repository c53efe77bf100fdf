"""Every place and every command of the desk: one line each."""

from __future__ import annotations

from typing import NamedTuple

from farmdesk.wording.language import later, tr


class PageSpec(NamedTuple):
    """A place of the desk; its module is loaded when the place is first shown."""

    key: str
    title: str
    module: str
    class_name: str
    shortcut: str
    help: str


class CommandSpec(NamedTuple):
    """A command of the menus; `DeskWindow.command_asked` says its key."""

    key: str
    menu: str
    title: str
    shortcut: str
    help: str


_PAGES = "farmdesk.desk.pages"

PLACES: tuple[PageSpec, ...] = (
    PageSpec(
        "today", tr("Today"), f"{_PAGES}.today", "TodayPage", "Ctrl+1",
        tr("What to look at, open, pick, ship and start today and this week."),
    ),
    PageSpec(
        "lab", tr("Lab"), f"{_PAGES}.lab", "LabPage", "Ctrl+2",
        tr("Cultures, spawn, recipes, heat runs and inoculation."),
    ),
    PageSpec(
        "inoculation", tr("Inoculation day"), f"{_PAGES}.inoculation_day", "InoculationDayPage",
        "Alt+5", tr("From the recipe to labelled bags, step by step."),
    ),
    PageSpec(
        "incubation", tr("Incubation"), f"{_PAGES}.incubation", "IncubationPage", "Ctrl+3",
        tr("Batches that grow in: walks, slow bags and contaminated ones."),
    ),
    PageSpec(
        "fruiting", tr("Fruiting"), f"{_PAGES}.fruiting", "FruitingPage", "Ctrl+4",
        tr("Opened bags, flushes and picks."),
    ),
    PageSpec(
        "cold_store", tr("Cold store"), f"{_PAGES}.cold_store", "ColdStorePage", "Ctrl+5",
        tr("What lies in the cold store, by harvest lot and shelf date."),
    ),
    PageSpec(
        "sales", tr("Sales"), f"{_PAGES}.sales", "SalesPage", "Ctrl+6",
        tr("Orders, packs, deliveries and invoices."),
    ),
    PageSpec(
        "ahead", tr("Weeks ahead"), f"{_PAGES}.ahead", "AheadPage", "Alt+3",
        tr("What will be ready, what is wanted, and what to make for it."),
    ),
    PageSpec(
        "week", tr("Week"), f"{_PAGES}.week", "WeekPage", "Ctrl+7",
        tr("The week's figures and the reports, on screen and to take along."),
    ),
    PageSpec(
        "rooms", tr("Rooms"), f"{_PAGES}.rooms", "RoomsPage", "Alt+6",
        tr("Temperature, humidity and CO₂ of each room, and the batches in them."),
    ),
    PageSpec(
        "costs", tr("Costs"), f"{_PAGES}.costs", "CostsPage", "Alt+4",
        tr("What goods, work and overhead cost: by batch, block and saleable kilogram."),
    ),
    PageSpec(
        "sums", tr("Sums"), f"{_PAGES}.sums", "SumsPage", "Alt+2",
        tr("Yields, times, contamination and its cause, slow and lost bags, charts."),
    ),
    PageSpec(
        "day_book", tr("Day book"), f"{_PAGES}.day_book", "DayBookPage", "Ctrl+8",
        tr("Everything that was done: who, when and what."),
    ),
    PageSpec(
        "catalogue", tr("Catalogue"), f"{_PAGES}.catalogue", "CataloguePage", "Ctrl+9",
        tr("Species, strains, rooms, people, crates, customers, prices and settings."),
    ),
)  # fmt: skip

MENUS: tuple[str, ...] = (
    later("File"),
    later("Edit"),
    later("Go"),
    later("Print"),
    later("View"),
    later("Help"),
)
"""Titles of the menus, translated where they are shown."""

COMMANDS: tuple[CommandSpec, ...] = (
    CommandSpec("open_farm", "File", tr("Open a farm …"), "Ctrl+O",
        tr("Open another farm's file.")),
    CommandSpec("new_farm", "File", tr("New farm …"), "", tr("Start an empty farm in a new file.")),
    CommandSpec("backup", "File", tr("Back up …"), "", tr("Write a copy of the farm to a file.")),
    CommandSpec(
        "import_farm", "File", tr("Import from a folder …"), "",
        tr("Build a farm from the plain text tables of an export."),
    ),
    CommandSpec(
        "export_farm", "File", tr("Export to a folder …"), "",
        tr("Write the whole farm as plain text tables."),
    ),
    CommandSpec(
        "read_pictures", "File", tr("Read codes from pictures …"), "Ctrl+Shift+R",
        tr("Find the codes in photos of labels, and hand them to the bench."),
    ),
    CommandSpec(
        "read_camera", "File", tr("Read codes with a camera …"), "Ctrl+Shift+K",
        tr("Hold labels before a webcam: each code goes to the bench once, as if scanned."),
    ),
    CommandSpec("check", "File", tr("Check the farm"), "",
        tr("Compare the day book with the tables.")),
    CommandSpec(
        "person", "File", tr("Who is working …"), "Ctrl+Shift+P",
        tr("Choose whose initials the acts of this station carry."),
    ),
    CommandSpec("quit", "File", tr("Quit"), "Ctrl+Q",
        tr("Close the desk; everything is already kept.")),
    CommandSpec("undo", "Edit", tr("Undo"), "Ctrl+Z",
        tr("Take back the last act, as a new entry.")),
    CommandSpec("redo", "Edit", tr("Redo"), "Ctrl+Shift+Z", tr("Do again what was taken back.")),
    CommandSpec("find", "Edit", tr("Find …"), "Ctrl+F",
        tr("Find anything by its code, name or note.")),
    CommandSpec(
        "preferences", "Edit", tr("Preferences …"), "Ctrl+,",
        tr("Language, units, looks, scanner, scale, sounds and printing of this "
"computer."),
    ),
    CommandSpec(
        "scan_field", "Go", tr("Scan strip"), "F2, Ctrl+L",
        tr("Put the cursor on the scan strip to type a code."),
    ),
    CommandSpec("labels", "Print", tr("Labels …"), "Ctrl+Shift+L",
        tr("Print labels of bags and lots.")),
    CommandSpec("wall_cards", "Print", tr("Wall cards …"), "",
        tr("Print the cards for doors, benches.")),
    CommandSpec("print_page", "Print", tr("Print this list …"), "Ctrl+P",
        tr("Print what the page shows.")),
    CommandSpec("text_larger", "View", tr("Larger text"), "Ctrl++", tr("Make all text larger.")),
    CommandSpec("text_smaller", "View", tr("Smaller text"), "Ctrl+-", tr("Make all text smaller.")),
    CommandSpec("bench_view", "View", tr("Bench view"), "F11",
        tr("Fill the screen with the scans.")),
    CommandSpec("mute", "View", tr("Sounds off or on"), "Ctrl+F11",
        tr("Silence the answers' sounds.")),
    CommandSpec("scheme", "View", tr("Light, dark, high contrast"), "", tr("Change the colours.")),
    CommandSpec("help_page", "Help", tr("Help for this page"), "F1",
        tr("Explain what this page shows.")),
    CommandSpec("about", "Help", tr("About Farmdesk"), "", tr("Version and licence.")),
)  # fmt: skip


def place_of(key: str) -> PageSpec:
    """The place with this key; KeyError when there is none."""
    for spec in PLACES:
        if spec.key == key:
            return spec
    raise KeyError(key)
