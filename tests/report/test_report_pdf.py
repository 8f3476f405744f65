"""The report as a PDF: printed by Chromium where there is one, and how to get it where there is none."""

from __future__ import annotations

import datetime
import stat
from pathlib import Path

import pytest

from somsim.report.page.write import Telling, report
from somsim.report.pdf import pdf
from somsim.report.save import save
from somsim.study.compare import Study

TOLD = Telling(datetime.date(2026, 11, 27))


@pytest.mark.browser
def test_a_pdf_is_printed(hostile: Study) -> None:
    from browser import program

    made = pdf(report(hostile, TOLD), program())
    assert made.startswith(b"%PDF-") and made.rstrip().endswith(b"%%EOF")
    assert made.count(b"/Type /Page\n") + made.count(b"/Type /Page ") + made.count(b"/Type /Page>") >= 3


def test_a_printer_that_prints_nothing_leaves_no_result(hostile: Study, tmp_path: Path) -> None:
    printer = tmp_path / "printer"
    printer.write_text("#!/bin/sh\necho out of ink >&2\nexit 3\n")
    printer.chmod(printer.stat().st_mode | stat.S_IXUSR)
    with pytest.raises(OSError, match="out of ink"):
        save(hostile, tmp_path / "results", TOLD, str(printer))
    assert not (tmp_path / "results").exists()
