"""Whether a row counts as an order: what its status says, and words of refund or cancellation anywhere in it.

An order that was refunded must never be made and sent. So a status counts only where the maker said that it does, some
never count whatever is said, and a row that speaks of a refund outside its status column is set aside too.
"""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from api.uploads.known import plain
from api.uploads.rows import Cell

COUNTS_USUALLY = frozenset(
    {
        "paid", "complete", "completed", "collected", "confirmed", "active", "captured", "charged", "ok", "ordered",
        "order confirmed", "payment received", "to ship", "to send", "unshipped", "unfulfilled", "bezahlt", "bestatigt",
        "paye", "payee", "pagado", "pagato", "betaald",
    }
)  # fmt: skip
"""Values that are proposed as counting; the maker decides."""
_NEVER = (
    r"(?:fully |full )?refund(?:ed|s)?|refund (?:issued|sent|done|requested)|refund(?:ed)? in full|"
    r"cancel(?:l?ed|lation|ation)?|order cancell?ed|charge ?backs?|charged back|void(?:ed)?|declined|rejected|"
    r"payment failed|failed|expired|deleted|withdrawn|dropped|disputed|fraud|returned|returns?|"
    r"storniert|storno|stornierung|erstattet|erstattung|widerrufen|widerruf|abgebrochen|ruckerstattet|ruckerstattung|"
    r"gekundigt|zuruckgezahlt|zuruckgebucht|ruckbuchung|zuruckgegeben|retourniert|abgelehnt|rembourse|remboursee|annule|annulee|"
    r"reembolsad[oa]|cancelad[oa]|devuelt[oa]|rimborsato|annullato|geannuleerd|terugbetaald"
)
_WORDS = (
    r"reimburs\w*|(?:money|payment) returned|withdr[ae]wn?|called off|no longer wants?|"
    r"zwrot\w*|zwroc\w*|anulowan\w*|vracen\w*|storn\w*|zrus(?:en|te|it)\w*|aterbetal\w*|avbestall\w*|annuller\w*|kanseller\w*|"
    r"refunder\w*|refusjon\w*|til(?:bage|bake)betal\w*|afbestil\w*|peruttu\w*|peruut\w*|hyvitet\w*|estorn\w*|"
    r"devolvid[oa]s?|devolucion\w*|annul[ae]\w*|rimbors\w*|erstattungen|ruckzahlung\w*|gutschrift\w*|retouren?|"
    r"devuelt[oa]s?|anular|anulad[oa]s?|anulat\w*|rambursat\w*|teruggestort|iade|iptal|lemond\w*|visszaterit\w*|"
    r"επιστροφη χρηματων|ακυρω\w*|возврат\w*|возвращен\w*|отмен\w*|аннулир\w*|повернен\w*|скасован\w*|"
    r"בוטל\w*|\w*בטלו?|верн\w* деньги|не отправля\w*|החזר\w*|\w*استرداد|ملغ\w*|\w*الغاء"
)
"""Refunds and cancellations in other languages, from memory; letters as `plain` leaves them. Words that mean something
else as well hold a row too: one order too few in the plan is asked about, one too many is sent."""
_ANYWHERE = "|".join(
    map(plain, ("返金", "返品", "キャンセル", "取消", "取り消し", "退款", "退货", "退貨", "환불", "취소"))
)
"""The same in scripts that put no space between words."""
_ALONE = re.compile(rf"(?:{_NEVER}|{_WORDS}|(?:\w*(?:{_ANYWHERE})\w*))[.!]*")
_SPOKEN_OF = re.compile(
    r"\b(?:refund(?:ed|s|ing)?|cancel(?:s|l?ed|l?ing|lations?|ations?)?|charge ?backs?|charged back|voided|"
    r"canel(?:led)?|cancle|refnud|refudn|"
    r"(?:money|paid|sent|give|gave) back|(?:return|give back) (?:my |the |our )?(?:payment|money)|"
    r"geld (?:zuruck|terug)|pengar?n?a? tillbaka|pengene tilba[gk]e|rahat takaisin|penz\w* vissza|"
    r"nicht (?:mehr )?(?:ver)?(?:senden|schicken)|ne (?:pas|plus) (?:envoyer|expedier)|no (?:enviar|envi[ae]n?)|"
    r"non (?:spedire|inviare)|niet (?:meer )?(?:ver)?(?:zenden|sturen)|skicka inte|nie wysylac|"
    r"(?:do not|don['’]?t) (?:ship|send|make)|erstattet|widerrufen|ruckerstattet|ruckbuchung|"
    r"zuruckgezahlt|zuruckgebucht|gekundigt|rembours\w*|"
    r"annulee?s?|reembols\w*|cancelad[oa]|rimborsat[oa]|annullat[oa]|geannuleerd|terugbetaald)\b"
    rf"|\b(?:{_WORDS})\b|{_ANYWHERE}"
)
_STEMS = (
    "refund", "back", "cancel", "charge", "void", "ship", "send", "make", "storn", "erstatt", "widerruf", "rembours",
    "annul", "reembols", "rimbors", "terug", "reimburs", "return", "withdr", "called", "no longer", "zwr", "anul",
    "vracen", "zrus", "betal", "avbest", "kansel", "afbest", "peruu", "perut", "hyvit", "estorn", "devol", "devuel",
    "rambur", "canel", "cancle", "refnud", "refudn", "refus", "geld", "peng", "rahat", "penz", "nicht", "ne p",
    "skicka", "no envi", "non ", "niet", "nie ", "gutschr", "retour", "iade", "iptal", "lemond", "vissza", "ruckbuch",
    "ruckzahl", "zuruckge", "kundigt",
)  # fmt: skip
"""What a text of ASCII letters must hold to speak of a refund; others are looked through whole."""
_LONGEST_FIGURE = 40
_SIGN = re.compile(r"[-−–‒(].*\d", re.DOTALL)
_BELOW_NOTHING = re.compile(
    r"\s*(?:[^\d\w]{0,3}\s*[-−–‒]\s*[^\d\w-]{0,3}\s*\d[\d.,' ]*|\(\s*\D{0,4}\d[\d.,' ]*\D{0,4}\))\s*\D{0,4}"
)
_MONEY = re.compile(
    r"\b(amount|paid|total|price|value|revenue|sum|betrag|summe|preis|wert|montant|prix|importe|precio|importo|bedrag|"
    r"kwota|belopp|belob|valor|quantity|qty|count|anzahl|menge|quantite|cantidad)\b"
)
_LESS = re.compile(
    r"\b(discounts?|rabatt?|remise|descuento|sconto|fees?|gebuhr(?:en)?|tax(?:es)?|vat|coupons?|vouchers?|balance)\b"
)
_TOTAL = re.compile(
    r"(?:(?:grand |sub)? ?totals?|(?:gesamt|zwischen) ?summe|gesamt|summe|sum|suma|somme|totale|sous total|totaal|"
    r"razem|yhteensa|итого)\b:?|合計|小計|合计|小计"
)
_MAY_BE_TOTAL = re.compile(r"\W*(?:grand|sub|tot|ges|zwi|su|som|sous|raz|yht)", re.IGNORECASE)
_LONGEST_TOTAL = 60
_SAYS_NO = frozenset(
    {"", "no", "n", "false", "none", "never", "na", "n/a", "?", "-", "nein", "non", "null", "eur", "€", "£", "$"}
)
MOST_VALUES = 40
"""Different values beyond which a column is no status."""


