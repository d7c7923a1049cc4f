"""Shelf files: what is written reads back, and every row that is wrong says so."""

import codecs
import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from features.input_file import BadInput
from identify.evidence import Evidence
from identify.knowledge import FOLDER
from identify.shelf import STATES
from identify.shelf_csv import COLUMNS
from identify.shelf_file import load_shelf_file, read_shelf_file, shelf_text
from identify.size_match import match_sizes
from tests.identify.shelves import DEMO, FAMILY, NOTES, part, shelf, size

HEADER = "row,system,family,size,platform_width_mm,lengths_mm,kind,height_mm,state,checked_on\n"
GOOD = f"size,Alder,{FAMILY},4.0,4.1,8 10,,,,\n"


def read(text, name="shelf.csv"):
    return read_shelf_file(text.encode(), name, NOTES)


def problems(rows):
    return [str(problem) for problem in read(HEADER + rows).problems]


def test_the_demo_shelf_says_it_is_invented_and_is_in_order():
    text = DEMO.read_text(encoding="utf-8")
    assert "Invented" in text.splitlines()[1]
    got = load_shelf_file(DEMO, NOTES)
    assert not got.problems
    assert all("(invented)" in row.system for row in (*got.shelf.sizes, *got.shelf.parts))


NAMES = st.text("abcXYZ äé0.-'\",;\t\n☃", max_size=12).filter(
    lambda text: text.strip() and text.split()[0][0] not in "=+-@"
)
MM = st.integers(10, 1500).map(lambda number: number / 100)
SIZES = st.builds(
    lambda name, width, lengths, index, note: size(
        name, platform_width_mm=width, lengths_mm=lengths, index=index, note=note
    ),
    NAMES,
    MM.filter(lambda width: width >= 0.5),
    st.lists(MM.filter(lambda length: length >= 2), max_size=4),
    st.sampled_from(["present", "absent", "unknown"]),
    NAMES,
)
PARTS = st.builds(
    lambda height, angle, state, day, supplier: part(
        height_mm=height, angle_deg=angle, state=state, checked_on=day, supplier=supplier
    ),
    st.none() | MM,
    st.integers(0, 45),
    st.sampled_from(STATES),
    st.none() | st.dates(),
    NAMES,
)


@pytest.mark.parametrize("name", ["out.csv", "out.toml"])
@settings(max_examples=60, deadline=None)
@given(
    rows=st.lists(SIZES, max_size=4, unique_by=lambda row: row.key),
    parts=st.lists(PARTS, max_size=4, unique_by=lambda row: row.key),
)
def test_what_is_written_reads_back_the_same(name, rows, parts):
    own = shelf(*rows, *parts)
    back = read(shelf_text(own, name), name)
    assert not back.problems
    assert back.shelf == own


def test_a_spreadsheet_of_a_country_with_decimal_commas_is_understood():
    row = f'size;Alder;{FAMILY};4,0;4,1;"8 10,5";;;;\n'
    got = read(HEADER.replace(",", ";") + row)
    assert not got.problems
    assert got.shelf.sizes[0].platform_width_mm == 4.1
    assert got.shelf.sizes[0].lengths_mm == (8, 10.5)
    assert got.shelf.sizes[0].size == "4,0"  # a name is left as it is


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_the_encodings_spreadsheets_write_are_read(encoding):
    raw = (HEADER + GOOD.replace("Alder", "Ähre")).encode(encoding)
    assert read_shelf_file(raw, "a.csv", NOTES).shelf.sizes[0].system == "Ähre"


def test_a_family_may_be_named_by_its_title():
    title = NOTES.families[FAMILY].title
    got = read(HEADER + GOOD.replace(FAMILY, f'"{title.upper()}"'))
    assert got.shelf.sizes[0].family == FAMILY


def test_blank_rows_are_passed_over_and_still_counted():
    assert problems("\n,,,,,,,,,\n" + GOOD.replace("4.1", "x"))[0].startswith("row 4:")


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (GOOD.replace(FAMILY, "external_hex_paralel"), f"write '{FAMILY}' if that is meant"),
        (GOOD.replace(FAMILY, "zzz"), "use one of"),
        (GOOD.replace(FAMILY, ""), "'family' is missing"),
        (GOOD.replace("4.1", "wide"), "'platform_width_mm': is 'wide', which is no number"),
        (GOOD.replace("8 10", "8 x"), "lengths_mm[1]"),
        (GOOD.replace(",,,,\n", ",replica,,,\n"), "'kind' is not a known entry"),
        (GOOD.replace("\n", ",beyond\n"), "'a cell beyond the last column'"),
        ("part,Alder,,,4.1,,stock abutmen,2,in stock,\n", "write 'stock abutment' if that is"),
        ("part,Alder,,,4.1,,replica,,gone,\n", "'state' must be"),
        ("part,Alder,,,4.1,,replica,,,\n", "'state' is missing"),
        ("part,Alder,,,4.1,,replica,,in stock,13/14/26\n", "'checked_on': is '13/14/26'"),
        ("seize,Alder,,,,,,,,\n", "'row' must be 'size' or 'part'"),
    ],
)
def test_a_wrong_row_is_named_with_what_is_wrong_and_the_way_out(row, says):
    (said,) = problems(GOOD.replace("Alder", "Birch") + row)
    assert said.startswith("row 3: ")
    assert says in said
    assert said.endswith(".")


