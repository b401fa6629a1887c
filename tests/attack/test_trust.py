"""The counts on docs/trust.md are those of this version."""

from __future__ import annotations

from tests.make_pages import COUNT, TRUST, counts, trust_page


def test_the_counts_are_current() -> None:
    """Remade by ``python -m tests.make_pages``: nothing but a count would change, and none does."""
    page = TRUST.read_text(encoding="utf-8")
    assert [int(number.replace(",", "")) for number in COUNT.findall(page)] == counts()
    assert trust_page() == page
