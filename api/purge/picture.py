"""The purge matrix as a picture: a grid in the real colours, kilograms in the cells.

A row is the melt in the barrel, a column the melt that comes. A cell is painted in the colour that has to come out
clean; its corner holds the colour that was there. Plain attributes only: a page may forbid styles.
"""

from xml.sax.saxutils import escape

from api.purge.schemas import Change, PurgeMatrix

CELL = 62
HEAD = 128
FONT = "system-ui, 'Segoe UI', 'DejaVu Sans', sans-serif"
INK, PAPER, FAINT = "#1a1a1a", "#ffffff", "#5a5a5a"
MARKS = {"measured": "●", "given": "◆", "estimated": "", "none": ""}
COMPOUND_MARK = "+"
LONGEST_NAME = 15


def relative_luminance(colour: str) -> float:
    """WCAG 2.2 relative luminance (0 to 1) of #rrggbb."""
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.2 contrast ratio, 1 to 21."""
    light, dark = sorted((relative_luminance(one), relative_luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def ink_on(colour: str) -> str:
    """Black or white, whichever reads better on the colour; one of them always has a contrast above 4.5."""
    return max(("#000000", "#ffffff"), key=lambda ink: contrast(ink, colour))


def picture(said: PurgeMatrix) -> str:
    """The matrix as SVG text."""
    names, hexes = [melt.melt for melt in said.melts], {melt.melt: melt.hex for melt in said.melts}
    by_pair = {(change.from_, change.to): change for change in said.changes}
    side = CELL * len(names)
    top = HEAD + 34
    width, height = max(HEAD + side + 56, 600), top + side + 78
    title = f"Purge on barrel {said.barrel.barrel} of {said.barrel.press}"
    held = f"{said.barrel.holdup_kg:g} kg of melt in the barrel"
    if said.barrel.hot_runner_kg:
        held += f", {said.barrel.hot_runner_kg:g} kg in the hot runner"
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        f'role="img" aria-labelledby="purge-title purge-desc" font-family="{FONT}">',
        f'<title id="purge-title">{escape(title)}</title>',
        f'<desc id="purge-desc">{escape(_described(said))}</desc>',
        f'<rect width="{width}" height="{height}" fill="{PAPER}"/>',
        _text(16, 28, title, 16, weight=600),
        _text(16, 48, held, 12, fill=FAINT),
        _text(HEAD - 6, top - 26, "comes →", 12, fill=FAINT, anchor="end"),
        _text(HEAD - 6, top - 8, "in the barrel ↓", 12, fill=FAINT, anchor="end"),
    ]
    for n, name in enumerate(names):
        along = HEAD + n * CELL
        x, y = along + CELL / 2, top + n * CELL + CELL / 2
        out.append(_swatch(along + 4, top - 18, CELL - 8, 12, hexes[name]))
        out.append(
            f'<text x="{x - 4:g}" y="{top - 26}" font-size="12" fill="{INK}" '
            f'transform="rotate(-35 {x - 4:g} {top - 26})">{escape(_short(name))}</text>'
        )
        out.append(_swatch(HEAD - 18, top + n * CELL + 4, 12, CELL - 8, hexes[name]))
        out.append(_text(HEAD - 24, y + 4, _short(name), 12, anchor="end"))
    for i, old in enumerate(names):
        for j, new in enumerate(names):
            x, y = HEAD + j * CELL, top + i * CELL
            if old == new:
                out.append(f'<rect x="{x}" y="{y}" width="{CELL}" height="{CELL}" fill="#f2f2f2" stroke="{PAPER}"/>')
                out.append(_text(x + CELL / 2, y + CELL / 2 + 4, "–", 14, fill=FAINT, anchor="middle"))
            else:
                out += _cell(x, y, by_pair[old, new], hexes[old], hexes[new])
    out += _legend(16, top + side + 26, said)
    out.append("</svg>")
    return "\n".join(out)


def _cell(x: int, y: int, change: Change, old: str, new: str) -> list[str]:
    ink, corner = ink_on(new), CELL * 0.36
    mark = COMPOUND_MARK * (change.compound_kg > 0) + MARKS[change.basis]
    said = (
        f"{change.from_} to {change.to}: {change.kg:.2f} kg ({change.kg_p10:.2f} to {change.kg_p90:.2f}), "
        f"{change.shots} shots, {change.minutes:g} min, {change.basis}"
    )
    if change.compound_kg > 0:
        said += f"; {change.compound_kg:.2f} kg of it purging compound"
    return [
        "<g>",
        f"<title>{escape(said)}</title>",
        f'<rect x="{x}" y="{y}" width="{CELL}" height="{CELL}" fill="{new}" stroke="{PAPER}"/>',
        f'<path d="M{x} {y}h{corner:g}L{x} {y + corner:g}z" fill="{old}" stroke="{ink}" stroke-width="0.6"/>',
        _text(x + CELL / 2, y + CELL / 2 + 7, _kilograms(change.kg), 17, fill=ink, anchor="middle", weight=600),
        _text(
            x + CELL / 2, y + CELL - 8, f"{_kilograms(change.kg_p10)}–{_kilograms(change.kg_p90)}", 10, fill=ink,
            anchor="middle",
        ),
        _text(x + CELL - 6, y + 14, mark, 11, fill=ink, anchor="end") if mark else "",
        "</g>",
    ]  # fmt: skip


def _legend(x: int, y: int, said: PurgeMatrix) -> list[str]:
    lines = [
        "Large: kilograms shot to waste. Small: P10–P90. Corner: the colour that was in the barrel.",
        f"● measured, ◆ given, no mark: estimated; {COMPOUND_MARK}: with purging compound",
        said.note,
    ]
    return [_text(x, y + 18 * n, line, 12, fill=FAINT) for n, line in enumerate(lines)]


def _described(said: PurgeMatrix) -> str:
    if not said.changes:
        return "One melt alone: nothing to purge."
    dear = max(said.changes, key=lambda change: change.kg)
    cheap = min(said.changes, key=lambda change: change.kg)
    return (
        f"{len(said.melts)} melts, {len(said.changes)} changes. Dearest: {dear.from_} to {dear.to}, {dear.kg:.2f} kg. "
        f"Cheapest: {cheap.from_} to {cheap.to}, {cheap.kg:.2f} kg."
    )


def _kilograms(kg: float) -> str:
    """Two figures that matter, never more than four characters below 100 kg."""
    return f"{kg:.2f}" if kg < 9.995 else f"{kg:.1f}" if kg < 99.95 else f"{kg:.0f}"


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…"


def _swatch(x: float, y: float, width: float, height: float, colour: str) -> str:
    return (
        f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" fill="{colour}" stroke="{FAINT}" '
        'stroke-width="0.6"/>'
    )


def _text(x: float, y: float, text: str, size: int, fill: str = INK, anchor: str = "start", weight: int = 400) -> str:
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size}" fill="{fill}" text-anchor="{anchor}" '
        f'font-weight="{weight}">{escape(text)}</text>'
    )
