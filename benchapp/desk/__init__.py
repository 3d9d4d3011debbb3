"""One function for each wish, used by the window and the command line alike.

Each module of the desk is loaded when it is first named (`desk.loading.load(path)` after `from benchapp import desk`):
together they take a quarter of a second, in which the window can be seen already. The window names them in its
workers, so that it does not stand still meanwhile. A test puts its own function in a module's place of one.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchapp.desk import bench as bench
    from benchapp.desk import clock_check as clock_check
    from benchapp.desk import copying as copying
    from benchapp.desk import findings as findings
    from benchapp.desk import importing as importing
    from benchapp.desk import loading as loading
    from benchapp.desk import menu_entry as menu_entry
    from benchapp.desk import noting as noting
    from benchapp.desk import port_permission as port_permission
    from benchapp.desk import ports as ports
    from benchapp.desk import preview as preview
    from benchapp.desk import probe_install as probe_install
    from benchapp.desk import recovering as recovering
    from benchapp.desk import reporting as reporting
    from benchapp.desk import seen_ports as seen_ports
    from benchapp.desk import self_test as self_test
    from benchapp.desk import tidying as tidying
    from benchapp.desk import trash as trash
    from benchapp.desk import unfinished as unfinished
else:
    from importlib import import_module

    def __getattr__(name):
        if name.startswith("__"):
            raise AttributeError(name)
        try:
            return import_module(f"{__name__}.{name}")
        except ModuleNotFoundError as gone:
            if gone.name != f"{__name__}.{name}":
                raise
            raise AttributeError(f"the desk has no module {name!r}") from None