def never_counts(text: str) -> bool:
    """Whether a status says outright that there is no order any more; no maker's word makes it count."""
    return _ALONE.fullmatch(plain(text)) is not None


def speaks_of_refund(text: str) -> bool:
    """Whether a text speaks of a refund, a cancellation, or of not sending it."""
    return _may_speak(text.casefold()) and _SPOKEN_OF.search(plain(text)) is not None


def _may_speak(lower: str) -> bool:
    """Whether a text in small letters holds the stem of any such word, or letters that may spell one otherwise. A loop,
    since every row of a table asks."""
    if not lower.isascii():
        return True
    for stem in _STEMS:  # noqa: SIM110
        if stem in lower:
            return True
    return False


def takes_back(cell: Cell) -> bool:
    """Whether a figure is below nothing: `-1`, `−45.00 €`, `(45.00)`, as lines are that take an order back."""
    if isinstance(cell, (int, float)):
        return cell < 0
    if not isinstance(cell, str) or len(cell) > _LONGEST_FIGURE:
        return False
    return _SIGN.search(cell) is not None and _BELOW_NOTHING.fullmatch(cell) is not None


def refund_spoken_of(cells: Mapping[str, Cell]) -> str | None:
    """The column that speaks of a refund, a cancellation, or of not sending; none where no cell does.

    cells: heading -> cell. Under a heading that speaks of it itself (`Refunded on`) any cell counts that says anything;
    under one that speaks of money, an amount below nothing.
    """
    for heading in headings_of_money(tuple(cells)):
        if takes_back(cells[heading]):
            return heading
    for heading in headings_of_refund(tuple(cells)):
        if plain(str(cells[heading] if cells[heading] is not None else "")).strip("0.,") not in _SAYS_NO:
            return heading
    together = "\x1f".join(cell for cell in cells.values() if isinstance(cell, str)).casefold()
    if not _may_speak(together):
        return None
    return next((h for h, cell in cells.items() if isinstance(cell, str) and speaks_of_refund(cell)), None)


