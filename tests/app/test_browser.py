"""The app in a real browser: what only a browser can show."""

import json
import re

import pytest

from identify.screens import on_table


def points(page):
    return json.loads(page.locator("svg.overlay").get_attribute("data-points"))


def zoom(page):
    return float(page.locator("svg.overlay").get_attribute("data-zoom"))


def centre(page, handle):
    box = page.locator(f"g.handle[data-id='{handle}'] .ring").bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def drag(page, handle, dx, dy):
    x, y = centre(page, handle)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx, y + dy, steps=6)
    page.mouse.up()


def shown(page, label):
    """One number under the film, as text."""
    cell = page.locator(".rf-numbers div").filter(has_text=re.compile(f"^{label}"))
    return cell.locator("b").inner_text()


def wait_for_other(page, label, before):
    page.wait_for_function(
        """([label, before]) => {
             const cells = [...document.querySelectorAll('.rf-numbers div')];
             const cell = cells.find((one) => one.innerText.startsWith(label));
             return cell && cell.querySelector('b').innerText !== before;
           }""",
        arg=[label, before],
    )


@pytest.mark.parametrize("handle", ["A:platform_1", "A:apex"])
def test_dragging_a_handle_changes_the_number_under_the_film(page, handle):
    before, start, scale = shown(page, "Length"), points(page)[handle], zoom(page)
    drag(page, handle, 0, 40)
    wait_for_other(page, "Length", before)
    assert points(page)[handle]["y"] - start["y"] == pytest.approx(40 / scale, abs=1 / scale)


def test_one_click_on_an_own_film_proposes_marks_that_undo_takes_back(page):
    film = list(on_table.demo_films().values())[1]  # not the one that is open
    marks = json.loads(film.with_suffix(".marks.json").read_text(encoding="utf-8"))
    top, apex = marks["implants"][0]["platform_px"][0], marks["implants"][0]["apex_px"]
    page.get_by_role("button", name="Open a film").click()
    page.locator("input[type=file]").set_input_files(film)
    page.get_by_text("Or click once on the implant").wait_for()
    page.keyboard.press("Escape")
    page.locator("g.handle.waiting").first.wait_for()
    page.wait_for_timeout(500)  # the layout settles
    start = points(page)
    click_on_film(page, {"x": (top[0] + apex[0]) / 2, "y": (top[1] + apex[1]) / 2})
    page.get_by_text("are a proposal").wait_for()
    found = points(page)["A:apex"]
    assert (found["x"], found["y"]) == pytest.approx(tuple(apex), abs=25)
    assert page.locator("g.handle.waiting").count() == 3
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("Or click once on the implant").wait_for()
    assert points(page) == start


def click_on_film(page, place):
    box, scale = page.locator(".film img").bounding_box(), zoom(page)
    page.mouse.click(box["x"] + place["x"] * scale, box["y"] + place["y"] * scale)


def test_a_click_on_a_marked_film_changes_nothing(page):
    start = points(page)
    click_on_film(page, {"x": 20, "y": 20})
    page.wait_for_timeout(500)
    assert points(page) == start
    assert page.get_by_text("proposed").count() == 0


def test_undo_puts_handle_and_number_back(page):
    before, start = shown(page, "Length"), points(page)
    drag(page, "A:apex", 0, 40)
    wait_for_other(page, "Length", before)
    changed = shown(page, "Length")
    page.get_by_role("button", name="Undo").click()
    wait_for_other(page, "Length", changed)
    assert shown(page, "Length") == before
    assert points(page) == start


def test_arrow_keys_nudge_and_no_shortcut_of_the_page_fires(page):
    page.locator("g.handle[data-id='A:apex']").focus()
    start = points(page)["A:apex"]
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowUp")
    page.keyboard.press("Alt+ArrowDown")
    end = points(page)["A:apex"]
    assert (round(end["x"] - start["x"], 2), round(end["y"] - start["y"], 2)) == (1, -9.9)
    page.keyboard.press("c")
    page.wait_for_timeout(300)
    assert page.get_by_role("dialog").count() == 0


