"""The text of STEP files: remarks, records, parameters and strings; examples are worked by hand from ISO 10303-21."""

from __future__ import annotations

import pytest

from fitcheck.geometry.step_text import members, reference, step_text, string, without_remarks


def test_remarks_become_blanks_but_not_inside_strings():
    assert without_remarks(b"#1=A('/* kept */',/* it's\n gone */2.);") == b"#1=A('/* kept */', 2.);"
    assert without_remarks(b"#1=A('no end /*');#2=B('*/');") == b"#1=A('no end /*');#2=B('*/');"


def test_records_are_found_by_number_and_their_words_told():
    data = b"HEADER;\n#7 =\n PRODUCT ( 'a;b (C(' , 'it''s', $, (#8) ) ;\n"
    data += b"#12=(B_KIND()LENGTH_UNIT()SI_UNIT($,.METRE.));#9=LINE();"
    text = step_text(data)
    assert text.words == {b"PRODUCT", b"B_KIND", b"LENGTH_UNIT", b"SI_UNIT", b"LINE"}
    assert text.highest == 12
    assert text.entity(7) == {b"PRODUCT": [b"'a;b (C('", b"'it''s'", b"$", b"(#8)"]}
    assert text.entity(12) == {b"B_KIND": [b""], b"LENGTH_UNIT": [b""], b"SI_UNIT": [b"$", b".METRE."]}
    assert (text.entity(9), text.entity(3), text.entity(None)) == ({}, {}, {})


def test_other_letters_marks_and_a_named_section():
    head, rows = b"\xef\xbb\xbfISO-10303-21;\nDATA ('a;b',('AP242'));\n", "#1=PRODUCT('Träger','','',());\n"
    text = step_text(head + rows.encode("latin-1"))
    assert text.data == b"ISO-10303-21;\nDATA;\n" + rows.encode()
    assert step_text(head[3:] + rows.encode()).data == text.data
    assert string(text.entity(1)[b"PRODUCT"][0]) == "Träger"
    assert step_text((head + b"ENDSEC;\n") * 2).data.count(b"'a;b'") == 2


def test_parameters_with_lists_in_lists():
    assert list(members(b"A((1,(2,3)),#4)")) == [(b"A", [b"(1,(2,3))", b"#4"])]
    assert list(members(b"( A(1.) B() C(D(2.),'x') )")) == [(b"A", [b"1."]), (b"B", [b""]), (b"C", [b"D(2.)", b"'x'"])]
    assert list(members(b"A(1")) == []
    assert list(members(b")))")) == []


def test_references():
    assert (reference(b" #12 "), reference(b"$"), reference(b"12"), reference(b"#a")) == (12, None, None, None)


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        (rb"'it''s'", "it's"),
        (rb"'Tr\X2\00E4\X0\ger'", "Träger"),
        (rb"'\X2\65E5672C\X0\ 1'", "日本 1"),
        (rb"'\X4\0001F600\X0\'", "\N{GRINNING FACE}"),
        (rb"'\X\E4'", "ä"),
        (rb"'\S\d'", "ä"),
        (rb"'C:\\part'", "C:\\part"),
        (rb"'\X2\\X0\'", ""),
        ("'Träger'".encode(), "Träger"),
        (b"$", ""),
        (b"''", ""),
        (b"'", ""),
    ],
)
def test_strings(written, meant):
    assert string(written) == meant
