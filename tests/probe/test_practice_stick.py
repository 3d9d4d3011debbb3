"""The practice bench's stick in the bytes it sends: where the hand puts it, and what the output makes of that."""

import itertools
import json

import numpy as np
import pytest

from benchapp.probe.messages import LeadFrame, LevelTicks, Reply
from benchapp.probe.opening import url_for_test
from benchapp.probe.practice.hand import Habits, Hand, Motion, even_places
from benchapp.probe.practice.link import open_practice
from benchapp.probe.practice.url import parse_practice_url, with_motion
from benchapp.probe.wire import Commands, Decoder, Status, pack_command
from benchapp.records.errors import WrongCall
from benchapp.records.leads import LeadKind
from benchapp.records.run import RunSettings
from tests.probe.practice_reading import read_s, record, start, understand

LOW, HIGH = 155, 868  # counts of the level lead with the stick at either end
S = 1_000_000_000


def samples(recording):
    """Return instants [s] and the stick's place, 0 to 1, of every sample."""
    at, counts = [], []
    first = None
    for message in recording.of(LevelTicks):
        first = message.first_tick if first is None else first
        ticks = (message.first_tick - first) % 2**32 + np.arange(message.counts.size) * message.step
        at.append(ticks / 16e6)
        counts.append(message.counts)
    return np.concatenate(at), (np.concatenate(counts).astype(float) - LOW) / (HIGH - LOW)


def pulses(recording):
    """Return leading edges [s] and durations [µs]."""
    edges = recording.edges["output"]
    pairs = [(a[0], b[0]) for a, b in itertools.pairwise(edges) if a[1] == 1]
    begun, ended = np.array(pairs).T
    return begun / 16e6, (ended - begun) / 16


# The hand ---------------------------------------------------------------------------------------------------------


def places(hand, seconds, step_s=0.01):
    return np.array([hand.place_at(round(at * S)) for at in np.arange(0, seconds, step_s)])


def test_a_sweep_goes_from_stop_to_stop_and_rests_there():
    hand = Hand(Habits(cycles=3), 1, 0.0)
    hand.begin(Motion.SWEEP, 0)
    where = places(hand, 60)
    assert (where.min(), where.max()) == (0.0, 1.0)
    strokes = [move for move in hand.moves if move.start != move.end]
    rests = [move for move in hand.moves if move.start == move.end and move.to_ns > move.from_ns]
    assert [move.end for move in strokes] == [1.0, 0.0] * 3
    assert all(rest.to_ns - rest.from_ns >= 0.8 * S for rest in rests)
    assert not hand.busy


@pytest.mark.parametrize("seed", range(20))
def test_the_strokes_of_three_cycles_differ_in_speed_up_and_down_apart(seed):
    hand = Hand(Habits(cycles=3), seed, 0.0)
    hand.begin(Motion.SWEEP, 0)
    places(hand, 60, 0.1)
    lasting = [(move.to_ns - move.from_ns) / S for move in hand.moves if move.start != move.end]
    speeds = 1 / np.array(lasting)
    assert np.ptp(speeds) / 2 / speeds.mean() >= 0.3
    for direction in (speeds[::2], speeds[1::2]):
        assert np.ptp(direction) / direction.mean() >= 0.15
    assert 3 / 1.61 <= min(lasting) <= max(lasting) <= 3 / 0.39


