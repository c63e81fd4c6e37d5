import pytest

from cladmodel.standards.sources import Source, Standing, basis_of

BOOK = Source(name="EN 1995-1-1", edition="2004", place="eq. 8.24", standing=Standing.SECOND_HAND)
READ = Source(name="Handbook", place="p. 12", standing=Standing.FOUND)
HEAD = Source(name="EN 1995-1-1", place="8.3.2(8)", standing=Standing.MEMORY)


@pytest.mark.parametrize(
    ("source", "basis"),
    [
        (READ, "Handbook p. 12"),
        (BOOK, "EN 1995-1-1:2004 eq. 8.24, found second-hand"),
        (HEAD, "from memory: EN 1995-1-1 8.3.2(8)"),
        (Source(name="air", standing=Standing.ASSUMED, note="a guess"), "an assumption: air (a guess)"),
        (Source(name="mesh", standing=Standing.COMMON), "mesh, common practice, no source"),
    ],
)
def test_an_output_says_how_a_number_got_here(source, basis):
    assert source.basis == basis


def test_each_source_is_named_once():
    assert basis_of(READ, BOOK, READ) == f"{READ.basis}; {BOOK.basis}"
