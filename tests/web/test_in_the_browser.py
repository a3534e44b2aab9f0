"""Each flow as a person does it, on a phone and at a desk."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from tests.web.conftest import kept

from longhold.documents.world_map import HEIGHT, WIDTH

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]


def _is_accessible(page: Page) -> None:
    """WCAG 2.1 A and AA as far as axe-core can tell, and nothing wider than the screen."""
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]})
    assert not found.response["violations"], found.generate_report()
    wide, screen = page.evaluate(
        "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    )
    assert wide <= screen


def test_a_label(screen: Page) -> None:
    screen.goto("/")
    _is_accessible(screen)
    kept(screen, "first")
    screen.get_by_role("link", name="A label", exact=False).last.click()
    screen.get_by_label("Words on the box").fill("hanger G185 with 10d nails A153 D")
    screen.get_by_role("button", name="Read it").click()
    screen.get_by_role("heading", name="nail: ASTM A153 class D").wait_for()
    _is_accessible(screen)
    kept(screen, "label")


def test_one_joint_from_the_map_to_the_answer(screen: Page) -> None:
    screen.goto("/joint")
    for _ in range(3):
        _press_on_land(screen)
    assert screen.get_by_label("Latitude and longitude").input_value()
    screen.get_by_label("In what surroundings?").select_option("dry_inside")
    screen.get_by_label("Label of part 1").fill("zzz")
    screen.get_by_role("button", name="Answer").last.click()
    screen.get_by_role("alert").wait_for()
    _is_accessible(screen)
    kept(screen, "joint-wrong")
    screen.get_by_label("Label of part 1").fill("HDG per ASTM A153")
    screen.get_by_role("button", name="Answer").last.click()
    screen.locator("section.joint").wait_for(timeout=120_000)
    _is_accessible(screen)
    kept(screen, "joint-answer")
    screen.get_by_role("link", name="Change something").click()
    assert screen.get_by_label("Label of part 1").input_value() == "HDG per ASTM A153"


def _press_on_land(screen: Page) -> None:
    """Press the map where land lies: the picture of a desk is larger than that of a phone."""
    picture = screen.get_by_role("button", name="Map")
    box = picture.bounding_box()
    assert box is not None
    picture.click(position={"x": 96 / WIDTH * box["width"], "y": 98 / HEIGHT * box["height"]})


def test_by_keyboard_alone(screen: Page) -> None:
    screen.goto("/label")
    screen.keyboard.type("Z275")
    screen.keyboard.press("Tab")
    screen.keyboard.press("Enter")
    screen.get_by_role("heading", name="EN 10346").first.wait_for()
    screen.keyboard.press("Tab")
    assert screen.evaluate("document.activeElement.textContent") == "Skip to the content"


def test_the_button_off_the_screen_takes_no_focus_and_enter_still_answers(screen: Page) -> None:
    """Enter in a field presses the first button of its form, which would be that of the map."""
    screen.goto("/joint")
    stops = set()
    for _ in range(60):
        screen.keyboard.press("Tab")
        box = screen.evaluate(
            "(() => { const box = document.activeElement.getBoundingClientRect(); return box.right })()"
        )
        stops.add(box > 0)
    assert stops == {True}
    screen.get_by_label("Label of part 1").fill("zzz")
    screen.get_by_label("Label of part 1").press("Enter")
    screen.get_by_role("alert").wait_for(timeout=60_000)
    assert "#map" not in screen.url


def _focused(screen: Page) -> str:
    return str(screen.evaluate("document.activeElement.id || document.activeElement.dataset.remove"))


def _unfold(screen: Page) -> None:
    screen.evaluate("document.querySelectorAll('.sheet-fold').forEach(one => (one.open = true))")


def test_the_keyboard_goes_on_where_rows_moved(screen: Page) -> None:
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill("By keyboard")
    screen.get_by_role("button", name="Begin").click()
    screen.locator("#state").wait_for()
    _unfold(screen)
    count = screen.locator('[data-sheet="Joints"] tbody tr').count()
    screen.get_by_role("button", name="Add an empty joint").press("Enter")
    screen.get_by_text("Version 2 is saved.").wait_for()
    assert _focused(screen) == f"joints[{count}].id"
    screen.keyboard.press("Control+z")
    screen.get_by_text("Version 3 is saved.").wait_for()
    _unfold(screen)
    screen.locator('[id="joints[0].quantity"]').focus()
    screen.keyboard.press("Control+Shift+z")
    screen.get_by_text("Version 4 is saved.").wait_for()
    screen.locator('[id="joints[0].quantity"]:focus').wait_for()
    screen.locator('[data-remove="joints[1]"]').press("Enter")
    screen.get_by_text("Version 5 is saved.").wait_for()
    assert screen.locator('[data-sheet="Joints"] tbody tr').count() == count
    assert _focused(screen) == "joints[1]"
    screen.locator('[id="joints[0].place"]').focus()
    screen.keyboard.press("Control+z")
    screen.get_by_text("Version 6 is saved.").wait_for()
    screen.locator('[id="joints[0].place"]:focus').wait_for()


def test_a_structure_is_edited_like_a_sheet(screen: Page) -> None:
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill("Pier")
    screen.get_by_role("button", name="Begin").click()
    screen.get_by_role("heading", name="Pier").wait_for()
    _is_accessible(screen)
    if not screen.get_by_label("J1", exact=False).first.is_visible():
        screen.get_by_role("heading", name="Joints").click()
    quantity = screen.locator('[id="joints[1].quantity"]')
    quantity.fill("many")
    quantity.press("Enter")
    screen.get_by_text("1 thing to put right").wait_for()
    assert quantity.get_attribute("aria-invalid") == "true"
    _is_accessible(screen)
    _is_read_whole(screen)
    kept(screen, "sheet-wrong")
    screen.reload()
    assert quantity.input_value() == "many"
    screen.locator("#state [data-where]").click()
    quantity.fill("16")
    quantity.press("Enter")
    screen.get_by_text("1 thing to put right").wait_for(state="detached")
    screen.locator("#undo").click()
    screen.get_by_text("Version 3 is saved").wait_for()
    screen.locator("#redo").click()
    screen.get_by_text("Version 4 is saved").wait_for()
    assert quantity.input_value() == "16"
    kept(screen, "sheet")


def _is_read_whole(screen: Page) -> None:
    """What is said beside a cell stands inside the frame of its table, and in few enough lines to be read."""
    said, frame = (
        screen.locator(f'[data-sheet="Joints"] {one}').bounding_box() for one in (".grid .wrong", ".pan")
    )
    assert said
    assert frame
    assert said["x"] >= frame["x"]
    assert said["x"] + said["width"] <= frame["x"] + frame["width"] + 1
    assert said["width"] >= 200


def test_cells_copied_from_a_spreadsheet_fill_and_make_rows(screen: Page) -> None:
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill("Pasted")
    screen.get_by_role("button", name="Begin").click()
    screen.get_by_role("heading", name="Pasted").wait_for()
    screen.locator('[data-sheet="Joints"]').evaluate("fold => { fold.open = true }")
    screen.locator('[id="joints[3].id"]').focus()
    screen.evaluate(
        """() => {
          const board = new DataTransfer();
          board.setData("text", "P1\\tFirst pasted\\nP2\\tSecond pasted\\n");
          const told = { clipboardData: board, bubbles: true, cancelable: true };
          document.activeElement.dispatchEvent(new ClipboardEvent("paste", told));
        }"""
    )
    screen.locator('[id="joints[4].name"]').wait_for(state="attached")
    assert screen.locator('[id="joints[4].name"]').input_value() == "Second pasted"
    assert screen.locator('[id="joints[3].id"]').input_value() == "P1"


def _begun(screen: Page, name: str) -> None:
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill(name)
    screen.get_by_role("button", name="Begin").click()
    screen.get_by_role("heading", name=name).wait_for()
    screen.locator(".sheet-fold").evaluate_all("folds => folds.forEach(fold => { fold.open = true })")


def test_a_block_copied_from_the_sheet_and_pasted_back_below_says_the_same(screen: Page) -> None:
    _begun(screen, "Copied")
    first, last = screen.locator('[id="joints[0].id"]'), screen.locator('[id="joints[1].access"]')
    first.click()
    last.click(modifiers=["Shift"])
    copied = screen.evaluate(
        """() => {
          const board = new DataTransfer();
          const told = { clipboardData: board, bubbles: true, cancelable: true };
          document.activeElement.dispatchEvent(new ClipboardEvent("copy", told));
          return board.getData("text/plain");
        }"""
    )
    assert "open to rain" in copied.splitlines()[0].split("\t")
    screen.locator('[id="joints[2].id"]').focus()
    screen.evaluate(
        """(text) => {
          const board = new DataTransfer();
          board.setData("text", text);
          const told = { clipboardData: board, bubbles: true, cancelable: true };
          document.activeElement.dispatchEvent(new ClipboardEvent("paste", told));
        }""",
        copied,
    )
    screen.get_by_text("Version 2 is saved.").wait_for()
    for column in ("name", "place", "main", "side", "role", "quantity", "access"):
        above, below = (screen.locator(f'[id="joints[{row}].{column}"]').input_value() for row in (0, 2))
        assert above == below, column
    told = screen.locator("#state [data-where]").all_inner_texts()
    assert told
    assert all(one.endswith(", id") for one in told), "only the ids stand twice now"


def test_the_usual_columns_fit_at_a_desk_and_more_are_hinted_at(screen: Page) -> None:
    _begun(screen, "Fitting")
    if (screen.viewport_size or {})["width"] < 800:
        assert screen.locator(".pan-more").first.is_hidden(), "on a phone a row is a card"
        return
    beyond = "pans => pans.map(pan => pan.scrollWidth - pan.clientWidth)"
    assert screen.locator(".pan").evaluate_all(beyond) == [0, 0, 0]
    screen.get_by_role("link", name="Every column").click()
    hint = screen.locator('[data-sheet="Joints"] .pan-more')
    hint.wait_for()
    assert hint.is_visible()
    pan = screen.locator('[data-sheet="Joints"] .pan')
    pan.evaluate("pan => { pan.scrollLeft = 600 }")
    first = screen.locator('[id="joints[0].id"]').bounding_box()
    frame = pan.bounding_box()
    assert first
    assert frame
    assert abs(first["x"] - frame["x"]) < 2, "the first column stays"
    pan.evaluate("pan => { pan.scrollLeft = pan.scrollWidth }")
    hint.wait_for(state="hidden")


@pytest.mark.parametrize("chosen", ["Put in what I typed", "Leave what is there"])
def test_of_two_who_type_at_once_the_second_chooses(screen: Page, chosen: str) -> None:
    _begun(screen, f"Two at once, {chosen}")
    other = screen.context.new_page()
    other.goto(screen.url)
    for page, text in ((other, "theirs"), (screen, "mine")):
        page.locator("#note").fill(text)
        page.locator("#note").blur()
        page.locator("#wrong-list, #state [role=status]:has-text('Version 2')").first.wait_for()
    screen.get_by_text("What you typed is kept here").wait_for()
    assert "mine" in screen.locator("#mine").inner_text()
    assert "theirs" in screen.locator("#mine").inner_text()
    assert screen.locator(".mine").inner_text() == "You typed “mine”."
    _is_accessible(screen)
    kept(screen, "meanwhile")
    screen.get_by_role("button", name=chosen).click()
    wanted = "mine" if chosen.startswith("Put") else "theirs"
    if wanted == "mine":
        screen.get_by_text("Version 3 is saved.").wait_for()
    assert screen.locator("#note").input_value() == wanted
    screen.reload()
    assert screen.locator("#note").input_value() == wanted


def test_every_column_is_within_reach_and_a_row_on_a_phone_shows_what_it_says(screen: Page) -> None:
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill("Every column")
    screen.get_by_role("button", name="Begin").click()
    screen.get_by_role("link", name="Every column").click()
    screen.get_by_role("link", name="Only the usual columns").wait_for()
    _unfold(screen)
    _is_accessible(screen)
    kept(screen, "sheet-every-column")
    usual, seldom = (screen.locator(f'[id="joints[0].{name}"]') for name in ("quantity", "demand_withdrawal"))
    on_phone = (screen.viewport_size or {})["width"] < 500
    assert usual.is_visible()
    assert seldom.is_visible() is not on_phone
    if on_phone:
        more = screen.locator('[data-row="joints[0]"] [data-fields]')
        more.focus()
        screen.keyboard.press("Enter")
        assert more.get_attribute("aria-expanded") == "true"
    seldom.fill("90 lb")
    seldom.press("Tab")
    screen.get_by_text("Version 2 is saved.").wait_for()
    assert seldom.is_visible()


def test_changes_typed_faster_than_they_are_saved_are_all_kept(screen: Page) -> None:
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill("Fast")
    screen.get_by_role("button", name="Begin").click()
    screen.get_by_role("heading", name="Fast").wait_for()
    for number in range(6):
        screen.locator("#note").evaluate(
            "(cell, text) => { cell.value = text; cell.dispatchEvent(new Event('change', {bubbles: true})) }",
            f"note {number}",
        )
    screen.get_by_text("Version 7 is saved.").wait_for()
    screen.reload()
    assert screen.locator("#note").input_value() == "note 5"


def test_every_joint_is_answered_and_what_was_assumed_can_be_said_there(screen: Page) -> None:
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill("Answered")
    screen.get_by_role("button", name="Begin").click()
    screen.get_by_role("link", name="Answer for every joint").click()
    screen.locator("#summary").wait_for(timeout=180_000)
    _is_accessible(screen)
    kept(screen, "answer")
    fold = screen.locator("details.joint-fold").first
    assert fold.get_attribute("open") is None
    screen.emulate_media(media="print")
    assert fold.locator(".answer").is_visible()
    screen.emulate_media(media="screen")
    assert not fold.locator(".answer").is_visible()
    screen.locator("table.summary th a").first.click()
    fold.locator(".answer").wait_for()
    said = screen.locator("details.change", has=screen.locator('[name="path"][value="site.shore"]'))
    said.locator("summary").click()
    said.get_by_label("site: shore").select_option("sheltered")
    said.get_by_role("button", name="Ask again").click()
    screen.locator("#summary").wait_for(timeout=180_000)
    assert screen.locator('[name="path"][value="site.shore"]').count() == 0


def test_labels_and_sites_are_compared(screen: Page) -> None:
    screen.goto("/compare")
    screen.get_by_role("link", name="Show an example").click()
    screen.get_by_role("heading", name="On one face").wait_for()
    _is_accessible(screen)
    kept(screen, "compare-labels")
    chart = screen.locator(".sheet-of-paper img, .bars-stacked svg").locator("visible=true").last
    drawn, wide = chart.bounding_box(), (screen.viewport_size or {})["width"]
    assert drawn
    assert drawn["x"] >= 0
    assert drawn["x"] + drawn["width"] <= wide
    screen.goto("/")
    kept(screen, "home")
    tops = screen.locator(".doors li").evaluate_all("doors => doors.map(door => door.offsetTop)")
    assert len({tops.count(top) for top in tops}) == 1, "every row of doors has as many"
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill("Here and there")
    screen.get_by_role("button", name="Begin").click()
    screen.get_by_role("link", name="Compare", exact=True).last.click()
    screen.get_by_label("On another site").fill("44.98 -93.27 Minneapolis")
    screen.get_by_role("button", name="Compare this site").click()
    screen.get_by_role("heading", name="The same joints elsewhere").wait_for(timeout=180_000)
    _is_accessible(screen)
    kept(screen, "compare-sites")


@pytest.mark.parametrize("scheme", ["dark"])
def test_in_the_dark(screen: Page, scheme: Literal["dark"]) -> None:
    screen.emulate_media(color_scheme=scheme)
    for path in ("/", "/label?text=G185", "/joint", "/structures", "/compare"):
        screen.goto(path)
        _is_accessible(screen)
    kept(screen, "dark")
