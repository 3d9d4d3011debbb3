"""`benchapp menu`: the program in this user's menu, with its icon and its kind of file."""

import argparse

from benchapp.cli.printing import one_line, say
from benchapp.desk.menu_entry import add_to_menu, menu_folder, remove_from_menu


def run_menu(asked: argparse.Namespace) -> int:
    """Put the program into the menu, or take it out; return 0."""
    folder = menu_folder()
    if asked.remove:
        remove_from_menu(folder)
        say(one_line(f"Taken out of the menu in {folder}."))
    else:
        add_to_menu(folder)
        say(one_line(f"Put into the menu in {folder}. A double click on a session opens it in the window."))
    return 0
