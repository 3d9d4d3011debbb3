"""What each page asks for, and who answers."""

from benchapp.ui.window.doorway import Doorway
from benchapp.ui.window.navigator import Navigator
from benchapp.ui.window.pages import Pages
from benchapp.ui.window.preferences import Preferences
from benchapp.ui.window.shelf import Shelf


def connect_pages(pages: Pages, navigator: Navigator, preferences: Preferences, doorway: Doorway, shelf: Shelf) -> None:
    """Connect the pages to those who lead on, keep settings, open files and keep sessions."""
    pages.start.open_session.connect(doorway.ask)
    pages.start.carry_on.connect(doorway.open)
    pages.start.help_wanted.connect(navigator.show_help_page)
    pages.start.change_folder.connect(preferences.ask_folder)
    shelf.open_wanted.connect(doorway.open_session)
    pages.bench.go_on.connect(navigator.go_leads)
    pages.leads.go_start.connect(navigator.go_start)
    pages.leads.go_on.connect(navigator.go_safe)
    pages.leads.help_wanted.connect(navigator.show_help_page)
    pages.safe.go_on.connect(navigator.go_tests)
    pages.tests.go_safe.connect(navigator.go_safe)
    pages.tests.go_leads.connect(navigator.go_leads)
    pages.tests.go_start.connect(navigator.go_start)
    pages.tests.see_findings.connect(navigator.go_findings)
    pages.tests.put_back.connect(navigator.go_put_back)
    pages.findings.go_tests.connect(navigator.go_tests)
    pages.findings.report.connect(doorway.ask_report)
    pages.findings.speed_chosen.connect(preferences.keep_speed)
    pages.capture.leave.connect(navigator.go_start)
    pages.help.leave.connect(navigator.leave_help)
    pages.settings.leave.connect(navigator.leave_settings)
    pages.settings.chosen.connect(preferences.change)
    pages.settings.change_folder.connect(preferences.ask_folder)
