"""LibreOffice's own exports of the typed workbook as CSV, in five locales, kept in a zip.

Run as a program it makes them anew, by the LibreOffice that is there:

    python -m tests.farms.libreoffice_exports
"""

from __future__ import annotations

import subprocess
import tempfile
import zipfile
from pathlib import Path

from .odd_workbooks import save_book
from .typed_workbook import TYPED

EXPORTS = Path(__file__).with_name("libreoffice_exports.zip")
LOCALES = {"de-DE": ";", "fr-FR": ";", "nb-NO": ";", "pt-BR": ";", "en-GB": ","}
"""Locale → the separator that its users choose."""

FORMATS = {
    ("Anchors", "F2"): "#,##0.00",
    ("Anchors", "E3"): "#,##0.0",
    ("Vessels", "B2"): "#,##0.00",
    ("Freight", "D2"): "#,##0.00",
    ("Suppliers", "D2"): "0.000",
    ("Legs", "F3"): "0.00",
    ("Project", "B11"): "yyyy-mm-dd",
}
"""Cells that show marks of thousands, or more decimals than they have."""

LOCALE_SETTING = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">
<value>{}</value></prop></item></oor:items>
"""


def export(locale: str, book: Path, folder: Path) -> None:
    """Export every sheet of a workbook as CSV in UTF-8, cells as they show, in one locale."""
    profile = folder.parent / f"profile {locale}" / "user"
    profile.mkdir(parents=True)
    (profile / "registrymodifications.xcu").write_text(LOCALE_SETTING.format(locale))
    # Separator, quote, UTF-8, first line, columns, language, quote all, as shown ... all sheets.
    how = f"{ord(LOCALES[locale])},34,76,1,,0,false,true,false,false,false,-1"
    subprocess.run(
        [
            "soffice", f"-env:UserInstallation={profile.parent.as_uri()}", "--headless",
            "--convert-to", f"csv:Text - txt - csv (StarCalc):{how}", "--outdir", folder, book,
        ],
        check=True, capture_output=True, timeout=240,
    )  # fmt: skip


def main() -> None:
    """Make the exports anew."""
    with tempfile.TemporaryDirectory() as name, zipfile.ZipFile(EXPORTS, "w", 8) as kept:
        book = save_book(TYPED, Path(name) / "north reach.xlsx", FORMATS)
        for locale in LOCALES:
            folder = Path(name) / locale
            folder.mkdir()
            export(locale, book, folder)
            for path in sorted(folder.iterdir()):
                kept.write(path, f"{locale}/{path.name}")


if __name__ == "__main__":
    main()
