"""What is called what where sets stand side by side: sets, fields that must be alike, quantities."""

from collections import Counter
from collections.abc import Mapping, Sequence

from benchapp.presentation.ground.bench_fields import READY, UNDER_TEST
from benchapp.presentation.ground.cleaning import clean

LIKENESS: Mapping[str, str] = {
    "test": "they went through different tests",
    "origin": "one comes from the practice bench, the other from a real one",
    "control": "one was moved by a switch, the other by a stick",
    "pick_up": "the flips reached the instrument in different ways",
    "against": "one goes by the stick's voltage, the other by its angle",
}
"""Why two sets went not through the same test, by the field that differs."""

QUANTITIES: Mapping[str, tuple[str, str]] = {
    "straightness_pct": ("straightness (best line)", "%"),
    "end_to_end_pct": ("straightness (end to end)", "%"),
    "fitted_hysteresis_pct": ("hysteresis, fitted with the delay", "%"),
    "hysteresis_pct": ("hysteresis, the largest difference", "%"),
    "low_end_us": ("low end", "µs"),
    "high_end_us": ("high end", "µs"),
    "centre_offset_us": ("middle, from 1500 µs", "µs"),
    "dead_band_pct_of_input": ("play around the centre, of input", "%"),
    "centre_flat_pct_of_input": ("flat at the centre, of input", "%"),
    "step_us": ("step of the output", "µs"),
    "repeatability_us": ("repeatability", "µs"),
    "unsteadiness_us": ("unsteadiness (SD)", "µs"),
    "peak_to_peak_us": ("from the shortest to the longest pulse", "µs"),
    "frame_period_ms": ("frame period", "ms"),
    "frame_sd_us": ("frame period's spread (SD)", "µs"),
    "drift_us_per_min": ("drift", "µs/min"),
}
"""A quantity's words and its unit."""


def set_labels(names: Sequence[str], files: Sequence[str]) -> tuple[str, ...]:
    """Return what each set is called: its name, its file's where it has none; sets of one name carry their files' too.

    files : the name of each set's first file
    """
    cleaned = [clean(name, limit=40) for name in names]
    stems = [clean(file, limit=40) for file in files]
    counts = Counter(name.casefold() for name in cleaned)
    labels = [
        name if name and counts[name.casefold()] == 1 else f"{name} ({stem})" if name else stem
        for name, stem in zip(cleaned, stems, strict=True)
    ]
    again = Counter(labels)
    return tuple(f"{label} [{place}]" if again[label] > 1 else label for place, label in enumerate(labels, 1))


def field_words(key: str) -> str:
    """Return a field of the bench in words."""
    return UNDER_TEST.get(key) or READY.get(key) or clean(key, limit=40)


def quantity_words(key: str) -> tuple[str, str]:
    """Return what a quantity is called, and its unit."""
    return QUANTITIES.get(key, (clean(key.replace("_", " "), limit=60), ""))


def listed(labels: Sequence[str], last: str = "and") -> str:
    """Return "Alder", "Alder or Birch", "Alder, Birch or Cedar"."""
    if len(labels) < 2:
        return "".join(labels)
    return f"{', '.join(labels[:-1])} {last} {labels[-1]}"
