"""A page as one HTML file: styles and drawings inside, nothing fetched from anywhere."""

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from benchapp.presentation.ground.page import NARROW_PX, PRACTICE_MARK, Block, Figure, Heading, Page, Photo
from benchapp.records.photo import photo_text

_NAMESPACE = ' xmlns="http://www.w3.org/2000/svg"'


def render_html(page: Page) -> str:
    """Return the page as a complete HTML document. Every text is escaped; only our own drawings and styles are not."""
    return _template().render(
        page=page,
        css=Markup(_styles()),
        practice_mark=PRACTICE_MARK,
        kind_of=_kind_of,
        inline_svg=_inline_svg,
        photo_address=_photo_address,
        contents_of=_contents,
        narrow_px=NARROW_PX,
    )


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("benchapp.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )


@cache
def _template() -> Template:
    return _environment().get_template("report.html.j2")


@cache
def _styles() -> str:
    loader = _environment().loader
    if loader is None:
        return ""
    return loader.get_source(_environment(), "report.css")[0]


def _contents(page: Page) -> list[Heading]:
    """Return what the table of contents names: every part that has a heading to be seen."""
    return [block for block in page.blocks if isinstance(block, Heading) and block.level <= 2 and not block.quiet]


def _kind_of(block: Block) -> str:
    return type(block).__name__


def _inline_svg(figure: Figure) -> Markup:
    # Inside HTML the namespace is known; without it the file names no address at all.
    return Markup(figure.svg.replace(_NAMESPACE, "", 1))


def _photo_address(photo: Photo) -> str:
    return f"data:image/jpeg;base64,{photo_text(photo.jpeg)}"
