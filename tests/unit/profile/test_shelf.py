"""Where profiles are found."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.errors import ProfileError
from cutprep.profile import shelf

STOCK = 'title = "mine"\ncaliper = "0.3mm"\n[[sheet]]\nname = "A4"\nsize = "210x297mm"\n'


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's own folder of stocks."""
    monkeypatch.delenv("CUTPREP_FOLDER")
    monkeypatch.setattr(shelf.platformdirs, "user_config_dir", lambda name: str(tmp_path / name))
    folder = shelf.own_folder() / "stocks"
    folder.mkdir(parents=True)
    return folder


def test_own_profiles_stand_beside_shipped_ones_and_in_place_of_them(own: Path) -> None:
    shipped = set(shelf.stocks())
    (own / "kraft-mine.toml").write_text(STOCK)
    (own / "card-220.toml").write_text(STOCK)
    assert set(shelf.stocks()) == shipped | {"kraft-mine"}
    assert shelf.stock("card-220").title == shelf.stocks()["card-220"].title == "mine"
    assert shelf.stock("card-160").title != "mine"


def test_a_file_named_outright(tmp_path: Path) -> None:
    path = tmp_path / "any.toml"
    path.write_text(STOCK)
    assert shelf.stock(str(path)).title == "mine"
    with pytest.raises(ProfileError, match="can't be read"):
        shelf.stock(str(tmp_path / "none.toml"))


@pytest.mark.parametrize(
    "name", ["card-22", "", "../card-220", "card-220/", "/etc/passwd", "*", "card-220\x00"]
)
def test_a_name_is_a_name_and_no_path(name: str) -> None:
    with pytest.raises(ProfileError, match="no stock is called"):
        shelf.stock(name)


def test_a_near_name_is_offered() -> None:
    with pytest.raises(ProfileError, match="card-220"):
        shelf.stock("card-22")
    with pytest.raises(ProfileError, match="mat-cutter-300"):
        shelf.machine("mat-cutter")


def test_no_folder_of_ones_own_is_no_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CUTPREP_FOLDER")
    monkeypatch.setattr(shelf.platformdirs, "user_config_dir", lambda name: str(tmp_path / "none" / name))
    assert shelf.machines()
