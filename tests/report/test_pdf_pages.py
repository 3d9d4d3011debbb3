"""Pieces laid on pages."""

from hypothesis import given
from hypothesis import strategies as st

from benchapp.report.pdf_pages import Piece, Placed, laid_on_pages


def piece(height: float, *, keep_next: bool = False, again: Piece | None = None, space: float = 0.0) -> Piece:
    return Piece(height=height, draw=lambda *_: None, keep_next=keep_next, again=again, space_above=space)


def heights(pages: list[list[Placed]]) -> list[list[float]]:
    return [[placed.piece.height for placed in page] for page in pages]


def test_a_heading_moves_with_what_follows() -> None:
    assert heights(laid_on_pages([piece(80), piece(10, keep_next=True), piece(30)], 100)) == [[80], [10, 30]]


def test_a_figure_moves_whole() -> None:
    assert heights(laid_on_pages([piece(60), piece(60), piece(40)], 100)) == [[60], [60, 40]]


def test_a_table_head_comes_again_on_every_page() -> None:
    head = piece(10, keep_next=True)
    rows = [piece(30, again=head) for _ in range(6)]
    assert heights(laid_on_pages([head, *rows], 100)) == [[10, 30, 30, 30], [10, 30, 30, 30]]


def test_a_chain_longer_than_a_page_is_laid_as_it_comes() -> None:
    chain = [piece(40, keep_next=True) for _ in range(5)]
    assert heights(laid_on_pages([piece(50), *chain], 100)) == [[50, 40], [40, 40], [40, 40]]


def test_room_before_a_piece_is_dropped_at_the_top_of_a_page() -> None:
    pages = laid_on_pages([piece(90), piece(20, space=15), piece(20, space=15)], 100)
    assert [[placed.top for placed in page] for page in pages] == [[0.0], [0.0, 35.0]]


def test_no_pieces_give_one_page() -> None:
    assert laid_on_pages([], 100) == [[]]


made = st.builds(
    piece, st.floats(min_value=1, max_value=120), keep_next=st.booleans(), space=st.floats(min_value=0, max_value=20)
)


@given(st.lists(made, max_size=60))
def test_every_piece_is_laid_once_in_order_and_none_overlap(pieces: list[Piece]) -> None:
    pages = laid_on_pages(pieces, 100)
    assert [placed.piece for page in pages for placed in page] == pieces
    for page in pages:
        bottom = 0.0
        for placed in page:
            assert placed.top >= bottom - 1e-9
            bottom = placed.top + placed.piece.height
        assert bottom <= 100 + 1e-6 or len(page) == 1
