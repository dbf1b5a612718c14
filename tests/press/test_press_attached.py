"""Files that travel in a binder, and a PDF that did not come through whole."""

from __future__ import annotations

import io
import subprocess

import pikepdf
import pytest
from pypdf import PdfReader

from bookgen.press.attached import DamagedPdf, read_attached
from bookgen.press.bind import bind

FILES = {"effective-sheets.yaml": b"S-02: issue 3\n" * 200, "b é.txt": b"", "a.bin": bytes(range(256))}


@pytest.fixture(scope="module")
def pdf(pieces) -> bytes:
    return bind(pieces[:3], title="B", lang="en", attached=FILES, elsewhere={f"F-{n:02d}" for n in range(12)}).pdf


def test_what_was_put_in_is_read_back(pdf, pieces, tmp_path):
    assert {name: read_attached(pdf, name) for name in FILES} == FILES
    assert read_attached(pdf, "other.yaml") is None
    assert read_attached(bind(pieces[:1], title="B", lang="en").pdf, "a.bin") is None
    attachments = dict(PdfReader(io.BytesIO(pdf)).attachments.items())
    assert attachments == {name: [body] for name, body in FILES.items()}
    path = tmp_path / "b.pdf"
    path.write_bytes(pdf)
    listed = subprocess.run(["pdfdetach", "-list", path], capture_output=True, text=True, check=True).stdout
    assert "3 embedded files" in listed
    assert "effective-sheets.yaml" in listed
    assert subprocess.run(["qpdf", "--check", path], capture_output=True).returncode == 0


def test_the_same_files_make_the_same_bytes_and_carry_no_time(pdf, pieces):
    codes = {f"F-{n:02d}" for n in range(12)}
    again = bind(pieces[:3], title="B", lang="en", attached=dict(reversed(FILES.items())), elsewhere=codes)
    assert again.pdf == pdf
    with pikepdf.open(io.BytesIO(pdf)) as found:
        entry = found.Root.Names.EmbeddedFiles.Names[1]
        assert {*entry.EF.F.Params.keys()} == {"/Size", "/CheckSum"}


def test_the_places_of_the_leaves_stay_beside_it(pdf):
    found = PdfReader(io.BytesIO(pdf))
    assert "F-01#method" in found.named_destinations


def test_a_pdf_that_is_cut_short_anywhere_is_told_from_a_whole_one(pdf):
    for length in (0, 1, 9, 500, *range(1000, len(pdf) - 8, 3001), len(pdf) - 8):
        with pytest.raises(DamagedPdf, match=r"^The PDF is damaged or cut short; it cannot be read\.$"):
            read_attached(pdf[:length], "effective-sheets.yaml")


def test_a_pdf_with_a_byte_changed_gives_the_file_as_it_was_or_says_so(pdf):
    told = set()
    for at in range(0, len(pdf), 499):
        broken = pdf[:at] + bytes([pdf[at] ^ 0x5A]) + pdf[at + 1 :]
        try:
            assert read_attached(broken, "effective-sheets.yaml") in (FILES["effective-sheets.yaml"], None)
        except DamagedPdf as reason:
            told.add(str(reason))
    assert told
    assert all(one.startswith("The PDF is damaged") for one in told)


def test_the_attached_file_itself_damaged_is_noticed(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as found:
        stream = found.Root.Names.EmbeddedFiles.Names[-1].EF.F
        name = str(found.Root.Names.EmbeddedFiles.Names[-2])
        stream.write(b"S-02: issue 4\n", type_check=False)
        stream.Params = pikepdf.Dictionary(Size=14, CheckSum=pikepdf.String(bytes(16)))
        out = io.BytesIO()
        found.save(out)
    with pytest.raises(DamagedPdf, match=f"^The PDF is damaged: {name} in it is not what was put there\\.$"):
        read_attached(out.getvalue(), name)


def test_a_locked_pdf_and_what_is_none_are_told_in_a_sentence(pdf):
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as found:
        found.save(out, encryption=pikepdf.Encryption(owner="o", user="u"))
    with pytest.raises(DamagedPdf, match="locked with a password"):
        read_attached(out.getvalue(), "a.bin")
    for other in (b"", b"%PDF-1.7\n", b"plain words", b"\0" * 4000):
        with pytest.raises(DamagedPdf, match="damaged or cut short"):
            read_attached(other, "a.bin")
