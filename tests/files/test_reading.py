"""Reading what people hand in: named refusals, nothing half-written."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haywright.files.reading import Checked, read_csv, read_toml, write_atomic
from haywright.measure.errors import HaywrightError, Problems, Refused


def written(folder: Path, content: bytes | str, name: str = "table.csv") -> Path:
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


@pytest.mark.parametrize(
    "content",
    [
        "position,mass_g\n1,48.1032\n2,<0.05\n",
        "position;mass_g\r\n1;48,1032\r\n2;<0,05\r\n",
        "position\tmass_g\n1\t48.1032\n2\t<0.05\n",
        b"\xef\xbb\xbfposition,mass_g\n1,48.1032\n2,<0.05\n",
        "position,mass_g\n1,48.1032\n2,<0.05\n".encode("utf-16"),
    ],
)
def test_one_table_in_many_guises_reads_the_same(tmp_path: Path, content: bytes | str) -> None:
    table = read_csv(written(tmp_path, content))
    assert table.rows[0]["mass_g"].number == 48.1032
    assert table.rows[1]["mass_g"].below
    assert table.rows[1]["mass_g"].number == 0.05


def test_three_figures_after_a_decimal_comma_are_not_thousands(tmp_path: Path) -> None:
    """A crucible of 31.204 g is not one of 31 kg."""
    table = read_csv(written(tmp_path, "position;mass_g\n1;31,204\n"))
    assert table.rows[0]["mass_g"].number == 31.204


def test_a_comma_inside_a_comma_table_is_not_guessed_at(tmp_path: Path) -> None:
    table = read_csv(written(tmp_path, 'position,mass_g\n1,"1,234"\n'))
    assert table.rows[0]["mass_g"].number is None


def test_western_letters_of_an_older_program_are_read(tmp_path: Path) -> None:
    table = read_csv(written(tmp_path, "probe,crucible\n1,Tiegel gr\xf6\xdfer\n".encode("cp1252")))
    assert table.rows[0]["crucible"].text == "Tiegel größer"


@pytest.mark.parametrize(
    ("content", "key"),
    [
        (b"", "files.empty"),
        (b"\x00\x01\x02binary", "files.binary"),
        ("a,b\n1,2,3\n", "files.row_length"),
        ("a,a\n1,2\n", "files.column_twice"),
        ("a,\n1,2\n", "files.column_unnamed"),
        ("a,b\n" + "1,2\n" * 30, "files.too_many_rows"),
    ],
)
def test_what_cannot_be_read_is_named(tmp_path: Path, content: bytes | str, key: str) -> None:
    with pytest.raises(Refused) as caught:
        read_csv(written(tmp_path, content), 20)
    assert caught.value.message.key == key


def test_a_file_over_the_limit_is_refused_unread(tmp_path: Path) -> None:
    with pytest.raises(Refused) as caught:
        read_csv(written(tmp_path, "a,b\n1,2\n"), limit_bytes=3)
    assert caught.value.message.key == "files.too_large"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=200)
@given(st.binary(max_size=400))
def test_no_bytes_make_the_table_reader_stumble(tmp_path: Path, content: bytes) -> None:
    try:
        read_csv(written(tmp_path, content))
    except HaywrightError as error:
        assert error.message.key.startswith("files.")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=100)
@given(st.binary(max_size=300))
def test_no_bytes_make_the_form_reader_stumble(tmp_path: Path, content: bytes) -> None:
    try:
        read_toml(written(tmp_path, content, "lot.toml"))
    except HaywrightError as error:
        assert error.message.key.startswith("files.")


def form(**fields: object) -> Checked:
    return Checked(fields, "lots/north.toml")


def test_every_problem_of_a_form_is_told_at_once() -> None:
    lot = form(bales=-3, crop="oatz", diameter=5, colour="green")
    lot.whole("bales", least=1)
    lot.choice("crop", ["oats", "alfalfa"])
    lot.number("diameter", unit="m")
    with pytest.raises(Problems) as caught:
        lot.done()
    keys = [message.key for message in caught.value.messages()]
    assert keys == [
        "files.whole",
        "measure.unknown_name",
        "measure.unit_missing",
        "measure.unknown_name",
    ]


def test_a_length_needs_its_unit_in_the_text_or_in_the_name_of_the_field() -> None:
    assert form(diameter="5 ft").number("diameter", unit="m") == pytest.approx(1.524)
    assert form(mass_kg=500).number("mass_kg", unit="kg") == 500


def test_a_bare_ton_in_a_file_is_refused() -> None:
    lot = form(weight="40 tons")
    lot.number("weight", unit="kg")
    with pytest.raises(Refused) as caught:
        lot.done()
    assert caught.value.message.key == "measure.bare_ton"


def test_a_percent_over_a_hundred_is_refused() -> None:
    lot = form(moisture_pct=140)
    lot.number("moisture_pct", least=0, most=100)
    with pytest.raises(Refused) as caught:
        lot.done()
    assert caught.value.message.key == "files.out_of_range"


def test_a_write_that_breaks_leaves_the_old_file_whole(tmp_path: Path) -> None:
    path = tmp_path / "results.json"
    write_atomic(path, "old")
    with pytest.raises(TypeError):
        write_atomic(path, None)  # type: ignore[arg-type]
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["results.json"]
