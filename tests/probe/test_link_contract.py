"""What every link promises, asked of a serial port with a scripted probe and of the practice bench alike."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import pytest

from benchapp.probe.conversation import Conversation
from benchapp.probe.greeting import greet
from benchapp.probe.link import Link
from benchapp.probe.messages import BoardFrame, Heartbeat
from benchapp.probe.opening import open_link
from benchapp.probe.timebase import Answer, ProbeState, StretchOpened
from benchapp.probe.wire import Commands, Decoder, Status, pack_command
from benchapp.records.errors import PortGone, ProbeTrouble
from benchapp.records.leads import LeadKind
from benchapp.records.run import Origin
from benchapp.records.stream import ClockPairs, Edges, Gap
from tests.probe.pty_peer import LiveProbe, peer

SECOND_NS = 1_000_000_000


@dataclass
class Subject:
    link: Link
    origin: Origin
    reset_soon: Callable[[], None]
    unplug_soon: Callable[[], None]


@pytest.fixture(params=["port", "practice flat", "practice real"])
def subject(request) -> Iterator[Subject]:
    if request.param == "port":
        probe = LiveProbe()
        with peer(probe.hear, probe.play) as far:
            link = open_link(far.port)
            yield Subject(link, Origin.PROBE, lambda: setattr(probe, "reset_to", 0xBEEF), far.unplug)
            link.close()
        return
    pace = request.param.split()[1]
    link = open_link(f"practice://cedar?seed=3&reset_s=0.5&unplug_s=1.2&dwell_s=0.2&pace={pace}")
    yield Subject(link, Origin.PRACTICE, lambda: None, lambda: None)
    link.close()


def read_for(talk: Conversation, host_ns: int) -> list:
    outputs: list = []
    until = talk.link.host_ns() + host_ns
    while talk.link.host_ns() < until:
        outputs += talk.read()
    return outputs


def read_until(talk: Conversation, enough: Callable[[list], bool]) -> list:
    outputs: list = []
    until = talk.link.host_ns() + 3 * SECOND_NS
    while not enough(outputs):
        assert talk.link.host_ns() < until, "nothing of the kind came within 3 s"
        outputs += talk.read()
    return outputs


def of(kind: type, outputs: list) -> list:
    return [output for output in outputs if isinstance(output, kind)]


def test_it_has_a_name_and_an_origin(subject):
    assert subject.link.name
    assert subject.link.origin is subject.origin


def test_its_clock_moves_on_by_at_most_20_ms_of_silence_a_read_and_never_goes_back(subject):
    link = subject.link
    for _ in range(10):
        before = link.host_ns()
        arrival = link.read()
        after = link.host_ns()
        assert isinstance(arrival.data, bytes)
        assert before <= arrival.host_ns <= after
        # half a second: what a busy computer may add, and far from waiting for ever
        assert 0 < after - before < SECOND_NS // 2


def test_a_descriptor_answers_identify(subject):
    messages = greet(subject.link, Decoder())
    board = next(message.board for message in messages if isinstance(message, BoardFrame))
    assert board.wire_version == 1


def test_heartbeats_come_ten_a_second_of_its_own_clock(subject):
    decoder, beats = Decoder(), 0
    greet(subject.link, decoder)
    began, waited = subject.link.host_ns(), 0
    while waited < 4 * SECOND_NS // 10:
        beats += sum(isinstance(m, Heartbeat) for m in decoder.feed(subject.link.read().data))
        waited = subject.link.host_ns() - began
    assert abs(beats - waited * 10 / SECOND_NS) <= 2


def test_nothing_is_recorded_before_start_and_something_after(subject):
    talk = Conversation(subject.link)
    outputs = talk.begin()
    (opened,) = of(StretchOpened, outputs)
    assert (opened.stretch.number, opened.stretch.origin_ns) == (1, 0)
    outputs += read_for(talk, 3 * SECOND_NS // 10)
    edges = of(Edges, outputs)
    assert edges
    assert min(int(e.times_ns.min()) for e in edges) >= 0
    assert outputs.index(opened) < outputs.index(edges[0])
    described = {lead.index for lead in opened.stretch.leads if lead.kind is not LeadKind.LEVEL}
    assert {e.lead for e in edges} <= described


def test_every_record_sent_is_accounted_for(subject):
    talk = Conversation(subject.link)
    outputs = [*talk.begin(), *read_for(talk, 3 * SECOND_NS // 10)]
    assert of(ProbeState, outputs)
    assert of(ProbeState, outputs)[-1].heartbeat.records_sent > 0
    assert not of(Gap, outputs)


def test_the_probe_s_clock_and_the_host_s_advance_alike(subject):
    talk = Conversation(subject.link)
    pairs = of(ClockPairs, [*talk.begin(), *read_for(talk, 4 * SECOND_NS // 10)])
    probe_ns = np.concatenate([pair.probe_ns for pair in pairs])
    host_ns = np.concatenate([pair.host_ns for pair in pairs])
    assert probe_ns.size >= 3
    assert (np.diff(probe_ns) > 0).all()
    assert (np.diff(host_ns) >= 0).all()
    # a heartbeat waits in a read for up to 20 ms, longer where the computer is busy
    assert abs((host_ns[-1] - host_ns[0]) - (probe_ns[-1] - probe_ns[0])) < SECOND_NS // 5


def test_a_command_is_answered_with_its_token_and_a_driven_lead_stamps_itself(subject):
    talk = Conversation(subject.link)
    outputs = talk.begin()
    drive = next(lead for lead in of(StretchOpened, outputs)[0].stretch.leads if lead.role == "drive")
    token = talk.send(Commands.DRIVE, lead=drive.index, level=1)
    outputs = read_until(talk, lambda seen: any(answer.token == token for answer in of(Answer, seen)))
    answer = next(answer for answer in of(Answer, outputs) if answer.token == token)
    assert (answer.command, answer.status) == (Commands.DRIVE, Status.DONE)
    outputs += read_until(talk, lambda seen: any(e.lead == drive.index for e in of(Edges, outputs + seen)))
    own = next(edges for edges in of(Edges, outputs) if edges.lead == drive.index)
    assert own.levels.tolist() == [1]
    assert abs(int(own.times_ns[0]) - answer.at_ns) < 1_000_000


def test_a_command_said_twice_is_done_once_and_answered_twice(subject):
    talk = Conversation(subject.link)
    drive = next(lead for lead in of(StretchOpened, talk.begin())[0].stretch.leads if lead.role == "drive")
    frame = pack_command(Commands.DRIVE, 200, lead=drive.index, level=1)
    subject.link.write(frame)
    subject.link.write(frame)
    outputs = read_until(talk, lambda seen: len([a for a in of(Answer, seen) if a.token == 200]) == 2)
    outputs += read_for(talk, SECOND_NS // 10)
    assert sum(edges.times_ns.size for edges in of(Edges, outputs) if edges.lead == drive.index) == 1
    first, second = [answer for answer in of(Answer, outputs) if answer.token == 200]
    assert first.at_ns == second.at_ns


def test_bytes_that_are_no_command_are_survived(subject):
    subject.link.write(b"AT\r\n\0\xff\xfe\0" + bytes(5) + b"x" * 300 + b"\0")
    assert greet(subject.link, Decoder())


def test_a_reset_opens_a_new_stretch_and_keeps_what_came(subject):
    talk = Conversation(subject.link)
    outputs = [*talk.begin(), *read_until(talk, lambda seen: bool(of(Edges, seen)))]
    subject.reset_soon()
    outputs += read_until(talk, lambda seen: bool(of(StretchOpened, seen)))
    outputs += read_until(talk, lambda seen: bool(of(Edges, seen)))
    first, second = [opened.stretch for opened in of(StretchOpened, outputs)]
    assert (first.number, second.number) == (1, 2)
    assert first.board.start_id != second.board.start_id
    before = outputs[: next(n for n, o in enumerate(outputs) if isinstance(o, StretchOpened) and o.stretch is second)]
    assert max(int(edges.times_ns[-1]) for edges in of(Edges, before)) <= second.origin_ns
    after = outputs[len(before) :]
    assert min(int(edges.times_ns[0]) for edges in of(Edges, after)) >= second.origin_ns
    assert [gap.cause for gap in of(Gap, before)][-1] == "restart"


def test_a_link_that_goes_away_says_so_for_ever_and_closes_quietly(subject):
    subject.unplug_soon()
    until = subject.link.host_ns() + 3 * SECOND_NS

    def read_on():
        while subject.link.host_ns() < until:
            subject.link.read()

    with pytest.raises(PortGone) as gone:
        read_on()
    assert len(gone.value.message) > 20
    for _ in range(2):
        with pytest.raises(ProbeTrouble):
            subject.link.read()
        with pytest.raises(ProbeTrouble):
            subject.link.write(b"\0")
    subject.link.close()


def test_closing_twice_is_harmless_and_a_closed_link_is_gone(subject):
    subject.link.close()
    subject.link.close()
    with pytest.raises(ProbeTrouble):
        subject.link.read()
    with pytest.raises(ProbeTrouble):
        subject.link.write(b"\0")


def test_a_conversation_closes_though_the_link_is_gone(subject):
    talk = Conversation(subject.link)
    talk.begin()
    subject.unplug_soon()
    with pytest.raises(PortGone):
        read_until(talk, lambda _seen: False)
    talk.close()