def test_a_stroke_never_turns_back_and_is_uneven_in_itself():
    hand = Hand(Habits(cycles=1), 3, 0.0)
    hand.begin(Motion.SWEEP, 0)
    places(hand, 20, 0.1)
    up = next(move for move in hand.moves if move.end > move.start)
    way = np.array([up.place_at(up.from_ns + (up.to_ns - up.from_ns) * k // 400) for k in range(401)])
    steps = np.diff(way)
    assert np.all(steps >= 0)
    inner = steps[40:-40]
    assert inner.max() / inner.min() > 1.3
    assert (way[0], way[-1]) == (0.0, 1.0)


def test_stops_are_visited_up_and_down_and_never_passed():
    hand = Hand(Habits(stops=even_places(5), cycles=2), 1, 0.0)
    hand.begin(Motion.STOPS, 0)
    where = places(hand, 60)
    held = [move.end for move in hand.moves if move.start == move.end and move.to_ns - move.from_ns >= S]
    assert held == pytest.approx([0, 0.25, 0.5, 0.75, 1, 0.75, 0.5, 0.25, 0, 0.25, 0.5, 0.75, 1, 0.75, 0.5, 0.25, 0])
    turns = np.flatnonzero(np.diff(np.sign(np.diff(where)[np.diff(where) != 0])))
    assert turns.size == 3  # two cycles: only the ends turn it


def test_left_alone_it_stays_where_it_is_and_can_be_put_elsewhere():
    hand = Hand(Habits(), 1, 0.0)
    hand.begin(Motion.SWEEP, 0)
    hand.leave(3 * S)
    here = hand.place_at(3 * S)
    assert 0.1 < here < 0.9
    assert hand.place_at(50 * S) == here
    hand.put(0.75, 60 * S)
    assert hand.place_at(60 * S) == pytest.approx(here)
    assert hand.place_at(61 * S) == 0.75
    assert hand.place_at(2 * S) < here  # what has been stays


def test_a_sweep_begun_from_anywhere_first_goes_to_the_low_end():
    hand = Hand(Habits(cycles=1), 1, 0.5)
    hand.begin(Motion.SWEEP, S)
    assert hand.place_at(S) == 0.5
    assert hand.place_at(2 * S) == 0.0


# The level lead ---------------------------------------------------------------------------------------------------


def test_the_stick_is_on_the_level_lead_from_end_to_end(tmp_path):
    recording = record("practice://alder?seed=3&motion=sweep", 30, tmp_path, level_rate_hz=1000)
    at, place = samples(recording)
    assert np.median(np.diff(at)) == pytest.approx(0.001)
    assert place.min() == pytest.approx(0, abs=3 / 713)
    assert place.max() == pytest.approx(1, abs=3 / 713)
    moves = recording.truth["moves"]
    assert len(moves) >= 9
    for move in moves[:-1]:
        n = np.searchsorted(at, move["to_s"])
        assert place[n - 3 : n + 3].mean() == pytest.approx(move["to"], abs=2 / 713)


def test_the_stick_s_lead_says_its_volts_and_its_role():
    messages = Decoder().feed(open_practice("practice://birch?motion=none").read().data)
    leads = {m.lead.label: m.lead for m in messages if isinstance(m, LeadFrame)}
    stick = leads["stick"]
    assert (stick.kind, stick.role, stick.full_scale_counts) == (LeadKind.LEVEL, "stick", 1023)
    assert {"output", "switch", "module"} <= {lead.role for lead in leads.values()}
    assert {"stick hand", "stick place"} <= set(leads)


def test_without_a_motion_the_bench_is_as_it_was():
    messages = Decoder().feed(open_practice("practice://birch").read().data)
    labels = [m.lead.label for m in messages if isinstance(m, LeadFrame)]
    assert labels == ["output", "switch", "module", "pack", "flip", "radio power", "lamp", "servo pulses out"]


# The output -------------------------------------------------------------------------------------------------------

PLAIN = "&expo=0&bow=0&centre_flat=0&dead_band=0&hysteresis=0&resolution_us=0&noise_us=0"


def asked(place, low, high):
    return low + (high - low) * np.clip(place, 0, 1)


@pytest.mark.parametrize("delay_ms", [0, 40])
def test_a_plain_stick_s_pulse_is_its_place_a_delay_ago(delay_ms, tmp_path):
    url = f"practice://alder?seed=4&motion=sweep&stick_delay_ms={delay_ms}{PLAIN}&jitter_us=0"
    recording = record(url, 30, tmp_path, level_rate_hz=1000)
    at, place = samples(recording)
    begun, lasting = pulses(recording)
    seen = begun > 1
    smooth = np.convolve(place, np.ones(5) / 5, mode="same")
    wanted = asked(np.interp(begun[seen] - delay_ms / 1e3, at, smooth), 1096, 1898)
    off = lasting[seen] - wanted
    # A tick, a fifth of a count of rounding and noise over five samples, and the bend of a straight piece.
    assert np.sqrt(np.mean(off**2)) < 0.5
    assert abs(np.mean(off * np.sign(np.gradient(wanted)))) < 0.1
    assert recording.truth["sweep"]["delay_ms"] == delay_ms


@pytest.mark.parametrize("age", ["even", "scan"])
@pytest.mark.parametrize("radio", ["alder", "birch", "cedar"])
def test_by_the_radio_s_own_law_the_delay_is_what_the_truth_says(radio, age, tmp_path):
    url = f"practice://{radio}?seed=4&motion=sweep{PLAIN}&clip=0&stick_age={age}"
    recording = record(url, 40, tmp_path, level_rate_hz=1000)
    at, place = samples(recording)
    # Smoothed, or noise would favour delays half-way between two samples, where two are averaged.
    place = np.convolve(np.pad(place, 10, mode="edge"), np.ones(21) / 21, mode="valid")
    begun, lasting = pulses(recording)
    sweep = recording.truth["sweep"]
    low, high = sweep["low_end_us"], sweep["high_end_us"]

    def off_us(delay_ms) -> float:
        wanted = asked(np.interp(begun[begun > 1] - delay_ms / 1e3, at, place), low, high)
        return float(np.mean((lasting[begun > 1] - wanted) ** 2))

    delays = np.arange(0, 80, 0.1)
    best = delays[np.argmin([off_us(delay) for delay in delays])]
    # Fast moments weigh more in the best fit than in the mean of all ages.
    assert best == pytest.approx(sweep["delay_ms"], abs=0.15 if age == "even" else 0.4)
    assert sweep["delay_ms"] == pytest.approx(sweep["long_run_delay_ms"], abs=1e-6 if age == "even" else 0.5)


@pytest.mark.parametrize(("age", "least_us", "most_us"), [("even", 0.0, 0.12), ("scan", 0.2, 1.0)])
def test_samples_of_one_age_scatter_less_than_those_of_the_scans(age, least_us, most_us, tmp_path):
    url = f"practice://alder?seed=4&motion=sweep{PLAIN}&stick_age={age}&jitter_us=0"
    recording = record(url, 10, tmp_path, level_rate_hz=1000)
    begun, lasting = pulses(recording)
    stroke = next(move for move in recording.truth["moves"] if move["to"] > move["from"])
    inside = (begun > stroke["from_s"] + 0.5) & (begun < stroke["to_s"] - 0.5)
    bends = np.diff(lasting[inside], 2) / np.sqrt(6)
    assert least_us <= np.std(bends) <= most_us


def test_pulses_come_in_the_steps_asked_for(tmp_path):
    recording = record("practice://alder?seed=5&motion=sweep&resolution_us=5&noise_us=0", 20, tmp_path)
    steps = pulses(recording)[1] / 5
    assert np.max(np.abs(steps - np.rint(steps))) * 5 < 0.07  # ticks


def test_a_reversed_channel_falls_while_the_stick_rises(tmp_path):
    recording = record("practice://alder?seed=6&motion=sweep&reverse=1", 8, tmp_path, level_rate_hz=250)
    at, place = samples(recording)
    begun, lasting = pulses(recording)
    moving = np.interp(begun, at, place)
    assert np.corrcoef(moving, lasting)[0, 1] < -0.99


def test_held_still_only_noise_is_left(tmp_path):
    recording = record("practice://cedar?seed=7&motion=still&place=0.25", 20, tmp_path, level_rate_hz=250)
    at, place = samples(recording)
    begun, lasting = pulses(recording)
    assert place[at > 2].mean() == pytest.approx(0.25, abs=0.5 / 713)
    assert lasting[begun > 2].std() == pytest.approx(0.1, rel=0.15)
    assert recording.truth["noise_us"] == 0.1


def test_the_module_s_train_shows_the_stick_too(tmp_path):
    recording = record(f"practice://birch?seed=8&motion=sweep{PLAIN}", 12, tmp_path)
    edges = np.array([tick for tick, level in recording.edges["module"] if level == 1])
    gaps = np.diff(edges) / 16
    starts = np.flatnonzero(gaps > 3000)[:-1] + 1
    channel = gaps[starts + 4]
    assert channel.min() == pytest.approx(1108, abs=0.2)
    assert channel.max() == pytest.approx(1886, abs=0.2)


def test_power_off_freezes_a_receiver_that_holds_and_on_again_follows_the_stick(tmp_path):
    link = open_practice("practice://birch?seed=9&motion=sweep")
    start(link, level_rate_hz=250)
    data = read_s(link, 4)
    link.write(pack_command(Commands.DRIVE, 2, lead=5, level=0))
    held = read_s(link, 3)
    link.write(pack_command(Commands.DRIVE, 3, lead=5, level=1))
    after = read_s(link, 15)
    recording = understand(data + held + after)
    begun, lasting = pulses(recording)
    assert np.ptp(lasting[(begun > 4.2) & (begun < 7)]) < 3
    assert np.ptp(lasting[begun > 11]) > 500


# What the window asks for -----------------------------------------------------------------------------------------


def drive(link, lead, level, token):
    link.write(pack_command(Commands.DRIVE, token, lead=lead, level=level))


def test_the_hand_is_driven_and_the_stick_takes_the_channel_that_the_switch_had():
    link = open_practice("practice://alder?seed=10&motion=none")
    start(link, level_rate_hz=250)
    data = read_s(link, 1)
    drive(link, 4, 1, 2)  # flip
    data += read_s(link, 0.9)
    drive(link, 4, 0, 3)  # back: driven leads go to rest by themselves without a host, and that would flip it again
    data += read_s(link, 0.1)
    drive(link, 8, 1, 4)  # sweep
    data += read_s(link, 15)
    drive(link, 8, 0, 5)  # leave it
    data += read_s(link, 2)
    recording = understand(data)
    begun, lasting = pulses(recording)
    at, place = samples(recording)
    assert lasting[(begun > 1.1) & (begun < 1.9)] == pytest.approx(1900, abs=2)
    assert lasting[(begun > 2.1) & (begun < 2.9)] == pytest.approx(1097, abs=3)
    assert np.ptp(lasting[(begun > 3) & (begun < 17)]) > 700
    assert np.ptp(place[at > 17.1]) < 5 / 713


def test_the_stick_can_be_put_to_any_of_241_places():
    link = open_practice("practice://alder?seed=11&motion=none")
    start(link, level_rate_hz=250)
    data = b""
    for token, level in enumerate((240, 60, 60, 188), start=2):
        drive(link, 9, level, token)
        data += read_s(link, 1)
    at, place = samples(understand(data))
    for n, level in enumerate((240, 60, 60, 188)):
        held = (at > n + 0.6) & (at < n + 0.95)
        assert place[held].mean() == pytest.approx(level / 240, abs=1 / 713)


def test_a_stick_led_from_place_to_place_moves_smoothly():
    link = open_practice("practice://alder?seed=11&motion=none")
    start(link, level_rate_hz=250)
    data = read_s(link, 0.5)
    for n in range(60):  # as a mouse does: four parts of the travel thirty times a second
        drive(link, 9, 4 * (n + 1), 2 + n)
        data += read_s(link, 0.033)
    at, place = samples(understand(data))
    going = place[(at > 0.9) & (at < 2.2)]
    over_20_ms = going[5:] - going[:-5]
    assert over_20_ms.min() > 0.003
    assert over_20_ms.max() < 0.02


def test_the_hand_takes_each_cycle_at_the_speed_it_is_told():
    link = open_practice("practice://alder?seed=12&motion=none&stroke_s=2&speeds=1,0.5")
    start(link, level_rate_hz=250)
    drive(link, 8, 1, 2)
    at, place = samples(understand(read_s(link, 17)))
    moving = np.abs(np.diff(place[::5])) > 0.002
    begun = at[::5][:-1][moving & ~np.append(False, moving[:-1])]
    ended = at[::5][:-1][moving & ~np.append(moving[1:], False)]
    lasting = [float(ended[ended >= one][0] - one) for one in begun]
    long_ones = [lasts for lasts in lasting if lasts > 1.0]
    assert long_ones[:4] == pytest.approx([1.9, 1.9, 3.85, 3.85], abs=0.3)


def test_the_hand_goes_by_as_many_stops_as_it_is_told():
    link = open_practice("practice://alder?seed=12&motion=none&stop_s=1")
    start(link, level_rate_hz=250)
    drive(link, 8, 5, 2)
    at, place = samples(understand(read_s(link, 9)))
    held = [place[(at > t) & (at < t + 0.2)].mean() for t in (0.5, 2.3, 4.0, 5.7, 7.4)]
    assert held == pytest.approx([0, 0.25, 0.5, 0.75, 1], abs=0.01)


@pytest.mark.parametrize(("lead", "level"), [(8, 102), (8, 255), (9, 241)])
def test_a_level_the_hand_does_not_know_is_refused(lead, level):
    link = open_practice("practice://alder?motion=none")
    start(link)
    drive(link, lead, level, 7)
    replies = [m for m in Decoder().feed(link.read().data) if isinstance(m, Reply) and m.token == 7]
    assert replies[0].status == Status.WRONG_FIELD


def test_a_bench_without_a_stick_has_no_hand_to_drive():
    link = open_practice("practice://alder")
    start(link)
    drive(link, 8, 1, 7)
    replies = [m for m in Decoder().feed(link.read().data) if isinstance(m, Reply) and m.token == 7]
    assert replies[0].status == Status.WRONG_FIELD


def test_the_truth_s_moves_are_cut_where_the_hand_was_told_otherwise(tmp_path):
    truth = tmp_path / "truth.json"
    link = open_practice("practice://alder?seed=13&motion=none", truth=truth)
    start(link)
    drive(link, 8, 1, 2)
    read_s(link, 3)
    drive(link, 8, 0, 3)
    read_s(link, 1)
    link.close()
    moves = json.loads(truth.read_text())["moves"]
    assert [move["from_s"] for move in moves[1:]] == [move["to_s"] for move in moves[:-1]]
    assert [move["from"] for move in moves[1:]] == [move["to"] for move in moves[:-1]]
    assert 0 < moves[-1]["to"] < 1


# The URL ----------------------------------------------------------------------------------------------------------


def test_every_key_of_the_stick_is_taken():
    asked_for = parse_practice_url(
        "practice://cedar?motion=stops&expo=5&bow=-1&centre_flat=2&dead_band=0.5&hysteresis=0.25&clip=3&resolution_us=1"
        "&stick_delay_ms=12.5&stick_age=scan&stroke_s=4&speed_spread=0.5&rest_s=0.6&cycles=4&stops=21&stop_s=2&place=0.1"
    ).options
    law = asked_for.stick_law
    assert (law.expo, law.bow, law.centre_flat, law.dead_band) == pytest.approx((0.05, -0.01, 0.02, 0.005))
    assert (law.hysteresis, law.clip, law.step_us) == pytest.approx((0.0025, 0.03, 1.0))
    assert (asked_for.stick_delay_ms, asked_for.stick_age) == (12.5, "scan")
    assert asked_for.habits == Habits(
        stroke_s=4.0, speed_spread=0.5, rest_s=0.6, cycles=4, stops=even_places(21), stop_s=2.0, place=0.1
    )


@pytest.mark.parametrize(
    ("query", "named"),
    [
        ("motion=jump", "none or sweep or stops or still"),
        ("motion=sweep&cycles=0", "cycles"),
        ("motion=sweep&speeds=1,,2", "speeds"),
        ("motion=sweep&speeds=0.1", "0.2 to 5"),
        ("motion=stops&stops=1", "stops"),
        ("motion=stops&stops=0,0,5", "stops"),
        ("motion=stops&stops=5,-5", "stops"),
        ("motion=stops&stops=-31,0", "stops"),
        ("motion=stops&stops=0,,5", "stops"),
        ("motion=sweep&expo=95", "expo"),
        ("motion=sweep&stick_delay_ms=900", "stick_delay_ms"),
        ("motion=sweep&control=stick", "control=stick"),
        ("motion=sweep&flips=random", "does not flip"),
        ("motion=still&place=1.5", "place"),
        ("motion=sweep&stick_age=new", "even or scan"),
    ],
)
def test_what_the_stick_cannot_do_is_refused(query, named):
    with pytest.raises(WrongCall) as caught:
        parse_practice_url(f"practice://alder?{query}")
    assert named in caught.value.message


def test_stops_can_be_positions_in_degrees():
    assert parse_practice_url("practice://alder?motion=stops&stops=-30,-15,0,30").options.stops == (0.0, 0.25, 0.5, 1.0)


SWEEP, HOLD = "stick-sweep", "hold-still"


@pytest.mark.parametrize(
    ("url", "test", "told", "wanted"),
    [
        ("practice://birch?seed=2", SWEEP, {}, "practice://birch?seed=2&motion=sweep"),
        (
            "practice://birch",
            SWEEP,
            {"stops_deg": (-30.0, 0.0, 12.5)},
            "practice://birch?motion=stops&stops=-30,0,12.5",
        ),
        ("practice://birch?motion=still", SWEEP, {}, "practice://birch?motion=still"),
        ("practice://birch", HOLD, {"seconds": 20.0}, "practice://birch?motion=still"),
        (
            "practice://birch?stops=4",
            HOLD,
            {"seconds": 20.0, "positions": 3},
            "practice://birch?stops=4&motion=stops&stop_s=23",
        ),
        ("practice://birch", "switch-flip", {}, "practice://birch"),
        ("/dev/ttyUSB0", SWEEP, {}, "/dev/ttyUSB0"),
    ],
)
def test_the_hand_does_what_the_test_asks_for_where_the_url_leaves_it_open(url, test, told, wanted):
    assert url_for_test(url, test, RunSettings(**told)) == wanted


@pytest.mark.parametrize(
    ("url", "wanted"),
    [
        ("practice://birch", "practice://birch?motion=sweep"),
        ("practice://birch?seed=2", "practice://birch?seed=2&motion=sweep"),
        ("practice://birch?motion=still", "practice://birch?motion=still"),
        ("practice://birch?m%6ftion=still", "practice://birch?m%6ftion=still"),
    ],
)
def test_a_motion_is_added_only_where_none_is_asked_for(url, wanted):
    assert with_motion(url, Motion.SWEEP) == wanted
