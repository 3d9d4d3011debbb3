"""Is a text a date as ISO 8601 writes it?"""

import re

_DATE = re.compile(
    r"(\d{4})-(\d{2})-(\d{2})"
    r"(?:[T ](\d{2}):(\d{2})(?::(\d{2})(?:[.,]\d{1,9})?)?(Z|[+-]\d{2}(?::?\d{2})?)?)?",
    re.ASCII,
)
_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def iso_date(text: str) -> str | None:
    """Return the text with a T between date and time, or None if it is no ISO 8601 date.

    Extended form, day or day and time, with or without an offset. (The rooms of pure functions know no calendar
    module, so the days of a month are counted here.)
    """
    found = _DATE.fullmatch(text.strip())
    if not found:
        return None
    year, month, day, hour, minute, second = (int(part) if part else 0 for part in found.groups()[:6])
    if not 1 <= month <= 12 or not 1 <= day <= _DAYS[month - 1]:
        return None
    leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    if month == 2 and day == 29 and not leap:
        return None
    if hour > 23 or minute > 59 or second > 60:
        return None
    return found.group(0).replace(" ", "T")
