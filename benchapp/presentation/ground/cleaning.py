"""Text typed by people or read from files, made safe to show."""

import unicodedata

LONGEST_NAME = 120
"""Characters of a name that are shown; the session file keeps the rest."""

_JOINERS = "\u200c\u200d"  # zero-width joiners spell words in some scripts and bind some pictures
_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))
_STACKED_MARKS = 3  # no script needs more marks on one letter; a tall stack would cover its neighbours


def clean(text: object, *, limit: int = LONGEST_NAME) -> str:
    """Return the text on one line: no control, bidi, invisible or unassigned characters; runs of blanks are one blank.

    Longer than `limit` characters it is cut and ends with "…". Markup is left as typed: whoever writes HTML escapes it.
    """
    # Only the beginning can be shown, so a text of any length costs the same; dropped characters need some reserve.
    head = str(text)[: 4 * limit + 64]
    kept: list[str] = []
    marks = 0
    for character in head:
        category = unicodedata.category(character)
        if category in ("Mn", "Me"):
            marks += 1
            if marks > _STACKED_MARKS:
                continue
        else:
            marks = 0
        kept.append(_shown(character, category))
    line = " ".join("".join(kept).split())
    if len(line) > limit or len(str(text)) > len(head):
        return line[: limit - 1].rstrip() + "…"
    return line


def coded(text: str) -> str:
    """Return the text with every sign that cannot be seen written as its code, as "\\x1b".

    That is how a message shows what somebody else wrote: there the sign may be what is wrong. Names on screen are
    cleaned instead.
    In messages it is done so on screen and in the terminal alike.
    """
    return "".join(
        sign.encode("unicode_escape").decode() if unicodedata.category(sign) in _UNSEEN else sign for sign in text
    )


def message_line(text: str, *, limit: int) -> str:
    """Return a message's text as one line, line breaks as blanks, unseen signs as codes, cut with "…" at `limit`."""
    line = coded(" ".join(text.split()))
    return line if len(line) <= limit else line[: limit - 1].rstrip() + "…"


def _shown(character: str, category: str) -> str:
    if character in _JOINERS:
        return character
    if category in ("Cc", "Zl", "Zp", "Zs"):
        return " "
    return "" if category in ("Cf", "Cs", "Cn", "Co") else character
