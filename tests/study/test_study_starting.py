"""Plans to start from: there, whole, and never written over anything."""

from __future__ import annotations

from pathlib import Path

import pytest

from somsim.errors import InputError
from somsim.study.starting import demonstrations, starting_plan, write_new

CONFIGS = Path(__file__).parent.parent.parent / "configs"


def test_every_config_can_be_started_from() -> None:
    assert set(demonstrations()) == {path.stem for path in CONFIGS.glob("*.yaml")}
    assert "starter" in demonstrations()


def test_a_name_that_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(InputError, match="nearest: hillside") as caught:
        starting_plan("hilside")
    assert str(caught.value).endswith("nothing was written.")


def test_what_is_written_is_the_text(tmp_path: Path) -> None:
    write_new(tmp_path / "a.yaml", "title: ä\n")
    assert (tmp_path / "a.yaml").read_bytes() == "title: ä\n".encode()
    assert [path.name for path in tmp_path.iterdir()] == ["a.yaml"]


@pytest.mark.parametrize("there", ["file", "folder", "link to nothing"])
def test_what_is_there_stays(tmp_path: Path, there: str) -> None:
    place = tmp_path / "a.yaml"
    if there == "file":
        place.write_text("mine")
    elif there == "folder":
        place.mkdir()
    else:
        place.symlink_to(tmp_path / "gone.yaml")
    before = sorted(path.name for path in tmp_path.iterdir())
    with pytest.raises(InputError, match="is there already"):
        write_new(place, "yours")
    assert sorted(path.name for path in tmp_path.iterdir()) == before
    if there == "file":
        assert place.read_text() == "mine"


def test_no_folder_no_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no folder"):
        write_new(tmp_path / "none" / "a.yaml", "x")
    assert not list(tmp_path.iterdir())
