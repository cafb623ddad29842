"""Rows of the form: one more until it is full."""

from api.pages import form_rows
from api.pages.form_rows import Filled, grow


def test_a_section_grows_until_it_is_full(monkeypatch):
    """Three rows at most, say; a section that nobody knows does not grow."""
    monkeypatch.setattr(form_rows, "MOST_ROWS", 3)
    filled = Filled(rows={"tools": [{}, {}]})
    assert (grow(filled, "tools"), grow(filled, "tools")) == (True, False)
    assert len(filled.rows["tools"]) == 3
    assert not grow(filled, "moons")
