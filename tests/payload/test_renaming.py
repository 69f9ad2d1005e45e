"""A renamed item keeps its mount and its cables; new blocks stand where they belong."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.notebook.form.edits import typed
from fitkit.payload.renaming import renamed
from fitkit.payload.sheet import parse_sheet
from fitkit.payload.sheet_edit import SheetText
from sheet_kits import RECORDER, SCREEN

KIT = (
    "# the kit\n"
    + RECORDER
    + SCREEN
    + """
[[mount]]            # on rails
item = "Field Screen"

[[cable]]
from = "field screen 2.left.1"  # of the second one
to = "recorder.back.1"
diameter = 6

[[cable]]
from = "recorder.back.2"
to = "outside"
diameter = 6
"""
)


def test_mounts_and_cables_go_along() -> None:
    """A new name stands wherever the old one stood, and comments stay."""
    sheet = SheetText(KIT)
    screens = renamed(sheet, 1, "wide screen")
    assert screens.get(("mount", 0, "item")) == "wide screen"
    assert screens.get(("cable", 0, "from")) == "wide screen 2.left.1"
    both = renamed(screens, 0, "logger")
    assert both.get(("cable", 0, "to")) == "logger.back.1"
    assert both.get(("cable", 1, "from")) == "logger.back.2"
    assert both.get(("cable", 1, "to")) == "outside"
    assert ("# on rails" in both.text, "# of the second one" in both.text) == (True, True)
    assert parse_sheet(both.text, name="kit.toml").cables[0].start.copy == 2


@settings(max_examples=40, deadline=None)
@given(st.from_regex(r"[a-z]{1,8}( [a-z]{1,4}| [0-9]{1,2}|\.[0-9])?", fullmatch=True))
def test_the_payload_is_the_same_but_for_the_name(name: str) -> None:
    """Whatever a good new name is, the sheet reads as before with that name in it."""
    if name in ("field screen", "edge", "outside"):
        return
    before = parse_sheet(KIT, name="kit.toml")
    after = parse_sheet(renamed(SheetText(KIT), 0, name).text, name="kit.toml")
    assert [item.name for item in after.items] == [name, "field screen"]
    assert after.items[1] == before.items[1]
    ends = [one.start.item for one in after.cables] + [
        one.to.item for one in after.cables if one.to
    ]
    assert ends == ["field screen", name, name]


def test_what_is_not_certain_stays() -> None:
    """An empty name, and one that another item has, leave mounts and cables alone."""
    sheet = SheetText(KIT)
    for name in ("", "recorder"):
        made = renamed(sheet, 1, name)
        assert made.get(("item", 1, "name")) == name
        assert made.get(("mount", 0, "item")) == "Field Screen"
        assert made.get(("cable", 0, "from")) == "field screen 2.left.1"


def test_a_longer_name_of_another_item_is_not_taken() -> None:
    """Renaming "probe" leaves the cables of "probe 2" and "probe.x" alone."""
    text = "".join(f'[[item]]\nname = "{name}"\n' for name in ("probe", "probe 2", "probe.x"))
    text += "".join(
        f'[[cable]]\nfrom = "{one}.back.1"\n' for one in ("probe", "probe 2", "probe.x", "probe 3")
    )
    made = renamed(SheetText(text), 0, "sonde")
    assert [one["from"] for one in made.data["cable"]] == [
        "sonde.back.1",
        "probe 2.back.1",
        "probe.x.back.1",
        "sonde 3.back.1",
    ]


def test_the_form_takes_them_along() -> None:
    """A name typed into the form is put in everywhere, and the other tables stay as typed."""
    made = typed(SheetText(KIT), "item.0.name", "logger", part=None, units="mm")
    assert made.get(("cable", 0, "to")) == "logger.back.1"
    assert made.text.replace("logger", "recorder") == KIT


def test_new_mounts_and_cables_are_blocks() -> None:
    """The first mount of a sheet gets a heading of its own, after the items."""
    sheet = SheetText(RECORDER).add(("mount",), {"item": "recorder", "by": "walls"})
    sheet = sheet.add(("cable",), {"from": "recorder.front.1", "to": "outside", "diameter": 5})
    assert sheet.text.endswith(
        '[[mount]]\nitem = "recorder"\nby = "walls"\n\n[[cable]]\nfrom = "recorder.front.1"\n'
        'to = "outside"\ndiameter = 5\n'
    )
    payload = parse_sheet(sheet.text, name="kit.toml")
    assert (payload.items[0].hold, len(payload.cables)) == ("mounted", 1)
    assert "[[mount]]" not in sheet.remove(("mount", 0)).text


def test_a_table_of_the_closing_gap_stands_before_the_items() -> None:
    """The form's first value under [closing] makes the table in its usual place."""
    sheet = SheetText(RECORDER).set(("closing", "keep"), 3)
    assert sheet.text.index("[closing]") < sheet.text.index("[[item]]")