def test_wheel_zooms_about_the_cursor_and_moves_no_handle(page):
    x, y = centre(page, "A:apex")
    first, start = zoom(page), points(page)
    page.mouse.move(x, y)
    page.mouse.wheel(0, -400)
    page.wait_for_timeout(200)
    assert zoom(page) > 1.5 * first
    assert centre(page, "A:apex") == pytest.approx((x, y), abs=1.5)
    assert points(page) == start


def test_a_nudge_followed_at_once_by_another_page_is_kept(page):
    page.locator("g.handle[data-id='A:apex']").focus()
    page.keyboard.press("Shift+ArrowDown")
    moved = points(page)["A:apex"]
    page.get_by_role("link", name="Findings", exact=True).click()
    page.get_by_role("heading", name="Measures").wait_for()
    page.get_by_role("link", name="Film", exact=True).click()
    page.locator(".film[data-ready]").wait_for()
    assert points(page)["A:apex"] == moved


def test_from_the_opened_app_to_the_record_in_four_clicks(page):
    for click in ("See the findings", "See the families"):
        page.get_by_role("button", name=click).click()
    page.get_by_role("button", name="What can be restored on it").first.click()
    page.get_by_role("button", name="Write the record").click()
    record = page.frame_locator("iframe").first
    record.get_by_role("button", name="Print").wait_for()
    assert record.get_by_text("NOT CONFIRMED: DO NOT ORDER PARTS").first.is_visible()


def test_no_screen_is_wider_than_a_phone(page):
    page.set_viewport_size({"width": 390, "height": 844})
    for click in ("See the findings", "See the families", "What can be restored on it"):
        assert too_wide(page) == []
        page.get_by_role("button", name=click).first.click()
    page.get_by_role("button", name="Write the record").click()
    page.frame_locator("iframe").first.get_by_role("button", name="Print").wait_for()
    assert too_wide(page) == []


def too_wide(page):
    page.wait_for_timeout(500)  # the layout settles
    return page.evaluate(
        """() => [...document.querySelectorAll('[data-testid=stMain] *')]
             .filter((one) => one.getBoundingClientRect().right > innerWidth + 1)
             .map((one) => `${one.tagName}.${one.className}`)"""
    )


def test_the_record_prints_on_one_page_of_a4_and_of_letter(page):
    page.get_by_role("link", name="Record", exact=True).click()
    page.frame_locator("iframe").first.get_by_role("button", name="Print").wait_for()
    sheet = page.context.new_page()
    sheet.set_content(page.locator("iframe").first.get_attribute("srcdoc"))
    for size in ("A4", "Letter"):
        pages = re.findall(rb"/Type\s*/Page\b", sheet.pdf(format=size))
        assert len(pages) == 1, size


def test_answering_leaves_the_questions_open_and_asks_on_what_it_was_seen(page):
    page.get_by_role("link", name="Findings", exact=True).click()
    page.get_by_role("button", name="See the families").wait_for()  # the last thing on the page
    page.get_by_text("What you see or feel on the implant itself").click()
    wait_till_still(page)
    page.get_by_text("three lobes", exact=True).click()
    page.get_by_text("a part screwed to it", exact=True).click()
    page.get_by_text("of a part screwed to the implant", exact=False).wait_for(state="attached")


def wait_till_still(page):
    """A press on something that slides away under the pointer is none, to the browser."""
    page.wait_for_function(
        "() => document.getAnimations().every((one) => one.playState !== 'running')"
    )


def test_a_case_without_a_film_is_found_again_and_shows_its_page(page):
    page.get_by_role("link", name="No film", exact=True).click()
    page.get_by_role("radio", name="three lobes").click()
    page.get_by_text("Best supported").wait_for()
    page.get_by_role("textbox", name="Pseudonym").fill("without a film")
    page.keyboard.press("Enter")
    page.get_by_role("tab", name="Notes, history").click()
    page.get_by_text("pseudonym changed").wait_for()
    page.get_by_role("link", name="Cases", exact=True).click()
    page.get_by_role("button", name="Open", exact=True).first.click()  # the last changed
    page.get_by_role("tab", name="Record").click()
    page.get_by_text("Show the page").click()
    shown = page.frame_locator("iframe").get_by_text("There was no film")
    shown.wait_for()
    assert page.locator("iframe").bounding_box()["height"] < 2000
