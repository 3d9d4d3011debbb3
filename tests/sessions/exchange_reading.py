"""What tests say about leads in plain lists."""

from benchapp.sessions.exchange.capture import CaptureLead


def edges_of(lead: CaptureLead) -> list[tuple[int, int]]:
    assert lead.edges is not None
    return list(zip(lead.edges.times_ns.tolist(), lead.edges.levels.tolist(), strict=True))


def levels_of(lead: CaptureLead) -> list[tuple[int, float]]:
    assert lead.levels is not None
    return list(zip(lead.levels.times_ns.tolist(), lead.levels.values.tolist(), strict=True))


def gaps_of(lead: CaptureLead) -> list[tuple[int, int]]:
    return [(gap.from_ns, gap.to_ns) for gap in lead.gaps]
