"""Files nobody means well by, sent as tables of orders; and sending thousands of them."""

import functools
import gc
import io
import json
import random
import time
import zipfile
from collections import Counter
from collections.abc import Iterator

import psutil
from fastapi.testclient import TestClient

from tests.hostile import EVIL, Outcome

HEADINGS = ["Order", "Tier", "Colour", "Extra", "Land"]
MAPPING = {"tier": "Tier", "colours": ["Colour"], "ref": "Order", "country": "Land"}
SHEET = "xl/worksheets/sheet1.xml"
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="xml" ContentType="application/xml"/></Types>'
)


def book(sheets: list[str], shared: str = "") -> bytes:
    """A workbook whose sheets are those texts, as they are."""
    relations = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    ours = "http://schemas.openxmlformats.org/package/2006/relationships"
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("[Content_Types].xml", _TYPES)
        root = f'<Relationship Id="r" Type="{relations}/officeDocument" Target="xl/workbook.xml"/>'
        parts.writestr("_rels/.rels", f'<Relationships xmlns="{ours}">{root}</Relationships>')
        names = "".join(f'<sheet name="s{n}" sheetId="{n}" r:id="r{n}"/>' for n in range(1, len(sheets) + 1))
        parts.writestr(
            "xl/workbook.xml", f'<workbook xmlns="{_MAIN}" xmlns:r="{relations}"><sheets>{names}</sheets></workbook>'
        )
        links = "".join(
            f'<Relationship Id="r{n}" Type="{relations}/worksheet" Target="worksheets/sheet{n}.xml"/>'
            for n in range(1, len(sheets) + 1)
        )
        links += f'<Relationship Id="s" Type="{relations}/sharedStrings" Target="sharedStrings.xml"/>' if shared else ""
        parts.writestr("xl/_rels/workbook.xml.rels", f'<Relationships xmlns="{ours}">{links}</Relationships>')
        for n, text in enumerate(sheets, start=1):
            parts.writestr(f"xl/worksheets/sheet{n}.xml", text)
        if shared:
            parts.writestr("xl/sharedStrings.xml", shared)
    return out.getvalue()


def sheet(rows: str) -> str:
    """A sheet of those rows, XML text."""
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{rows}</sheetData></worksheet>'


_LAUGHS = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 12))


def _orders(row: str, rows: int) -> bytes:
    """A text table of that row again and again, {n} its number."""
    return ("Order;Tier;Colour;Extra;Land\n" + "".join(row.replace("{n}", str(n)) + "\n" for n in range(rows))).encode()


@functools.cache
def large() -> tuple[bytes, ...]:
    """Each would take minutes or gigabytes, if it were let."""
    cells = '<row><c t="inlineStr"><is><t>a</t></is></c></row>'
    wide = "<row>" + "<c><v>1</v></c>" * 20_000 + "</row>"
    return (
        b"a," * 500_000,
        b"a;" * 499 + b"a\n" + (b";" * 499 + b"\n") * 4_000,
        b'"' + b"a" * 2_000_000,
        b'Order;Tier\n"' + b"a\n" * 500_000,
        b"\n" * 2_000_000,
        b"\x00" * 1_000_000,
        b"Order;Tier\n" + b"1;one\n" * 150_000,
        ("Order;Tier;Colour;Extra;Land\n" + "A;one;=1+1;x;GB\n" * 60_000).encode("utf-16"),
        _orders("A{n};one;" + "a " * 16_000 + ";;GB", 60),
        _orders("A{n};one;sage;" + "x1 " * 10_000 + ";GB", 60),
        _orders("A{n};planter pod {n} one two three four five six seven eight nine ten;sage;;GB", 20_000),
        _orders('"' + ("x" * 4_800 + '""\n') * 199, 2),
        _orders('"a\n"b', 100_000),
        _orders("A{n};one;;;GB;" + "1 " * 8_000 + "x", 100),
        (";".join(f"c{n}" for n in range(500)) + "\n" + (";".join(["a b"] * 500) + "\n") * 2_000).encode(),
        book([sheet(cells)] * 300),
        book([sheet(wide * 30)] * 20),
        book([sheet(cells + " " * 60_000_000)]),
        book([sheet("<a>" * 200_000)]),
        book([f'<!DOCTYPE x [<!ENTITY e0 "ha">{_LAUGHS}]>{sheet("<row><c><v>&e11;</v></c></row>")}']),
        book([sheet('<row r="4000000000"><c r="ZZZZZZ9999999999"><v>1</v></c></row>')]),
        book([sheet('<row><c t="s"><v>999999999999</v></c></row>')], f'<sst xmlns="{_MAIN}"><si/></sst>'),
        book([sheet(cells)], f'<sst xmlns="{_MAIN}">' + "<si><t>a</t></si>" * 2_000_000 + "</sst>"),
        book([sheet(cells)])[:-30],
        b"PK\x05\x06" + b"\x00" * 18,
    )


