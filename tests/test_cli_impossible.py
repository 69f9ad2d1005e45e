"""What cannot be: one message with item and millimetres, exit 2, nothing searched or written."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitkit.cli import run

SHEET = """
title = "One probe"
[case]
{case}
[[item]]
name = "probe"
mass = "0.4 kg"
{item}
body = [{{ rectangle = [60, 40], z = [0, 30] }}]
"""


@pytest.mark.parametrize(
    ("case", "item", "said"),
    [
        # outside: 40 + 2 x 20 of clearance + 20 of walls, and 60 + 40 + 20
        ("limits = { outside = [110, 100, 500] }", "", ("120 mm x 100 mm", "10 mm over the limit")),
        ("limits = { outside = [500, 500, 85] }", "", ("x 90 mm outside", "5 mm over the limit")),
        # 120 + 100 + 90
        ('limits = { linear = "30 cm" }', "", ("linear sum of 310 mm", "10 mm over the limit")),
        ('limits = { mass = "0.3 kg" }', "", ("400 g", "the limit is 300 g")),
        # 30 high, 25 below and 15 above
        ("depths = [40, 20]", "", ("30 mm high at least", "takes 70 mm", "give 10 mm more")),
        (
            "depths = [200, 50]",
            'half = "shallow"\nproud = false',
            ("takes 55 mm", "the shallow half leaves 50 mm", "give 5 mm more"),
        ),
        ('form = "pair"\ndepths = [60, 60]', "", ("takes 70 mm", "leaves 60 mm", "10 mm more")),
        ('form = "tray"\ndepths = [60]', "", ("takes 70 mm", "leaves 60 mm", "10 mm more")),
    ],
)
def test_an_item_that_no_pose_lets_in(
    case: str,
    item: str,
    said: tuple[str, ...],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The item, what it takes, what there is, and by how much it misses; no search is begun."""
    monkeypatch.setattr("fitkit.plan.make_plan", lambda *_, **__: pytest.fail("searched"))
    sheet = tmp_path / "kit.toml"
    sheet.write_text(SHEET.format(case=case, item=item), encoding="utf-8")
    assert run(["plan", str(sheet), "-o", str(tmp_path / "out"), "--budget", "3600"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("1 fault:\n")
    assert 'item "probe"' in told.err
    for text in said:
        assert text in " ".join(told.err.split())
    assert "Traceback" not in told.err
    assert not (tmp_path / "out").exists()


def test_every_item_that_cannot_be_is_said_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two items, three things that cannot be: three lines."""
    text = SHEET.format(case='depths = [40, 20]\nlimits = { mass = "0.3 kg" }', item="")
    text += text[text.index("[[item]]") :].replace('"probe"', '"spare"').replace("0.4 kg", "0.2 kg")
    sheet = tmp_path / "kit.toml"
    sheet.write_text(text, encoding="utf-8")
    assert run(["plan", str(sheet), "-o", str(tmp_path / "out")]) == 2
    err = capsys.readouterr().err
    assert err.startswith("3 faults:\n")
    assert (err.count('item "probe"'), err.count('item "spare"')) == (2, 1)
