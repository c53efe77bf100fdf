"""Every place and every command of the desk: one line each."""

from __future__ import annotations

from typing import NamedTuple

from farmdesk.wording.language import tr


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
        "today", "Today", f"{_PAGES}.today", "TodayPage", "Ctrl+1",
        "What to look at, open, pick, ship and start today and this week.",
    ),
    PageSpec(
        "lab", "Lab", f"{_PAGES}.lab", "LabPage", "Ctrl+2",
        "Cultures, spawn, recipes, heat runs and inoculation.",
    ),
    PageSpec(
        "inoculation", tr("Inoculation day"), f"{_PAGES}.inoculation_day", "InoculationDayPage",
        "Alt+5", tr("From the recipe to labelled bags, step by step."),
    ),
    PageSpec(
        "incubation", "Incubation", f"{_PAGES}.incubation", "IncubationPage", "Ctrl+3",
        "Batches that grow in: walks, slow bags and contaminated ones.",
    ),
    PageSpec(
        "fruiting", "Fruiting", f"{_PAGES}.fruiting", "FruitingPage", "Ctrl+4",
        "Opened bags, flushes and picks.",
    ),
    PageSpec(
        "cold_store", "Cold store", f"{_PAGES}.cold_store", "ColdStorePage", "Ctrl+5",
        "What lies in the cold store, by harvest lot and shelf date.",
    ),
    PageSpec(
        "sales", "Sales", f"{_PAGES}.sales", "SalesPage", "Ctrl+6",
        "Orders, packs, deliveries and invoices.",
    ),
    PageSpec(
        "ahead", tr("Weeks ahead"), f"{_PAGES}.ahead", "AheadPage", "Alt+3",
        tr("What will be ready, what is wanted, and what to make for it."),
    ),
    PageSpec(
        "week", "Week", f"{_PAGES}.week", "WeekPage", "Ctrl+7",
        "The week's figures and the reports, on screen and to take along.",
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
        "day_book", "Day book", f"{_PAGES}.day_book", "DayBookPage", "Ctrl+8",
        "Everything that was done: who, when and what.",
    ),
    PageSpec(
        "catalogue", "Catalogue", f"{_PAGES}.catalogue", "CataloguePage", "Ctrl+9",
        "Species, strains, rooms, people, crates, customers, prices and settings.",
    ),
)  # fmt: skip

MENUS: tuple[str, ...] = ("File", "Edit", "Go", "Print", "View", "Help")

COMMANDS: tuple[CommandSpec, ...] = (
    CommandSpec("open_farm", "File", "Open a farm …", "Ctrl+O", "Open another farm's file."),
    CommandSpec("new_farm", "File", "New farm …", "", "Start an empty farm in a new file."),
    CommandSpec("backup", "File", "Back up …", "", "Write a copy of the farm to a file."),
    CommandSpec(
        "import_farm", "File", "Import from a folder …", "",
        "Build a farm from the plain text tables of an export.",
    ),
    CommandSpec(
        "export_farm", "File", "Export to a folder …", "",
        "Write the whole farm as plain text tables.",
    ),
    CommandSpec(
        "read_pictures", "File", "Read codes from pictures …", "Ctrl+Shift+R",
        "Find the codes in photos of labels, and hand them to the bench.",
    ),
    CommandSpec("check", "File", "Check the farm", "", "Compare the day book with the tables."),
    CommandSpec(
        "person", "File", "Who is working …", "Ctrl+Shift+P",
        "Choose whose initials the acts of this station carry.",
    ),
    CommandSpec("quit", "File", "Quit", "Ctrl+Q", "Close the desk; everything is already kept."),
    CommandSpec("undo", "Edit", "Undo", "Ctrl+Z", "Take back the last act, as a new entry."),
    CommandSpec("redo", "Edit", "Redo", "Ctrl+Shift+Z", "Do again what was taken back."),
    CommandSpec("find", "Edit", "Find …", "Ctrl+F", "Find anything by its code, name or note."),
    CommandSpec(
        "preferences", "Edit", "Preferences …", "Ctrl+,",
        "Language, units, looks, scanner, scale, sounds and printing of this computer.",
    ),
    CommandSpec(
        "scan_field", "Go", "Scan strip", "F2, Ctrl+L",
        "Put the cursor on the scan strip to type a code.",
    ),
    CommandSpec("labels", "Print", "Labels …", "Ctrl+Shift+L", "Print labels of bags and lots."),
    CommandSpec("wall_cards", "Print", "Wall cards …", "", "Print the cards for doors, benches."),
    CommandSpec("print_page", "Print", "Print this list …", "Ctrl+P", "Print what the page shows."),
    CommandSpec("text_larger", "View", "Larger text", "Ctrl++", "Make all text larger."),
    CommandSpec("text_smaller", "View", "Smaller text", "Ctrl+-", "Make all text smaller."),
    CommandSpec("bench_view", "View", "Bench view", "F11", "Fill the screen with the scans."),
    CommandSpec("mute", "View", "Sounds off or on", "Ctrl+F11", "Silence the answers' sounds."),
    CommandSpec("scheme", "View", "Light, dark, high contrast", "", "Change the colours."),
    CommandSpec("help_page", "Help", "Help for this page", "F1", "Explain what this page shows."),
    CommandSpec("about", "Help", "About Farmdesk", "", "Version and licence."),
)  # fmt: skip


def place_of(key: str) -> PageSpec:
    """The place with this key; KeyError when there is none."""
    for spec in PLACES:
        if spec.key == key:
            return spec
    raise KeyError(key)
