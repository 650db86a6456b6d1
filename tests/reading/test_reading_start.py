"""A first try as people make it: other separators, decimal commas, encodings, headers with units, titles, one sheet for all.

What can be meant in one way only is read, and said; what can't is refused with the remedy.
"""

from __future__ import annotations

import io
from fractions import Fraction as F
from pathlib import Path

import openpyxl
import pytest
from annotated import put
from hypothesis import given
from hypothesis import strategies as st

from yieldopt.cli import main
from yieldopt.ground.errors import InputError
from yieldopt.reading import read_job
from yieldopt.reading.dates import fraction_of
from yieldopt.reading.encodings import decoded
from yieldopt.wood.lumber import Job

MM = F(10, 254)
PARTS = "part,qty,species,thickness,width,length\nrail,2,oak,3/4,2,26\n"
BOARDS = "board,species,quarters,length,width,cost\nB1,oak,4/4,96,8,30\n"
TOML = 'name = "shelf"\nunits = "in"\n'


def job(folder: Path, **changed: str | bytes) -> Job:
    files: dict[str, str | bytes] = {"job.toml": TOML, "parts.csv": PARTS, "boards.csv": BOARDS}
    files |= {("job.toml" if k == "toml" else f"{k}.csv"): v for k, v in changed.items()}
    return read_job(put(folder, files))


def refused(folder: Path, **changed: str | bytes) -> list[str]:
    with pytest.raises(InputError) as caught:
        job(folder, **changed)
    return [str(p) for p in caught.value.problems]


def test_a_maker_in_europe(tmp_path: Path) -> None:
    """Semicolons, decimal commas and an 8-bit encoding, as a spreadsheet there saves CSV."""
    parts = "part;qty;species;thickness;width;length\nTür;2;Nußbaum;19;47,5;660\n"
    boards = "board;species;quarters;length;width;cost\nBohle 1;nußbaum;26mm;2400;201,25;31,90\n"
    found = job(tmp_path, toml=TOML.replace('"in"', '"mm"'), parts=parts.encode("cp1252"), boards=boards.encode("cp1252"))
    assert found.parts[0].name == "Tür"
    assert found.parts[0].width == F("47.5") * MM
    assert (found.boards[0].width, found.boards[0].cost) == (F("201.25") * MM, F("31.90"))
    assert set(found.remarks) == {
        "parts.csv: read as Western European (Windows) text; save it as “CSV UTF-8” next time",
        "parts.csv: columns separated by semicolons",
        "parts.csv: decimal commas: 47,5 (row 2, width) read as 47.5",
        "boards.csv: read as Western European (Windows) text; save it as “CSV UTF-8” next time",
        "boards.csv: columns separated by semicolons",
        "boards.csv: decimal commas: 201,25 (row 2, width) read as 201.25",
    }


@pytest.mark.parametrize("separator", [";", "\t", "|"])
def test_separators(separator: str, tmp_path: Path) -> None:
    found = job(tmp_path, parts=PARTS.replace(",", separator))
    assert found == job(tmp_path / "plain")
    assert len(found.remarks) == 1


def test_utf_16_says_what_it_is(tmp_path: Path) -> None:
    assert job(tmp_path, parts=PARTS.encode("utf-16")) == job(tmp_path / "plain")


def test_bytes_that_two_encodings_read_as_words_are_refused_with_the_remedy(tmp_path: Path) -> None:
    """0xe6: æ in Western, ć in Central European text."""
    assert refused(tmp_path, parts=PARTS.encode().replace(b"rail", b"b\xe6r")) == [
        "parts.csv, row 2: found 'byte 0xe6 at byte offset 41', expected UTF-8 text: save it as “CSV UTF-8”"
    ]


WORDS = [
    *("Tür", "Nußbaum", "Füllung", "châtaignier", "érable", "björk", "lönn", "sillón", "peça", "8½ breit", "7½″", "8’ board"),
    *("dąb", "świerk", "ořech", "javor", "tölgy", "bükk", "kőris", "plošča", "deska płaska"),
]


@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=6), st.sampled_from(["cp1252", "cp1250", "mac_roman", "utf-16"]))
def test_what_is_read_is_what_was_written(words: list[str], encoding: str) -> None:
    """A reading that is offered is the right one; where several would do, none is."""
    text = "\n".join(words)
    try:
        data = text.encode(encoding)
    except UnicodeEncodeError:
        return
    found = decoded(data)
    if not text.isascii() or encoding == "utf-16":
        assert found is None or found[0] == text


@pytest.mark.parametrize(
    ("text", "encoding"), [("Tür;Nußbaum", "cp1252"), ("tölgy;bükk", "cp1250"), ("Füllung 8½ breit", "cp1252")]
)
def test_usual_words_are_read(text: str, encoding: str) -> None:
    assert (decoded(text.encode(encoding)) or ("",))[0] == text


