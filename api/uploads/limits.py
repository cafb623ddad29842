"""What an uploaded table may be, and what is said when the file as a whole cannot be read."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """Largest sizes accepted. Cells: 32,767 characters is what common spreadsheet programs allow themselves."""

    file_bytes: int = 64 * 2**20
    rows: int = 200_000
    columns: int = 500
    blank_rows: int = 100_000
    """Of a text table: a file of line ends alone is nobody's, and walking it takes as long as rows would."""
    cells: int = 5_000_000
    """Of the whole table, blank ones and those beyond the headings too; also texts that a workbook's cells share."""
    cell_chars: int = 32_767
    again_chars: int = 50_000_000
    """Characters of a text table that are read once more, with the lines after them, to find where quote marks end."""
    line_chars: int = 1_000_000
    record_lines: int = 200
    """Lines that one CSV record may span."""
    record_chars: int = 1_000_000
    """Characters of one CSV record over all its lines."""
    sheet_bytes: int = 512 * 2**20
    """Unpacked size of one sheet."""
    part_bytes: int = 64 * 2**20
    """Unpacked size of any other part of a workbook that is read whole."""
    book_bytes: int = 768 * 2**20
    """Unpacked size of all parts of a workbook that may be read, together."""
    pack_ratio: int = 250
    """Unpacked over packed size, from which a part above 1 MiB counts as a bomb."""
    parts: int = 10_000


class UnreadableFile(ValueError):
    """The file as a whole is refused; no row of it was taken.

    reason: what is wrong; remedy: what to do; both in the maker's words.
    """

    def __init__(self, reason: str, remedy: str) -> None:
        self.reason = reason
        self.remedy = remedy
        super().__init__(f"{reason}: {remedy}")

    def __reduce__(self) -> tuple[type["UnreadableFile"], tuple[str, str]]:
        """Made again from its two texts, after travelling from the process that read the file."""
        return UnreadableFile, (self.reason, self.remedy)


def nothing_read(heading_row: int | None) -> UnreadableFile:
    """No row could be taken for the headings: nothing is there, or not where the maker said."""
    if heading_row is None:
        return UnreadableFile("every row of the file is blank", "export the orders again")
    return UnreadableFile("the row said to hold the headings is blank or not there", "say which row holds them")
