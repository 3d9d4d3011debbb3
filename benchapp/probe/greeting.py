"""Finds out whether a probe answers on a link, and sends a stranger nothing but identify.

Silence is "no probe program yet"; bytes that are no frames are "not our probe". A boot loader is not asked here: a
stranger is sent identify and nothing else, three times at most.
"""

from collections.abc import Callable

from benchapp.probe.descriptor import Descriptor
from benchapp.probe.link import Link
from benchapp.probe.messages import BoardFrame, LeadFrame, Message
from benchapp.probe.speed import RATES, START_RATE, RatedLink
from benchapp.probe.wire import WIRE_VERSION, Commands, Decoder, pack_command
from benchapp.records.errors import NewerProbeProgram, NoProbeProgram, NotOurProbe, OldProbeProgram
from benchapp.records.leads import Board

PATIENCE_NS = 3_000_000_000
"""How long a probe may take to say what it is: opening the port may have reset it into its boot loader."""
ASKED_MAX = 3
_SHOWN = 24
_ELSEWHERE = ((1 / 3, RATES[0]), (0.47, RATES[1]), (0.6, START_RATE))
"""When to listen at which rate, in parts of the patience: a board that opening did not reset may still speak fast. Only
where bytes come that are no frames; a heartbeat is due every 0.1 s."""


def greet(
    link: Link,
    decoder: Decoder,
    *,
    ask: Callable[[], object] | None = None,
    patience_ns: int = PATIENCE_NS,
) -> list[Message]:
    """Return every message up to and including a whole descriptor.

    ask sends identify (by default with token 0); it is called at most ASKED_MAX times, evenly over the patience.
    Raises NotOurProbe when no descriptor came in time, NoProbeProgram when nothing came at all, OldProbeProgram and
    NewerProbeProgram when the probe speaks another format.
    """
    ask = ask or (lambda: link.write(pack_command(Commands.IDENTIFY, 0)))
    descriptor, messages, rates = Descriptor(), list[Message](), list(_ELSEWHERE)
    heard, first_bytes = 0, b""
    began_ns, asked = link.host_ns(), 0
    while not descriptor.complete:
        waited_ns = link.host_ns() - began_ns
        if waited_ns >= patience_ns:
            raise _stranger(link.name, heard, first_bytes, patience_ns)
        if rates and heard and not messages and waited_ns >= rates[0][0] * patience_ns:
            _listen_at(link, rates.pop(0)[1])
        if asked < ASKED_MAX and waited_ns * ASKED_MAX >= asked * patience_ns:
            asked += 1
            ask()
        data = link.read().data
        heard, first_bytes = heard + len(data), (first_bytes + data[:_SHOWN])[:_SHOWN]
        fresh = decoder.feed(data)
        _gather(descriptor, fresh)
        messages += fresh
    _check_version(link.name, descriptor.board)
    return messages


def _listen_at(link: Link, rate: int) -> None:
    if isinstance(link, RatedLink):
        link.set_rate(rate)


def _gather(descriptor: Descriptor, messages: list[Message]) -> None:
    for message in messages:
        if isinstance(message, BoardFrame):
            descriptor.begin(message)
        elif isinstance(message, LeadFrame):
            descriptor.add(message.lead)


def _check_version(name: str, board: Board | None) -> None:
    if board is None or board.wire_version == WIRE_VERSION:
        return
    speaks = f"The probe on {name} speaks wire format {board.wire_version}; this program knows format {WIRE_VERSION}. "
    if board.wire_version < WIRE_VERSION:
        raise OldProbeProgram(f"{speaks}Put the probe program that came with this version on it.")
    raise NewerProbeProgram(f"{speaks}Update the program, or put this program's version back on the probe.")


def _stranger(name: str, heard: int, first_bytes: bytes, patience_ns: int) -> NotOurProbe:
    expected = f"No probe answers on {name}: a descriptor was expected within {patience_ns / 1e9:g} s"
    if not heard:
        return NoProbeProgram(
            f"{expected}, nothing came. A board without the probe program is silent like this: put the program on it "
            f"(benchapp probe install --port {name}). If this is your probe, unplug it, plug it in again and try once "
            "more; otherwise choose another port."
        )
    return NotOurProbe(
        f"{expected}, {heard} bytes came that are none (they begin {repr(first_bytes)[1:]}). "
        "Choose another port; if this is your probe, unplug it, plug it in again and try once more."
    )