def test_commas_that_may_part_thousands_are_refused_and_only_those(tmp_path: Path) -> None:
    boards = 'board,species,quarters,length,width\nB1,oak,4/4,"1,200",8\n'
    assert refused(tmp_path, boards=boards) == [
        "boards.csv, row 2, length: found '1,200', expected 1200 or 1.200: here a comma may separate thousands or decimals"
    ]
    # Beside one that can only be decimal, it is decimal too.
    both = boards + 'B2,oak,4/4,"96,5",8\n'
    assert [b.length for b in job(tmp_path / "both", boards=both).boards] == [F("1.2"), F("96.5")]


def test_headers_with_units_rule_bare_numbers_alone(tmp_path: Path) -> None:
    boards = "Board,Species,Quarters,Length (mm),Width [in],Cost (EUR)\nB1,oak,4/4,2400,8,30\nB2,oak,4/4,8',200mm,30\n"
    found = job(tmp_path, boards=boards)
    assert [(b.length, b.width, b.cost) for b in found.boards] == [(2400 * MM, 8, 30), (96, 200 * MM, 30)]
    assert "boards.csv, row 1, length: bare numbers are mm, as the header says" in found.remarks
    # A column of that name beside it stays what it is, and the other a note.
    two = "board,species,quarters,length,width,length (mm)\nB1,oak,4/4,96,8,2438\n"
    board = job(tmp_path / "two", boards=two).boards[0]
    assert (board.length, dict(board.notes)) == (96, {"length (mm)": "2438"})


def test_a_title_above_the_header_is_passed_over(tmp_path: Path) -> None:
    found = job(tmp_path, parts="Parts for the shelf,,,,,\n\n" + PARTS)
    assert found == job(tmp_path / "plain")
    assert found.remarks == ("parts.csv, row 3: taken for the header; 2 rows above it passed over",)


def test_a_header_that_is_nearly_a_column_is_asked_about(tmp_path: Path) -> None:
    found = job(tmp_path, parts="part,qty,species,thickness,width,length,Faces clear\nrail,2,oak,3/4,2,26,1\n")
    assert (found.parts[0].faces, dict(found.parts[0].notes)) == (2, {"Faces clear": "1"})
    assert found.remarks == ("parts.csv, row 1, Faces clear: kept as a note; if it is meant as the column faces, head it faces",)


def test_no_column_known_is_one_message_that_says_what_was_there(tmp_path: Path) -> None:
    assert refused(tmp_path, parts="Bauteil,Anzahl,Holz\nrail,2,oak\n") == [
        "parts.csv, row 1: found 'Bauteil, Anzahl, Holz', "
        "expected a header row with the columns part, qty, species, thickness, width, length"
    ]


def _book(**sheets: list[list[object]]) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _rows(text: str) -> list[list[object]]:
    return [list(line.split(",")) for line in text.splitlines()]


