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


def test_a_row_alone_and_empty_has_nothing_to_remove(app):
    """Remove stands beside a row as soon as something is in it, or another row is there."""
    empty = app.client.get("/start/form").text
    assert 'value="drop-' not in empty
    typed = app.client.post("/start/form", data={"tools.0.makes": "shell", "do": "add-presses"}).text
    assert 'value="drop-tools-0"' in typed
    assert 'value="drop-presses-0"' in typed
    assert 'value="drop-presses-1"' in typed
    assert 'value="drop-resins-0"' not in typed
