"""What a flag says: a few words, and a sentence."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class FlagWords:
    """A flag on screen: a few words, and the sentence that says what it means for the figure."""

    title: str
    sentence: str
