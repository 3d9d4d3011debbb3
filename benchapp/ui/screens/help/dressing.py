"""How a page of the help is dressed: its letters, its colours, and the links at its foot."""

from benchapp.ui.look.tokens import SIGNALS, Space, Tokens, Type
from benchapp.ui.screens.help.contents import CONTENTS, PAGES, neighbours


def style_sheet(tokens: Tokens, scale: float) -> str:
    """Return the style of a page in a theme, with letters `scale` times as large as usual."""

    def points(size: Type) -> str:
        return f"{size * scale:g}pt"

    signals = " ".join(
        f".{word.lower()} {{ background-color: {ground}; color: {ink}; font-weight: bold; }}"
        for word, (ground, ink) in SIGNALS.items()
    )
    return (
        f"body, p, li, td, th {{ color: {tokens.ink}; line-height: 135%; }} "
        f"h1 {{ font-size: {points(Type.TITLE)}; margin-bottom: {Space.MEDIUM}px; }} "
        f"h2 {{ font-size: {points(Type.HEADING)}; margin-top: {Space.WIDE}px; margin-bottom: {Space.SMALL}px; }} "
        f"h3 {{ font-size: {points(Type.LEAD)}; margin-top: {Space.LARGE}px; margin-bottom: {Space.HAIR}px; }} "
        f"p {{ margin-top: 0; margin-bottom: {Space.MEDIUM}px; }} "
        f"li {{ margin-bottom: {Space.SMALL}px; }} "
        f"a {{ color: {tokens.action}; }} "
        ".drawing { line-height: 100%; margin-top: 8px; margin-bottom: 16px; } "
        f".lead {{ color: {tokens.soft_ink}; }} "
        f".foot {{ color: {tokens.soft_ink}; font-size: {points(Type.CAPTION)}; margin-top: {Space.WIDE}px; }} "
        f"{signals}"
    )


def dressed(text: str, page: str, *, whole_list: bool) -> str:
    """Return a page's text with links at its foot: to its neighbours, and to every page where there is no list."""
    before, after = neighbours(page)
    steps = [
        f'{way}: <a href="{name}.html">{PAGES[name]}</a>' for way, name in (("Before", before), ("Next", after)) if name
    ]
    parts = [f'<p class="foot">{" · ".join(steps)}</p>'] if steps else []
    if whole_list:
        for heading, group in CONTENTS.items():
            links = " · ".join(f'<a href="{name}.html">{title}</a>' for name, title in group.items())
            parts.append(f'<p class="foot"><b>{heading}:</b> {links}</p>')
    return text.replace("</body>", "".join(parts) + "</body>")