def test_sheets_are_known_by_their_headers(tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {"job.toml": TOML, "job.xlsx": _book(Sheet1=_rows(PARTS), Sheet2=_rows(BOARDS))}
    assert read_job(put(tmp_path, files)) == job(tmp_path / "plain")


def test_tables_below_each_other_in_one_sheet_are_told_apart(tmp_path: Path) -> None:
    """Everything in the one sheet of job.xlsx, each table under its own header, with a title and blank rows between."""
    parts, boards = ([line.split(",") for line in text.splitlines()] for text in (PARTS, BOARDS))
    defects = [["board", "kind", "face", "x", "y", "length", "width"], ["B1", "knot", "A", "30", "2", "1", "1"]]
    rows = [["My shelf"], *parts, [], ["The boards:"], *boards, [], *defects]
    found = read_job(put(tmp_path, {"job.toml": TOML, "job.xlsx": _book(Sheet1=rows)}))
    assert [p.name for p in found.parts] == ["rail"]
    assert [(b.name, len(b.defects)) for b in found.boards] == [("B1", 1)]
    told = "rows 6 to 7 read as the table boards; other tables are in the same sheet"
    assert f"job.xlsx [Sheet1], row 6: {told}" in found.remarks


def test_one_sheet_with_everything_is_refused_in_a_sentence(tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {
        "job.toml": TOML,
        "parts.xlsx": _book(Sheet1=[["Everything"], ["rail", 2], ["B1", 96]]),
        "boards.csv": BOARDS,
    }
    with pytest.raises(InputError) as caught:
        read_job(put(tmp_path, files))
    assert [str(p) for p in caught.value.problems] == [
        "parts.xlsx, row 1: found 'Everything', expected a header row with the columns "
        "part, qty, species, thickness, width, length"
    ]


@pytest.mark.parametrize(
    ("shown", "typed"),
    [
        ("04-Mar", "3/4"),
        ("4-Apr", "4/4"),
        ("05-Apr", "5/4"),
        ("08-Apr", "8/4"),
        ("Jan-02", "1/2"),
        ("03. Apr", "3/4"),
        ("7 Aug", "7/8"),
    ],
)
def test_dates_that_were_fractions(shown: str, typed: str) -> None:
    assert fraction_of(shown) == typed


def test_a_date_in_a_cell_is_told_once_with_what_was_typed(tmp_path: Path) -> None:
    assert refused(tmp_path, parts=PARTS.replace("3/4", "04-Mar")) == [
        "parts.csv, row 2, thickness: found '04-Mar', "
        "expected 3/4, of which a spreadsheet made a date: format the column as text and type it again"
    ]


def test_a_mistake_down_a_whole_column_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = "".join(f"B{n},oak,4/4,about {n},8\n" for n in range(2, 12))
    put(tmp_path, {"job.toml": TOML, "parts.csv": PARTS, "boards.csv": "board,species,quarters,length,width\n" + rows})
    assert main(["size", str(tmp_path)]) == 2
    err = capsys.readouterr().err
    assert err.startswith("10 mistakes in the input; nothing was written:\n")
    assert err.count("boards.csv") == 1
    assert "boards.csv, rows 2-11, length: found 'about 2', 'about 3' and 8 more, expected a length" in err


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"parts": PARTS.replace("26", "660").replace("3/4", "19")}, "was it measured in millimetres?"),
        ({"boards": BOARDS.replace("96,8", "8,96")}, "are width and length swapped?"),
        ({"parts": PARTS.replace("2,26", "26,2")}, "are width and length swapped?"),
        ({"boards": BOARDS.replace("96,8", "96,3/4")}, "narrower than thick"),
        ({"parts": PARTS.replace("oak", "aok")}, "aok: no board is of it; was oak meant?"),
    ],
)
def test_what_is_hardly_meant_is_said_and_stops_nothing(changed: dict[str, str], said: str, tmp_path: Path) -> None:
    assert any(said in r for r in job(tmp_path, **changed).remarks)


def test_a_plain_job_draws_no_remark(tmp_path: Path) -> None:
    assert job(tmp_path).remarks == ()


def test_a_defect_past_the_wood_ends_with_it(tmp_path: Path) -> None:
    defects = "board,kind,x,y,length,width\nB1,check,90,7,12,2\n"
    found = job(tmp_path, defects=defects)
    d = found.boards[0].defects[0]
    assert (d.x, d.y, d.length, d.width) == (90, 7, 6, 1)
    assert found.remarks == ("defects.csv, row 2: the check reaches past B1; it is taken to end with the wood",)


def test_what_was_taken_for_granted_is_said_beside_the_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(tmp_path, {"job.toml": TOML, "parts.csv": PARTS.replace(",", ";"), "boards.csv": BOARDS})
    assert main(["size", str(tmp_path)]) == 0
    out, err = capsys.readouterr()
    assert err == "note: parts.csv: columns separated by semicolons\n"
    assert out.startswith("rail: 2 of oak")


@pytest.mark.parametrize(
    ("value", "found", "expected"),
    [
        ("3/32", "'3/32'", 'a number, or a text in quotes: face = "3/32"'),
        ("“3/32”", "'“3/32”'", 'straight quotes: face = "3/32"'),
        ('1/8"', "'1/8\"'", 'a number, or a text in quotes: face = "1/8"'),
        ("", "nothing", 'a number, or a text in quotes: face = "..."'),
        ('"1/8', "'\"1/8'", 'a number, or a text in quotes: face = "1/8"'),
        ('"no"', "'no'", 'a length such as 7 3/8, 7-3/8", 7.375, 8\' 2-1/2" or 187mm'),
    ],
)
def test_a_mistake_in_job_toml_names_line_key_and_remedy(value: str, found: str, expected: str, tmp_path: Path) -> None:
    said = f"job.toml, line 4, allowances.face: found {found}, expected {expected}"
    assert refused(tmp_path, toml=f"{TOML}[allowances]\nface = {value}\n") == [said]


def test_all_lines_of_job_toml_that_can_not_be_read_are_named(tmp_path: Path) -> None:
    found = refused(tmp_path, toml="name = shelf\nunits = in\n[kerf]\nrip = 1/8\n")
    assert [p.split(":")[0] for p in found] == ["job.toml, line 1, name", "job.toml, line 2, units", "job.toml, line 4, kerf.rip"]
