"""The job file: what it may name, and that nothing in it ends in anything but our own error."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cutprep.errors import CutprepError, TooFewSheets
from cutprep.job.file import load_job
from cutprep.job.pipeline import run

TAG = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path id="cut" d="M0 0H9V9z"/></svg>'
BASE = '[[template]]\nfile = "tag.svg"\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    inside = tmp_path / "fair"
    (inside / "below").mkdir(parents=True)
    for path in (inside / "tag.svg", inside / "below" / "tag.svg", tmp_path / "secret.svg"):
        path.write_text(TAG)
    shipped = Path(__file__).parents[3] / "cutprep/profile/shipped"
    for where in (tmp_path / "secret.toml", inside / "mine.toml"):
        where.write_text((shipped / "machines/mat-cutter-300.toml").read_text())
    return inside


def write(folder: Path, text: str) -> Path:
    path = folder / "fair.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("name", ["tag.svg", "./tag.svg", "below/tag.svg", "below/../tag.svg"])
def test_drawings_beside_and_below_are_found(folder: Path, name: str) -> None:
    job = load_job(write(folder, f'[[template]]\nfile = "{name}"\n'))
    assert job.items[0].path.read_text() == TAG


@pytest.mark.parametrize(
    "name", ["../secret.svg", "below/../../secret.svg", "{absolute}", "link.svg", "way/secret.svg"]
)
def test_a_drawing_elsewhere_must_be_asked_for(folder: Path, name: str) -> None:
    secret = folder.parent / "secret.svg"
    (folder / "link.svg").symlink_to(secret)
    (folder / "way").symlink_to(folder.parent)
    path = write(folder, f'[[template]]\nfile = "{name.format(absolute=secret)}"\n')
    with pytest.raises(CutprepError, match=r"lies outside the folder of the job file.*--from-elsewhere"):
        load_job(path)
    assert load_job(path, elsewhere=True).items[0].path == secret.resolve()


@pytest.mark.parametrize("name", ["../secret.toml", "{absolute}", "link.toml"])
def test_a_profile_elsewhere_must_be_asked_for(folder: Path, name: str) -> None:
    secret = folder.parent / "secret.toml"
    (folder / "link.toml").symlink_to(secret)
    path = write(folder, f'machine = "{name.format(absolute=secret)}"\n{BASE}')
    with pytest.raises(CutprepError, match="lies outside"):
        load_job(path)
    assert load_job(path, elsewhere=True).machine.width == 305
    assert load_job(write(folder, f'machine = "mine.toml"\n{BASE}')).machine.width == 305


@pytest.mark.parametrize("like", ["../secret", "../../secret", "/etc/passwd"])
def test_the_name_of_a_stock_is_no_path(folder: Path, like: str) -> None:
    with pytest.raises(CutprepError, match="no stock is called"):
        load_job(write(folder, f'[[stock]]\nname = "w"\nlike = "{like}"\n{BASE}stock = "w"\n'))


@pytest.mark.parametrize("name", ["../up", "a/b", "a\\u001b[2J", "x\\n", "a b", "..", "<b>"])
def test_a_stock_goes_into_file_names_so_it_is_plain(folder: Path, name: str) -> None:
    with pytest.raises(CutprepError, match="is not a plain name"):
        load_job(write(folder, f'[[stock]]\nname = "{name}"\nlike = "card-220"\n{BASE}stock = "{name}"\n'))


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 5000,
        "a = " + "{a = " * 5000,
        "seed = " + "9" * 400 + "\n" + BASE,
        "seed = " + "9" * 5000 + "\n" + BASE,
        '[[template]]\nfile = "a\\u0000b"\n',
        f'[[template]]\nfile = "{"a" * 5000}"\n',
        'machine = "a\\u0000.toml"\n' + BASE,
        "seed = nan\n" + BASE,
        BASE + "spare = inf\n",
        BASE + "copies = 1e300\n",
        'gap = "1/0in"\n' + BASE,
        "template = [1]\n",
        '[[template]]\nfile = "/dev/zero"\n',
        '[[template]]\nfile = "."\n',
        "title = 1979-05-27\n" + BASE,
    ],
)
def test_hostile_values_are_refused_in_our_own_words(folder: Path, text: str) -> None:
    with pytest.raises(CutprepError) as caught:
        load_job(write(folder, text))
    assert "fair.toml" in str(caught.value)


def test_a_loop_of_links_is_no_file(folder: Path) -> None:
    (folder / "a.svg").symlink_to("b.svg")
    (folder / "b.svg").symlink_to("a.svg")
    with pytest.raises(CutprepError, match=r"can't be the name of a file|there is no file"):
        load_job(write(folder, '[[template]]\nfile = "a.svg"\n'))


def test_a_profile_that_is_not_there_is_a_fault_of_its_key(folder: Path) -> None:
    with pytest.raises(CutprepError, match=r"fair\.toml:1: machine: no machine is called .* Did you mean"):
        load_job(write(folder, f'machine = "mat-cuter-300"\n{BASE}'))
    stock = '[[stock]]\nname = "white"\nlike = "card-22"\n'
    with pytest.raises(CutprepError, match=r"fair\.toml:3: stock\.like: no stock is called 'card-22'"):
        load_job(write(folder, stock + BASE))


def test_spare_copies_come_on_top_of_the_sets(folder: Path) -> None:
    """8 sets of 16 and 5 percent more: 134.4, so 135."""
    job = load_job(write(folder, f"sets = 8\n{BASE}copies = 16\nspare = 5\n"))
    assert job.items[0].copies == 135


def test_too_few_sheets_say_how_many_full_sets_they_give(folder: Path) -> None:
    """The number is the largest: that many sets are laid out, one more is refused."""
    stock = '[[stock]]\nname = "small"\nlike = "card-160"\n[[stock.sheet]]\nsize = "30x30mm"\nat_hand = 2\n'

    def job(sets: int, spare: int) -> Path:
        return write(folder, f"sets = {sets}\neffort = 'quick'\n{stock}{BASE}copies = 9\nspare = {spare}\n")

    with pytest.raises(TooFewSheets) as told:
        run(load_job(job(4, 5)))
    found = re.search(r"38 are asked for\. Without spare .* give (\d+) full sets of the 4", str(told.value))
    assert found is not None, told.value
    sets = int(found[1])
    assert run(load_job(job(sets, 0))).copies == 9 * sets
    with pytest.raises(TooFewSheets):
        run(load_job(job(sets + 1, 0)))