def test_every_wrong_row_is_told_at_once_in_their_order():
    said = problems("part,A,,,4,,replica,,gone,\n" + "x,A\n" + GOOD.replace("4.1", "-4"))
    assert [one.split(":")[0] for one in said] == ["row 2", "row 3", "row 4"]


def test_the_same_size_twice_is_refused_whatever_its_capitals():
    assert problems(GOOD + GOOD.replace("Alder", "ALDER")) == [
        "row 3: names the same as row 2; remove one of the two."
    ]


@pytest.mark.parametrize(
    ("raw", "name", "says"),
    [
        (b"", "a.csv", "is empty"),
        (b"PK\x03\x04rest", "a.csv", "is a workbook"),
        ("row,system\nsize,\u00c4".encode("latin-1"), "a.csv", "not UTF-8"),
        (codecs.BOM_UTF16_LE + b"\x00", "a.csv", "not UTF-8"),
        (b"system,size\n", "a.csv", "column 'row' is missing"),
        (b"row,system,colour\n", "a.csv", "'colour' is no column"),
        (b"row,system,row\n", "a.csv", "stands twice"),
        (b"[[size", "a.toml", "not TOML"),
        (b'radiofixture = "case/1"', "a.toml", "is no shelf"),
        (b'radiofixture = "shelf/1"\ncolour = 1', "a.toml", "'colour' is not a known entry"),
        (b'radiofixture = "shelf/1"\nsize = 4', "a.toml", "begin each with [[size]]"),
        (b"row,system\n" + b"x,y\n" * 20_001, "a.csv", "split it"),
        (b" " * 6_000_000, "a.csv", "far larger"),
    ],
)
def test_a_file_that_is_no_shelf_is_refused_in_one_sentence(raw, name, says):
    with pytest.raises(BadInput) as caught:
        read_shelf_file(raw, name, NOTES)
    assert str(caught.value).startswith(f"{name}: ")
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(BadInput, match="no such shelf file"):
        load_shelf_file(tmp_path / "none.csv", NOTES)


def test_toml_rows_are_counted_by_their_kind():
    text = 'radiofixture = "shelf/1"\n[[size]]\nsystem = "A"\n[[part]]\nsystem = "A"\n'
    said = [str(problem) for problem in read(text, "a.toml").problems]
    assert [one.split(":")[0] for one in said] == ["part 1", "size 1"]


def test_the_header_is_documented():
    text = (FOLDER / "FORMAT.md").read_text(encoding="utf-8")
    assert ",".join(COLUMNS) in text


def test_the_documented_answer_has_the_keys_of_a_real_one():
    text = (FOLDER / "FORMAT.md").read_text(encoding="utf-8")
    (block,) = re.findall(r'```json\n(\{"radiofixture": "sizes/1".*?)```', text, flags=re.DOTALL)
    shown = json.loads(block)
    items = {"platform_width_mm": {"value": 4.0, "by": "bench"}}
    own = shelf(size(lengths_mm=(8, 10)))
    real = match_sizes(Evidence.model_validate({"items": items}), NOTES, own, FAMILY).to_json()
    assert list(shown) == [*real, "sentence"]
    for name in ("platforms", "sizes"):
        assert list(shown[name][0]) == list(real[name][0])
    assert list(shown["sizes"][0]["lengths"][0]) == list(real["sizes"][0]["lengths"][0])


BYTES = st.one_of(
    st.binary(max_size=200),
    st.text(max_size=200).map(str.encode),
    st.text('row,system;size\t"\n4.1=', max_size=200).map(lambda t: HEADER.encode() + t.encode()),
    st.text('[]"size=.,0-:{}\n', max_size=80).map(
        lambda t: b'radiofixture = "shelf/1"\n' + t.encode()
    ),
)


@settings(max_examples=150, deadline=None)
@given(raw=BYTES, name=st.sampled_from(["a.csv", "a.toml"]))
def test_whatever_a_file_holds_is_read_or_refused_in_one_sentence(raw, name):
    assert all("\n" not in sentence for sentence in refusals(raw, name))


@pytest.mark.parametrize(
    ("raw", "name"),
    [
        (HEADER.encode() + b"size," + b"x" * 200_000, "a.csv"),
        (b'radiofixture = "shelf/1"\n[[size]]\nplatform_width_mm = ' + b"9" * 5000, "a.toml"),
        (b'radiofixture = "shelf/1"\n[[size]]\nplatform_width_mm = ' + b"9" * 400, "a.toml"),
        (b'radiofixture = "shelf/1"\nsize = ' + b"[" * 5000, "a.toml"),
        (b'radiofixture = "shelf/1"\n[[part]]\nchecked_on = 2026-09-14T07:30:00', "a.toml"),
    ],
)
def test_what_breaks_a_reader_is_refused_too(raw, name):
    said = refusals(raw, name)
    assert said
    assert all(len(sentence) < 400 for sentence in said)


def refusals(raw, name):
    try:
        return [str(problem) for problem in read_shelf_file(raw, name, NOTES).problems]
    except BadInput as error:
        return [str(error)]