@lru_cache(maxsize=64)
def headings_of_refund(headings: tuple[str, ...]) -> tuple[str, ...]:
    """The headings that speak of refunds or cancellations themselves."""
    return tuple(heading for heading in headings if speaks_of_refund(heading))


@lru_cache(maxsize=64)
def headings_of_money(headings: tuple[str, ...]) -> tuple[str, ...]:
    """The headings under which stands what was paid; not those of discounts, fees and the like, often below nothing."""
    return tuple(h for h in headings if _MONEY.search(plain(h)) and not _LESS.search(plain(h)))


def is_total(text: str, alone: bool) -> bool:
    """Whether a cell heads a row of sums. alone: whether it must be that word and nothing else."""
    if len(text) > _LONGEST_TOTAL or (text.isascii() and not _MAY_BE_TOTAL.match(text)):
        return False
    found = _TOTAL.match(plain(text))
    return found is not None and (not alone or found.end() == len(plain(text)))


def values_of(cells: Iterable[str]) -> dict[str, int]:
    """Each status as first written -> rows with it, in the order of the table; spellings that are alike together."""
    first: dict[str, str] = {}
    counts: Counter[str] = Counter()
    for cell in cells:
        counts[first.setdefault(plain(cell), cell)] += 1
    return {text: counts[text] for text in first.values()}


def looks_like_status(texts: Sequence[str]) -> float:
    """Share of cells that say plainly that an order counts, or that it never does; 0 for a column of many words.

    A column in which something is refunded probably is the status, whatever its other words.

    texts: cells that hold something.
    """
    values = values_of(texts)
    if not values or len(values) > MOST_VALUES:
        return 0.0
    told = sum(n for text, n in values.items() if never_counts(text) or plain(text) in COUNTS_USUALLY)
    least = 0.6 if any(never_counts(text) for text in values) else 0.0
    return max(told / len(texts), least)


def proposed(values: Iterable[str]) -> dict[str, str]:
    """Status -> counts, never, or nothing where the maker must say."""
    return {v: "never" if never_counts(v) else "counts" if plain(v) in COUNTS_USUALLY else "" for v in values}
