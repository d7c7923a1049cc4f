"""A cell of the shelf typed over in a real browser, and kept."""

import pytest

from identify.shelf_check import ShelfFile
from identify.shelf_store import import_shelf, load_shelf
from tests.identify.shelves import shelf, size

ROW_PX = 35  # height of the table's header and of each of its rows
TRIES = 10


def type_over(page, text):
    """Type into the first cell of the first row until the table has it.

    The table is drawn on a canvas that comes late and moves while the page settles, so a click
    may go astray; the canvas carries a table for screen readers that holds what it shows.
    """
    from playwright.sync_api import TimeoutError as TooLate  # noqa: PLC0415 - may be missing

    grid = page.locator("[data-testid='stDataFrame'] canvas").first
    grid.wait_for()
    editor = page.locator(".gdg-input")
    for _ in range(TRIES):
        box = grid.bounding_box()
        page.mouse.click(box["x"] + 80, box["y"] + 1.5 * ROW_PX)
        page.keyboard.press("Enter")
        try:
            editor.fill(text, timeout=3000)
            editor.press("Enter", timeout=3000)
            grid.locator("td", has_text=text).wait_for(state="attached", timeout=3000)
        except TooLate:
            page.keyboard.press("Escape")
        else:
            return
    pytest.fail(f"the cell did not take {text!r} in {TRIES} tries")


def test_a_cell_typed_over_is_kept_on_the_shelf(page):
    import_shelf(ShelfFile(shelf(size("one", lengths_mm=(8, 10)))), replace=True)
    try:
        page.get_by_role("link", name="Shelf", exact=True).click()
        page.get_by_text("Change it by hand").click()
        type_over(page, "Hornbeam")
        page.wait_for_timeout(1000)  # the table gathers its changes before it tells the server
        page.locator("[data-test-script-state='notRunning']").wait_for()
        page.get_by_role("button", name="Keep these changes").click()
        page.get_by_text("On the shelf: 1 new, 1 removed").wait_for()
        assert [one.system for one in load_shelf().sizes] == ["Hornbeam"]
    finally:
        import_shelf(ShelfFile(shelf()), replace=True)
