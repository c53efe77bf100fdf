"""`farmdesk` and `python -m farmdesk`."""

from __future__ import annotations

import os
import sys

from farmdesk.settings.places import default_farm_file


def main() -> None:
    """Open the desk at once when nothing else is asked; the command line loads only if it is."""
    if len(sys.argv) == 1:
        from farmdesk.startup import open_desk  # noqa: PLC0415 - the window first

        sys.exit(open_desk(os.environ.get("FARMDESK_FARM") or str(default_farm_file())))
    from farmdesk.startup import preferences_here, speak  # noqa: PLC0415 - as below

    speak(preferences_here().language)
    from farmdesk.cli.app import app  # noqa: PLC0415 - a quarter second the desk does not need

    app()


if __name__ == "__main__":
    main()
