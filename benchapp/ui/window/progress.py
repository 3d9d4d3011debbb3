"""How far the job is: which steps are done."""

from typing import TYPE_CHECKING

from benchapp.ui.kept.steps import Step
from benchapp.ui.link.open_session import OpenSession
from benchapp.ui.link.workbench import Workbench

if TYPE_CHECKING:
    from benchapp.ui.window.pages import Pages


def done_steps(workbench: Workbench, session: OpenSession, pages: "Pages") -> frozenset[Step]:
    """Return the steps that are done."""
    status, done = workbench.status, set()
    if workbench.under_test.get("name"):
        done.add(Step.BENCH)
    if status is not None and any(workbench.live.shown()):
        done.add(Step.LEADS)
    if status is not None and status.leads and not status.refusals:
        done.add(Step.SAFE)
    if session.now is not None:
        done |= {Step.TESTS, Step.FINDINGS}
    if pages.put_back.done:
        done.add(Step.PUT_BACK)
    return frozenset(done)