def table(chance: random.Random) -> bytes:
    """A small table with evil cells and headings, in some encoding, cut here and there."""
    texts = [text for text in (str(one) for one in EVIL) if len(text) < 40_000]
    headings = [chance.choice([name, *texts]) if chance.random() < 0.1 else name for name in HEADINGS]
    rows = [[chance.choice([*texts, "one", "pot", "sage", "GB", ""]) for _ in HEADINGS] for _ in range(20)]
    between = chance.choice([";", ",", "\t", "|", "\u2028", "\x00"])
    text = chance.choice(["\r\n", "\n", "\r", "\n\r\n"]).join(between.join(row) for row in [headings, *rows])
    data = text.encode(chance.choice(["utf-8", "utf-16", "utf-8-sig"]), errors="surrogatepass")
    for _ in range(chance.randrange(4)):
        at = chance.randrange(len(data))
        data = data[:at] + bytes([chance.randrange(256)]) + data[at + chance.randrange(3) :]
    return data[: chance.randrange(len(data))] if chance.random() < 0.2 else data


def workbook(chance: random.Random) -> bytes:
    """A small workbook with evil cells, sometimes with bytes exchanged."""
    kinds = ["s", "n", "b", "e", "d", "str", "inlineStr", "x", ""]
    values = ["", "-1", "1e999", "99999999999999999999", "&#0;", "<v/>", "NaN", "a" * 40_000, "2027-13-45", "&lt;x"]
    cells = "".join(
        f'<c r="{chance.choice("ABCDE")}{chance.randint(0, 9)}" t="{chance.choice(kinds)}">'
        f"<v>{chance.choice(values)}</v></c>"
        for _ in range(40)
    )
    data = bytearray(book([sheet(f"<row>{cells}</row>")]))
    for _ in range(chance.choice([0, 0, 1, 20])):
        data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data)


def forms(files: int, seed: int) -> Iterator[tuple[str, bytes, dict[str, str]]]:
    """Of so many: the end of the address, the file, and the fields beside it. Large ones come once in twenty."""
    chance = random.Random(seed)
    mappings = [json.dumps(MAPPING)] * 6 + ["", "[" * 50_000, "{}", json.dumps(MAPPING | {"ref": "\u0000"}), "nul"]
    for n in range(files):
        content = large()[n // 20 % len(large())] if n % 20 == 19 else chance.choice([table, workbook])(chance)
        fields = {}
        if chance.random() < 0.2:
            fields["sheet"] = chance.choice(["s1", "s999", "\u0000", "x" * 5000, "../x"])
        if chance.random() < 0.2:
            fields["heading_row"] = chance.choice(["1", "0", "-1", "99999999999999999999", "1e9", "x"])
        if chance.random() < 0.5:
            yield "/orders/columns", content, fields
        else:
            yield "/orders", content, fields | {"mapping": chance.choice(mappings)}


def worked(process: psutil.Process) -> float:
    """Processor seconds of a process, those it started, and of theirs that have ended."""
    total = 0.0
    for one in [process, *process.children(recursive=True)]:
        try:
            times = one.cpu_times()
        except psutil.NoSuchProcess:
            continue
        total += times.user + times.system + times.children_user + times.children_system
    return total


def assault_with_files(client: TestClient, files: int, seed: int, plan: str) -> Outcome:
    """Send files to that plan's tables of orders.

    Raises AssertionError for any answer that is neither 200 nor a problem document with 400, 413 or 422; 503 counts as
    one that came at a busy time.
    """
    process, seen = psutil.Process(), Counter[int]()
    memory, slowest, dearest = [process.memory_info().rss], 0.0, 0.0
    for number, (path, content, fields) in enumerate(forms(files, seed), start=1):
        begun, before = time.perf_counter(), worked(process)
        answer = client.post(f"/v1/plans/{plan}{path}", data=fields, files={"file": ("orders", content, "text/csv")})
        slowest, dearest = max(slowest, time.perf_counter() - begun), max(dearest, worked(process) - before)
        seen[answer.status_code] += 1
        assert answer.status_code in {200, 400, 413, 422, 503}, (number, answer.text[:500])
        if answer.status_code != 200:
            assert json.loads(answer.content)["detail"]
            assert len(answer.content) < 100_000
        if number % max(1, files // 10) == 0:
            gc.collect()
            memory.append(process.memory_info().rss)
    return Outcome(seen, memory, slowest, dearest)
