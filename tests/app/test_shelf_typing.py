"""A cell of the shelf typed over in a real browser, and kept."""

from identify.shelf_check import ShelfFile
from identify.shelf_store import import_shelf, load_shelf
from tests.identify.shelves import shelf, size


def test_a_cell_typed_over_is_kept_on_the_shelf(page):
    import_shelf(ShelfFile(shelf(size("one", lengths_mm=(8, 10)))), replace=True)
    try:
        page.get_by_role("link", name="Shelf", exact=True).click()
        page.get_by_text("Change it by hand").click()
        grid = page.locator("[data-testid='stDataFrame'] canvas").first
        grid.wait_for()
        page.wait_for_timeout(1500)  # the table is drawn late, and settles
        box = grid.bounding_box()
        first_row = box["y"] + 35 * 1.5  # header and rows are 35 px high
        page.mouse.click(box["x"] + 80, first_row)  # the system, first of the columns
        page.keyboard.press("Enter")
        page.wait_for_timeout(800)  # its cell opens
        page.keyboard.press("Control+A")
        page.keyboard.type("Hornbeam", delay=50)  # as a hand does: Enter at once outran the cell
        page.wait_for_timeout(500)
        page.keyboard.press("Enter")
        page.wait_for_timeout(2000)  # what was typed goes to the server
        page.get_by_role("button", name="Keep these changes").click()
        page.get_by_text("On the shelf: 1 new, 1 removed").wait_for()
        assert [one.system for one in load_shelf().sizes] == ["Hornbeam"]
    finally:
        import_shelf(ShelfFile(shelf()), replace=True)
